"""Small makers of model values for these tests."""

from __future__ import annotations

from datetime import UTC, datetime

from intake.domain.mail.answering import answer, thread_of
from intake.model.answering import Answered
from intake.model.checklist import RoomKind
from intake.model.job import Job, JobState
from intake.model.message import Address, Message
from intake.model.phrase import as_said
from intake.model.picture import Picture, PictureFacts, PictureVerdict, Subject
from intake.model.reading import Alternative, ReadNumber, Role, SketchOutline, SketchReading

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
BOX = ((0.0, 0.0), (40.0, 0.0), (40.0, 16.0), (0.0, 16.0))
ANNA = Address("Anna Field", "anna@field.example")


def number(
    text: str,
    value_mm: int | None,
    role: Role,
    accepted: bool = True,
    others: tuple[tuple[str, float], ...] = (),
) -> ReadNumber:
    alternatives = tuple(Alternative(t, c) for t, c in others)
    return ReadNumber(text, value_mm, BOX, 0.99 if accepted else 0.5, accepted, alternatives, role)


def reading(*numbers: ReadNumber, words: tuple[str, ...] = ()) -> SketchReading:
    return SketchReading(
        1000, 800, "cm", numbers, SketchOutline((), True), words=tuple((w, BOX) for w in words)
    )


def whole_room(*further: ReadNumber) -> SketchReading:
    """A plan with everything that a kitchen's checklist wants from a plan, save what `further` replaces by role."""
    replaced = {n.role for n in further}
    usual = (
        number("386.5", 3865, Role.SECTION),
        number("95", 950, Role.SECTION),
        number("400", 4000, Role.OVERALL),
        number("120", 1200, Role.OPENING),
        number("236", 2360, Role.CEILING),
        number("103.5", 1035, Role.SILL),
        number("108", 1080, Role.HEAD),
        number("12", 120, Role.REVEAL),
    )
    return reading(*(n for n in usual if n.role not in replaced), *further)


def picture(
    name: str, subject: Subject, *verdicts: str, same_as: str = "", message: str = "<m1@field.example>"
) -> Picture:
    judged = tuple(PictureVerdict(code, as_said(f"it is {code}"), "picture-shrunk") for code in verdicts)
    return Picture(
        name,
        name,
        message,
        f"{name}.jpg",
        PictureFacts(),
        subject,
        0.9,
        "it looks so",
        same_as=same_as,
        verdicts=judged,
    )


def room_pictures(count: int) -> list[Picture]:
    return [picture(f"room{n}", Subject.ROOM) for n in range(count)]


def message(
    subject: str = "Our kitchen", *, sender: Address = ANNA, references: tuple[str, ...] = ()
) -> Message:
    return Message(
        "<m1@field.example>",
        "0" * 64,
        "<m1@field.example>",
        references[-1:],
        references,
        sender,
        (sender,),
        (),
        (),
        (),
        subject,
        NOW,
        NOW,
        "",
        "",
        (),
        (),
        "",
    )


def answered(references: tuple[str, ...] = ()) -> Answered:
    """What a letter in answer to the message answers."""
    return answer(thread_of(message(references=references), frozenset()), "Our kitchen", vouched=True)


def job(room: RoomKind = RoomKind.KITCHEN) -> Job:
    return Job("R-7K2M4", room, JobState.ARRIVING, ANNA, (ANNA.email,), NOW, NOW)
