"""What a designer decides of a job's survey; each is kept with who and when, and can be undone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import dist
from typing import Any, TypeVar

from intake.domain.lengths.notation import parse_length
from intake.domain.room.room_file import room_from_dict
from intake.domain.said.plan_numbers import OPENING_KINDS, numbering_of
from intake.model.checklist import ItemState, RoomKind
from intake.model.errors import IntakeError, NotFound
from intake.model.need import Need
from intake.model.picture import Subject
from intake.model.reading import Box, OpeningKind, Role, SketchReading
from intake.model.word import (
    AddedNumber,
    Brought,
    Confirmation,
    HeightWord,
    KeptApart,
    Merged,
    Moved,
    NeedSeen,
    NeedTaken,
    Note,
    NumberWord,
    PlanNumber,
    RoomWord,
    ShownSubject,
    Split,
    Statement,
    StatementKind,
    Stop,
    TypedRoom,
    Vouched,
    Word,
)
from intake.store.accounts import Accounts
from intake.store.database import Tables
from intake.store.jobs import Decision
from intake.store.refiling import Refiling
from intake.store.words import to_row
from intake.work import refile
from intake.work.examine import examine
from intake.work.services import Services

LONGEST_NOTE = 500
LONGEST_ROOM = 100_000
TAKEN = (StatementKind.VALUE, StatementKind.PLACE, StatementKind.ABSENCE)
"""What a designer may take from a customer's words."""


class NotPossible(IntakeError):
    """A decision that cannot be carried out; the sentence is for the person who made it."""


def correct(
    services: Services,
    job: str,
    picture: str,
    number: int,
    text: str,
    by: str,
    role: str = "",
    wall: int | None = None,
) -> int:
    """Put `text` in place of what was read; returns the decision's id. Raises NotPossible where it is no length."""
    with services.store.reading() as tables:
        reading = tables.pictures.reading(picture)
        if reading is None:
            raise NotFound("There is no such number")
        named = _name(tables, job, picture, number)
    word = NumberWord(named, text.strip(), _length(text, reading.unit))
    return _decide(services, job, _placed(word, role, wall), by)


def _length(text: str, unit: str) -> int:
    value_mm = parse_length(text, unit)
    if value_mm is None:
        raise NotPossible(f"“{text[:40]}” is no length in {unit}", "Write it as 386.5")
    return value_mm


def add_number(
    services: Services,
    job: str,
    picture: str,
    text: str,
    at: tuple[float, float],
    role: str,
    wall: int | None,
    by: str,
) -> int:
    """Add a number that is on the sketch and was not read; `at` is its middle in the picture's pixels."""
    with services.store.reading() as tables:
        ours = picture in {kept.picture.id for kept in tables.pictures.of_job(job)}
        reading = tables.pictures.reading(picture)
    if not ours or reading is None:
        raise NotFound(f"Job {job} has no such sketch")
    value_mm = _length(text, reading.unit)
    word = AddedNumber(picture, text.strip(), value_mm, _box_round(reading, text, at))
    return _decide(services, job, _placed(word, role, wall), by)


_WIDTH_A_SIGN = 0.6
"""A written figure's width, in its heights (common practice, no source)."""


