"""Reading a hand-typed room file: YAML or JSON, into plain data for domain/room/room_file.py."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import yaml

from intake.model.errors import IntakeError, NotFound

LARGEST_BYTES = 1_000_000
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
    """The same from the bytes of a file or a form; `name` says what it is, JSON where it ends so."""
    if len(raw) > LARGEST_BYTES:
        raise IntakeError(f"{name} is larger than a room file can be", "Check that it is the right file")
    try:
        data = json.loads(raw) if name.lower().endswith(".json") else yaml.load(raw, _NoAliases)
    except (ValueError, yaml.YAMLError, RecursionError) as error:
        raise IntakeError(
            f"{name} is not valid: {_first_line(error)}", "Correct the file and try again"
        ) from error
    if not isinstance(data, dict):
        raise IntakeError(f"{name} holds no room", "docs/room-file.md shows what a room file looks like")
    return data


class _NoAliases(yaml.SafeLoader):
    """Aliases let a short file stand for an endless one; a room file needs none."""

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        if self.check_event(yaml.events.AliasEvent):
            raise yaml.YAMLError("aliases (*name) are not used in a room file")
        return super().compose_node(parent, index)


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0] if str(error) else type(error).__name__
