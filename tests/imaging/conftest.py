from __future__ import annotations

from collections.abc import Iterator

import pytest

from intake.imaging.decode import Decoder


@pytest.fixture(scope="session")
def decoder() -> Iterator[Decoder]:
    with Decoder() as shared:
        yield shared
