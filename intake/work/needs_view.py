"""What waits for a person in a job, as its page shows it: the words, what they answer, what may be taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.domain.lengths.notation import format_cm
from intake.domain.mail.phone import phone_numbers
from intake.domain.survey.openings import MAY_BE, openings_in_doubt, section_at
from intake.model.checklist import Checklist, ChecklistItem, EvidenceKind, ItemStanding, ItemState
from intake.model.letter import Ask
from intake.model.need import Need, NeedKind
from intake.model.reading import OpeningKind, Role
from intake.model.room import SectionKind
from intake.model.word import StatementKind
from intake.store.letters import OUT
from intake.work.job_file import JobFile
from intake.work.looks import place_of
from intake.work.sketch_view import NumberView, SketchView

MOST_TAKES = 5
"""Facts that are offered to be taken from one need at most (by eye)."""


@dataclass(frozen=True)
class Take:
    """One thing that a designer may take from words: what the button says, and what it means."""

    label: str
    item: str
    kind: StatementKind
    value_mm: int | None = None


@dataclass(frozen=True)
class OpeningKey:
    """What one key says that an opening is: `number` is the index of its width, `role` what work/decide.replace_role
    calls it."""

    label: str
    number: int
    role: str


@dataclass(frozen=True)
class NeedView:
    """One need with what it takes to deal with it. `asks` are the requests of the letter that the message answers."""

    need: Need
    at: datetime | None
    asks: tuple[Ask, ...]
    takes: tuple[Take, ...]
    phone: tuple[str, ...] = ()
    openings: tuple[OpeningKey, ...] = ()
    number: NumberView | None = None
    """The number of which it is open what it measures."""


def needs_view(
    file: JobFile,
    needs: Sequence[Need],
    standings: Sequence[ItemStanding],
    checklist: Checklist,
    sketches: Sequence[SketchView],
) -> tuple[NeedView, ...]:
    """The needs of a job, most urgent first; not the numbers to look at, which the sketch shows."""
    messages = {m.key: m for m in file.messages}
    words = "\n".join(m.own_words for m in file.messages)
    shown = []
    for need in (n for n in needs if n.kind is not NeedKind.LOOK):
        message = messages.get(need.message)
        gone = [
            k for k in file.letters
            if k.state in OUT and message is not None and (k.sent_at or k.decided_at) <= message.received_at
        ]  # fmt: skip
        phone = phone_numbers(words) if need.kind in (NeedKind.HAZARD, NeedKind.PHONE) else ()
        takes = tuple(_takes(need, standings, checklist))[:MOST_TAKES]
        asks = gone[-1].letter.asks if gone else ()
        keys = _openings(file, need, standings) if need.kind is NeedKind.OPENING else ()
        number = _measured(sketches, need) if need.kind is NeedKind.MEASURES else None
        shown.append(NeedView(need, message.at if message else None, asks, takes, phone, keys, number))
    return tuple(shown)


def _measured(sketches: Sequence[SketchView], need: Need) -> NumberView | None:
    picture, _, number = need.message.partition("#")
    shown = next((s for s in sketches if s.picture.id == picture), None)
    return shown.numbers[int(number)] if shown else None


_IS = {
    SectionKind.WINDOW: ("a window", OpeningKind.WINDOW.value),
    SectionKind.DOOR: ("a door", OpeningKind.DOOR.value),
    SectionKind.DOORWAY: ("an open doorway", OpeningKind.DOORWAY.value),
    SectionKind.WALL: ("plain wall", Role.SECTION.value),
}


def _openings(file: JobFile, need: Need, standings: Sequence[ItemStanding]) -> tuple[OpeningKey, ...]:
    """The keys that settle what is not told of the openings; none where their widths were not read."""
    room = file.survey.examination()
    if room is None:
        return ()
    tags = room.survey.opening_tags()
    return tuple(
        OpeningKey(f"{tags[place]} is {_IS[kind][0]}", number, _IS[kind][1])
        for one in openings_in_doubt(room, file.survey.plan, standings)
        if place_of(file.survey.sketch, room.survey, one) == need.message
        for place in one.places
        if (number := section_at(room.survey, place).length.number) is not None
        for kind in MAY_BE[one.kind]
    )


def _takes(need: Need, standings: Sequence[ItemStanding], checklist: Checklist) -> Iterator[Take]:
    named = [i for i in (checklist.item(item) for item in need.items) if i is not None]
    for value in need.values_mm:
        for item in [i for i in named if i.range_mm] or _wanting(value, standings):
            yield Take(f"{item.title}: {format_cm(value)} cm", item.id, StatementKind.VALUE, value)
    for item in (i for i in named if not i.range_mm and EvidenceKind.WORDS in i.evidence):
        yield Take(f"{item.title}: it is told where", item.id, StatementKind.PLACE)
        if item.may_be_absent:
            yield Take(f"{item.title}: there is none", item.id, StatementKind.ABSENCE)


def _wanting(value: int, standings: Sequence[ItemStanding]) -> list[ChecklistItem]:
    """The heights still wanted that a length may be: told in words, and in their usual range."""
    open_ = (ItemState.MISSING, ItemState.DOUBTFUL)
    return [
        s.item
        for s in standings
        if s.state in open_ and s.item.range_mm and EvidenceKind.WORDS in s.item.evidence
        if s.item.range_mm[0] <= value <= s.item.range_mm[1]
    ]
