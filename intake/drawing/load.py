"""Reading a hand-typed room file: YAML or JSON, into plain data for domain/room/room_file.py."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import yaml

from intake.domain.room.room_file import Lined, LinedList
from intake.model.errors import IntakeError, NotFound

LARGEST_BYTES = 1_000_000
"""A room file is a few kilobytes (a guard against what is none)."""
ENDINGS = (".yaml", ".yml", ".json")


def load_room_file(path: Path) -> dict[str, Any]:
    """The file's top-level mapping. Raises NotFound or IntakeError with one plain line that says what to do."""
    if path.suffix.lower() not in ENDINGS:
        raise IntakeError(f"{path.name}: not a room file", f"Use one of {', '.join(ENDINGS)}")
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise NotFound(f"{path} cannot be read ({error.strerror})", "Check the name") from error
    return parse_room_text(raw, path.name)


def parse_room_text(raw: bytes, name: str) -> dict[str, Any]:
    """The same from the bytes of a file or a form; `name` says what it is, JSON where it ends so.

    The mapping knows the lines of its keys (YAML) and which were given twice."""
    if len(raw) > LARGEST_BYTES:
        raise IntakeError(f"{name} is larger than a room file can be", "Check that it is the right file")
    try:
        is_json = name.lower().endswith(".json")
        data = json.loads(raw, object_pairs_hook=_pairs) if is_json else yaml.load(raw, _NoAliases)
    except (ValueError, yaml.YAMLError, RecursionError) as error:
        raise IntakeError(f"{name} is not valid: {_what(error)}", "Correct the file and try again") from error
    if not isinstance(data, dict):
        raise IntakeError(f"{name} holds no room", "docs/room-file.md shows what a room file looks like")
    return data


def _pairs(pairs: list[tuple[str, Any]]) -> Lined:
    found = Lined()
    for key, value in pairs:
        found.give(key, value)
    return found


class _NoAliases(yaml.SafeLoader):
    """Aliases let a short file stand for an endless one; a room file needs none."""

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        if self.check_event(yaml.events.AliasEvent):
            event = self.peek_event()  # type: ignore[no-untyped-call]
            words = "aliases (*name) are not used in a room file"
            raise yaml.composer.ComposerError(None, None, words, event.start_mark)
        return super().compose_node(parent, index)

    def lined_map(self, node: yaml.MappingNode) -> Lined:
        found = Lined()
        for key_node, value_node in node.value:
            key = self.construct_object(key_node, deep=True)
            if isinstance(key, list | dict):
                raise yaml.constructor.ConstructorError(
                    None, None, "a key must be a word", key_node.start_mark
                )
            found.give(key, self.construct_object(value_node, deep=True), key_node.start_mark.line + 1)
        return found

    def lined_list(self, node: yaml.SequenceNode) -> LinedList:
        found = LinedList(self.construct_object(child, deep=True) for child in node.value)
        found.lines = tuple(child.start_mark.line + 1 for child in node.value)
        return found


_NoAliases.add_constructor("tag:yaml.org,2002:map", _NoAliases.lined_map)
_NoAliases.add_constructor("tag:yaml.org,2002:seq", _NoAliases.lined_list)


def _what(error: Exception) -> str:
    """The parser's own words with the line they are about."""
    if isinstance(error, yaml.MarkedYAMLError) and error.problem_mark is not None:
        return f"line {error.problem_mark.line + 1}: {error.problem or error.context}"
    return str(error).splitlines()[0] if str(error) else type(error).__name__
