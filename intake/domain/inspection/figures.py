"""The showroom's figures: how right the readings are here, and how jobs go, over all jobs or some of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from intake.domain.inspection.bounds import Rate, Silent, proportion_by_job
from intake.domain.inspection.evidence import Evidence, accepted
from intake.model.inspection import Cell, JobCounts

K = TypeVar("K")


@dataclass(frozen=True)
class Figures:
    """The figures of some jobs. Shares are `Rate`s; the rest are means and medians, None where there is nothing to take
    them of.

    `acceptance`: of the lengths read, those used without a person. `recall`: of the lengths of complete jobs, those
    that nobody had to add. `placed`: of the numbers of complete jobs, those whose role and wall nobody had to change.
    `understood`: of the clauses of customers' words, those that did not have to wait for a person. `days`: the median
    from a job's first message until it was complete. `desk_minutes`: the median of the time spent at the desk on a
    complete job.
    """

    jobs: int
    complete: int
    silent: Silent
    acceptance: Rate
    recall: Rate
    placed: Rate
    understood: Rate
    days: float | None
    asks_a_letter: float | None
    letters_a_job: float | None
    desk_minutes: float | None


def figures(jobs: JobCounts, silent: Silent) -> Figures:
    """The figures of these jobs, with their silent errors."""
    return Figures(
        jobs=jobs.jobs,
        complete=jobs.complete,
        silent=silent,
        acceptance=proportion_by_job(jobs.acceptance),
        recall=proportion_by_job(jobs.recall),
        placed=proportion_by_job(jobs.placed),
        understood=proportion_by_job(jobs.understood),
        days=middle(jobs.days),
        asks_a_letter=jobs.asks / jobs.letters if jobs.letters else None,
        letters_a_job=jobs.letters_complete / jobs.complete if jobs.complete else None,
        desk_minutes=middle(jobs.minutes),
    )


def middle(counted: Counter[float]) -> float | None:
    """The median of values of which so many were counted each."""
    total, gone, lower = counted.total(), 0, None
    for value in sorted(counted):
        gone += counted[value]
        if lower is None and 2 * gone >= total:
            lower = value
        if 2 * gone > total:
            return (lower + value) / 2 if lower is not None else value
    return None


BY: Mapping[str, Callable[[Cell], str]] = {
    "month": lambda cell: cell[0],
    "version": lambda cell: cell[1],
    "paper": lambda cell: cell[2],
}
"""What jobs are told apart by: the month they began in, the readers that read them, what they are drawn on."""


def figures_by(
    key: Callable[[Cell], K], cells: Mapping[Cell, JobCounts], known: Evidence
) -> dict[K, Figures]:
    """The figures apart by month, version or paper, or by several of these, in order; what is not known of a job is
    under ""."""
    jobs: dict[K, list[JobCounts]] = {}
    for cell, counted in cells.items():
        jobs.setdefault(key(cell), []).append(counted)
    told: dict[K, Silent] = known.silent_by(accepted, key)
    nothing = Evidence(()).silent(accepted)
    names = sorted({*jobs, *told}, key=str)
    return {each: figures(JobCounts.total(jobs.get(each, ())), told.get(each, nothing)) for each in names}


def over_time(by: str, cells: Mapping[Cell, JobCounts], known: Evidence) -> dict[str, dict[str, Figures]]:
    """The figures of each version, say, by month."""
    found: dict[str, dict[str, Figures]] = {}
    for (name, month), each in figures_by(lambda c: (BY[by](c), c[0]), cells, known).items():
        found.setdefault(name, {})[month] = each
    return found
