"""What the title block says."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from intake.model.room import RoomExamination

CAUTION = "From the customer's own measurements. Not for ordering: site survey required."


@dataclass(frozen=True)
class TitleBlock:
    """Words for the title block; anything may be empty. `drawn_on` is the day of the drawing, given by the caller."""

    showroom: str = ""
    job: str = ""
    customer: str = ""
    room: str = ""
    drawn_on: date | None = None


def titled(title: TitleBlock, examination: RoomExamination) -> TitleBlock:
    """The title block with the room's own name where the caller gave none."""
    return (
        title
        if title.room
        else replace(title, room=examination.survey.title or examination.survey.kind.value)
    )
