"""One process's tests share what hundreds of installations would make anew; see tests/sharing.py."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator

import pytest

from tests.servers.fixtures import dovecot, user

__all__ = ["dovecot", "user"]
"""One server for all files of a process: a file that imported them would start its own."""
gc.set_threshold(50_000, 20, 20)
"""A third of all time went into looking for rings of garbage, over and over through what a process keeps to its end."""


@pytest.fixture(scope="session", autouse=True)
def _shared() -> Iterator[None]:
    from tests.sharing import shared

    with shared():
        yield


def pytest_collection_finish() -> None:
    gc.freeze()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """On several cores the files with few tests go first: theirs are the long ones, and none is left for the end."""
    if hasattr(config, "workerinput"):
        tests = Counter(item.path for item in items)
        items.sort(key=lambda item: tests[item.path])
