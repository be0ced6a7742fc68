"""A job's room corrected piece by piece: what is chosen, how it lies on the plan, and one change at a time.

Each change keeps the whole room as a typed room (docs/room-file.md), a decision like any other: it can be undone, and
what was read stays as it was. A length that was doubtful stays so until somebody types or confirms it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from intake.domain.room import room_edit
from intake.domain.room.room_edit import FIXED_LENGTHS, RoomData
from intake.domain.room.room_edit import CannotEdit as CannotEdit
from intake.domain.room.room_file import room_from_dict
from intake.model.errors import NotFound
from intake.model.examination import RoomExamination
from intake.model.room import SECTION_LENGTHS, SectionKind, wall_letter
from intake.model.word import TypedRoom
from intake.wording.desk import worded
from intake.work.decide import NotPossible, decide_word
from intake.work.job_view import JobView, job_view
from intake.work.room_text import room_text
from intake.work.services import Services

Parse = Callable[[str], dict[str, Any]]
"""A room file's text as plain data."""


@dataclass(frozen=True)
class Chosen:
    """What is chosen on the plan: a wall, the section `section` of it, or the fixed thing `fixed`; by its name in an
    address ("C", "C2", "F:1")."""

    name: str = ""
    wall: int | None = None
    section: int | None = None
    fixed: int | None = None


@dataclass(frozen=True)
class RoomEditing:
    """A room being corrected. `room` is its plain data, None where there is none yet; `stamp` tells it from any other
    state; `values` are the texts of what is chosen, by the keys of the room file."""

    view: JobView
    room: RoomData | None
    stamp: str
    chosen: Chosen
    values: Mapping[str, str]
    kind: str = ""
    """What kind of section is chosen."""
    fixed_names: tuple[str, ...] = ()

    @property
    def examined(self) -> RoomExamination | None:
        return self.view.room


def editing(services: Services, parse: Parse, job_id: str, at: str) -> RoomEditing:
    """A job's room with what is named `at` chosen. Raises NotFound."""
    view = job_view(services, job_id)
    room = _room(view, parse)
    names = tuple(str(f.get("name", "")) for f in (room or {}).get("fixed") or [])
    chosen = _chosen(room, at)
    return RoomEditing(view, room, _stamp(view), chosen, _values(room, chosen), _kind(room, chosen), names)


def _room(view: JobView, parse: Parse) -> RoomData | None:
    typed = view.file.survey.typed
    if typed is not None:
        return dict(typed.room)
    has_walls = view.room is not None and bool(view.room.survey.walls)
    return parse(view.room_text) if has_walls else None


def _stamp(view: JobView) -> str:
    return hashlib.sha256(view.room_text.encode()).hexdigest()[:16]


def _chosen(room: RoomData | None, at: str) -> Chosen:
    """ "C" the third wall, "C2" its second section, "F:1" the first fixed thing; nothing where there is none such."""
    walls = (room or {}).get("walls") or []
    if at.startswith("F:") and at[2:].isdecimal() and 0 < int(at[2:]) <= len((room or {}).get("fixed") or []):
        return Chosen(at, fixed=int(at[2:]) - 1)
    letters, figures = at.rstrip("0123456789"), at[len(at.rstrip("0123456789")) :]
    wall = next((n for n in range(len(walls)) if wall_letter(n) == letters), None)
    if wall is None:
        return Chosen()
    if not figures:
        return Chosen(at, wall)
    n = int(figures[:4]) - 1
    return Chosen(at, wall, n) if 0 <= n < len(walls[wall].get("sections") or []) else Chosen()


def _values(room: RoomData | None, chosen: Chosen) -> dict[str, str]:
    if room is None:
        return {}
    if chosen.fixed is not None:
        thing = room["fixed"][chosen.fixed]
        return {k: str(thing[k]) for k in ("name", "wall", *FIXED_LENGTHS) if thing.get(k) is not None}
    if chosen.wall is None:
        return {"ceilings": "; ".join(map(str, room.get("ceilings") or []))}
    wall = room["walls"][chosen.wall]
    if chosen.section is None:
        overall = wall.get("overall")
        lengths = overall if isinstance(overall, list) else [] if overall is None else [overall]
        slant = "" if wall.get("slant") is None else str(wall["slant"])
        return {"runs": str(wall.get("runs", "")), "overall": "; ".join(map(str, lengths)), "slant": slant}
    entry = _entry(room, chosen)
    keys = ("label", "hinge", "opens", "architrave", *SECTION_LENGTHS)
    found = {k: str(entry[k]) for k in keys if entry.get(k) is not None}
    length = entry.get(_kind(room, chosen))
    return found | {"length": "?" if length is None else str(length)}


