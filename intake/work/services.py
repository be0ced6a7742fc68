"""What the use cases work with: the store, the policy, and the hands that touch the world, each a small protocol."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Protocol

from intake.domain.mail.rhythm import Rhythm
from intake.model.checklist import Checklist, RoomKind
from intake.model.finding import Finding
from intake.model.letter import Letter
from intake.model.letterhead import Letterhead
from intake.model.message import Message
from intake.model.picture import Panorama, PictureFacts
from intake.model.reading import Box, SketchReading
from intake.model.room import USUAL_ALLOWANCES, Allowances
from intake.model.wording import Wording
from intake.store.database import Store
from intake.store.letters import Written


@dataclass(frozen=True)
class PicturePage:
    """One page of one picture of a message, decoded and measured.

    `display` is a clean JPEG to show, or None; `facts.problem` says why where it could not be decoded.
    """

    id: str
    sha256: str
    name: str
    inline: bool
    facts: PictureFacts
    display: bytes | None


class Eyes(Protocol):
    """Decodes pictures and reads sketches, within bounds. Never raises for what a customer sent."""

    def look(self, message: Message) -> tuple[list[PicturePage], tuple[Finding, ...]]:
        """Every picture of a message, and a finding for each thing kept aside or refused."""
        ...

    def full(self, message: Message, picture: str) -> bytes | None:
        """The picture with that id as a JPEG at full resolution, upright; None where it cannot be had."""
        ...

    def read(self, jpeg: bytes) -> SketchReading: ...

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        """The words printed on labels in a photograph, within a few seconds."""
        ...

    def compare(
        self, displays: Sequence[bytes], focals: Sequence[float | None], known: Collection[int] = ()
    ) -> Panorama:
        """How photographs of one room overlap; `focals` are their 35 mm equivalents. Those at the places `known` are
        not compared with one another again."""
        ...

    def crop(self, jpeg: bytes, box: Box) -> bytes:
        """A PNG of the ink in a box, upright as its text runs, with some paper round it."""
        ...

    def piece(self, jpeg: bytes, box: Box) -> bytes:
        """A PNG of what of a box lies in the picture, as it lies there."""
        ...

    def small(self, display: bytes) -> bytes:
        """A JPEG of our own making as small as a letterhead's logo."""
        ...


class Pen(Protocol):
    """Puts letters into words and bytes."""

    def wording(self) -> Wording:
        """The words of letters, with the showroom's own sentences among them."""
        ...

    def usual_wording(self) -> Wording:
        """The words of the language file."""
        ...

    def write(self, letter: Letter, now: datetime) -> Written: ...


@dataclass(frozen=True)
class InspectionPolicy:
    """How the showroom looks whether accepted numbers are right. `first` is the share of them looked at in the
    beginning, 0 for none; `promise` the share of them that may be wrong. `version` and `bar` are those of the readers
    as they are installed. `labels`: what people said that numbers say may be taken to teach them."""

    first: float = 0.15
    promise: float = 0.0075
    version: str = ""
    bar: float = 0.9
    labels: bool = False


@dataclass(frozen=True)
class Policy:
    """The settings that the decisions depend on."""

    addresses: frozenset[str]
    authserv_id: str
    automatic: bool
    rhythm: Rhythm
    same_sender_days: int
    letters_a_day: int
    retention: timedelta | None = None
    """How long originals are kept after a job's last message; None for ever."""
    keep: Mapping[str, timedelta] = field(default_factory=dict)
    """How long pictures, words and letters are kept after it; what is not named, for ever."""
    send_guide: bool = False
    """The measuring guide goes with the first letter to a customer who has sent no plan."""
    allowances: Allowances = USUAL_ALLOWANCES
    """What fitting takes, for what the plan says of the clear runs."""
    inspection: InspectionPolicy = InspectionPolicy()


@dataclass(frozen=True)
class Services:
    """Everything a use case needs. `clock` returns the aware time now."""

    store: Store
    policy: Policy
    checklists: Mapping[RoomKind, Checklist]
    parse: Callable[[Path, datetime, str], Message]
    eyes: Eyes
    pen: Pen
    clock: Callable[[], datetime]
    letterhead: Callable[[], Letterhead] = Letterhead
    """The letterhead that holds now."""
    later: Callable[[str], None] | None = None
    """Where somebody waits for an answer: has a job's pictures looked at behind their back (work/look.py). None: they
    are looked at at once."""
