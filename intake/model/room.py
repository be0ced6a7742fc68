"""A room as its owner measured it: walls as chains of sections, with everything on and in them.

Frame: the plan as drawn, x to the right, y down, walked clockwise, so the room lies to the right hand of
every wall and "left" and "right" on a wall are those of somebody facing it from inside: left is the wall's
start. Corner n is where wall n starts. North is unknown unless told. Lengths are integer millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.phrase import Phrase
from intake.model.reading import Direction, GivenBy

SECTION_SIGMA_MM = 5.0
"""Standard deviation of a customer's section: measured and written to half a centimetre (common practice, no
source)."""
OVERALL_SIGMA_MM = 7.0
"""The same of an overall: a long tape, often over obstacles (common practice, no source)."""


class SectionKind(StrEnum):
    """What a section of a wall is. The last six may have a depth: out of the wall, or into it for an
    alcove."""

    WALL = "wall"
    DOOR = "door"
    WINDOW = "window"
    DOORWAY = "doorway"
    NIB = "nib"
    BOXING = "boxing"
    BREAST = "chimney-breast"
    ALCOVE = "alcove"
    FURNITURE = "furniture"
    CURVE = "curve"
    OPENING = "opening"
    """A door, window or doorway; the drawing does not say which."""


OPENINGS = frozenset({SectionKind.DOOR, SectionKind.WINDOW, SectionKind.DOORWAY, SectionKind.OPENING})


class Architrave(StrEnum):
    """To which edge of the architrave an opening was measured."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    ONE_SIDE = "one-side"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Measurement:
    """One length with its trail.

    `id` is unique in its survey ("A2" second section of wall A, "A overall", "C2 sill"). `text` is what was
    written or read, never altered; `value_mm` the length taken from it, None where none was measured.
    `number` is the index in the sketch reading; `alternatives` are (value_mm, probability) of what the same
    ink may say. `taken_from` says who gave the value: customer and designer on asking again.
    `accepted`: good enough without a person looking. `estimated`: worked out, as a wall behind furniture is,
    not measured.
    """

    id: str
    text: str = ""
    value_mm: int | None = None
    sigma_mm: float = SECTION_SIGMA_MM
    accepted: bool = True
    number: int | None = None
    alternatives: tuple[tuple[int, float], ...] = ()
    taken_from: GivenBy = GivenBy.SKETCH
    estimated: bool = False


@dataclass(frozen=True)
class Correction:
    """A length that a person put in place of what was read; `by` is customer or designer. None: not a length
    at all."""

    value_mm: int | None
    by: GivenBy
    text: str = ""


@dataclass(frozen=True)
class Swing:
    """How a door swings: `hinge` is left or right as one faces it from inside, `into` is room or away; "" not
    told."""

    hinge: str = ""
    into: str = ""


@dataclass(frozen=True)
class Section:
    """One stretch of a wall between two marks. The depth of a curve is its rise over the chord, `depths` are several
    at equal steps along it, and `bows` says whether it comes in to the room or goes out ("": not told).

    `sill` is floor to the underside of the sill, `head` sill to the top of the window, `reveal` the depth of
    the opening; `worktop` and `worktop_to_sill` are the two readings that together make a sill. `share` is
    the (start, end) along the wall on the drawing, 0 to 1, a rough guess where nothing was measured.
    """

    kind: SectionKind
    length: Measurement
    label: str = ""
    depth: Measurement | None = None
    sill: Measurement | None = None
    tall: Measurement | None = None
    head: Measurement | None = None
    above: Measurement | None = None
    reveal: Measurement | None = None
    worktop: Measurement | None = None
    worktop_to_sill: Measurement | None = None
    architrave: Architrave = Architrave.UNKNOWN
    swing: Swing = Swing()
    depths: tuple[Measurement, ...] = ()
    bows: str = ""
    share: tuple[float, float] | None = None


