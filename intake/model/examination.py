"""What the arithmetic says of a room as it was measured: closures, slips, the room laid out, what fits into it.

Frame and units are those of intake/model/room.py."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from intake.model.finding import Finding
from intake.model.phrase import Phrase, phrase
from intake.model.room import USUAL_ALLOWANCES, Allowances, RoomSurvey


class ClosureKind(StrEnum):
    """What a sum sets against what."""

    WALL = "wall"
    """A wall's sections against its overall."""
    OVERALLS = "overalls"
    """Two overalls of one wall."""
    AXIS = "axis"
    """The walls one way against the walls back."""
    ACROSS = "across"
    """A length across the room against what the rest fixes."""
    SPLAY = "splay"
    """A splayed wall against what the rest fixes."""


@dataclass(frozen=True)
class Closure:
    """One sum that must come out. `misclosure_mm` is sections minus overall, or the walls one way minus the walls
    back. `limit_mm` is 3.29 sigma sqrt n, `trade_mm` what the trade allows (common practice, no source). `walls` and
    `readings` are what took part.
    """

    kind: ClosureKind
    title: Phrase
    walls: tuple[int, ...]
    readings: tuple[str, ...]
    misclosure_mm: int
    limit_mm: int
    trade_mm: tuple[int, int] = (30, 40)
    beyond: bool = False


@dataclass(frozen=True)
class AdjustedReading:
    """One reading after the adjustment; statistics, so not rounded.

    `residual_mm` is adjusted minus measured; `redundancy` is 0 (unchecked) to 1; `standardised` is the
    residual over its own standard deviation (None where unchecked); `detectable_mm` the smallest slip that
    would be found (None: none ever). `doubtful`: beyond the critical value, or every other reading of its
    chain is as likely.
    """

    id: str
    measured_mm: int
    adjusted_mm: float
    sd_mm: float
    residual_mm: float
    redundancy: float
    standardised: float | None
    detectable_mm: float | None
    doubtful: bool = False


class SlipKind(StrEnum):
    """What a customer may have done wrong: the catalogue of domain/room/catalogue.py. config/letters has a question for
    some of them by this name."""

    TEN_TIMES = "ten-times"
    METRES = "metres"
    LOST_DIGIT = "lost-digit"
    EXTRA_DIGIT = "digit-too-many"
    FEET = "feet-and-inches"
    INCHES = "inches"
    SWAPPED = "swapped-digits"
    MISREAD = "misread-digit"
    METRE_OUT = "metre-or-decimetre"
    TWICE = "counted-twice"
    REPEATED = "written-twice"
    NO_SECTION = "no-section"
    ANOTHER_WALL = "beside-another-wall"
    """Written beside another wall than the one that it measures, or exchanged with a number there."""
    MISSING = "section-missing"
    ARCHITRAVE = "architrave"
    BOXING = "to-the-boxing"
    RETURN = "return-missing"
    SQUARE = "out-of-square"
    OTHER = "other"
    """Wrong, but by nothing that the catalogue knows."""


@dataclass(frozen=True)
class Slip:
    """One change that would make the room close.

    `reading` is the measurement's id ("" for a section missing from `wall`); `would_be_mm` what it would have
    been. `explanation` is for the designer, `question` what to say to the customer.
    """

    kind: SlipKind
    wall: int | None
    reading: str
    number: int | None
    read_mm: int | None
    would_be_mm: int | None
    probability: float
    explanation: Phrase
    question: Phrase


@dataclass(frozen=True)
class NextMeasure:
    """A measurement worth asking for: `gain` is how much it raises the chance of pinning the slip (0 to 1),
    or, in a room that closes, how much of the weakest reading's redundancy it adds. `what` and `reason` are for
    the designer, `question` is what to say to the customer."""

    what: Phrase
    question: Phrase
    reason: Phrase
    gain: float
    wall: int | None = None
    reading: str = ""


class Basis(StrEnum):
    """What a drawn length rests on."""

    ADJUSTED = "adjusted"
    """Measured, and moved only within its uncertainty."""
    UNCHECKED = "unchecked"
    """Measured once; nothing checks it."""
    DERIVED = "derived"
    """Not measured; the rest of the room fixes it."""
    ASSUMED = "assumed"
    """Not measured and not fixed: drawn at a guess, marked so."""
    LEFT_OUT = "left-out"
    """Measured, but in doubt: drawn as the rest of the room says."""