def _entry(room: RoomData, chosen: Chosen) -> Mapping[str, Any]:
    found = room["walls"][chosen.wall]["sections"][chosen.section]
    return found if isinstance(found, Mapping) else {"wall": found}


def _kind(room: RoomData | None, chosen: Chosen) -> str:
    if room is None or chosen.section is None:
        return ""
    return next((k for k in _entry(room, chosen) if k in set(SectionKind)), "wall")


def change(
    services: Services, parse: Parse, job_id: str, stamp: str, do: str, form: Mapping[str, str], by: str
) -> str:
    """Carry out one change of a form; returns the name of what is then chosen. Raises NotFound, CannotEdit, and
    NotPossible where the room is another by now."""
    view = job_view(services, job_id)
    if stamp != _stamp(view):
        raise NotPossible("The room has changed meanwhile", "Look at it again and repeat the change")
    room = _room(view, parse)
    if do == "four-walls":
        if room is not None:
            raise NotPossible("There are walls already", "Change those")
        kind = view.file.job.room.value
        changed, then = room_edit.four_walls(kind, form.get("across", ""), form.get("down", "")), ""
    elif room is None:
        raise NotFound("There is no room to change yet", "Start with four walls")
    else:
        changed, then = _changed(room, do, form)
    survey = room_from_dict(changed)
    if faults := [f for f in survey.findings if f not in room_from_dict(room or {}).findings]:
        raise CannotEdit(worded(faults[0].text).rstrip("."))
    text = room_text(survey, view.file.job.room.value)
    decide_word(services, view.file.job.id, TypedRoom(text, changed), by)
    return then


Changed = tuple[RoomData, str]
"""The room after a change, and the name of what is chosen then."""


def _changed(room: RoomData, do: str, form: Mapping[str, str]) -> Changed:
    for of in (_section_changed, _wall_changed, _rest_changed):
        if (changed := of(room, do, form)) is not None:
            return changed
    raise NotPossible(f"There is no such change as {do[:20]}")


def _section_changed(room: RoomData, do: str, form: Mapping[str, str]) -> Changed | None:
    wall, n = _place(form, "wall"), _place(form, "section")
    letter = wall_letter(max(wall, 0))
    here = f"{letter}{n + 1}"
    match do:
        case "section":
            return room_edit.set_section(room, wall, n, form), here
        case "swing":
            hinge, _, opens = form.get("swing", "").partition(" ")
            return room_edit.set_section(room, wall, n, {"hinge": hinge, "opens": opens}), here
        case "add-before" | "add-after":
            at = n if do == "add-before" else n + 1
            kind, length = form.get("kind", ""), form.get("length", "")
            return room_edit.add_section(room, wall, at, kind, length), f"{letter}{at + 1}"
        case "remove-section":
            return room_edit.remove_section(room, wall, n), letter
        case "put-in":
            pointed = form.get("pointed") == "yes"
            kind, left, length = (form.get(k, "") for k in ("kind", "from-left", "length"))
            first = 0 if room_edit.starts_it(left) else 1
            return room_edit.put_in(room, wall, n, kind, left, length, pointed), f"{letter}{n + 1 + first}"
        case "move":
            return room_edit.move(room, wall, n, room_edit.signed_mm(form.get("by", ""))), here
    return None


def _wall_changed(room: RoomData, do: str, form: Mapping[str, str]) -> Changed | None:
    wall = _place(form, "wall")
    match do:
        case "wall":
            given = (form.get(k, "") for k in ("runs", "slant", "overall"))
            return room_edit.set_wall(room, wall, *given), wall_letter(max(wall, 0))
        case "add-wall":
            runs, length = form.get("runs", ""), form.get("length", "")
            return room_edit.add_wall(room, wall, runs, length), wall_letter(wall + 1)
        case "remove-wall":
            return room_edit.remove_wall(room, wall), ""
    return None


def _rest_changed(room: RoomData, do: str, form: Mapping[str, str]) -> Changed | None:
    """Fixed things and ceilings."""
    thing = _place(form, "fixed")
    match do:
        case "fixed":
            return room_edit.set_fixed(room, thing, form), f"F:{thing + 1}"
        case "add-fixed":
            return room_edit.set_fixed(room, None, form), f"F:{len(room.get('fixed') or []) + 1}"
        case "place-fixed":
            wall = _place(form, "wall")
            return room_edit.place_fixed(room, thing, wall, form.get("middle", "")), f"F:{thing + 1}"
        case "remove-fixed":
            return room_edit.remove_fixed(room, thing), ""
        case "ceilings":
            return room_edit.set_ceilings(room, form.get("ceilings", "")), ""
    return None


def _place(form: Mapping[str, str], key: str) -> int:
    text = form.get(key, "")
    return int(text) if text.isdecimal() and len(text) < 5 else -1
