"""How a word of the desk lies in the table of decisions: its kind, what it is about, and a record of what it says.

The records are a schema of their own, apart from the live classes. A record that says nothing of its schema is of
schema 1; keys that are missing have the value that they had before there was such a key; others are passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from intake.model.checklist import ItemState, RoomKind
from intake.model.picture import Subject
from intake.model.reading import OpeningKind, Role
from intake.model.word import (
    AddedNumber,
    Archived,
    Assigned,
    Brought,
    Confirmation,
    CustomerWord,
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

_Record = Any
"""Plain JSON: an object, or a string alone where the word says nothing else."""
Trail = Mapping[str, Any]
"""Who, when, how, and the id: the arguments that every word takes."""


ON_A_NUMBER = "reading"
"""The kind of the rows that hold a NumberWord."""


@dataclass(frozen=True)
class WordRow:
    """`target` is an item, a picture, a number ("3fa#3" read, "3fa#+17" added), a height ("sill-height 3fa#3"), a job,
    a message or a need; "" for the job itself."""

    kind: str
    target: str
    value: _Record


def to_row(word: Word) -> WordRow:
    """The row of a word of the desk. Raises TypeError for one that is read anew from the mail each time."""
    found = WRITTEN.get(type(word))
    if found is None:
        raise TypeError(f"{type(word).__name__} is no word of the desk")
    return found(word)


def from_row(row: WordRow, trail: Trail) -> Word:
    return KINDS[row.kind](row.target, row.value, trail)


def number_name(number: PlanNumber) -> str:
    own = str(number.read) if number.added is None else f"+{number.added}"
    return f"{number.picture}#{own}"


def number_named(name: str) -> PlanNumber:
    picture, _, own = name.partition("#")
    if own.startswith("+"):
        return PlanNumber(picture, added=int(own[1:]))
    return PlanNumber(picture, read=int(own))


def _what_is_said(**values: Any) -> dict[str, Any]:
    """Without what was not said."""
    return {k: v for k, v in values.items() if v not in (None, "", False)}


def _what_it_measures(word: NumberWord | AddedNumber) -> dict[str, Any]:
    role = {"role": word.role.value, "kind": word.opening or ""} if word.role else {}
    return role | ({} if word.wall is None else {"wall": word.wall})


def _number_out(w: NumberWord) -> WordRow:
    length = {"text": w.text, "value_mm": w.value_mm} if w.text else {}
    said = _what_is_said(confirmed=w.confirmed, not_a_number=w.not_a_number)
    return WordRow(ON_A_NUMBER, number_name(w.number), length | said | _what_it_measures(w))


def _role(value: Mapping[str, Any]) -> Role | None:
    return Role(value["role"]) if value.get("role") else None


def _opening(value: Mapping[str, Any]) -> OpeningKind | None:
    return OpeningKind(value["kind"]) if value.get("kind") else None


def _number_in(target: str, value: _Record, trail: Trail) -> Word:
    return NumberWord(
        number_named(target),
        value.get("text", ""),
        value.get("value_mm"),
        _role(value),
        _opening(value),
        value.get("wall"),
        bool(value.get("not_a_number")),
        bool(value.get("confirmed")),
        **trail,
    )


def _added_out(w: AddedNumber) -> WordRow:
    box = [list(corner) for corner in w.box]
    return WordRow(
        "added", w.sketch, {"text": w.text, "value_mm": w.value_mm, "box": box} | _what_it_measures(w)
    )


def _added_in(target: str, value: _Record, trail: Trail) -> Word:
    a, b, c, d = ((float(x), float(y)) for x, y in value["box"])
    text, length, role, opening = value["text"], int(value["value_mm"]), _role(value), _opening(value)
    return AddedNumber(target, text, length, (a, b, c, d), role, opening, value.get("wall"), **trail)


def _height_out(w: HeightWord) -> WordRow:
    of = f" {number_name(w.opening)}" if w.opening else ""
    return WordRow("height", f"{w.role}{of}", {"text": w.text, "value_mm": w.value_mm})


def _height_in(target: str, value: _Record, trail: Trail) -> Word:
    role, _, name = target.partition(" ")
    opening = number_named(name) if name else None
    return HeightWord(Role(role), value["text"], int(value["value_mm"]), opening, settles=True, **trail)


def _item_out(w: Confirmation) -> WordRow:
    return WordRow("item", w.item, {"state": w.state.value, "note": w.note, "value_mm": w.value_mm})


def _item_in(target: str, value: _Record, trail: Trail) -> Word:
    state = ItemState(value["state"])
    return Confirmation(target, state, value.get("note", ""), value.get("value_mm"), **trail)


def _taken_out(w: NeedTaken) -> WordRow:
    s = w.statement
    said = {
        "item": s.item,
        "kind": s.kind.value,
        "value_mm": s.value_mm,
        "text": s.text,
        "message": s.message,
    }
    return WordRow("taken", w.need, said)


def _taken_in(target: str, value: _Record, trail: Trail) -> Word:
    kind, length, message = StatementKind(value["kind"]), value.get("value_mm"), value.get("message", "")
    said = Statement(value["item"], kind, value["text"], length, message, settles=True)
    return NeedTaken(target, said, **trail)


def _customer_in(_: str, value: _Record, trail: Trail) -> Word:
    return CustomerWord(*(value.get(name, "") for name in ("name", "email", "phone")), **trail)


def _merged_in(target: str, value: _Record, trail: Trail) -> Word:
    lists = (tuple(value.get(name, ())) for name in ("messages", "decisions", "addresses"))
    return Merged(target, *lists, **trail)


def _merged_out(w: Merged) -> WordRow:
    value = {"messages": list(w.messages), "decisions": list(w.decisions), "addresses": list(w.addresses)}
    return WordRow("merge", w.other, value)


def _split_in(target: str, value: _Record, trail: Trail) -> Word:
    return Split(target, tuple(value["messages"]), tuple(value.get("decisions", ())), **trail)


def _split_out(w: Split) -> WordRow:
    return WordRow("split", w.new, {"messages": list(w.messages), "decisions": list(w.decisions)})


def _moved_in(target: str, value: _Record, trail: Trail) -> Word:
    if "by_hand" in value:
        return Brought(target, int(value["by_hand"]), **trail)
    left, carried = value.get("from") or "", tuple(value.get("decisions", ()))
    return Moved(target, left, carried, bool(value.get("emptied")), **trail)


def _moved_out(w: Moved) -> WordRow:
    return WordRow("place", w.message, {"from": w.left, "decisions": list(w.decisions), "emptied": w.emptied})


def _vouched_in(target: str, value: _Record, trail: Trail) -> Word:
    return Vouched(target, value["from"], bool(value.get("authentic")), **trail)


WRITTEN: Mapping[type[Word], Callable[[Any], WordRow]] = {
    NumberWord: _number_out,
    AddedNumber: _added_out,
    HeightWord: _height_out,
    TypedRoom: lambda w: WordRow("room-file", "", {"text": w.text, "room": dict(w.room)}),
    Confirmation: _item_out,
    NeedSeen: lambda w: WordRow("seen", w.need, w.note),
    NeedTaken: _taken_out,
    ShownSubject: lambda w: WordRow("subject", w.shown_on, w.subject.value),
    CustomerWord: lambda w: WordRow("customer", "", {"name": w.name, "email": w.email, "phone": w.phone}),
    RoomWord: lambda w: WordRow("room", "", w.room.value),
    Assigned: lambda w: WordRow("assigned", w.designer, {}),
    Archived: lambda w: WordRow("archived", "", {"messages": list(w.messages)}),
    Note: lambda w: WordRow("note", "", w.text),
    Stop: lambda w: WordRow("stop", "", w.reason),
    Merged: _merged_out,
    Split: _split_out,
    Moved: _moved_out,
    Brought: lambda w: WordRow("place", w.message, {"from": "", "by_hand": w.files}),
    KeptApart: lambda w: WordRow("apart", w.other, {"messages": list(w.messages)}),
    Vouched: lambda w: WordRow("vouch", w.message, {"from": w.sender, "authentic": w.authentic}),
}
KINDS: Mapping[str, Callable[[str, _Record, Trail], Word]] = {
    ON_A_NUMBER: _number_in,
    "added": _added_in,
    "height": _height_in,
    "room-file": lambda _, value, trail: TypedRoom(value["text"], value["room"], **trail),
    "item": _item_in,
    "seen": lambda target, value, trail: NeedSeen(target, value, **trail),
    "taken": _taken_in,
    "subject": lambda target, value, trail: ShownSubject(target, Subject(value), **trail),
    "customer": _customer_in,
    "room": lambda _, value, trail: RoomWord(RoomKind(value), **trail),
    "assigned": lambda target, _, trail: Assigned(target, **trail),
    "archived": lambda _, value, trail: Archived(tuple(value["messages"]), **trail),
    "note": lambda _, value, trail: Note(value, **trail),
    "stop": lambda _, value, trail: Stop(str(value), **trail),
    "merge": _merged_in,
    "split": _split_in,
    "place": _moved_in,
    "apart": lambda target, value, trail: KeptApart(target, tuple(value["messages"]), **trail),
    "vouch": _vouched_in,
}
