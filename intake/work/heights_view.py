"""The heights of a room's openings and of its ceiling, as the desk shows them for a designer to type."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from intake.domain.lengths.notation import format_cm
from intake.model.reading import GivenBy, Role
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind
from intake.work.job_file import JobFile

_DOORS = (SectionKind.DOOR, SectionKind.DOORWAY)
GIVEN_BY = {GivenBy.CUSTOMER: "told", GivenBy.DESIGNER: "typed", GivenBy.SKETCH: "on the plan"}


@dataclass(frozen=True)
class HeightView:
    """One height: `place` names it for work/decide.type_heights, `said` is what stands for it now ("104 told"),
    `doubtful` that nobody has accepted that."""

    label: str
    place: str
    said: str
    doubtful: bool


@dataclass(frozen=True)
class HeightsRow:
    """One opening, or the ceiling. It has no heights where its width was not read: they are kept by that number."""

    title: str
    heights: tuple[HeightView, ...]


def heights_rows(file: JobFile, survey: RoomSurvey | None) -> tuple[HeightsRow, ...]:
    """A row for the ceiling and one for each opening; none where the room is typed by hand or was not read."""
    if survey is None or not survey.walls or file.survey.typed is not None:
        return ()
    ceiling = HeightView("height", str(Role.CEILING), *_who_said(survey.ceilings))
    tags = survey.opening_tags()
    rows = [
        HeightsRow(f"{tags[wall.index, n]}, wall {wall.letter}: {_name(section)}", _heights(section))
        for wall in survey.walls
        for n, section in enumerate(wall.sections)
        if (wall.index, n) in tags
    ]
    return (HeightsRow("Ceiling", (ceiling,)), *rows)


def _name(section: Section) -> str:
    wide = f"{format_cm(section.length.value_mm)} cm wide" if section.length.value_mm else "width not known"
    return f"{section.kind.value}, {wide}"


def _heights(section: Section) -> tuple[HeightView, ...]:
    number = section.length.number
    if number is None:
        return ()
    top = HeightView(
        "top", f"{Role.HEAD} {number}", *_who_said((section.top_above_floor or section.top_above_sill,))
    )
    if section.kind in _DOORS:
        return (top,)
    return (
        HeightView("sill", f"{Role.SILL} {number}", *_who_said((section.sill,))),
        top,
        HeightView("recess", f"{Role.REVEAL} {number}", *_who_said((section.reveal,))),
    )


def _who_said(measured: Sequence[Measurement | None]) -> tuple[str, bool]:
    """What stands now with who gave it, and whether that is doubtful."""
    known = [m for m in measured if m is not None and m.value_mm is not None]
    said = " and ".join(
        f"{format_cm(m.value_mm or 0)} {GIVEN_BY.get(m.taken_from, '')}".strip() for m in known
    )
    return said, any(not m.accepted for m in known)