@dataclass(frozen=True)
class PlacedSection:
    """Where section `index` of a wall lies: distances from the wall's start, in mm. `sd_mm` is the standard
    deviation of its length as laid out, None where the layout does not rest on an adjustment."""

    index: int
    start_mm: int
    end_mm: int
    basis: Basis
    sd_mm: float | None = None


@dataclass(frozen=True)
class PlacedWall:
    wall: int
    start: tuple[int, int]
    end: tuple[int, int]
    length_mm: int
    basis: Basis
    sections: tuple[PlacedSection, ...] = ()
    sd_mm: float | None = None


TAKEN_AS_SQUARE = phrase("taken-as-square")


@dataclass(frozen=True)
class Squareness:
    """What is known of a room's right angles; `text` is what every drawing says of it.

    `diagonals` are the ids of what tested them, `within_mm` how far a wall's end stands from square at most,
    `out` whether that is beyond chance. `corners_deg` is the angle inside the room at each corner, None where
    it is not a right one or the room is open.
    """

    text: Phrase = TAKEN_AS_SQUARE
    diagonals: tuple[str, ...] = ()
    within_mm: int | None = None
    out: bool = False
    corners_deg: tuple[float | None, ...] = ()


@dataclass(frozen=True)
class PlacedRoom:
    """The room laid out in mm. `gap` is the (x, y) from the last wall's end to the first corner where it does
    not close.

    `area_mm2` is None where the walls cross, do not meet or are partly a guess. `left_out` are the ids of
    readings the layout does not rest on. `net_area_mm2` is the area less what stands out of the walls, with what
    goes into them; None where a depth is not known. `other_corners` is a second outline that fits the lengths as well.
    """

    walls: tuple[PlacedWall, ...] = ()
    gap: tuple[int, int] | None = None
    area_mm2: int | None = None
    left_out: tuple[str, ...] = ()
    squareness: Squareness = Squareness()
    net_area_mm2: int | None = None
    other_corners: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class ClearRun:
    """A stretch of wall that units on the floor can stand along, mm from the wall's start.

    `length_mm` as laid out at the wall; `sd_mm` its standard deviation; `narrowed_mm` what corners that are not
    square take from it over the depth of the units; `least_mm` what is left for certain, 19 times in 20.
    `between` names what bounds it; `scribes` how many of its ends are to be scribed. `unsure` says what was not
    measured and may yet stand in it.
    """

    wall: int
    start_mm: int
    end_mm: int
    length_mm: int
    sd_mm: float
    narrowed_mm: int
    least_mm: int
    between: tuple[str, str]
    scribes: int
    unsure: Phrase | None = None


@dataclass(frozen=True)
class Fit:
    """Units of `widths_mm` along a wall. `spare_mm` is what the best run leaves beside them and the scribing
    allowances, from what is certain of it: negative where they do not fit. None: no run at all."""

    wall: int
    widths_mm: tuple[int, ...]
    spare_mm: int | None
    text: Phrase


@dataclass(frozen=True)
class Clash:
    """Two things that cannot both have their place; `readings` are the measurements that put them there."""

    text: Phrase
    readings: tuple[str, ...] = ()


@dataclass(frozen=True)
class RoomFit:
    """What a designer can place, from the customer's own measurements: not for ordering."""

    allowances: Allowances = USUAL_ALLOWANCES
    runs: tuple[ClearRun, ...] = ()
    fits: tuple[Fit, ...] = ()
    clashes: tuple[Clash, ...] = ()


@dataclass(frozen=True)
class RoomExamination:
    """What the arithmetic says of a room. `closes` is None where nothing checks it.

    `none_probability` is the chance that no usual slip is to blame: two slips, or a change of unknown size.
    """

    survey: RoomSurvey
    closes: bool | None
    closures: tuple[Closure, ...] = ()
    readings: tuple[AdjustedReading, ...] = ()
    slips: tuple[Slip, ...] = ()
    none_probability: float = 0.0
    next_measures: tuple[NextMeasure, ...] = ()
    placed: PlacedRoom = PlacedRoom()
    findings: tuple[Finding, ...] = ()
    notes: tuple[Finding, ...] = ()
    """Not faults: what nothing checks, how small a slip stays hidden, guidance that defers to local codes."""
    fit: RoomFit = RoomFit()

    def reading(self, reading_id: str) -> AdjustedReading | None:
        return next((r for r in self.readings if r.id == reading_id), None)
