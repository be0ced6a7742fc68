"""A picture that a customer sent, and what was measured of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from intake.model.phrase import Phrase


class Subject(StrEnum):
    """What a picture shows."""

    SKETCH = "sketch"
    ROOM = "room"
    CONSUMER_UNIT = "consumer-unit"
    GAS_METER = "gas-meter"
    BOILER = "boiler"
    WATER_MAIN = "water-main"
    DOCUMENT = "document"
    SCREENSHOT = "screenshot"
    LOGO = "logo"
    OTHER = "other"


@dataclass(frozen=True)
class PictureFacts:
    """What was measured of one decoded picture; no verdicts.

    Sizes are pixels after orientation. `exif_size` is the size the camera recorded. `sharpness` is the variance of the
    Laplacian at a width of 1000 pixels (Pech-Pacheco et al., ICPR 2000); `brightness` and `contrast` are 0 to 255;
    `paper` is the share of the frame that is near-white and even; `ink` the share that is thin dark strokes on it;
    `colourfulness` the spread of colour (Hasler and Suesstrunk, 2003); `quality` the JPEG quality estimated from
    its quantisation tables (0 where unknown). `perceptual_hash` is 64 bits as 16 hex digits.
    `problem` is a plain sentence where it could not be decoded; all else is then zero.
    """

    width: int = 0
    height: int = 0
    format: str = ""
    exif_size: tuple[int, int] | None = None
    focal_length_35mm: float | None = None
    taken_at: datetime | None = None
    sharpness: float = 0.0
    brightness: float = 0.0
    contrast: float = 0.0
    paper: float = 0.0
    ink: float = 0.0
    colourfulness: float = 0.0
    quality: int = 0
    perceptual_hash: str = ""
    problem: str = ""
    extra: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Picture:
    """One picture of one job. `id` is the first 16 hex digits of its content's SHA-256 and its page ("3fa…-p2").

    `subject_why` says what it was taken for and by whom. `same_as` is the id of an earlier picture that it repeats.
    """

    id: str
    sha256: str
    message: str
    name: str
    facts: PictureFacts
    subject: Subject
    subject_confidence: float
    subject_why: Phrase
    same_as: str = ""
    verdicts: tuple[PictureVerdict, ...] = ()
    labels: tuple[str, ...] | None = None
    """The words on labels in it; None where nobody has looked for them."""


@dataclass(frozen=True)
class PictureVerdict:
    """A judgement on a picture: `code` (shrunk, blurred, dark, too-small-to-read, damaged), what to say to the
    designer, and the key of one for the customer that says what to do ("": nothing; config/letters words it)."""

    code: str
    text: Phrase
    ask: str = ""


@dataclass(frozen=True)
class Overlap:
    """Two photographs that show part of the same thing. `first` and `second` are places in the list that was compared;
    `turn` is how many degrees to the right the second looks of the first; `matches` how many points agree on it."""

    first: int
    second: int
    turn: float
    matches: int


@dataclass(frozen=True)
class Panorama:
    """What comparing a set of room photographs found. `pitches` holds, for each, the degrees that the camera looked
    up (negative: down), or None where the picture's upright lines do not tell."""

    overlaps: tuple[Overlap, ...]
    pitches: tuple[float | None, ...]