def _box_round(reading: SketchReading, text: str, at: tuple[float, float]) -> Box:
    """A box about as large as the others on the sketch, round the point where a number stands, inside the picture."""
    heights = sorted(dist(n.box[0], n.box[3]) for n in reading.numbers) or [reading.height / 40]
    high = heights[len(heights) // 2] / 2
    wide = high * _WIDTH_A_SIGN * max(len(text.strip()), 1)
    x = min(max(at[0], wide), reading.width - wide)
    y = min(max(at[1], high), reading.height - high)
    return (x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high)


def confirm(services: Services, job: str, picture: str, number: int, by: str) -> int:
    """Accept a number as read."""
    return _decide(services, job, NumberWord(_named(services, job, picture, number), confirmed=True), by)


def drop(services: Services, job: str, picture: str, number: int, by: str) -> int:
    """Say that the ink is no length at all."""
    return _decide(services, job, NumberWord(_named(services, job, picture, number), not_a_number=True), by)


def replace_role(
    services: Services, job: str, picture: str, number: int, role: str, wall: int | None, by: str
) -> int:
    """Say what a number measures and on which wall; what it says, and how surely, stays as it stands now."""
    with services.store.reading() as tables:
        named = _name(tables, job, picture, number)
        words = tables.jobs.words(job)
    standing = [w for w in words if isinstance(w, NumberWord) and w.number == named]
    word = standing[-1] if standing else NumberWord(named)
    return _decide(services, job, _placed(word, role, wall), by)


_Placed = TypeVar("_Placed", NumberWord, AddedNumber)


def _placed(word: _Placed, role: str, wall: int | None) -> _Placed:
    """The word with what the number measures: `role` is a role, or the kind of an opening (window, door, doorway), ""
    to leave it."""
    if role in OPENING_KINDS:
        word = replace(word, role=Role.OPENING, opening=OpeningKind(role))
    elif role:
        word = replace(word, role=_role(role), opening=None)
    return word if wall is None else replace(word, wall=wall)


def _role(role: str) -> Role:
    try:
        return Role(role)
    except ValueError as error:
        raise NotPossible(f"There is no role {role[:40]}") from error


def _named(services: Services, job: str, picture: str, number: int) -> PlanNumber:
    with services.store.reading() as tables:
        return _name(tables, job, picture, number)


def _name(tables: Tables, job: str, picture: str, number: int) -> PlanNumber:
    """What words call a number of a job's sketch. Raises NotFound where there is no such number."""
    ours = picture in {kept.picture.id for kept in tables.pictures.of_job(job)}
    reading = tables.pictures.reading(picture) if ours else None
    if reading is not None:
        numbering = numbering_of(picture, reading, tables.jobs.words(job))
        if 0 <= number < numbering.count:
            return numbering.name(number)
    raise NotFound(f"Job {job} has no such number")


HEIGHTS = (Role.CEILING, Role.SILL, Role.HEAD, Role.REVEAL)


def type_heights(services: Services, job: str, picture: str, typed: Mapping[str, str], by: str) -> list[int]:
    """Put heights on the openings of a sketch. `typed` is by "sill-height 3" (the role, and the index of the number
    that is the opening's width) or "ceiling-height". Returns the decisions' ids; where one is no length, none is made
    and NotPossible raised."""
    with services.store.reading() as tables:
        words = [_height(tables, job, picture, place, text) for place, text in typed.items() if text.strip()]
    return _decide_all(services, job, words, by)


def _height(tables: Tables, job: str, picture: str, place: str, text: str) -> HeightWord:
    role, _, number = place.partition(" ")
    if role not in HEIGHTS or not (number.isdecimal() or (role == Role.CEILING and not number)):
        raise NotPossible(f"There is no height {place[:40]}")
    value_mm = parse_length(text, "cm")
    if value_mm is None:
        raise NotPossible(f"“{text[:40]}” is no length in cm", "Write it as 103.5")
    opening = _name(tables, job, picture, int(number)) if number else None
    return HeightWord(Role(role), text.strip()[:LONGEST_NOTE], value_mm, opening, settles=True)


def set_subject(services: Services, job: str, picture: str, subject: str, by: str) -> int:
    """Say what a picture shows."""
    try:
        word = ShownSubject(picture, Subject(subject))
    except ValueError as error:
        raise NotPossible(f"A picture cannot show {subject[:40]}") from error
    return _decide(services, job, word, by)


def set_item(
    services: Services, job: str, item: str, state: str, note: str, by: str, value_mm: int | None = None
) -> int:
    """A designer's word on one item of the checklist: confirmed, not applicable, or missing to ask again."""
    if state not in (ItemState.CONFIRMED, ItemState.NOT_APPLICABLE, ItemState.MISSING):
        raise NotPossible(f"An item cannot be set to {state[:40]}")
    if not any(checklist.item(item) for checklist in services.checklists.values()):
        raise NotFound(f"There is no item {item[:40]}")
    word = Confirmation(item, ItemState(state), note.strip()[:LONGEST_NOTE], value_mm)
    return _decide(services, job, word, by)


def set_room(services: Services, job: str, room: str, by: str) -> int:
    """Say which room the job is."""
    try:
        word = RoomWord(RoomKind(room))
    except ValueError as error:
        raise NotPossible(f"There is no room {room[:40]}") from error
    return _decide(services, job, word, by)


def type_room(services: Services, job: str, text: str, room: Mapping[str, Any], by: str) -> int:
    """Let the plan rest on a room typed by hand (a room file: its text, and the same as plain data)."""
    if not room_from_dict(room).walls:
        raise NotPossible("That room has no walls", "docs/room-file.md shows how to write them")
    return _decide(services, job, TypedRoom(text[:LONGEST_ROOM], room), by)


def see(services: Services, job: str, need: str, note: str, by: str) -> int:
    """Say that what waited for a person was read, or that the customer was phoned. Raises NotFound."""
    _need(services, job, need)
    return _decide(services, job, NeedSeen(need, note.strip()[:LONGEST_NOTE]), by)


def take(services: Services, job: str, need: str, item: str, kind: str, value_mm: int | None, by: str) -> int:
    """Take a fact about an item of the checklist from words that the program had not understood. Raises NotFound,
    and NotPossible where it cannot be taken so."""
    found = _need(services, job, need)
    if not any(checklist.item(item) for checklist in services.checklists.values()):
        raise NotFound(f"There is no item {item[:40]}")
    if kind not in TAKEN or (kind == StatementKind.VALUE) != (value_mm is not None):
        raise NotPossible("That cannot be taken from words")
    said = Statement(item, StatementKind(kind), found.text, value_mm, found.message, settles=True)
    return _decide(services, job, NeedTaken(need, said), by)


def _need(services: Services, job: str, key: str) -> Need:
    with services.store.reading() as tables:
        found = next((n for n in tables.jobs.needs(job) if n.key == key), None)
    if found is None:
        raise NotFound("That does not wait for anybody any more")
    return found


def note(services: Services, job: str, text: str, by: str) -> int:
    """Keep a note with a job."""
    if not text.strip():
        raise NotPossible("There is nothing in the note")
    return _decide(services, job, Note(text.strip()[:LONGEST_NOTE]), by)


def stop(services: Services, job: str, reason: str, by: str) -> int:
    """No more letters for this job, until it is undone."""
    reason = reason.strip()[:LONGEST_NOTE] or "A designer stopped them."
    with services.store.transaction() as tables:
        tables.letters.withdraw(job)
    return _decide(services, job, Stop(reason), by)


def decide_word(services: Services, job: str, word: Word, by: str) -> int:
    """Keep one word of a designer's on a job, and examine it; returns the decision's id."""
    return _decide(services, job, word, by)


def _decide(services: Services, job: str, word: Word, by: str) -> int:
    return _decide_all(services, job, [word], by)[0]


def _decide_all(services: Services, job: str, words: Sequence[Word], by: str) -> list[int]:
    """Keep words in one transaction, and examine the job once."""
    now = services.clock()
    with services.store.transaction() as tables:
        _must_be_there(tables, job)
        keys = [tables.jobs.decide(job, replace(word, by=by, at=now)) for word in words]
        for row in map(to_row, words):
            what = f"{row.target} {row.value}".strip()[:400]
            Accounts(tables.db).note(by, row.kind, job, what, now)
    if keys:
        examine(services, job)
    return keys


def _must_be_there(tables: Tables, job: str) -> None:
    found = tables.jobs.get(job)
    if found is None or found.id != job:
        raise NotFound(f"There is no job {job}")


def undo(services: Services, job: str, decision_id: int, by: str) -> None:
    """Undo one decision of a job. Raises NotPossible where it was undone already."""
    with services.store.transaction() as tables:
        known = Refiling(tables.db).decision(decision_id)
        if known is None or known.job != job:
            raise NotFound("There is no such decision")
        done = tables.jobs.undo(decision_id, by, services.clock())
        if done is None:
            raise NotPossible("That was undone already")
        touched, row = _reverse(tables, services, done, by), to_row(done.word)
        Accounts(tables.db).note(by, "undo", job, f"{row.kind} {row.target}".strip(), services.clock())
    for changed in dict.fromkeys([*touched, job]):
        examine(services, changed)


def _reverse(tables: Tables, services: Services, decision: Decision, by: str) -> Sequence[str]:
    """Take back what a decision did beyond its own row; returns the other jobs that this changed."""
    job, word, now = decision.job, decision.word, services.clock()
    match word:
        case Merged():
            return refile.unmerge(tables, job, word, by, now)
        case Split():
            return refile.unsplit(tables, job, word, by, now)
        case Moved():
            return refile.unplace(tables, job, word, by, now)
        case Brought():
            return refile.unplace(tables, job, Moved(word.message), by, now)
        case KeptApart():
            refile.unapart(tables, word)
        case Vouched():
            tables.messages.vouch(word.message, word.authentic)
    return ()
