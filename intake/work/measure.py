"""What is counted of each job, and the figures made of it. Nothing of a customer is in any of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from intake.domain.inspection.bar import Proposal, Reason, at_bar
from intake.domain.inspection.bounds import Rate, Silent, looks_needed
from intake.domain.inspection.evidence import accepted
from intake.domain.inspection.figures import BY, figures, figures_by
from intake.domain.inspection.figures import Figures as Figures
from intake.domain.inspection.figures import over_time as figures_over_time
from intake.domain.inspection.lots import Severity, severity
from intake.domain.words.fates import Fate
from intake.model.inspection import JobCounts, Tally
from intake.model.word import AddedNumber, NumberWord, Way
from intake.store.bars import Bars
from intake.store.database import Tables
from intake.store.inspection import Inspection
from intake.store.tallies import Tallies
from intake.work.bars import proposed
from intake.work.job_file import JobFile
from intake.work.labels import LEAST
from intake.work.lots import known_of, known_of_one
from intake.work.services import Services

AMONG = 3000
"""Among so many words and looks numbers to teach with are counted: of more there are surely enough (set by hand)."""
_ALL = 99.95
"""Percent, from where one place behind the point would round to 100.0."""


def keep_tally(tables: Tables, file: JobFile, ready: bool, now: datetime) -> None:
    """Count a job that has just been examined."""
    rows = Tallies(tables.db)
    before = rows.complete_at(file.job.id)
    # That a job is done with makes it no less complete.
    complete = (before or now) if ready else before if file.archived else None
    rows.keep(file.job.id, tally_of(file, complete))


def tally_of(file: JobFile, complete_at: datetime | None) -> Tally:
    read = file.survey.read
    lengths = [n for reading in read.values() for n in reading.numbers if n.value_mm is not None]
    clauses = [c.fate for found in file.clauses.values() for c in found]
    first = next(iter(read.values()), None)
    return Tally(
        file.job.opened_at,
        complete_at,
        first.version if first else "",
        first.paper if first else "",
        lengths=len(lengths),
        accepted=sum(n.accepted for n in lengths),
        added=sum(isinstance(w, AddedNumber) and w.picture in read for w in file.words),
        misplaced=len({w.number for w in file.words if isinstance(w, NumberWord) and _is_misplaced(file, w)}),
        clauses=len(clauses),
        unread=sum(fate is Fate.UNREAD for fate in clauses),
    )


def _is_misplaced(file: JobFile, word: NumberWord) -> bool:
    """Whether a designer's word puts a number that was read to another role or wall."""
    if word.way is not Way.DESK or word.number.read is None:
        return False
    reading = file.survey.read.get(word.picture)
    if reading is None or word.number.read >= len(reading.numbers):
        return False
    number = reading.numbers[word.number.read]
    return word.role not in (None, number.role) or (word.wall is not None and word.wall != number.wall)


@dataclass(frozen=True)
class Measured:
    """The showroom's figures: over all jobs, and apart by month, version and paper. `waiting` numbers are to be looked
    at blind yet; about `looks_needed` in all show on which side of the promise the bar in force lies, None where it is
    shown."""

    promise: float
    severity: Severity
    shares: dict[str, float]
    waiting: int
    whole: Figures
    bar: float
    shipped_bar: float
    proposal: Proposal | None
    looks_needed: int | None
    labels: int | None
    """How many numbers there are to teach the readers with; None where the settings do not allow it."""
    version: str
    apart: dict[str, dict[str, Figures]]


def measured(services: Services) -> Measured:
    """All figures as of now."""
    now, policy = services.clock(), services.policy.inspection
    promise = policy.promise
    with services.store.reading() as tables:
        rows = Inspection(tables.db)
        known, shares, cells = known_of(tables, None, now), rows.latest_shares(), Tallies(tables.db).cells()
        taken = Bars(tables.db).bars().get(policy.version)
        one = known_of_one(tables, policy.version, known, now)
        found = proposed(services, tables, one)
        labels = rows.labels(AMONG) if policy.labels else None
    bar = policy.bar if taken is None else taken
    return Measured(
        promise=promise,
        severity=severity(known.silent(accepted), promise),
        shares={hand.value: share for hand, share in shares.items()},
        waiting=known.waiting,
        whole=figures(JobCounts.total(list(cells.values())), known.silent(accepted)),
        bar=bar,
        shipped_bar=policy.bar,
        proposal=found,
        looks_needed=_looks_needed(at_bar(one, bar).silent, promise),
        labels=labels,
        version=policy.version,
        apart={name: figures_by(key, cells, known) for name, key in BY.items()},
    )


Months = dict[str, dict[str, Figures]]
"""Figures by version or paper and month."""


def over_time(services: Services, by: str) -> Months:
    """The figures of each version or paper (`by`), by the month in which a job began."""
    with services.store.reading() as tables:
        known, cells = known_of(tables, None, services.clock()), Tallies(tables.db).cells()
    return figures_over_time(by, cells, known)


def _looks_needed(found: Silent, promise: float) -> int | None:
    shown = found.upper <= promise or found.lower > promise
    if shown or found.estimate is None or abs(found.estimate - promise) < NEAREST * promise:
        return None
    return max(round(looks_needed(found.estimate, promise) / 100), 1) * 100


NEAREST = 0.02
"""A bar that lies as near its promise as this is on neither side that anybody could see."""


