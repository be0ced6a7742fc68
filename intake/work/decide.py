"""What a designer decides of a job's survey and letters; each is kept with who and when, and can be undone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import dist
from typing import Any

from intake.domain.lengths.notation import parse_length
from intake.domain.room.room_file import room_from_dict
from intake.model.checklist import ItemState, RoomKind, StatementKind
from intake.model.errors import IntakeError, NotFound
from intake.model.job import Event
from intake.model.letter import Ask, LetterState
from intake.model.need import Need
from intake.model.picture import Subject
from intake.model.reading import Role, SketchReading
from intake.store.accounts import Accounts
from intake.store.as_json import to_plain
from intake.store.database import Tables
from intake.store.filing import Filing
from intake.store.jobs import Decision
from intake.store.letters import KeptLetter
from intake.work import refile
from intake.work.examine import examine
from intake.work.laid_over import OPENING_KINDS, NumberNames, names_of
from intake.work.services import Services

LONGEST_NOTE = 500
LONGEST_TEXT = 4000
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
    value_mm = parse_length(text, reading.unit)
    if value_mm is None:
        raise NotPossible(f"“{text[:40]}” is no length in {reading.unit}", "Write it as 386.5")
    value: dict[str, Any] = {"text": text.strip(), "value_mm": value_mm}
    return _on_number(services, job, picture, number, value | _place_on_plan(role, wall), by)


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
    value_mm = parse_length(text, reading.unit)
    if value_mm is None:
        raise NotPossible(f"“{text[:40]}” is no length in {reading.unit}", "Write it as 386.5")
    value: dict[str, Any] = {"text": text.strip(), "value_mm": value_mm, "box": _box_round(reading, text, at)}
    return _decide(services, job, "added", picture, value | _place_on_plan(role, wall), by)


def _box_round(reading: SketchReading, text: str, at: tuple[float, float]) -> list[list[float]]:
    """A box about as large as the others on the sketch, round the point where a number stands, inside the picture."""
    heights = sorted(dist(n.box[0], n.box[3]) for n in reading.numbers) or [reading.height / 40]
    high = heights[len(heights) // 2] / 2
    wide = high * 0.6 * max(len(text.strip()), 1)
    x = min(max(at[0], wide), reading.width - wide)
    y = min(max(at[1], high), reading.height - high)
    return [[x - wide, y - high], [x + wide, y - high], [x + wide, y + high], [x - wide, y + high]]


def confirm(services: Services, job: str, picture: str, number: int, by: str) -> int:
    """Accept a number as read."""
    return _on_number(services, job, picture, number, {"confirmed": True}, by)


def drop(services: Services, job: str, picture: str, number: int, by: str) -> int:
    """Say that the ink is no length at all."""
    return _on_number(services, job, picture, number, {"not_a_number": True}, by)


def replace_role(
    services: Services, job: str, picture: str, number: int, role: str, wall: int | None, by: str
) -> int:
    """Say what a number measures and on which wall; what it says, and how surely, stays as it stands now."""
    with services.store.reading() as tables:
        name = _name(tables, job, picture, number)
        standing = [d for d in tables.jobs.decisions(job, "reading") if d.target == name]
    kept = dict(standing[-1].value) if standing else {}
    return _on_number(services, job, picture, number, kept | _place_on_plan(role, wall), by)


def _place_on_plan(role: str, wall: int | None) -> dict[str, Any]:
    """`role` is a role, or the kind of an opening: window, door or doorway."""
    if role in OPENING_KINDS:
        named = {"role": Role.OPENING.value, "kind": role}
    else:
        try:
            named = {"role": Role(role).value, "kind": ""} if role else {}
        except ValueError as error:
            raise NotPossible(f"There is no role {role[:40]}") from error
    return named if wall is None else named | {"wall": wall}


def _on_number(
    services: Services, job: str, picture: str, number: int, value: dict[str, Any], by: str
) -> int:
    with services.store.reading() as tables:
        name = _name(tables, job, picture, number)
    return _decide(services, job, "reading", name, value, by)


def _name(tables: Tables, job: str, picture: str, number: int) -> str:
    """How decisions call a number of a job's sketch. Raises NotFound where there is no such number."""
    names = _names(tables, job, picture)
    if names is None or not 0 <= number < names.count:
        raise NotFound(f"Job {job} has no such number")
    return names.name(number)


def _names(tables: Tables, job: str, picture: str) -> NumberNames | None:
    """The names of the numbers of one of a job's own sketches; None where it has no such sketch."""
    ours = picture in {kept.picture.id for kept in tables.pictures.of_job(job)}
    reading = tables.pictures.reading(picture)
    return names_of(picture, reading, tables.jobs.decisions(job)) if ours and reading is not None else None


HEIGHTS = (Role.CEILING, Role.SILL, Role.HEAD, Role.REVEAL)


