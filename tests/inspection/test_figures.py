"""The figures of jobs, and the time that people spent on them."""

from __future__ import annotations

import statistics
from collections import Counter
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from intake.domain.inspection.evidence import Evidence, accepted
from intake.domain.inspection.figures import BY, figures, figures_by, middle, over_time
from intake.model.inspection import JobCounts, Shares, Verdict, time_spent
from tests.inspection.build import NOW, lot


def jobs(*found: dict[str, float]) -> JobCounts:
    """Complete jobs of twelve lengths, ten of them accepted, eight clauses, two letters with five asks; what is given
    is otherwise; `days` 0 is a job that is not complete."""
    total = JobCounts()
    for each in found:
        days, added, misplaced = (
            each.get("days", 4.0),
            int(each.get("added", 0)),
            int(each.get("misplaced", 0)),
        )
        done = [(12, 12 + added)] if days else []
        placed = [(12 - misplaced, 12)] if days else []
        some, minutes = (Counter([days]), Counter([3.0])) if days else (Counter(), Counter())
        total += JobCounts(
            1, len(done), 2, 2 * len(done), 5, Shares.over([(10, 12)]), Shares.over(done), Shares.over(placed),
            Shares.over([(7, 8)]), some, minutes,
        )  # fmt: skip
    return total


NOTHING = Evidence(()).silent(accepted)


def test_shares_are_counted_over_the_jobs_that_can_tell_them() -> None:
    found = figures(
        jobs(
            {"days": 2.0, "added": 1, "misplaced": 2}, {"days": 6.0}, {"days": 0, "added": 9, "misplaced": 12}
        ),
        NOTHING,
    )
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
    found = figures(JobCounts(), NOTHING)
    assert found.acceptance.estimate is found.days is found.asks_a_letter is found.silent.estimate is None


def test_figures_apart_by_month_and_version_each_with_its_own_silent_errors() -> None:
    cells = {
        ("2026-03", "v-1", "own-paper"): jobs({}, {}),
        ("2026-04", "v-2", "own-paper"): jobs({}),
    }
    known = Evidence((lot([Verdict.RIGHT]), lot([Verdict.WRONG], version="v-2", month="2026-04")))
    by_month = figures_by(BY["month"], cells, known)
    assert {name: f.jobs for name, f in by_month.items()} == {"2026-03": 2, "2026-04": 1}
    assert by_month["2026-03"].silent.wrong == 0
    assert figures_by(BY["version"], cells, known)["v-2"].silent.wrong == 1
    assert figures_by(BY["paper"], cells, known)["own-paper"].silent.checked == 2
    assert figures_by(BY["paper"], cells, known)["own-paper"].acceptance.of == 36
    by_paper = over_time("paper", cells, known)["own-paper"]
    assert by_paper == by_month
    assert over_time("version", cells, known) == {
        "v-1": {"2026-03": by_month["2026-03"]},
        "v-2": {"2026-04": by_month["2026-04"]},
    }


@given(st.lists(st.integers(0, 9).map(float), min_size=1, max_size=12))
def test_the_middle_of_what_was_counted_is_the_median(values: list[float]) -> None:
    assert middle(Counter(values)) == statistics.median(values)


def test_time_at_the_desk_is_from_one_act_to_the_next_but_for_pauses() -> None:
    assert time_spent(None, NOW) == timedelta(seconds=30)
    assert time_spent(NOW, NOW + timedelta(minutes=2)) == timedelta(minutes=2)
    assert time_spent(NOW, NOW + timedelta(minutes=5)) == timedelta(seconds=30)
