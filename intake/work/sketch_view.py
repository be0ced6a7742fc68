"""A job's sketches with every number as it stands: what was read, what counts, and who said so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from intake.domain.lengths.notation import parse_length
from intake.domain.lengths.written import written_alike
from intake.domain.said.plan_numbers import (
    OPENING_KINDS,
    Numbering,
    opening_kinds,
    with_missed,
)
from intake.domain.sketch.settled import is_open_what_it_measures
from intake.model.examination import RoomExamination, Slip
from intake.model.phrase import phrase
from intake.model.picture import Picture
from intake.model.reading import (
    PEOPLE,
    SUM_MISSES,
    Alternative,
    Measures,
    OpeningKind,
    OutlineWall,
    Point,
    ReadNumber,
    Role,
)
from intake.model.reading import Box as Box
from intake.model.word import (
    AddedNumber,
    NumberWord,
    PlanNumber,
)
from intake.wording.desk import worded
from intake.work.job_file import JobFile

OnNumber = NumberWord | AddedNumber


class Trust(StrEnum):
    """How far a number on the sketch can be trusted."""

    ACCEPTED = "accepted"
    DOUBTFUL = "doubtful"
    CONFIRMED = "confirmed"
    """A designer or the customer said what it is."""
    DROPPED = "dropped"
    """A designer said that it is no length."""


@dataclass(frozen=True)
class NumberView:
    """One number on the sketch as it stands now. `text` is what counts, `read_as` what the reader read; `name` is what
    decisions call it."""

    index: int
    name: PlanNumber
    text: str
    value_mm: int | None
    read_as: str
    box: Box
    standing: Trust
    confidence: float
    alternatives: tuple[Alternative, ...]
    role: Role
    wall: int | None
    reader: str
    arithmetic: str
    by: str = ""
    """Who said what it says, or what it measures."""
    opening: OpeningKind | None = None
    """What the opening is, where a person said so or the drawing shows it."""
    at: datetime | None = None
    added: bool = False
    """A person saw it on the sketch; no reader did."""
    measures: Measures | None = None
    may_measure: tuple[Measures, ...] = ()
    stretch: tuple[Point, Point] | None = None
    """The ends of what it measures on the picture: of its stretch of wall, or of the whole wall."""
    fits: tuple[str, ...] = ()
    """What it would say for the sums to come out, written as it is, likeliest first."""

    @property
    def meanings(self) -> tuple[Measures, ...]:
        """What it may measure, likeliest first."""
        taken = self.measures
        return (*((taken,) if taken and len(taken.walls) < 2 else ()), *self.may_measure)


@dataclass(frozen=True)
class SketchView:
    """One sketch with its numbers."""

    picture: Picture
    width: int
    height: int
    unit: str
    numbers: tuple[NumberView, ...]
    corners: tuple[Point, ...] = ()
    """Where the walls read off it start and end."""
    findings: tuple[str, ...] = ()
    """What the reader says is wrong with it, in sentences."""
    words: tuple[Box, ...] = ()
    """Where the customer's words stand."""

    @property
    def doubtful(self) -> int:
        return sum(n.standing is Trust.DOUBTFUL for n in self.numbers)


def sketches_of(file: JobFile) -> tuple[SketchView, ...]:
    """The sketches of a job with their numbers as they stand now."""
    # Where a number was added, the word that added it is the first on it.
    said: dict[PlanNumber, OnNumber] = {w.number: w for w in file.words if isinstance(w, AddedNumber)}
    said |= {w.number: w for w in file.words if isinstance(w, NumberWord)}
    return tuple(_sketch(file, picture, said) for picture in file.pictures if picture.id in file.survey.read)


def _sketch(file: JobFile, picture: Picture, said: Mapping[PlanNumber, OnNumber]) -> SketchView:
    survey = file.survey
    numbering, now = survey.numbering(picture.id), survey.readings[picture.id]
    room = survey.examination() if picture.id == survey.sketch and survey.typed is None else None
    kinds = _drawn_openings(room) | opening_kinds(numbering, file.words)
    read = with_missed(picture.id, survey.read[picture.id], file.words)
    numbers = tuple(
        replace(
            number_view(n, was, number, numbering, said.get(numbering.name(n)), read.unit),
            stretch=_stretch(number, now.outline.walls),
            opening=kinds.get(n) if number.role is Role.OPENING else None,
            fits=_fitting(n, number, room.slips if room else ()),
            arithmetic=what_sums_say(number, room),
        )
        for n, (was, number) in enumerate(zip(read.numbers, now.numbers, strict=True))
    )
    corners = tuple(point for wall in read.outline.walls for point in (wall.start, wall.end))
    findings = tuple(worded(f.text) for f in read.findings)
    words = tuple(box for _, box in read.words)
    return SketchView(picture, read.width, read.height, read.unit, numbers, corners, findings, words)


