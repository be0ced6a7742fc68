"""A room as its owner measured it: walls as chains of sections, with everything on and in them.

Frame: the plan as drawn, x to the right, y down, walked clockwise, so the room lies to the right hand of
every wall and "left" and "right" on a wall are those of somebody facing it from inside: left is the wall's
start. Corner n is where wall n starts. North is unknown unless told. Lengths are integer millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.reading import Direction, GivenBy, Hinge, Opens

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


class Bows(StrEnum):
    """To which side a curved wall bows: in to the room, or out."""

    UNTOLD = ""
    IN = "in"
    OUT = "out"


@dataclass(frozen=True)
class Measurement:
    """One length with its trail.

    `id` is unique in its survey ("A2" second section of wall A, "A overall", "C2 sill"). `text` is what was
    written or read, never altered; `value_mm` the length taken from it, None where none was measured.
    `number` is the index in the sketch reading; `alternatives` are (value_mm, probability) of what the same
    ink may say. `taken_from` says who gave the value: customer and designer on asking again.
    `accepted`: good enough without a person looking. `estimated`: worked out, as a wall behind furniture is,
    not measured. `settled`: no other wall is likely to be the one that it is a length of.
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
    settled: bool = True


@dataclass(frozen=True)
class Correction:
    """A length that a person put in place of what was read; `by` is customer or designer. None: not a length
    at all."""

    value_mm: int | None
    by: GivenBy
    text: str = ""


@dataclass(frozen=True)
class Swing:
    """How a door swings."""

    hinge: Hinge = Hinge.UNTOLD
    into: Opens = Opens.UNTOLD


@dataclass(frozen=True)
class Section:
    """One stretch of a wall between two marks. The depth of a curve is its rise over the chord, `depths` are several
    at equal steps along it, and `bows` says whether it comes in to the room or goes out.

    `sill` is floor to the underside of the sill; the top of a window or door is given above the floor, that of a
    window also above its sill; `above` is from there to the ceiling, `reveal` the depth of the opening; `worktop` and
    `worktop_to_sill` are the two readings that together make a sill. `share` is the (start, end) along the wall on
    the drawing, 0 to 1, a rough guess where nothing was measured.
    """

    kind: SectionKind
    length: Measurement
    label: str = ""
    depth: Measurement | None = None
    sill: Measurement | None = None
    top_above_sill: Measurement | None = None
    top_above_floor: Measurement | None = None
    above: Measurement | None = None
    reveal: Measurement | None = None
    worktop: Measurement | None = None
    worktop_to_sill: Measurement | None = None
    architrave: Architrave = Architrave.UNKNOWN
    swing: Swing = Swing()
    depths: tuple[Measurement, ...] = ()
    bows: Bows = Bows.UNTOLD
    share: tuple[float, float] | None = None


SECTION_LENGTHS: Mapping[str, str] = {
    "depth": "depth",
    "sill": "sill",
    "tall": "top_above_sill",
    "head": "top_above_floor",
    "above": "above",
    "reveal": "reveal",
    "worktop": "worktop",
    "worktop-to-sill": "worktop_to_sill",
}
"""The lengths of a section beside its own, by what room files (docs/room-file.md) and the names of
measurements call them."""


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


def fixed_tag(n: int) -> str:
    """What drawings call the `n`th fixed thing of a room, from 0."""
    return f"Fixed {n + 1}"


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
class Astray:
    """A number that stands at a wall (its index) and counts as none of its lengths. `looks`: how likely it is a section
    there by the drawing alone (0 to 1)."""

    length: Measurement
    wall: int
    looks: float


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
    astray: tuple[Astray, ...] = ()
    stand_elsewhere: tuple[Astray, ...] = ()
    """Sections of a chain that stand at another wall, each with that wall."""
    spoken_against: tuple[Measurement, ...] = ()
    """Sections and overalls whose ink is clear and has no length, as the sums speak against what it says: each with the
    length that it says."""
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
        """Window 1, Door 1, Opening 1 of every window, door and other opening by (wall, section), clockwise: never a
        letter and a number, which are a section's."""
        tags: dict[tuple[int, int], str] = {}
        counts: dict[str, int] = {}
        for wall in self.walls:
            for n, section in enumerate(wall.sections):
                if section.kind in OPENINGS:
                    name = {SectionKind.WINDOW: "Window", SectionKind.DOOR: "Door"}.get(
                        section.kind, "Opening"
                    )
                    counts[name] = counts.get(name, 0) + 1
                    tags[wall.index, n] = f"{name} {counts[name]}"
        return tags
