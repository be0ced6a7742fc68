"""A small, seeded run of what `python -m tests.mail_runs.kills` does at length."""

from __future__ import annotations

import pytest

from tests.mail_runs.kills import POINTS, at_points, at_random, world
from tests.servers.dovecot import needs_dovecot

pytestmark = needs_dovecot


def test_a_kill_at_each_point_loses_nothing_and_sends_nothing_twice() -> None:
    with world() as w:
        figures = at_points(w)
    assert figures.kills == len(POINTS)
    assert (figures.lost, figures.twice, figures.letters_twice, figures.unfinished) == (0, 0, 0, 0)
    # Each customer gets one letter; one that was claimed and never reached the server waits for a person.
    assert figures.letters + figures.in_doubt == figures.jobs == len(POINTS)
    assert figures.settled_by_copy >= 1


@pytest.mark.parametrize("kills", [2, pytest.param(25, marks=pytest.mark.long)])
def test_kills_at_random_lose_nothing_and_send_nothing_twice(kills: int) -> None:
    with world() as w:
        figures = at_random(w, kills=kills, seed=7)
    assert (figures.lost, figures.twice, figures.letters_twice, figures.unfinished) == (0, 0, 0, 0)
