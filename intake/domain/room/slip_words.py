"""What to say of a suspected slip: an explanation for the designer, a question for the customer."""

from __future__ import annotations

from intake.domain.lengths.written import written_alike
from intake.domain.room.changes import Suspect
from intake.domain.room.naming import called, cm, find_reading, named, said
from intake.domain.room.net import usable
from intake.domain.room.phrases import reading_phrase, section_phrase, wall_phrase
from intake.model.examination import Slip, SlipKind
from intake.model.phrase import Phrase, phrase
from intake.model.room import Measurement, RoomSurvey


def slip_of(room: RoomSurvey, change: Suspect) -> Slip:
    """A suspected change as a slip, worded."""
    measurement = find_reading(room, change.reading) if change.reading else None
    explanation, question = _of_reading(room, change, measurement) if measurement else _of_wall(room, change)
    return Slip(
        kind=change.kind,
        wall=change.wall,
        reading=change.reading,
        number=measurement.number if measurement else None,
        read_mm=measurement.value_mm if measurement else None,
        would_be_mm=change.would_be_mm,
        probability=change.probability,
        explanation=explanation,
        question=question,
    )


def _of_reading(room: RoomSurvey, change: Suspect, measurement: Measurement) -> tuple[Phrase, Phrase]:
    read = said(measurement)
    would_be = written_alike(measurement.text, measurement.value_mm, change.would_be_mm or 0)
    what, name = reading_phrase(room, change.reading), called(change.reading)
    name = name[:1].upper() + name[1:]
    told = {"name": name, "read": read, "would_be": would_be}
    if change.kind is SlipKind.REPEATED and any(a.length.id == change.reading for a in room.astray):
        explanation = phrase("explained-counted-once", name=name, read=read)
        return explanation, phrase("slip-no-section", read=read, what=what)
    if change.kind in (SlipKind.REPEATED, SlipKind.NO_SECTION):
        explanation = phrase(f"explained-{change.kind}", name=name, read=read)
        return explanation, phrase("slip-no-section", read=read, what=what)
    if change.to is not None and change.sizes is None:
        if any((a.length.id, a.wall) == (change.reading, change.wall) for a in room.stand_elsewhere):
            what = wall_phrase(room, room.walls[change.wall or 0])
        return _of_another_wall(room, change, name, read, what)
    if change.kind is SlipKind.OTHER and (change.would_be_mm or 0) <= 0:
        return phrase("explained-no-length", name=name, read=read), phrase("measure-once-more", what=what)
    if change.to is not None:
        explanation = phrase("explained-of-another-wall-too", **told, wall=room.walls[change.to].letter)
        return explanation, phrase("slip-other", what=what, read=read, would_be=would_be)
    key = _asked_by(room, change)
    return phrase(f"explained-{change.kind}", **told), phrase(key, what=what, read=read, would_be=would_be)


def _of_another_wall(
    room: RoomSurvey, change: Suspect, name: str, read: str, what: Phrase
) -> tuple[Phrase, Phrase]:
    """A number beside another wall than the one it measures, or two that have changed places."""
    wall = room.walls[change.to or 0]
    if other := find_reading(room, change.other):
        there, theirs = said(other), reading_phrase(room, change.other)
        explanation = phrase(
            "explained-changed-places", name=name, read=read, other=called(change.other), there=there
        )
        return explanation, phrase("slip-changed-places", read=read, what=what, there=there, other=theirs)
    explanation = phrase("explained-another-wall", name=name, read=read, wall=wall.letter)
    return explanation, phrase("slip-beside-another-wall", read=read, what=what, wall=wall_phrase(room, wall))


def _asked_by(room: RoomSurvey, change: Suspect) -> str:
    """The question that goes with a length that was read and another that fits."""
    if change.kind is SlipKind.OTHER:
        return "slip-other"
    if change.kind is SlipKind.ARCHITRAVE:
        return "slip-architrave"
    adds_up = change.wall is not None and len(room.walls[change.wall].sections) > 1
    return "slip-on-wall" if adds_up else "slip-in-room"


def _of_wall(room: RoomSurvey, change: Suspect) -> tuple[Phrase, Phrase]:
    wall = room.walls[change.wall or 0]
    size = cm(change.would_be_mm or 0)
    for n, section in enumerate(wall.sections):
        if change.kind is SlipKind.MISSING and not usable(section.length):
            explanation = phrase("explained-left-out", what=named(section), size=size)
            return explanation, phrase("measure-once-more", what=section_phrase(room, wall, n))
    question = phrase(f"slip-{change.kind}", wall=wall_phrase(room, wall), size=size)
    return phrase(f"explained-{change.kind}", wall=wall.letter, size=size), question
