"""The figures of jobs, and the time that people spent on them."""

from __future__ import annotations

from datetime import timedelta

from scipy.stats import binomtest

from intake.domain.inspection.evidence import evidence
from intake.domain.inspection.figures import figures, figures_by, time_spent
from intake.model.inspection import Tally
from tests.inspection.build import NOW, check, lot


def tally(day: int, days: float | None = 4.0, version: str = "v-1", **counts: int) -> Tally:
    opened = NOW + timedelta(days=day)
    counted = {"lengths": 12, "accepted": 10, "clauses": 8, "unread": 1, "letters": 2, "asks": 5} | counts
    return Tally(
        opened, None if days is None else opened + timedelta(days=days), version, "own-paper", **counted
    )


NOTHING = evidence([], [], NOW)


def test_shares_are_counted_over_the_jobs_that_can_tell_them() -> None:
    jobs = [tally(0, 2.0, added=1, misplaced=2), tally(1, 6.0), tally(2, None, added=9, misplaced=12)]
    found = figures(jobs, NOTHING)
    assert (found.jobs, found.complete) == (3, 2)
    assert (found.acceptance.seen, found.acceptance.of) == (30, 36)
    # What nobody is through with tells nothing of what was missed or misplaced.
    assert (found.recall.seen, found.recall.of) == (24, 25)
    assert (found.placed.seen, found.placed.of) == (22, 24)
    assert (found.understood.seen, found.understood.of) == (21, 24)
    exact = binomtest(22, 24).proportion_ci(0.95, "exact")
    # Both misplaced numbers are one customer's: that tells less than two of two.
    assert found.placed.lower < exact.low
    assert found.placed.upper >= exact.high
    assert found.days == 4.0
    assert found.asks_a_letter == 2.5
    assert found.letters_a_job == 2.0


def test_no_jobs_have_no_figures() -> None:
    found = figures([], NOTHING)
    assert found.acceptance.estimate is found.days is found.asks_a_letter is found.silent.estimate is None


def test_figures_apart_by_month_and_version_each_with_its_own_silent_errors() -> None:
    jobs = [tally(0), tally(1), tally(40, version="v-2")]
    known = evidence(
        [lot("a", 0), lot("b", 40, version="v-2")],
        [check(1, "a", "386.5"), check(2, "b", "380.5", "380.5")],
        NOW + timedelta(days=50),
    )
    by_month = figures_by("month", jobs, known)
    assert {name: f.jobs for name, f in by_month.items()} == {"2026-03": 2, "2026-04": 1}
    assert by_month["2026-03"].silent.wrong == 0
    assert figures_by("version", jobs, known)["v-2"].silent.wrong == 1
    assert figures_by("paper", jobs, known)["own-paper"].silent.checked == 2


def test_time_at_the_desk_is_from_one_act_to_the_next_but_for_pauses() -> None:
    def at(minutes: float) -> object:
        return NOW + timedelta(minutes=minutes)

    acts = [("maya", at(0), ""), ("maya", at(2), "R-1"), ("jon", at(2.5), "R-1"), ("maya", at(3), "R-1"),
            ("maya", at(60), "R-2"), ("maya", at(61), "R-2")]  # fmt: skip
    spent = time_spent(acts)
    assert spent == {"R-1": timedelta(minutes=3.5), "R-2": timedelta(minutes=1.5)}
