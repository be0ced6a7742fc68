"""A worker that is stuck is told of, once."""

from __future__ import annotations

import logging

import pytest

from intake.cell.bars import NO_FILTER
from intake.cell.keeper import CellBroken
from intake.watchdog import Watchdog, missing_locks


def test_a_stuck_step_is_told_once_and_its_end_too(caplog: pytest.LogCaptureFixture) -> None:
    now = [0.0]
    dog = Watchdog(lambda: now[0], longest=600)
    with caplog.at_level(logging.WARNING), dog.watching("taking mail"):
        dog.look()
        assert dog.stuck() == {} and caplog.messages == []
        now[0] = 1260
        dog.look()
        dog.look()
        assert dog.stuck() == {"taking mail": 21}
    assert caplog.messages == [
        "taking mail has been running for 21 minutes; it will be ended",
        "taking mail has ended after all",
    ]
    assert dog.stuck() == {}


def test_the_line_at_the_start_says_what_could_not_be_had() -> None:
    assert missing_locks(lambda: ()) == ""
    assert "run without the filter of system calls" in missing_locks(lambda: (NO_FILTER,))

    def broken() -> tuple[str, ...]:
        raise CellBroken("The process did not start", "Look why")

    assert missing_locks(broken) == "The process did not start. Look why"
