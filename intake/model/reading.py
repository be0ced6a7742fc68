"""What was read off one photographed sketch.

Pixels are those of the picture after its EXIF orientation is applied: x to the right, y down, origin top left.
Lengths are integer millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from intake.model.finding import Finding
from intake.model.phrase import Phrase

Point = tuple[float, float]
Span = tuple[float, float]
"""From where to where along a wall, 0 its start and 1 its end."""
Box = tuple[Point, Point, Point, Point]
"""Four corners clockwise from the text's own top left, so a text turned a quarter starts at its own first letter."""


class GivenBy(StrEnum):
    """Who gave a length."""

    SKETCH = "sketch"
    FILE = "file"
    CUSTOMER = "customer"
    DESIGNER = "designer"


PEOPLE = (GivenBy.DESIGNER, GivenBy.CUSTOMER)
"""Their word stands in place of what was read."""


class Role(StrEnum):
    """What a number on a plan measures."""

    SECTION = "wall-section"
    OVERALL = "overall"
    OPENING = "opening"
    CEILING = "ceiling-height"
    SILL = "sill-height"
    HEAD = "head-height"
    REVEAL = "reveal-depth"
    FIXTURE = "fixture"
    DIAGONAL = "diagonal"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Alternative:
    """Another text the same ink may say, with its probability (0 to 1)."""

    text: str
    confidence: float


@dataclass(frozen=True)
class Stand:
    """One wall that a number may be of: the odds (0 to 1), the stretch of the wall that it would measure (0 to 1),
    whether an opening is drawn there, and the chance that a fixed thing or an opening's height is of it, if the number
    is of one (what these leave to 1 over all walls is of none); None where nothing but the odds tells."""

    wall: int
    weight: float
    span: Span
    at_opening: bool = False
    thing: float | None = None
    height: float | None = None


@dataclass(frozen=True)
class Sighting:
    """All that is seen of one number before the whole plan is asked.

    `texts` are calibrated and add up to at most 1. `roles` are the chances of the roles by place on the drawing, adding
    up to 1; `named` how many times likelier the words and letters beside it make a role. `of_wall` is the chance to be
    of one wall at all. `at` is its middle, `amid` whether that lies in the room clear of the walls, and `line` the ends
    of its dimension line, where one was found, in the picture's pixels.
    """

    texts: tuple[Alternative, ...]
    roles: dict[Role, float]
    named: dict[Role, float] = field(default_factory=dict)
    stands: tuple[Stand, ...] = ()
    of_wall: float = 1.0
    at: Point = (0.0, 0.0)
    amid: bool = False
    line: tuple[Point, Point] | None = None
    across: float = 0.0
    """The chance to be a length across the room or along several walls in a row, beside those of the roles."""
    reach: tuple[Point, Point] | None = None
    """Where such a length would run from and to, by the drawing round it."""


@dataclass(frozen=True)
class Measures:
    """What a number measures, with its chance (0 to 1).

    `walls` are none (a ceiling's height), one (its section, its overall, what stands at it), or two: those between
    which a length runs along several walls or across the room. `span` is the stretch of the one wall.
    """

    role: Role
    walls: tuple[int, ...] = ()
    span: Span | None = None
    chance: float = 1.0


SUM_MISSES = "sum-misses"
"""What the plan's sums said of a number when it was read; a correction of another may have mended it since."""


@dataclass(frozen=True)
class ReadNumber:
    """One number on the sketch, with its trail.

    `text` is what was read, cleaned of nothing but spaces and of a letter or two beside it that name it ("S" of
    "S 98"): those are `letters`, with their chances; what these leave to 1 is that no letter stands there.
    `value_mm` is None where the text means no length. `accepted`: good enough to use without a person looking.
    `reader` names who read it; `arithmetic` is what the plan's sums said of it (None where they said
    nothing); `span` is the (start, end) position along its wall from 0 to 1 where that could be told.
    """

    text: str
    value_mm: int | None
    box: Box
    confidence: float
    accepted: bool
    alternatives: tuple[Alternative, ...] = ()
    role: Role = Role.UNKNOWN
    wall: int | None = None
    reader: str = ""
    arithmetic: Phrase | None = None
    span: Span | None = None
    letters: tuple[Alternative, ...] = ()
    legible: bool = True
    """False: by the plan's sums the ink says none of its readings, so no length is taken from it."""
    measures: Measures | None = None
    may_measure: tuple[Measures, ...] = ()
    """What else it may measure, likeliest first."""
    sighting: Sighting | None = None
    """What it was inferred from, so that it can be again once a person has settled something."""
    eligible: bool = False
    """Its confidence alone decides whether it is accepted: nothing else keeps it from that."""


class Direction(StrEnum):
    """The way a wall runs on the page, walking clockwise round the room: E to the right, S down."""

    EAST = "E"
    SOUTH = "S"
    WEST = "W"
    NORTH = "N"
    OTHER = "other"


@dataclass(frozen=True)
class OutlineWall:
    """One straight wall from corner to corner; numbered clockwise from the one starting nearest the top left."""

    wall: int
    start: Point
    end: Point
    direction: Direction


class OpeningKind(StrEnum):
    """What an opening is drawn as."""

    WINDOW = "window"
    DOORWAY = "doorway"
    DOOR = "door"


class Hinge(StrEnum):
    """On which side a door hangs, as one faces it from inside."""

    UNTOLD = ""
    LEFT = "left"
    RIGHT = "right"


class Opens(StrEnum):
    """Into where a door opens: into the room, or away from it."""

    UNTOLD = ""
    ROOM = "room"
    AWAY = "away"


@dataclass(frozen=True)
class Feature:
    """An opening drawn in a wall.

    `span` is its (start, end) along the wall from 0 to 1, `box` where it lies in the picture. `kinds` are the chances
    of every kind, likeliest first; `hinge` and `into` say how a door hangs and swings, with the chance `swing`: untold
    and 0 where that is not drawn.
    """

    kind: OpeningKind
    wall: int | None
    span: tuple[float, float] | None
    box: Box
    kinds: tuple[tuple[OpeningKind, float], ...] = ()
    hinge: Hinge = Hinge.UNTOLD
    into: Opens = Opens.UNTOLD
    swing: float = 0.0


@dataclass(frozen=True)
class SketchOutline:
    walls: tuple[OutlineWall, ...]
    closed: bool
    features: tuple[Feature, ...] = ()


class Paper(StrEnum):
    """What a sketch is drawn on: our measuring sheet, or the customer's own paper by its kind; OWN where that is not
    clear."""

    OURS = "measuring-sheet"
    PLAIN = "plain"
    LINED = "lined"
    SQUARED = "squared"
    OWN = "own-paper"


@dataclass(frozen=True)
class SketchReading:
    """Everything read off one picture. `unit` is the unit of the whole sketch: cm, mm, m, in or ft."""

    width: int
    height: int
    unit: str
    numbers: tuple[ReadNumber, ...]
    outline: SketchOutline
    findings: tuple[Finding, ...] = ()
    words: tuple[tuple[str, Box], ...] = ()
    """Words read beside numbers ("boiler", "door"), for the labels on the plan."""
    version: str = ""
    """Which readers read it: a name that changes with any of their weights; "" where that is not known."""
    paper: str = ""
    """What it is drawn on, a `Paper`; "" where that is not known."""
