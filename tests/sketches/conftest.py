"""Every machine draws the same plans: in strokes alone, whatever fonts and digits it has fetched."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True, scope="package")
def no_fetched_hands(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("INTAKE_HANDS", str(tmp_path_factory.mktemp("hands")))
        yield
