"""A hand-typed room (plain data, as YAML or JSON gives it) into a room survey. docs/room-file.md shows the format."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.reading import Direction
from intake.model.room import (
    OVERALL_SIGMA_MM,
    SECTION_SIGMA_MM,
    Measurement,
    RoomSurvey,
    Section,
    SectionKind,
    Wall,
)
from intake.rules.notation import parse_length


def room_from_dict(data: Mapping[str, Any]) -> RoomSurvey:
    """The room; whatever cannot be understood is a finding of the survey, and the rest is kept."""
    unit = str(data.get("unit", "cm"))
    walls = []
    for i, w in enumerate(data.get("walls", ())):
        bare = Wall(i, Direction(w["direction"]))
        sections = []
        for n, s in enumerate(w.get("sections", ())):
            (kind, value), *_ = s.items() if isinstance(s, dict) else [("wall", s)]
            sections.append(Section(SectionKind(kind), _length(f"{bare.letter}{n + 1}", value, unit)))
        overall = (
            (_length(f"{bare.letter} overall", w["overall"], unit, OVERALL_SIGMA_MM),)
            if "overall" in w
            else ()
        )
        walls.append(Wall(i, bare.direction, tuple(sections), overall))
    findings: tuple[Finding, ...] = ()
    return RoomSurvey(
        RoomKind(data.get("room", "unknown")), str(data.get("title", "")), tuple(walls), findings=findings
    )


def _length(name: str, value: Any, unit: str, sigma: float = SECTION_SIGMA_MM) -> Measurement:
    return Measurement(name, str(value), parse_length(str(value), unit), sigma, taken_from="designer")
