"""Reads the checklists under config/checklists/ and refuses a wrong one with its file and line."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from intake.model.checklist import CAUTIONS, DRAWINGS, Checklist, ChecklistItem, EvidenceKind, RoomKind
from intake.model.errors import SettingsError
from intake.model.picture import Subject
from intake.model.reading import Role

SHARED = "every-room.yaml"
ROOMS = (RoomKind.KITCHEN, RoomKind.BEDROOM, RoomKind.BATHROOM)
EVIDENCE = (EvidenceKind.NUMBER, EvidenceKind.PICTURE, EvidenceKind.WORDS)
WORDS = ("title", "ask", "how", "why")
LISTS = ("evidence", "roles", "pictures", "words", "absent_words")
FLAGS = ("blocking", "may_be_absent", "one_value")
PLAIN = ("source", "caution", "drawing")
KEYS = ("id", *WORDS, *LISTS, *FLAGS, *PLAIN, "range_cm", "count")
CHOICES: dict[str, tuple[str, ...]] = {
    "evidence": EVIDENCE,
    "roles": tuple(Role),
    "pictures": tuple(Subject),
    "caution": CAUTIONS,
    "drawing": DRAWINGS,
}


@dataclass(frozen=True)
class _Node:
    """A YAML value with where it stands, so that a fault can be told by line."""

    path: Path
    node: yaml.Node

    @property
    def line(self) -> int:
        return int(self.node.start_mark.line) + 1

    def fault(self, what: str) -> SettingsError:
        return SettingsError(f"{self.path.name}, line {self.line}: {what}", f"Correct {self.path}")

    def value(self) -> Any:
        try:
            return yaml.SafeLoader("").construct_object(self.node, deep=True)
        except yaml.YAMLError as error:
            raise self.fault("plain words, numbers or lists are expected here") from error

    def entries(self) -> dict[str, _Node]:
        if not isinstance(self.node, yaml.MappingNode):
            raise self.fault("`key: value` lines are expected here")
        found: dict[str, _Node] = {}
        for key, value in self.node.value:
            name = str(key.value)
            if name in found:
                raise _Node(self.path, key).fault(f"{name!r} stands twice")
            # An empty value begins on a later line than its key; the key's line is where the reader looks.
            if value.start_mark.line > key.start_mark.line and not value.value:
                value.start_mark = key.start_mark
            found[name] = _Node(self.path, value)
        return found

    def elements(self) -> list[_Node]:
        if not isinstance(self.node, yaml.SequenceNode):
            raise self.fault("a list is expected here")
        return [_Node(self.path, n) for n in self.node.value]


_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The one in C, where PyYAML has it, takes an eighth of the time at each start."""
_Shared = dict[str, tuple[dict[str, _Node], _Node]]
"""The items of every-room.yaml by id: their keys, and the item itself for telling its line."""


def load_checklists(folder: Path) -> dict[RoomKind, Checklist]:
    """The checklists of every kind of room, in the order their items are asked for.

    RoomKind.UNKNOWN is held to the items of every-room.yaml. Raises SettingsError, one line naming file and
    line, for anything missing, unknown, doubled or out of range.
    """
    texts = (_read(folder / name) for name in (SHARED, *(f"{room}.yaml" for room in ROOMS)))
    return dict(_checklists(folder, *texts))


@lru_cache(maxsize=8)
def _checklists(folder: Path, of_all: str, *of_each: str) -> dict[RoomKind, Checklist]:
    """The same of what the files say: hundreds of showrooms share what came with the program."""
    shared: _Shared = {}
    for node in _items(_open(folder / SHARED, of_all), {"items"}):
        entries = node.entries()
        shared[_new_id(entries, node, shared)] = (entries, node)
    lists = {
        room: _checklist(folder / f"{room}.yaml", text, room, shared)
        for room, text in zip(ROOMS, of_each, strict=True)
    }
    lists[RoomKind.UNKNOWN] = Checklist(RoomKind.UNKNOWN, tuple(_item(*s) for s in shared.values()))
    return lists


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise SettingsError(
            f"There is no checklist {path}", "Put it back, or correct `checklists`"
        ) from error
    except UnicodeDecodeError as error:
        raise SettingsError(f"{path.name} is not UTF-8 text", f"Correct {path}") from error


def _open(path: Path, text: str) -> _Node:
    try:
        node = yaml.compose(text, Loader=_LOADER)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = f", line {mark.line + 1}" if mark else ""
        what = getattr(error, "problem", None) or "it is no YAML"
        raise SettingsError(f"{path.name}{line}: {what}", f"Correct {path}") from error
    if node is None:
        raise SettingsError(f"{path.name}, line 1: it is empty", f"Correct {path}")
    return _Node(path, node)


