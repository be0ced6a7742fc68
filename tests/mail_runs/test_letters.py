"""A small, seeded run of what `python -m tests.mail_runs.letters` does at length, and the outbox's rules one by one."""

from __future__ import annotations

from tests.mail_runs.letters import send_all


def test_letters_go_once_whatever_dies() -> None:
    figures = send_all(60, seed=3)
    assert figures.deaths >= 3
    assert (figures.arrived_twice, figures.sent_and_never_arrived) == (0, 0)
    assert figures.sent == figures.arrived
    assert figures.sent + figures.in_doubt + figures.waiting == 60
