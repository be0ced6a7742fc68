"""The checklist: what a survey must hold, and how far one job has come."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from intake.model.phrase import NOTHING, Phrase
from intake.model.picture import Subject
from intake.model.reading import Role


class RoomKind(StrEnum):
    KITCHEN = "kitchen"
    BEDROOM = "bedroom"
    BATHROOM = "bathroom"
    UNKNOWN = "unknown"


CAUTIONS = (
    "asbestos",
    "bathroom-electricity",
    "boiler",
    "climbing",
    "electricity",
    "escape",
    "gas",
    "hob",
    "services",
    "survey",
)
"""The safety cautions that an item may name; every language file words each of them."""

DRAWINGS = (
    "across",
    "boiler",
    "ceiling",
    "consumer-unit",
    "corners",
    "flat",
    "gas-meter",
    "head",
    "house",
    "opening",
    "overall",
    "plan",
    "reveal",
    "sections",
    "services",
    "sill",
    "slope",
    "stop-tap",
    "window",
)
"""The small drawings that an item may name."""


class ItemState(StrEnum):
    MISSING = "missing"
    DOUBTFUL = "doubtful"
    PRESENT = "present"
    CONFIRMED = "confirmed"
    NOT_APPLICABLE = "not-applicable"


SETTLED = (ItemState.PRESENT, ItemState.CONFIRMED, ItemState.NOT_APPLICABLE)
"""The states in which an item is neither asked for nor looked at again."""


class EvidenceKind(StrEnum):
    """Where a piece of evidence is from."""

    NUMBER = "number"
    PICTURE = "picture"
    WORDS = "words"
    DESIGNER = "designer"


@dataclass(frozen=True)
class ChecklistItem:
    """One thing a survey must hold.

    `ask` is the customer's wording (an imperative sentence), `how` how to measure or photograph it, `why` why it
    matters to them. `evidence` names what satisfies it. `roles` are the sketch roles that
    count, `pictures` the picture subjects, `words` the words that name it in running text. `range_mm` is the plausible
    range; `caution` the id of a safety caution printed beside the ask. `blocking`: the design cannot start without it.
    """

    id: str
    title: str
    ask: str
    how: str
    why: str
    evidence: tuple[EvidenceKind, ...]
    roles: tuple[Role, ...] = ()
    pictures: tuple[Subject, ...] = ()
    words: tuple[str, ...] = ()
    range_mm: tuple[int, int] | None = None
    range_source: str = ""
    count: int = 1
    """How many pictures or numbers it takes."""
    caution: str = ""
    blocking: bool = True
    may_be_absent: bool = False
    """True where "we have none" is a full answer (no gas in the house)."""
    absent_words: tuple[str, ...] = ()
    """Words that by themselves say that there is none ("all electric")."""
    one_value: bool = False
    """True where the room has one such length (a ceiling), so that two values must agree."""
    drawing: str = ""
    """The drawing that shows how to measure it (intake/postbox/illustrations)."""


@dataclass(frozen=True)
class Checklist:
    room: RoomKind
    items: tuple[ChecklistItem, ...]

    def item(self, item_id: str) -> ChecklistItem | None:
        return next((i for i in self.items if i.id == item_id), None)


@dataclass(frozen=True)
class ItemEvidence:
    """What speaks for an item.

    `message` is the key of the message, `picture` the id of the picture, `number` the index in its reading;
    `text` what it says; `value_mm` a length it states; `doubt` why it is not enough (None if it is).
    """

    kind: EvidenceKind
    text: Phrase
    message: str = ""
    picture: str = ""
    number: int | None = None
    value_mm: int | None = None
    doubt: Phrase | None = None

    @property
    def words(self) -> str:
        """The customer's own that it quotes, "" where it quotes none."""
        return str(self.text.gap("words"))


@dataclass(frozen=True)
class ItemStanding:
    """Where one item of one job stands, with its evidence and the reason."""

    item: ChecklistItem
    state: ItemState
    evidence: tuple[ItemEvidence, ...] = ()
    reason: Phrase = NOTHING