def _drawn_openings(room: RoomExamination | None) -> dict[int, OpeningKind]:
    """What the openings of the room that is drawn from a sketch are, by the index of the number that is the width."""
    sections = [s for w in room.survey.walls for s in w.sections] if room else []
    return {
        s.length.number: OpeningKind(s.kind.value)
        for s in sections
        if s.length.number is not None and s.kind.value in OPENING_KINDS
    }


def what_sums_say(number: ReadNumber, room: RoomExamination | None) -> str:
    """What the sums said of a number when it was read; not that one does not come out once the room closes."""
    said = number.arithmetic
    mended = room is not None and room.closes and said is not None and said.key == SUM_MISSES
    return worded(NOW_FITS if mended else said)


def _fitting(index: int, number: ReadNumber, slips: Sequence[Slip]) -> tuple[str, ...]:
    would_be = [s.would_be_mm for s in slips if s.number == index and (s.would_be_mm or 0) > 0]
    found = (written_alike(number.text, number.value_mm, mm) for mm in would_be if mm is not None)
    return tuple(dict.fromkeys(found))


NOW_FITS = phrase("sums-fit-now")
MEANINGS = 3
"""So many other meanings of a number are offered."""
LIKELY = 0.02
"""Other readings less likely than this are not offered."""


def number_view(
    index: int, read: ReadNumber, now: ReadNumber, numbering: Numbering, word: OnNumber | None, unit: str
) -> NumberView:
    """A number as it was read, or added, and as it stands `now`, with the word that changed it last."""
    dropped = isinstance(word, NumberWord) and word.not_a_number
    return NumberView(
        index=index,
        name=numbering.name(index),
        text=now.text,
        value_mm=now.value_mm,
        read_as=read.text,
        box=read.box,
        standing=_standing(now, dropped),
        confidence=read.confidence,
        alternatives=_other_texts(read, unit),
        role=now.role,
        wall=now.wall,
        reader=read.reader,
        arithmetic=worded(now.arithmetic),
        by=word.by if word else f"the {now.reader}" if now.reader in PEOPLE else "",
        at=word.at if word else None,
        added=index >= numbering.read,
        measures=now.measures,
        may_measure=tuple(m for m in now.may_measure if m.chance >= LIKELY and len(m.walls) < 2)[:MEANINGS],
    )


def _stretch(number: ReadNumber, walls: Sequence[OutlineWall]) -> tuple[Point, Point] | None:
    wall = next((w for w in walls if w.wall == number.wall), None)
    if wall is None or number.role not in (Role.SECTION, Role.OPENING, Role.OVERALL):
        return None
    low, high = number.span or (0.0, 1.0)
    (xa, ya), (xb, yb) = wall.start, wall.end
    return (xa + (xb - xa) * low, ya + (yb - ya) * low), (xa + (xb - xa) * high, ya + (yb - ya) * high)


def _other_texts(read: ReadNumber, unit: str) -> tuple[Alternative, ...]:
    """What else the ink may say, likeliest first; one text a length, however it is written."""
    by_length: dict[int, Alternative] = {}
    for other in sorted(read.alternatives, key=lambda a: -a.confidence):
        value = parse_length(other.text, unit)
        if value is not None and value != read.value_mm and other.confidence >= LIKELY:
            by_length.setdefault(value, other)
    return tuple(by_length.values())


def _standing(now: ReadNumber, dropped: bool) -> Trust:
    if dropped:
        return Trust.DROPPED
    if is_open_what_it_measures(now):
        return Trust.DOUBTFUL
    if now.reader in PEOPLE:
        return Trust.CONFIRMED
    return Trust.ACCEPTED if now.accepted else Trust.DOUBTFUL
