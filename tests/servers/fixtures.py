"""Server fixtures; tests/conftest.py has them for all."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.servers.dovecot import Dovecot, certificate, running, why_not

USERS = [f"user{n}" for n in range(60)]


@pytest.fixture(scope="session")
def dovecot() -> Iterator[Dovecot]:
    """One server for the whole run; skipped with the reason where there is none."""
    if reason := why_not():
        pytest.skip(reason)
    # pytest's own temporary folders are closed to other users, and Dovecot's processes are other users.
    folder = Path(tempfile.mkdtemp(prefix="intake-dovecot-"))
    folder.chmod(0o755)
    try:
        with running(folder, USERS, certificate(folder)) as server:
            yield server
    finally:
        shutil.rmtree(folder, ignore_errors=True)


_taken = iter(USERS)


@pytest.fixture
def user(dovecot: Dovecot) -> str:
    """A mailbox that no other test uses."""
    return next(_taken)
