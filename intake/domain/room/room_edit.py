"""One change at a time to a room file's plain data: what a form or a pointer does to walls, openings and fixed things.

Every function takes the room as docs/room-file.md has it and gives a new one; nothing is changed in place. Walls and
sections are counted from 0. Lengths are texts as somebody writes them ("386.5", "5ft 3"); one that a pointer gave is
marked as worked out, never as measured.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from typing import Any

from intake.domain.lengths.notation import format_cm, parse_length
from intake.model.errors import IntakeError
from intake.model.reading import Direction, Hinge, Opens
from intake.model.room import SECTION_LENGTHS, Architrave, SectionKind, wall_letter

RoomData = dict[str, Any]
FIXED_LENGTHS = ("from-left", "from-right", "height", "width", "tall", "depth")
CHOICES: Mapping[str, tuple[str, ...]] = {
    "hinge": (Hinge.LEFT, Hinge.RIGHT),
    "opens": (Opens.ROOM, Opens.AWAY),
    "architrave": (Architrave.INSIDE, Architrave.OUTSIDE, Architrave.ONE_SIDE),
}
MOST_WALLS, MOST_SECTIONS, MOST_FIXED = 60, 60, 60
"""More than any room has, so that a form cannot be made to grow without end (a guard)."""
LONGEST_TEXT = 60
"""Signs of a name or a note that is typed: a line of the plan (set by hand)."""


class CannotEdit(IntakeError):
    """A change that makes no sense; the sentence is for the person who made it."""


def four_walls(kind: str, across: str, down: str) -> RoomData:
    """A plain rectangle to start from: how far it is across the plan, and down it."""
    lengths = [_length(t) for t in (across, down)]
    walls = [{"runs": r, "sections": [lengths[n % 2]]} for n, r in enumerate("ESWN")]
    return {"room": kind, "unit": "cm", "walls": walls}


# -- walls ---------------------------------------------------------------------------------------------------------


def set_wall(room: Mapping[str, Any], wall: int, runs: str, slant: str, overall: str) -> RoomData:
    """Which way a wall runs, and its overall measurement: one length, several parted by ;, or none."""
    changed, entry = _copy(room), _wall(room, wall)
    entry = dict(entry) | {"runs": _direction(runs)}
    lengths = [_length(t) for t in overall.split(";") if t.strip()]
    _put(entry, "overall", lengths[0] if len(lengths) == 1 else lengths or None)
    _put(entry, "slant", _degrees(slant) if slant.strip() and entry["runs"] == Direction.OTHER else None)
    changed["walls"][wall] = entry
    return changed


def add_wall(room: Mapping[str, Any], after: int, runs: str, length: str) -> RoomData:
    """A wall more, after another; what names walls by letter goes along."""
    changed = _copy(room)
    _wall(room, after)
    if len(changed["walls"]) >= MOST_WALLS:
        raise CannotEdit("The room has as many walls as can be drawn")
    changed["walls"].insert(after + 1, {"runs": _direction(runs), "sections": [_length(length)]})
    return _relettered(changed, lambda n: n if n <= after else n + 1)


def remove_wall(room: Mapping[str, Any], wall: int) -> RoomData:
    """A wall less, with what is fixed to it and measured from it."""
    changed = _copy(room)
    _wall(room, wall)
    if len(changed["walls"]) < 4:
        raise CannotEdit("A room has three walls at least")
    del changed["walls"][wall]
    return _relettered(changed, lambda n: None if n == wall else n if n < wall else n - 1)


def _relettered(room: RoomData, moved: Callable[[int], int | None]) -> RoomData:
    """The room with every mention of a wall by its new letter; what mentions one that is gone goes too."""
    letters = {wall_letter(n): moved(n) for n in range(MOST_WALLS + 1)}

    def new(letter: Any) -> str | None:
        place = letters.get(str(letter).strip().upper())
        return None if place is None else wall_letter(place)

    for key in ("fixed", "slopes", "units"):
        entries = [e for e in room.get(key) or [] if isinstance(e, Mapping)]
        kept = [dict(e) | ({"wall": new(e["wall"])} if e.get("wall") is not None else {}) for e in entries]
        _put(room, key, [e for e in kept if "wall" not in e or e["wall"] is not None] or None)
    spans = []
    for entry in (e for e in room.get("across") or [] if isinstance(e, Mapping)):
        key = "corners" if "corners" in entry else "walls"
        ends = [new(letter) for letter in entry.get(key) or []]
        if None not in ends:
            spans.append(dict(entry) | {key: ends})
    _put(room, "across", spans or None)
    return room


# -- sections ------------------------------------------------------------------------------------------------------


def set_section(room: Mapping[str, Any], wall: int, n: int, given: Mapping[str, str]) -> RoomData:
    """What a section is, its length, its heights and how its door swings. `given` are the texts of a form by the keys
    of the room file, with `kind` and `length`; an empty one takes the key away, one that is not given leaves it."""
    changed, old = _copy(room), _section(room, wall, n)
    kind = given.get("kind", _kind(old))
    if kind not in set(SectionKind):
        raise CannotEdit(f"There is no section {kind[:20]}")
    length = given.get("length", str(old.get(_kind(old), "?")))
    entry = {kind: _length(length)} | {k: v for k, v in old.items() if k not in set(SectionKind)}
    if _length(length) != _length(str(old.get(_kind(old), "?"))):
        entry.pop("estimated", None)
    for key in SECTION_LENGTHS:
        if key in given:
            _put(entry, key, _length(given[key]) if given[key].strip() else None)
    for key, allowed in CHOICES.items():
        if key in given:
            if given[key] not in ("", *allowed):
                raise CannotEdit(f"{key} is {' or '.join(allowed)}")
            _put(entry, key, given[key] or None)
    if "label" in given:
        _put(entry, "label", _line(given["label"]) or None)
    _sections(changed, wall)[n] = _shortest(entry)
    return changed


def add_section(room: Mapping[str, Any], wall: int, at: int, kind: str, length: str) -> RoomData:
    """A section more, before the one that is `at` that place; `at` may be behind the last."""
    changed = _copy(room)
    _wall(room, wall)
    sections = _sections(changed, wall)
    if not 0 <= at <= len(sections) or kind not in set(SectionKind):
        raise CannotEdit("There is no such place on that wall")
    if len(sections) >= MOST_SECTIONS:
        raise CannotEdit(f"A wall has {MOST_SECTIONS} sections at most")
    sections.insert(at, _shortest({kind: _length(length)}))
    return changed


def remove_section(room: Mapping[str, Any], wall: int, n: int) -> RoomData:
    changed = _copy(room)
    _section(room, wall, n)
    del _sections(changed, wall)[n]
    return changed


def put_in(
    room: Mapping[str, Any], wall: int, n: int, kind: str, from_left: str, length: str, pointed: bool = False
) -> RoomData:
    """Put an opening or a boxing into a plain piece of wall, so far from the piece's left end; what is left of the
    piece stays on both sides. `pointed`: the place comes from a pointer, so that both are worked out."""
    old = _section(room, wall, n)
    if _kind(old) != SectionKind.WALL:
        raise CannotEdit("Something stands there already", "Choose a plain piece of wall")
    if kind not in set(SectionKind) - {SectionKind.WALL}:
        raise CannotEdit("Say what it is")
    left, wide = _mm(from_left), _mm(length)
    whole, doubt = _length_known(old)
    rest = None if whole is None else whole - left - wide
    if left < 0 or wide <= 0 or (rest is not None and rest < 0):
        raise CannotEdit("It does not fit into that piece of wall")
    worked_out = {"estimated": True}
    before = [{"wall": format_cm(left)} | (worked_out if pointed else {})] if left else []
    after = (
        [{"wall": "?" if rest is None else format_cm(rest) + doubt} | (worked_out if rest else {})]
        if rest != 0
        else []
    )
    changed = _copy(room)
    thing: RoomData = {kind: _length(length)}
    _sections(changed, wall)[n : n + 1] = [_shortest(e) for e in (*before, thing, *after)]
    return changed


def move(room: Mapping[str, Any], wall: int, n: int, by_mm: int) -> RoomData:
    """Move a section along its wall, to the right where `by_mm` is more than 0: the piece on one side grows by what the
    other loses. Both are then worked out."""
    _section(room, wall, n)
    sections = _sections(_copy(room), wall)
    if not 0 < n < len(sections) - 1:
        raise CannotEdit(
            "Only what stands between two pieces of wall can be moved", "Type the lengths instead"
        )
    lengths = []
    for place, change in ((n - 1, by_mm), (n + 1, -by_mm)):
        piece = _section(room, wall, place)
        known, doubt = _length_known(piece) if _kind(piece) == SectionKind.WALL else (None, "")
        if known is None or known + change < 0:
            raise CannotEdit("There is no room to move it", "Type the lengths instead")
        lengths.append((place, piece, format_cm(known + change) + doubt))
    changed = _copy(room)
    for place, piece, length in lengths:
        entry = {k: v for k, v in piece.items() if k != "wall"}
        _sections(changed, wall)[place] = {"wall": length} | entry | {"estimated": True}
    return changed


# -- fixed things and ceilings -------------------------------------------------------------------------------------


def set_fixed(room: Mapping[str, Any], n: int | None, given: Mapping[str, str]) -> RoomData:
    """A fixed thing, or a further one where `n` is None: its name, wall, place and size as texts of a form."""
    changed = _copy(room)
    things: list[Any] = changed.setdefault("fixed", []) or []
    changed["fixed"] = things
    if n is None and len(things) >= MOST_FIXED:
        raise CannotEdit(f"A room has {MOST_FIXED} fixed things at most")
    if n is not None and not 0 <= n < len(things):
        raise CannotEdit("There is no such thing")
    entry: RoomData = {"name": _line(given.get("name", "")) or "fixed thing"}
    letter = given.get("wall", "").strip().upper()
    if letter:
        if letter not in {wall_letter(k) for k in range(len(changed.get("walls") or []))}:
            raise CannotEdit(f"There is no wall {letter[:5]}")
        entry["wall"] = letter
    for key in FIXED_LENGTHS:
        if given.get(key, "").strip():
            entry[key] = _length(given[key])
    if n is None:
        things.append(entry)
    else:
        things[n] = entry
    return changed


def place_fixed(room: Mapping[str, Any], n: int, wall: int, middle: str) -> RoomData:
    """Put a fixed thing where a pointer let it go: its middle so far from the wall's left corner. Nobody measured that,
    so it is doubtful."""
    changed = _copy(room)
    _wall(room, wall)
    things = changed.get("fixed") or []
    if not 0 <= n < len(things):
        raise CannotEdit("There is no such thing")
    wide = parse_length(str(things[n].get("width", "")).rstrip("? "), "cm") or 0
    left = format_cm(max(_mm(middle) - wide // 2, 0))
    entry = {k: v for k, v in things[n].items() if k not in ("wall", "from-left", "from-right")}
    things[n] = entry | {"wall": wall_letter(wall), "from-left": f"{left}?"}
    return changed


def remove_fixed(room: Mapping[str, Any], n: int) -> RoomData:
    changed = _copy(room)
    things = changed.get("fixed") or []
    if not 0 <= n < len(things):
        raise CannotEdit("There is no such thing")
    del things[n]
    _put(changed, "fixed", things or None)
    return changed


def set_ceilings(room: Mapping[str, Any], text: str) -> RoomData:
    """The heights of the ceiling, parted by ;."""
    changed = _copy(room)
    _put(changed, "ceilings", [_length(t) for t in text.split(";") if t.strip()] or None)
    return changed


# -- the parts of a room -------------------------------------------------------------------------------------------


def _copy(room: Mapping[str, Any]) -> RoomData:
    """As plain dictionaries and lists: lines of a file that it came from mean nothing any more."""

    def plain(value: Any) -> Any:
        if isinstance(value, Mapping):
            return {str(k): plain(v) for k, v in value.items()}
        return [plain(v) for v in value] if isinstance(value, list) else copy.copy(value)

    changed: RoomData = plain(room)
    return changed


def _wall(room: Mapping[str, Any], wall: int) -> Mapping[str, Any]:
    walls = room.get("walls") or []
    if not 0 <= wall < len(walls) or not isinstance(walls[wall], Mapping):
        raise CannotEdit("There is no such wall")
    found: Mapping[str, Any] = walls[wall]
    return found


def _sections(room: RoomData, wall: int) -> list[Any]:
    entry = room["walls"][wall]
    entry["sections"] = list(entry.get("sections") or [])
    found: list[Any] = entry["sections"]
    return found


def _section(room: Mapping[str, Any], wall: int, n: int) -> dict[str, Any]:
    """A section as keys and values, a bare length too."""
    sections = _wall(room, wall).get("sections") or []
    if not 0 <= n < len(sections):
        raise CannotEdit("There is no such section")
    found = sections[n]
    return dict(found) if isinstance(found, Mapping) else {"wall": "?" if found is None else found}


def _length_known(piece: Mapping[str, Any]) -> tuple[int | None, str]:
    """The length of a plain piece of wall in mm, and a ? where it is doubtful: what is worked out from it is too."""
    text = str(piece.get("wall", "?")).strip()
    return parse_length(text.rstrip("? "), "cm"), "?" if text.endswith("?") else ""


def _kind(entry: Mapping[str, Any]) -> str:
    return next((k for k in entry if k in set(SectionKind)), SectionKind.WALL.value)


def _shortest(entry: Mapping[str, Any]) -> Any:
    """A plain piece of wall of which no more is said is its length alone."""
    return entry["wall"] if list(entry) == ["wall"] else dict(entry)


def _put(entry: RoomData, key: str, value: Any) -> None:
    if value is None:
        entry.pop(key, None)
    else:
        entry[key] = value


def _line(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:LONGEST_TEXT]


def _length(text: str) -> str:
    """A length as it is kept: "?" where it was not measured, a ? behind one that is not certain. Raises CannotEdit."""
    given = _line(text)
    if given in ("", "?"):
        return "?"
    if parse_length(given.rstrip("? "), "cm") is None:
        raise CannotEdit(f"“{given}” is no length in cm", "Write it as 386.5, or ? where it was not measured")
    return given.rstrip("? ") + "?" if given.endswith("?") else given


def starts_it(from_left: str) -> bool:
    """Whether something put so far from the left end of its piece of wall leaves nothing there."""
    return _mm(from_left) == 0


def signed_mm(text: str) -> int:
    """How far something is moved: to the left where a minus stands before it. Raises CannotEdit."""
    given = _line(text).replace("\N{MINUS SIGN}", "-")
    return -_mm(given[1:]) if given.startswith("-") else _mm(given.lstrip("+"))


def _mm(text: str) -> int:
    found = 0 if _line(text) in ("0", "0.0") else parse_length(_line(text), "cm")
    if found is None:
        raise CannotEdit(f"“{_line(text)}” is no length in cm", "Write it as 95.5")
    return found


def _direction(runs: str) -> str:
    if runs not in set(Direction):
        raise CannotEdit(f"A wall runs {', '.join(Direction)}")
    return Direction(runs).value


FULL_TURN_DEG = 360
"""By definition."""


def _degrees(text: str) -> float:
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        found = -1.0
    if not 0 <= found <= FULL_TURN_DEG:
        raise CannotEdit("A slant is an angle from 0 to 360")
    return found
