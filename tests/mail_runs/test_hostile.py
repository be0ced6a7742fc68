"""A small day of hostile mail; `python -m tests.mail_runs.hostile` is the large one."""

from __future__ import annotations

from tests.mail_runs.hostile import hostile


def test_hostile_mail_stops_nothing_and_loses_nothing() -> None:
    found = hostile(60, seed=3)
    assert (found.lost, found.answered_wrongly, found.customers_without_a_letter) == (0, [], 0)
    assert found.longest_pass < 30 and found.desk_asked
    assert found.peak_mb < 600 and found.child_peak_mb < 1400
