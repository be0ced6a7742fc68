"""The examined room as plain data: lengths are integer millimetres in keys that end in `_mm`."""

from __future__ import annotations

import dataclasses
from enum import Enum
from typing import Any

from intake.model.room import RoomExamination


def plan_json(examination: RoomExamination) -> dict[str, Any]:
    """One JSON-ready document of everything on the drawings."""
    out: dict[str, Any] = _plain(dataclasses.asdict(examination))
    return out


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {
            k: round(v) if k.endswith("_mm") and isinstance(v, float) else _plain(v) for k, v in value.items()
        }
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value.value if isinstance(value, Enum) else value
