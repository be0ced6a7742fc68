"""Whether a job is ready to design: the one place that decides it."""

from __future__ import annotations

from collections.abc import Sequence

from intake.model.checklist import ItemStanding, ItemState
from intake.model.examination import RoomExamination
from intake.model.finding import Finding
from intake.model.need import Need
from intake.model.reading import Role, SketchReading
from intake.model.room import Section, SectionKind

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
    blocking item is settled for every window, and no word of the customer's waits for a person.
    """
    waiting = [Finding(f"waits-{n.kind}", n.why) for n in needs]
    lacking = [
        Finding(f"item-{s.state}", s.reason) for s in standings if s.item.blocking and s.state in _OPEN
    ]
    return (*waiting, *_of_the_room(examination, plan), *lacking, *_of_windows(standings, examination))


def _of_the_room(examination: RoomExamination | None, plan: SketchReading | None) -> list[Finding]:
    """A designer's word on an item lifts neither: a length that is doubtful is settled as a length."""
    found = []
    if examination is not None and examination.closes is False:
        found.append(Finding("does-not-close", "The room does not close."))
    doubtful = tuple(
        i for i, n in enumerate(plan.numbers if plan else ()) if n.role in BEARING and not n.accepted
    )
    if doubtful:
        found.append(Finding("number-in-doubt", "A length on the walls is not certain.", doubtful))
    return found


def _of_windows(standings: Sequence[ItemStanding], examination: RoomExamination | None) -> list[Finding]:
    """With several windows, one height answers for one of them."""
    windows = (
        [s for w in examination.survey.walls for s in w.sections if s.kind is SectionKind.WINDOW]
        if examination
        else []
    )
    if len(windows) < 2:
        return []
    present = {s.item.id: s for s in standings if s.item.blocking and s.state is ItemState.PRESENT}
    return [
        Finding(
            f"{item}-of-each-window",
            f"{present[item].item.title}: not told for each of the {len(windows)} windows.",
        )
        for item, names in _OF_A_WINDOW.items()
        if item in present and not _told_for_each(present[item], windows, names)
    ]


def _told_for_each(standing: ItemStanding, windows: Sequence[Section], names: Sequence[str]) -> bool:
    placed = all(any(getattr(w, n) is not None for n in names) for w in windows)
    lengths = sum(not e.doubt and e.value_mm is not None for e in standing.evidence)
    return placed or lengths >= len(windows)
