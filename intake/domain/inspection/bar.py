"""The bar that follows the evidence: from which confidence on readings are accepted here, with what it costs and
brings.

Bars are tried from the highest down, each by the upper limit of its silent errors, which holds at any time
(bounds.py); the first that is not shown to keep the promise ends it. So the chance that a bar is proposed as kept
while it breaks the promise is at most the doubt, as long as lower bars are not better than higher ones:
fixed-sequence testing as in Learn then Test (Angelopoulos et al., arXiv:2110.01052). Bars with too few numbers to
promise anything whatever is found are passed over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from intake.domain.inspection.bounds import Silent, most_wrong
from intake.domain.inspection.evidence import Evidence
from intake.model.reading import ReadNumber, SketchReading

BARS = tuple(round(0.998 - 0.006 * n, 3) for n in range(34))
"""From .998 down to .8; under that nothing is ever accepted by itself."""
DOUBT = 0.1
"""The chance that a bar proposed as kept breaks the promise."""


class Reason(StrEnum):
    LOOSE = "loose"
    """The bar in force is shown to break the promise."""
    UNSHOWN = "unshown"
    """The best guess is that it breaks it, and a higher bar is shown to keep it."""
    TIGHT = "tight"
    """A lower bar is shown to keep it."""


@dataclass(frozen=True)
class AtBar:
    """What a bar would have accepted of the numbers so far: a one-sided limit on either side, each with DOUBT."""

    bar: float
    silent: Silent

    @property
    def accepted(self) -> int:
        return self.silent.among


@dataclass(frozen=True)
class Proposal:
    """Another bar than the one in force. `kept`: it is shown to keep the promise, else it is the likeliest to. `more`
    numbers a sketch would be accepted by it, fewer where negative."""

    bar: float
    reason: Reason
    kept: bool
    now: AtBar
    then: AtBar
    more: float


def with_bar(reading: SketchReading, bar: float | None) -> SketchReading:
    """The reading with a bar of the showroom's own laid over those numbers that their confidence alone decides over."""
    if bar is None:
        return reading
    return replace(reading, numbers=tuple(_by(number, bar) for number in reading.numbers))


def _by(number: ReadNumber, bar: float) -> ReadNumber:
    return replace(number, accepted=number.confidence >= bar) if number.eligible else number


def at_bar(known: Evidence, bar: float) -> AtBar:
    """The silent errors that a bar would have let pass."""
    return AtBar(bar, known.silent(lambda numbers: numbers.by(bar), 2 * DOUBT))


def proposal(known: Evidence, in_force: float, promise: float) -> Proposal | None:
    """The bar to take in place of the one in force; None where nothing shows it too loose or too tight."""
    now = at_bar(known, in_force)
    kept = lowest_kept(known, promise)
    if now.silent.lower > promise:
        then = kept if kept and kept.bar > in_force else _likeliest(known, in_force, promise)
        return _proposed(Reason.LOOSE, kept is then, now, then, known) if then else None
    if kept and kept.bar > in_force and (now.silent.estimate or 0.0) > promise:
        return _proposed(Reason.UNSHOWN, True, now, kept, known)
    if kept and kept.bar < in_force:
        return _proposed(Reason.TIGHT, True, now, kept, known)
    return None


def lowest_kept(known: Evidence, promise: float) -> AtBar | None:
    """The lowest bar that is shown to keep the promise."""
    lowest = None
    for bar in BARS:
        found = at_bar(known, bar)
        if found.accepted * promise < _least_promised():
            continue
        if found.silent.upper > promise:
            break
        lowest = found
    return lowest


def _least_promised() -> float:
    """So many wrong ones are not refuted where none was found."""
    return most_wrong([], DOUBT)


def _likeliest(known: Evidence, in_force: float, promise: float) -> AtBar | None:
    """Where no bar is shown to keep the promise: the lowest above the one in force of which half of it is the best
    guess, else the highest."""
    above: Sequence[AtBar] = [at_bar(known, bar) for bar in BARS if bar > in_force]
    guessed = [f for f in above if f.silent.estimate is not None and f.silent.estimate <= promise / 2]
    return min(guessed, key=lambda f: f.bar) if guessed else (above[0] if above else None)


def _proposed(reason: Reason, kept: bool, now: AtBar, then: AtBar, known: Evidence) -> Proposal:
    more = (then.accepted - now.accepted) / max(len(known.lots), 1)
    return Proposal(then.bar, reason, kept, now, then, more)