def _items(root: _Node, keys: set[str]) -> list[_Node]:
    entries = root.entries()
    for key, node in entries.items():
        if key not in keys:
            raise node.fault(f"there is no key {key!r} here, only {', '.join(sorted(keys))}")
    for key in sorted(keys - set(entries)):
        raise root.fault(f"{key!r} is missing")
    return entries["items"].elements()


def _checklist(path: Path, text: str, room: RoomKind, shared: _Shared) -> Checklist:
    root = _open(path, text)
    nodes = _items(root, {"room", "items"})
    named = root.entries()["room"]
    if named.value() != room:
        raise named.fault(f"room must be {room}, the name of the file")
    items: dict[str, ChecklistItem] = {}
    for node in nodes:
        entries = _chosen(node, shared)
        item_id = _new_id(entries, node, items)
        items[item_id] = _item(entries, node)
    return Checklist(room, tuple(items.values()))


def _chosen(node: _Node, shared: _Shared) -> dict[str, _Node]:
    """The keys of one item: its own over those of the shared item of the same id."""
    if isinstance(node.node, yaml.ScalarNode):
        if node.node.value not in shared:
            raise node.fault(f"there is no item {node.node.value!r} in {SHARED}")
        return shared[node.node.value][0]
    own = node.entries()
    shared_one = shared.get(str(own["id"].node.value)) if "id" in own else None
    return {**shared_one[0], **own} if shared_one else own


def _new_id(entries: dict[str, _Node], node: _Node, seen: dict[str, Any]) -> str:
    if "id" not in entries:
        raise node.fault("'id' is missing")
    item_id = str(entries["id"].value())
    if item_id in seen:
        raise node.fault(f"the item {item_id!r} stands twice")
    return item_id


def _item(entries: dict[str, _Node], node: _Node) -> ChecklistItem:
    for key, value in entries.items():
        if key not in KEYS:
            raise value.fault(f"there is no key {key!r} for an item; docs/checklists.md lists them")
    for key in (*WORDS, "evidence"):
        if key not in entries:
            raise node.fault(f"the item {entries['id'].value()!r} lacks {key!r}")
    if "range_cm" in entries and "source" not in entries:
        raise entries["range_cm"].fault("a range needs a 'source' (\"common practice, no source\" will do)")
    values: dict[str, Any] = {key: _text(entries[key]) for key in ("id", *WORDS)}
    values |= {key: _names(entries[key], CHOICES.get(key)) for key in LISTS if key in entries}
    values |= {key: _flag(entries[key]) for key in FLAGS if key in entries}
    values |= {key: _one_of(entries[key], CHOICES[key]) for key in ("caution", "drawing") if key in entries}
    if "range_cm" in entries:
        values |= {"range_mm": _range_mm(entries["range_cm"]), "range_source": _text(entries["source"])}
    if "count" in entries:
        values["count"] = _count(entries["count"])
    return ChecklistItem(**values)


def _text(node: _Node) -> str:
    value = node.value()
    if not isinstance(value, str) or not value.strip():
        raise node.fault("words are expected here")
    return " ".join(value.split())


def _one_of(node: _Node, allowed: tuple[str, ...]) -> str:
    """The one of these that it names: a member where they are an enum's."""
    text = _text(node)
    if text not in allowed:
        raise node.fault(f"{text!r} is not one of {', '.join(allowed)}")
    return allowed[allowed.index(text)]


def _names(node: _Node, allowed: tuple[str, ...] | None) -> tuple[str, ...]:
    elements = node.elements()
    if not elements:
        raise node.fault("the list is empty")
    return tuple(_one_of(element, allowed) if allowed else _text(element) for element in elements)


def _flag(node: _Node) -> bool:
    value = node.value()
    if not isinstance(value, bool):
        raise node.fault("true or false is expected here")
    return value


def _count(node: _Node) -> int:
    value = node.value()
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 50:
        raise node.fault("a whole number from 1 to 50 is expected here")
    return value


def _range_mm(node: _Node) -> tuple[int, int]:
    values = [element.value() for element in node.elements()]
    if len(values) != 2 or any(isinstance(v, bool) or not isinstance(v, int | float) for v in values):
        raise node.fault("a range is two numbers in centimetres, [from, to]")
    low, high = (round(v * 10) for v in values)
    if not 0 <= low < high:
        raise node.fault(f"the range runs from {values[0]} to {values[1]}; the first must be the smaller")
    return low, high
