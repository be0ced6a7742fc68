"""What of a letter's questions a designer may settle with one look: at a number's ink, or at an opening."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.survey.asking import at_one_look
from intake.domain.survey.openings import openings_in_doubt, said_of
from intake.model.checklist import ItemStanding
from intake.model.letter import Ask
from intake.model.need import Need, NeedKind
from intake.model.phrase import phrase
from intake.wording.desk import worded
from intake.work.job_file import JobFile


def numbers_to_look_at(file: JobFile, asks: Sequence[Ask]) -> list[Need]:
    """The numbers that a letter would ask about."""
    readings = file.survey.readings
    why = phrase("need-one-look")
    return [
        Need(NeedKind.LOOK, readings[a.picture].numbers[a.number or 0].text, why, f"{a.picture}#{a.number}")
        for a in at_one_look(asks, readings)
    ]


def openings_to_look_at(file: JobFile, standings: Sequence[ItemStanding]) -> list[Need]:
    """What a letter would ask about doors and windows, but what a designer has looked at and cannot tell."""
    survey, room = file.survey, file.survey.examination()
    if room is None or survey.plan is None:
        return []
    why = phrase("need-look-at-openings")
    found = [
        Need(NeedKind.OPENING, worded(said_of(room.survey, one)), why, survey.sketch)
        for one in openings_in_doubt(room, survey.plan, standings)
    ]
    return [n for n in found if n.key not in file.seen]
