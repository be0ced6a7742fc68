"""The showroom's figures: how right the readings are here, and how jobs go, over all jobs or some of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import mean, median

from intake.domain.inspection.bounds import Rate, Silent, proportion_by_job
from intake.domain.inspection.evidence import Evidence, accepted
from intake.model.inspection import Lot, Tally

PAUSE = timedelta(minutes=5)
"""Who does nothing for so long is not at the desk."""
FIRST_ACT = timedelta(seconds=30)
"""What is supposed to have gone before an act that follows a pause."""


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


def figures(tallies: Sequence[Tally], known: Evidence) -> Figures:
    """The figures of these jobs, with the silent errors that these lots and looks tell."""
    complete = [t for t in tallies if t.complete_at is not None]
    letters = sum(t.letters for t in tallies)
    days = [(t.complete_at - t.opened_at) / timedelta(days=1) for t in complete if t.complete_at is not None]
    return Figures(
        jobs=len(tallies),
        complete=len(complete),
        silent=known.silent(accepted),
        acceptance=proportion_by_job([(t.accepted, t.lengths) for t in tallies]),
        recall=proportion_by_job([(t.lengths, t.lengths + t.added) for t in complete]),
        placed=proportion_by_job([(t.lengths - t.misplaced, t.lengths) for t in complete]),
        understood=proportion_by_job([(t.clauses - t.unread, t.clauses) for t in tallies]),
        days=median(days) if days else None,
        asks_a_letter=sum(t.asks for t in tallies) / letters if letters else None,
        letters_a_job=mean(t.letters for t in complete) if complete else None,
        desk_minutes=median(t.desk_seconds / 60 for t in complete) if complete else None,
    )


BY: Mapping[str, Callable[[Tally | Lot], str]] = {
    "month": lambda t: f"{_begun(t):%Y-%m}",
    "version": lambda t: t.version,
    "paper": lambda t: t.paper,
}
"""What jobs are told apart by: the month they began in, the readers that read them, what they are drawn on."""


def _begun(of: Tally | Lot) -> datetime:
    return of.opened_at if isinstance(of, Tally) else of.at


def figures_by(name: str, tallies: Sequence[Tally], known: Evidence) -> dict[str, Figures]:
    """The figures apart by month, version or paper, in order; what is not known of a job is under ""."""
    key = BY[name]
    names = sorted({key(t) for t in tallies} | {key(lot) for lot in known.lots})
    return {each: _of(each, key, tallies, known) for each in names}


def _of(name: str, key: Callable[[Tally | Lot], str], tallies: Sequence[Tally], known: Evidence) -> Figures:
    return figures([t for t in tallies if key(t) == name], known.only(lambda lot: key(lot) == name))


def time_spent(acts: Iterable[tuple[str, datetime, str]]) -> dict[str, timedelta]:
    """How long people were at each job, by what they did: (who, when, which job) in order of time; "" for no job.

    What somebody did last before is when the work on the next act began, but for a pause.
    """
    before: dict[str, datetime] = {}
    spent: dict[str, timedelta] = {}
    for who, at, job in acts:
        gap = at - before[who] if who in before else PAUSE
        if job:
            spent[job] = spent.get(job, timedelta()) + (gap if gap < PAUSE else FIRST_ACT)
        before[who] = at
    return spent