def type_heights(services: Services, job: str, picture: str, typed: Mapping[str, str], by: str) -> list[int]:
    """Put heights on the openings of a sketch. `typed` is by "sill-height 3" (the role, and the index of the number
    that is the opening's width) or "ceiling-height". Returns the decisions' ids; where one is no length, none is made
    and NotPossible raised."""
    with services.store.reading() as tables:
        values = [_height(tables, job, picture, place, text) for place, text in typed.items() if text.strip()]
    return [_decide(services, job, "height", target, value, by) for target, value in values]


def _height(tables: Tables, job: str, picture: str, place: str, text: str) -> tuple[str, dict[str, Any]]:
    role, _, number = place.partition(" ")
    if role not in HEIGHTS or not (number.isdecimal() or (role == Role.CEILING and not number)):
        raise NotPossible(f"There is no height {place[:40]}")
    value_mm = parse_length(text, "cm")
    if value_mm is None:
        raise NotPossible(f"“{text[:40]}” is no length in cm", "Write it as 103.5")
    target = f"{role} {_name(tables, job, picture, int(number))}" if number else role
    return target, {"text": text.strip()[:LONGEST_NOTE], "value_mm": value_mm}


def set_subject(services: Services, job: str, picture: str, subject: str, by: str) -> int:
    """Say what a picture shows."""
    try:
        value = Subject(subject).value
    except ValueError as error:
        raise NotPossible(f"A picture cannot show {subject[:40]}") from error
    return _decide(services, job, "subject", picture, value, by)


def set_item(
    services: Services, job: str, item: str, state: str, note: str, by: str, value_mm: int | None = None
) -> int:
    """A designer's word on one item of the checklist: confirmed, not applicable, or missing to ask again."""
    if state not in (ItemState.CONFIRMED, ItemState.NOT_APPLICABLE, ItemState.MISSING):
        raise NotPossible(f"An item cannot be set to {state[:40]}")
    if not any(checklist.item(item) for checklist in services.checklists.values()):
        raise NotFound(f"There is no item {item[:40]}")
    value = {"state": state, "note": note.strip()[:LONGEST_NOTE], "value_mm": value_mm}
    return _decide(services, job, "item", item, value, by)


def set_room(services: Services, job: str, room: str, by: str) -> int:
    """Say which room the job is."""
    try:
        value = RoomKind(room).value
    except ValueError as error:
        raise NotPossible(f"There is no room {room[:40]}") from error
    return _decide(services, job, "room", "", value, by)


def type_room(services: Services, job: str, text: str, room: Mapping[str, Any], by: str) -> int:
    """Let the plan rest on a room typed by hand (a room file: its text, and the same as plain data)."""
    if not room_from_dict(room).walls:
        raise NotPossible("That room has no walls", "docs/room-file.md shows how to write them")
    return _decide(services, job, "room-file", "", {"text": text[:LONGEST_ROOM], "room": room}, by)


def see(services: Services, job: str, need: str, note: str, by: str) -> int:
    """Say that what waited for a person was read, or that the customer was phoned. Raises NotFound."""
    _need(services, job, need)
    return _decide(services, job, "seen", need, note.strip()[:LONGEST_NOTE], by)


def take(services: Services, job: str, need: str, item: str, kind: str, value_mm: int | None, by: str) -> int:
    """Take a fact about an item of the checklist from words that the program had not understood. Raises NotFound,
    and NotPossible where it cannot be taken so."""
    found = _need(services, job, need)
    if not any(checklist.item(item) for checklist in services.checklists.values()):
        raise NotFound(f"There is no item {item[:40]}")
    if kind not in TAKEN or (kind == StatementKind.VALUE) != (value_mm is not None):
        raise NotPossible("That cannot be taken from words")
    value = {"item": item, "kind": kind, "value_mm": value_mm, "text": found.text, "message": found.message}
    return _decide(services, job, "taken", need, value, by)


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
    return _decide(services, job, "note", "", text.strip()[:LONGEST_NOTE], by)


def stop(services: Services, job: str, reason: str, by: str) -> int:
    """No more letters for this job, until it is undone."""
    reason = reason.strip()[:LONGEST_NOTE] or "A designer stopped them."
    with services.store.transaction() as tables:
        tables.jobs.change(job, stopped_because=reason)
        tables.letters.withdraw(job)
    return _decide(services, job, "stop", "", reason, by)


def _decide(services: Services, job: str, kind: str, target: str, value: Any, by: str) -> int:
    with services.store.transaction() as tables:
        _must_be_there(tables, job)
        key = tables.jobs.decide(job, kind, target, value, by, services.clock())
        Accounts(tables.db).note(by, kind, job, f"{target} {value}".strip()[:400], services.clock())
    examine(services, job)
    return key