def as_document(found: Measured, months: Mapping[str, Months]) -> dict[str, Any]:
    """The figures as `intake measure --json` prints them; shares from 0 to 1. `months` are those of each version and
    each paper."""
    return {
        "promise": found.promise,
        "inspection": {
            "severity": found.severity.value,
            "shares": found.shares,
            "waiting": found.waiting,
        },
        "bar": {
            "in_force": found.bar,
            "shipped": found.shipped_bar,
            "proposed": asdict(found.proposal) if found.proposal else None,
            "looks_needed": found.looks_needed,
        },
        "labels": None if found.labels is None else {"there": found.labels, "least": LEAST},
        "all": asdict(found.whole),
        **{name: {key: asdict(each) for key, each in apart.items()} for name, apart in found.apart.items()},
        "over_time": {
            by: {name: {month: asdict(each) for month, each in some.items()} for name, some in parts.items()}
            for by, parts in months.items()
        },
    }


def in_words(found: Measured) -> list[str]:
    """The figures as sentences and lines."""
    f = found.whole
    lines = [silent_sentence(f)]
    lines += [
        f"{f.jobs} jobs, {f.complete} complete. {found.waiting} numbers wait to be looked at blind"
        f" ({found.severity.value} inspection).",
        f"accepted without a person   {_rate_text(f.acceptance)} of the lengths read",
        f"read, not added by hand     {_rate_text(f.recall)}",
        f"role and wall right         {_rate_text(f.placed)}",
        f"customers' words understood {_rate_text(f.understood)}",
        f"from first message to complete {amount_text(f.days)} days; {amount_text(f.letters_a_job)} letters a job,"
        f" {amount_text(f.asks_a_letter)} asks a letter, {amount_text(f.desk_minutes)} minutes at the desk",
    ]
    return [*lines, f"The bar is {found.bar:g}.", *proposal_sentences(found), *learning_sentences(found)]


def proposal_sentences(found: Measured) -> list[str]:
    """What another bar would cost and bring; where none is proposed, how many looks it takes until one can be."""
    p, promised = found.proposal, percent(found.promise)
    if p is None:
        needed = f"about {found.looks_needed:,} looks in all" if found.looks_needed else ""
        about = (
            f"Whether the bar keeps the promise of {promised} % would take {needed} to show, as it seems now."
        )
        return [about] if needed else []
    why = {
        Reason.LOOSE: f"The bar of {p.now.bar:g} is too loose: more than {promised} % of what it accepts is wrong.",
        Reason.UNSHOWN: f"The bar of {p.now.bar:g} is not shown to keep the promise of {promised} %; the best guess is"
        f" {percent(p.now.silent.estimate or 0.0)} %.",
        Reason.TIGHT: f"The bar of {p.now.bar:g} is tighter than the promise of {promised} % needs.",
    }[p.reason]
    what = "more" if p.more >= 0 else "fewer"
    kept = "at most" if p.kept else "not yet shown to keep the promise;"
    return [
        why,
        f"With a bar of {p.bar:g}, {abs(p.more):.1f} numbers a sketch {what} would be accepted without a person,"
        f" and {kept} {percent(p.then.silent.upper)} % of all accepted be wrong (9 in 10 certain; now"
        f" {percent(p.now.silent.upper)} %).",
    ]


def learning_sentences(found: Measured) -> list[str]:
    """Whether the readers have learned here, and how many numbers more it takes to teach them."""
    _, _, learned = found.version.partition("+")
    how = f"with what they learned here ({learned})" if learned else "as they came"
    there, first = found.labels, f"The readers read {how}."
    if there is None:
        return [first, "Nothing is learned of what designers settle: the setting labels is no."]
    if there >= LEAST:
        return [first, f"The {LEAST} settled numbers that it takes to teach them are there: intake adapt."]
    counted = f"{there} {'is' if there == 1 else 'are'} there, {LEAST - there} are missing"
    return [
        first,
        f"To teach them takes {LEAST} numbers that designers or blind looks have settled: {counted}.",
    ]


def silent_sentence(f: Figures) -> str:
    """The silent errors in one sentence."""
    s = f.silent
    if s.estimate is None:
        return "Blind looks have settled no accepted number yet."
    were = "was" if s.wrong == 1 else "were"
    return (
        f"Of {s.checked:,} accepted numbers checked here, {s.wrong} {were} wrong"
        f" ({percent(s.lower)} to {percent(s.upper)} % of all {s.among:,})."
    )


def silent_parts(f: Figures) -> tuple[str, str]:
    """The silent errors, and their limits."""
    s = f.silent
    if s.estimate is None:
        return "-", ""
    return f"{s.wrong:,} of {s.checked:,}", f"{percent(s.lower)} to {percent(s.upper)} %"


def rate_parts(rate: Rate) -> tuple[str, str]:
    """A share, and its limits with what it is of."""
    if rate.estimate is None:
        return "-", ""
    return f"{percent(rate.estimate)} %", f"{percent(rate.lower)} to {percent(rate.upper)} % of {rate.of:,}"


def _rate_text(rate: Rate) -> str:
    share, limits = rate_parts(rate)
    return f"{share} ({limits})" if limits else share


def percent(share: float) -> str:
    """Two figures that count."""
    percent = 100 * share
    return f"{percent:.2f}" if percent < 1 else f"{percent:.1f}" if percent < _ALL else "100"


def amount_text(value: float | None) -> str:
    return "-" if value is None else f"{value:.1f}"
