"""What of a letter's questions a designer may settle with one look: at a number's ink, or at an opening."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from intake.domain.sketch.settled import is_open_what_it_measures
from intake.domain.survey.asking import at_one_look
from intake.domain.survey.openings import (
    OpeningDoubt,
    OpeningDoubtKind,
    openings_in_doubt,
    said_of,
    section_at,
)
from intake.model.checklist import ItemStanding
from intake.model.letter import Ask
from intake.model.need import Need, NeedKind
from intake.model.phrase import phrase
from intake.model.room import RoomSurvey
from intake.model.word import NeedSeen, StatementKind
from intake.store.letters import OUT
from intake.wording.desk import worded
from intake.work.job_file import JobFile

OF_ONE_OPENING = (OpeningDoubtKind.UNTOLD, OpeningDoubtKind.WAY_IN)
"""What is not told of one opening; the rest is of the room."""


def numbers_to_look_at(file: JobFile, asks: Sequence[Ask]) -> list[Need]:
    """The numbers that a letter would ask about."""
    readings = file.survey.readings
    why = phrase("need-one-look")
    return [
        Need(NeedKind.LOOK, readings[a.picture].numbers[a.number or 0].text, why, f"{a.picture}#{a.number}")
        for a in at_one_look(asks, readings)
    ]


def measures_to_look_at(file: JobFile) -> list[Need]:
    """The numbers of which a letter asked what they measure, and of which that is still open though the customer has
    written since; with their words to it. No look but the one that settles it does away with them."""
    if file.survey.typed is not None:
        return []
    answered = [
        k
        for k in file.letters
        if k.state in OUT and any(m.received_at > (k.sent_at or k.decided_at) for m in file.answerable)
    ]
    asked = ((a.picture, a.number) for k in answered for a in k.letter.asks if a.measures)
    return [
        _measures(file, picture, number)
        for picture, number in dict.fromkeys(asked)
        if number is not None and _is_open(file, picture, number)
    ]


def _is_open(file: JobFile, picture: str, number: int) -> bool:
    numbers = file.survey.readings[picture].numbers if picture in file.survey.readings else ()
    return number < len(numbers) and is_open_what_it_measures(numbers[number])


def _measures(file: JobFile, picture: str, number: int) -> Need:
    name = file.survey.numbering(picture).name(number)
    said = dict.fromkeys(s.text.strip() for s in file.survey.statements if s.number == name)
    why = phrase("need-measures", number=file.survey.readings[picture].numbers[number].text)
    return Need(NeedKind.MEASURES, " ".join(said), why, f"{picture}#{number}")


def place_of(picture: str, room: RoomSurvey, one: OpeningDoubt) -> str:
    """What is not told, by its sketch, its kind and the number or else the place of its opening: openings are counted
    anew where one of them is settled."""
    at = one.places[0] if one.places else None
    number = section_at(room, at).length.number if at else None
    if one.kind not in OF_ONE_OPENING or at is None:
        return f"{picture}#{one.kind}"
    where = f"{at[0]}.{at[1]}" if number is None else str(number)
    return f"{picture}#{one.kind} {where}"


def openings_to_look_at(file: JobFile, standings: Sequence[ItemStanding]) -> list[Need]:
    """What a letter would ask about doors and windows, but what a designer has looked at and cannot tell: unless the
    customer has answered since, and what they said may tell it."""
    survey, room = file.survey, file.survey.examination()
    if room is None or survey.plan is None:
        return []
    why = phrase("need-look-at-openings")
    found = [
        Need(
            NeedKind.OPENING,
            worded(said_of(room.survey, one)),
            why,
            place_of(survey.sketch, room.survey, one),
        )
        for one in openings_in_doubt(room, survey.plan, standings)
    ]
    answered = answered_in_vain(file)
    return [n for n in found if n.key not in file.seen or _seen_before(file, n, answered)]


def answered_in_vain(file: JobFile) -> datetime | None:
    """When the customer last answered a letter that asks what an opening is in words that a person had, or has, to
    read; None where they have not."""
    asked = [
        k.sent_at or k.decided_at
        for k in file.letters
        if k.state in OUT and any(ask.opening is not None for ask in k.letter.asks)
    ]
    doubted = {s.message for s in file.survey.statements if s.kind is StatementKind.DOUBTFUL}
    keys = [*file.seen, *(n.key for n in file.needs)]
    return max(
        (
            m.received_at
            for m in file.messages
            if m.counts and asked and m.received_at > min(asked)
            if m.key in doubted or any(f" {m.key} " in key for key in keys)
        ),
        default=None,
    )


def _seen_before(file: JobFile, need: Need, moment: datetime | None) -> bool:
    """Whether the last look at what waits was before a moment."""
    looks = [w.at for w in file.words if isinstance(w, NeedSeen) and w.need == need.key and w.at]
    return moment is not None and bool(looks) and max(looks) < moment