def _must_be_there(tables: Tables, job: str) -> None:
    found = tables.jobs.get(job)
    if found is None or found.id != job:
        raise NotFound(f"There is no job {job}")


def undo(services: Services, job: str, decision_id: int, by: str) -> None:
    """Undo one decision of a job. Raises NotPossible where it was undone already."""
    with services.store.transaction() as tables:
        known = Filing(tables.db).decision(decision_id)
        if known is None or known.job != job:
            raise NotFound("There is no such decision")
        done = tables.jobs.undo(decision_id, by, services.clock())
        if done is None:
            raise NotPossible("That was undone already")
        touched = _reverse(tables, services, done, by)
        Accounts(tables.db).note(by, "undo", job, f"{done.kind} {done.target}".strip(), services.clock())
    for changed in dict.fromkeys([*touched, job]):
        examine(services, changed)


def _reverse(tables: Tables, services: Services, decision: Decision, by: str) -> Sequence[str]:
    """Take back what a decision did beyond its own row; returns the other jobs that this changed."""
    if decision.kind == "stop":
        tables.jobs.change(decision.job, stopped_because="")
    reverse = {
        "merge": refile.unmerge,
        "split": refile.unsplit,
        "place": refile.unplace,
        "apart": refile.unapart,
        "vouch": refile.unvouch,
    }
    if decision.kind in reverse:
        return reverse[decision.kind](tables, decision, by, services.clock())
    return ()


@dataclass(frozen=True)
class Edit:
    """A letter as a designer changed it: the opening words, and each ask that stays, by its place in the letter."""

    thanks: str
    asks: Mapping[int, tuple[str, str]]
    """Place (from 0) to (question, how)."""


def edit_letter(services: Services, job: str, letter_id: int, edit: Edit, by: str) -> None:
    """Write a waiting letter anew with a designer's words; its references, crops and cautions stay."""
    kept = _letter_of(services, job, letter_id)
    letter = replace(
        kept.letter,
        thanks=_words(edit.thanks),
        asks=tuple(_edited(ask, edit.asks[n]) for n, ask in enumerate(kept.letter.asks) if n in edit.asks),
    )
    written = services.pen.write(letter, services.clock())
    values = {
        "body": to_plain(letter),
        "asks": list(letter.items),
        "message_id": written.message_id,
        "text": written.text,
        "html": written.html,
        "raw": written.raw,
        "edited": True,
    }
    _change_letter(
        services, kept, (LetterState.DRAFT, LetterState.HELD), values, by, "edited", "Letter edited."
    )


def _edited(ask: Ask, words: tuple[str, str]) -> Ask:
    question, how = (_words(w) for w in words)
    return replace(ask, question=question or ask.question, how=how)


def _words(text: str) -> str:
    return " ".join(text.split())[:LONGEST_TEXT]


def release_letter(services: Services, job: str, letter_id: int, by: str, sure: bool = False) -> None:
    """Let a waiting letter go. `sure`: the designer vouches for the address of a letter that the rules hold back."""
    kept = _letter_of(services, job, letter_id)
    if kept.state is LetterState.HELD and not sure:
        raise NotPossible(f"It is held back: {kept.held_because}", "Say that you are sure of the address")
    values = {"state": LetterState.DUE, "due_at": services.clock()}
    text = (
        "Letter released."
        if kept.state is LetterState.DRAFT
        else f"Letter released, though: {kept.held_because}"
    )
    _change_letter(services, kept, (kept.state,), values, by, "released", text)


def hold_letter(services: Services, job: str, letter_id: int, by: str) -> None:
    """Take a released letter back before it goes."""
    kept = _letter_of(services, job, letter_id)
    values = {"state": LetterState.HELD if kept.held_because else LetterState.DRAFT, "due_at": None}
    _change_letter(
        services, kept, (LetterState.DUE,), values, by, "held", "Letter taken back before it went."
    )


def _letter_of(services: Services, job: str, letter_id: int) -> KeptLetter:
    with services.store.reading() as tables:
        kept = tables.letters.get(letter_id)
    if kept is None or kept.job != job:
        raise NotFound("There is no such letter")
    return kept


def _change_letter(
    services: Services,
    kept: KeptLetter,
    only_from: tuple[LetterState, ...],
    values: Mapping[str, Any],
    by: str,
    kind: str,
    text: str,
) -> None:
    """Change a letter where it still stands as the designer saw it. Raises NotPossible where it does not."""
    now = services.clock()
    with services.store.transaction() as tables:
        if not tables.letters.change(kept.id, only_from=only_from, **values):
            raise NotPossible("The letter has changed meanwhile", "Look at it again")
        tables.jobs.add_event(kept.job, Event(now, kind, text, by))
        Accounts(tables.db).note(by, f"letter {kind}", kept.job, f"letter {kept.revision}", now)