def wall_letter(index: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    letters = ""
    while index >= 0:
        index, digit = divmod(index, 26)
        letters, index = chr(65 + digit) + letters, index - 1
    return letters


@dataclass(frozen=True)
class Wall:
    """One straight wall from corner to corner; `direction` OTHER is a splayed wall, fixed by a diagonal or
    the rest."""

    index: int
    direction: Direction
    sections: tuple[Section, ...] = ()
    overalls: tuple[Measurement, ...] = ()
    drawn: float = 0.0
    """Its length on the drawing, in any unit; a rough guess where nothing was measured. 0: not known."""
    slant_deg: float | None = None
    """The way a splayed wall runs on the drawing, clockwise from E; only where to start from."""

    @property
    def letter(self) -> str:
        """A, B, ... Z, AA, AB, ... clockwise."""
        return wall_letter(self.index)


@dataclass(frozen=True)
class Across:
    """A measurement across the room: from a corner to a corner (`corners`), or square between two walls
    (`walls`)."""

    length: Measurement
    corners: tuple[int, int] | None = None
    walls: tuple[int, int] | None = None


@dataclass(frozen=True)
class Slope:
    """A sloped ceiling that falls towards `wall`: its height at the wall and how far from the wall it
    starts."""

    wall: int
    low: Measurement
    starts: Measurement


@dataclass(frozen=True)
class Fixed:
    """A fixed thing (boiler, meter, water main, radiator, socket): where on which wall, how high, and its own
    size."""

    name: str
    wall: int | None = None
    from_left: Measurement | None = None
    from_right: Measurement | None = None
    height: Measurement | None = None
    width: Measurement | None = None
    tall: Measurement | None = None
    depth: Measurement | None = None


@dataclass(frozen=True)
class Allowances:
    """What fitting takes, mm (common practice, no source): `scribe_mm` at each end of a run that meets a wall or
    something on it, to be cut to shape; `depth_mm` how far a run of units stands out, worktop and handles included,
    `height_mm` how high its worktop."""

    scribe_mm: int = 20
    depth_mm: int = 650
    height_mm: int = 920


USUAL_ALLOWANCES = Allowances()


@dataclass(frozen=True)
class RoomSurvey:
    """A whole room as measured. `closed` False: the drawing does not come back to where it started."""

    kind: RoomKind = RoomKind.UNKNOWN
    title: str = ""
    walls: tuple[Wall, ...] = ()
    closed: bool = True
    across: tuple[Across, ...] = ()
    ceilings: tuple[Measurement, ...] = ()
    slopes: tuple[Slope, ...] = ()
    fixed: tuple[Fixed, ...] = ()
    north_deg: float | None = None
    """Bearing of the top of the plan, clockwise from north; None: not told."""
    unplaced: tuple[Measurement, ...] = ()
    """Numbers that belong to no wall, kept so that nothing is lost."""
    findings: tuple[Finding, ...] = ()
    """What was wrong with the material that this survey was made from."""
    units: tuple[tuple[int, tuple[int, ...]], ...] = ()
    """Units that are to stand along a wall: (wall, their widths in mm)."""
    allowances: Allowances = Allowances()
    lines: tuple[tuple[str, int], ...] = ()
    """The line of the room file that a measurement stands on, by its id; empty for a sketch."""

    def lengths(self) -> Iterator[Measurement]:
        """Every length that takes part in closing: sections, overalls, across."""
        for wall in self.walls:
            yield from (s.length for s in wall.sections)
            yield from wall.overalls
        yield from (a.length for a in self.across)

    def opening_tags(self) -> dict[tuple[int, int], str]:
        """W1, D1, O1 of every window, door and other opening by (wall, section), clockwise."""
        tags: dict[tuple[int, int], str] = {}
        counts: dict[str, int] = {}
        for wall in self.walls:
            for n, section in enumerate(wall.sections):
                if section.kind in OPENINGS:
                    letter = {SectionKind.WINDOW: "W", SectionKind.DOOR: "D"}.get(section.kind, "O")
                    counts[letter] = counts.get(letter, 0) + 1
                    tags[wall.index, n] = f"{letter}{counts[letter]}"
        return tags


@dataclass(frozen=True)
class Closure:
    """One sum that must come out. `kind` is wall, overalls, axis or splay; `misclosure_mm` is sections minus
    overall, or the walls one way minus the walls back. `limit_mm` is 3.29 sigma sqrt n, `trade_mm` what the
    trade allows (common practice, no source). `walls` and `readings` are what took part.
    """

    kind: str
    title: str
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


@dataclass(frozen=True)
class Slip:
    """One change that would make the room close. `kind` is a word of the catalogue in domain/room/slips.py.

    `reading` is the measurement's id ("" for a section missing from `wall`); `would_be_mm` what it would have
    been. `explanation` is for the designer, `question` what to say to the customer.
    """

    kind: str
    wall: int | None
    reading: str
    number: int | None
    read_mm: int | None
    would_be_mm: int | None
    probability: float
    explanation: str
    question: Phrase


@dataclass(frozen=True)
class NextMeasure:
    """A measurement worth asking for: `gain` is how much it raises the chance of pinning the slip (0 to 1),
    or, in a room that closes, how much of the weakest reading's redundancy it adds. `what` and `reason` are for
    the designer, `question` is what to say to the customer."""

    what: str
    question: Phrase
    reason: str
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


@dataclass(frozen=True)
class Squareness:
    """What is known of a room's right angles; `text` is what every drawing says of it.

    `diagonals` are the ids of what tested them, `within_mm` how far a wall's end stands from square at most,
    `out` whether that is beyond chance. `corners_deg` is the angle inside the room at each corner, None where
    it is not a right one or the room is open.
    """

    text: str = "Corners taken as square; not checked."
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
    unsure: str = ""


@dataclass(frozen=True)
class Fit:
    """Units of `widths_mm` along a wall. `spare_mm` is what the best run leaves beside them and the scribing
    allowances, from what is certain of it: negative where they do not fit. None: no run at all."""

    wall: int
    widths_mm: tuple[int, ...]
    spare_mm: int | None
    text: str


@dataclass(frozen=True)
class Clash:
    """Two things that cannot both have their place; `readings` are the measurements that put them there."""

    text: str
    readings: tuple[str, ...] = ()


@dataclass(frozen=True)
class RoomFit:
    """What a designer can place, from the customer's own measurements: not for ordering."""

    allowances: Allowances = Allowances()
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
