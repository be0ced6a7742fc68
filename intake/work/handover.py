"""What leaves with a job: the drawings, and the pack for whoever designs the room."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Protocol

from intake.model.room import RoomExamination


@dataclass(frozen=True)
class Caption:
    """What stands under a drawing."""

    job: str
    customer: str
    room: str
    drawn_on: date


class Draughtsman(Protocol):
    """Draws a room."""

    def plan(self, examination: RoomExamination, caption: Caption) -> str:
        """The plan to scale as an SVG document."""
        ...

    def sheets(self, examination: RoomExamination, caption: Caption, ending: str) -> bytes:
        """All drawings as a file of that ending: .svg, .pdf, .dxf or .json."""
        ...
