"""Suspected slips in words: one sentence for the designer, one question for the customer."""

from __future__ import annotations

from intake.domain.lengths.written import written_alike
from intake.domain.room import catalogue
from intake.domain.room.naming import cm, find_reading, reading_phrase, said, wall_phrase
from intake.domain.room.slips import Suspect
from intake.model.room import RoomSurvey, Slip

WHY = {
    catalogue.TEN_TIMES: "written in millimetres, or with its point lost: a tenth fits",
    catalogue.METRES: "written in metres among centimetres",
    catalogue.LOST_DIGIT: "a digit was left out or lost",
    catalogue.FEET: "written in feet and inches",
    catalogue.INCHES: "measured in inches",
    catalogue.SWAPPED: "two digits changed places",
    catalogue.MISREAD: "one digit misread or miswritten",
    catalogue.METRE_OUT: "the tape was read a metre, a decimetre or a foot out",
    catalogue.TWICE: "it takes in another section of the wall as well",
    catalogue.ARCHITRAVE: "measured to the other edge of the architrave",
}


def slip_of(room: RoomSurvey, suspect: Suspect) -> Slip:
    """A suspect as a slip, worded."""
    measurement = find_reading(room, suspect.reading) if suspect.reading else None
    explanation, question = _of_reading(room, suspect) if measurement else _of_wall(room, suspect)
    return Slip(
        kind=suspect.kind,
        wall=suspect.wall,
        reading=suspect.reading,
        number=measurement.number if measurement else None,
        read_mm=measurement.value_mm if measurement else None,
        would_be_mm=suspect.would_be_mm,
        probability=suspect.probability,
        explanation=explanation,
        question=question,
    )


def _of_reading(room: RoomSurvey, suspect: Suspect) -> tuple[str, str]:
    measurement = find_reading(room, suspect.reading)
    assert measurement is not None
    would_be = written_alike(measurement.text, measurement.value_mm, suspect.would_be_mm or 0)
    what = reading_phrase(room, suspect.reading)
    if suspect.kind in (catalogue.REPEATED, catalogue.NO_SECTION):
        why = "written a second time" if suspect.kind == catalogue.REPEATED else "a length of something else"
        return (
            f"{suspect.reading}: {said(measurement)} may be no section of its wall but {why}; without it the sums fit.",
            f"Is {said(measurement)} ({what}) a piece of the wall of its own? Without it your plan adds up.",
        )
    if suspect.kind == catalogue.OTHER:
        read = f"{suspect.reading}: read {said(measurement)}"
        if (suspect.would_be_mm or 0) <= 0:
            return f"{read}, and the rest leaves no length for it.", f"Please measure {what} once more."
        explanation = f"{read}, the rest says about {would_be}; no usual slip fits."
        return explanation, (
            f"Please measure {what} once more: we read {said(measurement)}, and the rest of your plan says about"
            f" {would_be}."
        )
    explanation = f"{suspect.reading}: read {said(measurement)}, {would_be} fits; {WHY[suspect.kind]}."
    if suspect.kind == catalogue.ARCHITRAVE:
        return explanation, (
            f"Please measure {what} once more, and tell us whether you measured to the inside or the outside of the"
            f" frame round the door: we read {said(measurement)}, and {would_be} would make the wall add up."
        )
    whole = "the wall add up" if _chained(room, suspect.wall) else "the room close"
    return explanation, (
        f"Please measure {what} once more: we read {said(measurement)}, and {would_be} would make {whole}."
    )


def _chained(room: RoomSurvey, wall: int | None) -> bool:
    """Whether a wall has sections to add up."""
    return wall is not None and len(room.walls[wall].sections) > 1


def _of_wall(room: RoomSurvey, suspect: Suspect) -> tuple[str, str]:
    wall = room.walls[suspect.wall or 0]
    name, size = wall_phrase(room, wall), cm(suspect.would_be_mm or 0)
    if suspect.kind == catalogue.MISSING:
        return (
            f"Wall {wall.letter}: a section of about {size} is missing from the chain.",
            f"Is there a piece of {name} without a measurement on it, a narrow nib or a door for instance? The pieces"
            f" come to about {size} less than they should.",
        )
    if suspect.kind == catalogue.BOXING:
        return (
            f"Wall {wall.letter}: {size} short against the rest though its own sums agree; measured to a boxing?",
            f"Was {name} measured right into both corners, or only to a boxing or pipes? It comes to about {size} less"
            f" than the room opposite.",
        )
    if suspect.kind == catalogue.RETURN:
        return (
            f"Wall {wall.letter}'s direction is {size} short: a return may be missing from the drawing.",
            f"Is there a step or a return in the wall, near {name}, that is not on your plan? About {size} is missing.",
        )
    return (
        f"Wall {wall.letter} differs from its opposite by {size} though both add up: the room may be out of square.",
        "Please measure the room from corner to corner, both ways, so that we can tell whether it is square: "
        f"{name} is about {size} shorter than the room opposite.",
    )
