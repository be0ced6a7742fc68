"""What to say of a suspected slip: one sentence for the designer, one question for the customer."""

from __future__ import annotations

from intake.domain.lengths.written import written_alike
from intake.domain.room.changes import Suspect
from intake.domain.room.naming import called, cm, find_reading, said
from intake.domain.room.phrases import reading_phrase, wall_phrase
from intake.model.examination import Slip, SlipKind
from intake.model.phrase import Phrase, phrase
from intake.model.room import Measurement, RoomSurvey

WHY = {
    SlipKind.TEN_TIMES: "written in millimetres, or with its point lost: a tenth fits",
    SlipKind.METRES: "written in metres among centimetres",
    SlipKind.LOST_DIGIT: "a digit was left out or lost",
    SlipKind.FEET: "written in feet and inches",
    SlipKind.INCHES: "measured in inches",
    SlipKind.SWAPPED: "two digits changed places",
    SlipKind.MISREAD: "one digit misread or miswritten",
    SlipKind.METRE_OUT: "the tape was read a metre, a decimetre or a foot out",
    SlipKind.TWICE: "it takes in another section of the wall as well",
    SlipKind.ARCHITRAVE: "measured to the other edge of the architrave",
}


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


def _of_reading(room: RoomSurvey, change: Suspect, measurement: Measurement) -> tuple[str, Phrase]:
    read = said(measurement)
    would_be = written_alike(measurement.text, measurement.value_mm, change.would_be_mm or 0)
    what, name = reading_phrase(room, change.reading), called(change.reading)
    name = name[:1].upper() + name[1:]
    if change.kind in (SlipKind.REPEATED, SlipKind.NO_SECTION):
        why = "written a second time" if change.kind is SlipKind.REPEATED else "a length of something else"
        explanation = f"{name}: {read} may be no section of its wall but {why}; without it the sums fit."
        return explanation, phrase("slip-no-section", read=read, what=what)
    if change.to is not None:
        return _of_another_wall(room, change, name, read, what)
    head = f"{name}: read {read}"
    if change.kind is SlipKind.OTHER and (change.would_be_mm or 0) <= 0:
        return f"{head}, and the rest leaves no length for it.", phrase("measure-once-more", what=what)
    key = _asked_by(room, change)
    why = f"the rest says about {would_be}; no usual slip fits"
    if change.kind is not SlipKind.OTHER:
        why = f"{would_be} fits; {WHY[change.kind]}"
    return f"{head}, {why}.", phrase(key, what=what, read=read, would_be=would_be)


def _of_another_wall(
    room: RoomSurvey, change: Suspect, name: str, read: str, what: Phrase
) -> tuple[str, Phrase]:
    """A number beside another wall than the one it measures, or two that have changed places."""
    wall = room.walls[change.to or 0]
    if other := find_reading(room, change.other):
        there, theirs = said(other), reading_phrase(room, change.other)
        text = (
            f"{name}: {read} may have changed places with {called(change.other)}: {there}; then the sums fit."
        )
        return text, phrase("slip-changed-places", read=read, what=what, there=there, other=theirs)
    text = f"{name}: {read} may be of wall {wall.letter}, though it stands beside another; there it fits."
    return text, phrase("slip-beside-another-wall", read=read, what=what, wall=wall_phrase(room, wall))


def _asked_by(room: RoomSurvey, change: Suspect) -> str:
    """The question that goes with a length that was read and another that fits."""
    if change.kind is SlipKind.OTHER:
        return "slip-other"
    if change.kind is SlipKind.ARCHITRAVE:
        return "slip-architrave"
    adds_up = change.wall is not None and len(room.walls[change.wall].sections) > 1
    return "slip-on-wall" if adds_up else "slip-in-room"


def _of_wall(room: RoomSurvey, change: Suspect) -> tuple[str, Phrase]:
    wall = room.walls[change.wall or 0]
    size = cm(change.would_be_mm or 0)
    explanations = {
        SlipKind.MISSING: f"Wall {wall.letter}: a section of about {size} is missing from the chain.",
        SlipKind.BOXING: f"Wall {wall.letter}: {size} short against the rest though its own sums agree; measured to a"
        " boxing?",
        SlipKind.RETURN: f"Wall {wall.letter}'s direction is {size} short: a return may be missing from the drawing.",
        SlipKind.SQUARE: f"Wall {wall.letter} differs from its opposite by {size} though both add up: the room may be"
        " out of square.",
    }
    question = phrase(f"slip-{change.kind}", wall=wall_phrase(room, wall), size=size)
    return explanations[change.kind], question
