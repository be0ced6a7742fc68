"""What the title block says."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from datetime import date

from intake.model.examination import RoomExamination
from intake.model.room import RoomSurvey
from intake.wording.desk import worded

CAUTION = "From the customer's own measurements. Not for ordering: site survey required."


@dataclass(frozen=True)
class TitleBlock:
    """Words for the title block; anything may be empty. `drawn_on` is the day of the drawing, given by the caller.

    `revision` is the mark of what was drawn, `assumed` what is taken for granted of the corners; both are the
    examination's own where the caller gives none (`titled`)."""

    showroom: str = ""
    job: str = ""
    customer: str = ""
    room: str = ""
    drawn_on: date | None = None
    revision: str = ""
    assumed: str = ""
    logo: bytes = field(default=b"", repr=False)
    """The showroom's, a JPEG; b"" for none."""


def titled(title: TitleBlock, examination: RoomExamination) -> TitleBlock:
    """The title block with the room's own name, mark and squareness where the caller gave none."""
    survey = examination.survey
    return replace(
        title,
        room=title.room or survey.title or survey.kind.value,
        revision=title.revision or revision_of(survey),
        assumed=title.assumed or worded(examination.placed.squareness.text),
    )


def revision_of(survey: RoomSurvey) -> str:
    """A mark of six characters that changes with anything measured, told or decided: two prints that bear the same one
    show the same survey."""
    return hashlib.sha256(repr(survey).encode()).hexdigest()[:6].upper()
