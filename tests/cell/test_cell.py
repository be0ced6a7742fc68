"""The process that hostile bytes are opened in: what it tries, and what comes of it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

import pytest

from intake.cell import bars
from intake.cell.keeper import CellBroken, Keeper, Overrun
from intake.imaging.decode import Decoder
from tests.cell.prisoner import _escapes


@pytest.fixture(scope="module")
def prisoner() -> Iterator[Keeper]:
    os.environ["INTAKE_SMTP_PASSWORD"] = "for nobody else"
    keeper = Keeper("tests.cell.prisoner", 2, 100)
    yield keeper
    keeper.close()
    del os.environ["INTAKE_SMTP_PASSWORD"]


NEEDS_THE_FILTER = {
    "start a program",
    "become a program",
    "start a process",
    "signal the parent",
    "remove a file",
}


@pytest.mark.parametrize("escape", sorted(_escapes(0)))
def test_there_is_no_way_out(prisoner: Keeper, escape: str) -> None:
    if bars.NO_FILTER in prisoner.without() and escape in NEEDS_THE_FILTER:
        pytest.skip("this machine has no filter of system calls, and the program says so at its start")
    assert prisoner.ask({"do": escape}, [])[0] == {"got": False}


def test_it_takes_no_more_memory_and_time_than_it_may(prisoner: Keeper) -> None:
    assert prisoner.ask({"do": "take memory"}, [])[0] == {"got": False}
    started = time.monotonic()
    with pytest.raises(Overrun):
        prisoner.ask({"do": "never end"}, [])
    assert time.monotonic() - started < 60
    assert prisoner.ask({"do": "make a socket"}, [])[0] == {"got": False}, "and the next is served"


def test_without_the_filter_no_file_and_no_connection_can_be_opened_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    child = os.fork()
    if not child:
        bars._rules = lambda: None  # type: ignore[assignment]
        try:
            assert bars.lock_up(1 << 30) == [bars.NO_FILTER]
            os._exit(
                any(_opens(name) for name in ("read the password file", "make a socket", "write a file"))
            )
        finally:
            os._exit(9)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def _opens(name: str) -> bool:
    try:
        _escapes(os.getppid())[name]()
    except OSError:
        return False
    return True


def test_the_real_children_have_all_their_locks_where_the_machine_has_them() -> None:
    pytest.importorskip("pyseccomp")
    with Decoder() as decoder:
        assert decoder.without() == ()


def test_a_child_that_never_starts_is_our_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.executable", "/bin/false")
    with pytest.raises(CellBroken, match="did not start"):
        Keeper("tests.cell.prisoner", 2, 9).without()
