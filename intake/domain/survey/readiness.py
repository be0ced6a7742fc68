"""Whether a job is ready to design: the one place that decides it."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.sketch.settled import is_open_what_it_measures
from intake.domain.survey.openings import openings_in_doubt, said_of
from intake.model.checklist import ItemStanding, ItemState
from intake.model.examination import RoomExamination
from intake.model.finding import Finding
from intake.model.need import Need
from intake.model.phrase import phrase
from intake.model.reading import Role, SketchReading
from intake.model.room import SectionKind, Wall

BEARING = frozenset({Role.SECTION, Role.OVERALL, Role.OPENING})
"""What a plan rests on: the lengths along its walls."""
_OF_A_WINDOW = {
    "sill-height": ("sill", "worktop_to_sill"),
    "head-height": ("top_above_floor", "top_above_sill"),
    "reveal-depth": ("reveal",),
}
_OPEN = (ItemState.MISSING, ItemState.DOUBTFUL)


def not_ready(
    standings: Sequence[ItemStanding],
    examination: RoomExamination | None,
    plan: SketchReading | None,
    needs: Sequence[Need] = (),
) -> tuple[Finding, ...]:
    """Everything that keeps a job from being ready to design, in order of weight; () where it is ready.

    `plan` is the reading that the room is drawn from with people's words laid over it, None where the room was typed or
    nothing was read. Ready means: the room closes or nothing can check it, every length on its walls is certain, every
    blocking item is settled for every window, it is told what the openings are, and no word of the customer's waits for
    a person.
    """
    waiting = [Finding(f"waits-{n.kind}", n.why) for n in needs]
    lacking = [
        Finding(f"item-{s.state}", s.reason) for s in standings if s.item.blocking and s.state in _OPEN
    ]
    openings = [
        Finding(one.kind, said_of(examination.survey, one))
        for one in openings_in_doubt(examination, plan, standings)
        if examination is not None
    ]
    return (
        *waiting,
        *_of_the_room(examination, plan),
        *openings,
        *lacking,
        *_of_windows(standings, examination),
    )


def _of_the_room(examination: RoomExamination | None, plan: SketchReading | None) -> list[Finding]:
    """A designer's word on an item lifts neither: a length that is doubtful is settled as a length."""
    found = []
    if examination is not None and examination.closes is False:
        found.append(Finding("does-not-close", phrase("room-open")))
    doubtful = tuple(
        i
        for i, n in enumerate(plan.numbers if plan else ())
        if (n.role in BEARING and not n.accepted) or is_open_what_it_measures(n)
    )
    if doubtful:
        found.append(Finding("number-in-doubt", phrase("length-in-doubt"), doubtful))
    return found


def _of_windows(standings: Sequence[ItemStanding], examination: RoomExamination | None) -> list[Finding]:
    """With several windows, one height answers for one of them."""
    count = len(_windows(examination))
    titles = {s.item.id: s.item.title for s in standings if s.item.blocking}
    return [
        Finding(f"{item}-of-each-window", phrase("not-of-each-window", what=titles[item], count=count))
        for item in of_some_windows(standings, examination)
        if item in titles
    ]


Window = tuple[Wall, int]
"""A wall and which of its sections is the window."""


def of_some_windows(
    standings: Sequence[ItemStanding], examination: RoomExamination | None
) -> dict[str, list[Window]]:
    """The heights that were told, yet not for each of several windows, by item, with the windows that have none."""
    windows = _windows(examination)
    present = {s.item.id: s for s in standings if s.state is ItemState.PRESENT}
    found = {}
    for item, names in _OF_A_WINDOW.items() if len(windows) > 1 else ():
        without = [(w, n) for w, n in windows if all(getattr(w.sections[n], name) is None for name in names)]
        if item in present and without and _lengths(present[item]) < len(windows):
            found[item] = without
    return found


def _windows(examination: RoomExamination | None) -> list[Window]:
    walls = examination.survey.walls if examination else ()
    return [(w, n) for w in walls for n, s in enumerate(w.sections) if s.kind is SectionKind.WINDOW]


def _lengths(standing: ItemStanding) -> int:
    return sum(not e.doubt and e.value_mm is not None for e in standing.evidence)
