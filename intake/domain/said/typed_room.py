"""What a designer typed, a whole room or single heights, says to the items of a checklist."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from intake.domain.room.naming import cm
from intake.model.checklist import Checklist, ChecklistItem, EvidenceKind, ItemEvidence
from intake.model.phrase import Phrase, phrase
from intake.model.reading import Role
from intake.model.room import OPENINGS, Measurement, RoomSurvey, Section, SectionKind
from intake.model.word import HeightWord

Typed = Mapping[str, tuple[ItemEvidence, ...]]
"""Evidence by the id of the item."""


def evidence_of_room(survey: RoomSurvey, checklist: Checklist) -> Typed:
    """What a room typed whole says: every length of it, and a doubt for each that is not there.

    Every item that lengths answer is in it, so that nothing read off the sketch counts beside it.
    """
    lengths = dict(_lengths(survey))
    found = {
        item.id: tuple(e for role in item.roles for e in lengths.get(role, ()))
        for item in checklist.items
        if EvidenceKind.NUMBER in item.evidence
    }
    fixed = {i.id: tuple(_fixed(survey, i)) for i in checklist.items if not i.range_mm and i.words}
    return found | {item: (*found.get(item, ()), *evidence) for item, evidence in fixed.items() if evidence}


def evidence_of_heights(told: Sequence[HeightWord]) -> Typed:
    """What single heights that a designer typed say, by the item of their role."""
    by_item: dict[str, tuple[ItemEvidence, ...]] = {}
    for height in told:
        said = ItemEvidence(
            EvidenceKind.DESIGNER,
            phrase("height-typed", length=cm(height.value_mm)),
            value_mm=height.value_mm,
        )
        by_item[height.role.value] = (*by_item.get(height.role.value, ()), said)
    return by_item


def _lengths(survey: RoomSurvey) -> Iterator[tuple[str, list[ItemEvidence]]]:
    sections = [s for w in survey.walls for s in w.sections]
    yield Role.SECTION, [_evidence_of(s.length) for s in sections if s.kind not in OPENINGS]
    yield Role.OPENING, [_evidence_of(s.length) for s in sections if s.kind in OPENINGS]
    yield Role.OVERALL, [_evidence_of(o) for w in survey.walls for o in w.overalls]
    yield Role.CEILING, [_evidence_of(c) for c in survey.ceilings]
    windows = [s for s in sections if s.kind is SectionKind.WINDOW]
    yield Role.SILL, [e for s in windows for e in _height(s, "sill", s.sill or s.worktop_to_sill)]
    yield Role.HEAD, [e for s in windows for e in _height(s, "top", s.top_above_floor or s.top_above_sill)]
    yield Role.REVEAL, [e for s in windows for e in _height(s, "reveal", s.reveal)]
    fixed = [m for f in survey.fixed for m in (f.from_left, f.from_right, f.height, f.width, f.tall, f.depth)]
    yield Role.FIXTURE, [_evidence_of(m) for m in fixed if m is not None and m.value_mm is not None]
    yield Role.UNKNOWN, [_evidence_of(a.length) for a in survey.across]


def _evidence_of(measured: Measurement, name: Phrase | None = None) -> ItemEvidence:
    what = name or measured.id
    if measured.value_mm is None:
        missing = phrase("no-length-typed", what=what)
        return ItemEvidence(EvidenceKind.DESIGNER, missing, doubt=missing)
    length, doubt = cm(measured.value_mm), None
    text = phrase("length-typed", what=what, length=length)
    if not measured.accepted:
        text = phrase("length-doubtful", what=what, length=length)
        doubt = phrase("length-read-only", what=what, length=length)
    return ItemEvidence(EvidenceKind.DESIGNER, text, value_mm=measured.value_mm, doubt=doubt)


def _height(window: Section, name: str, measured: Measurement | None) -> Iterator[ItemEvidence]:
    """One piece of evidence a window. A sill in two parts counts by its sum."""
    if measured is None:
        missing = phrase(f"window-without-{name}", window=window.length.id)
        yield ItemEvidence(EvidenceKind.DESIGNER, missing, doubt=missing)
    elif measured is window.worktop_to_sill and window.worktop is not None:
        parts = window.worktop.value_mm, measured.value_mm
        whole = sum(p or 0 for p in parts) if None not in parts else None
        sure = measured.accepted and window.worktop.accepted
        both = Measurement(measured.id, measured.text, whole, accepted=sure)
        yield _evidence_of(both, phrase("worktop-and-sill", window=window.length.id))
    else:
        yield _evidence_of(measured)


def _fixed(survey: RoomSurvey, item: ChecklistItem) -> Iterator[ItemEvidence]:
    """A fixed thing that bears the item's name shows where it is, where its wall is told."""
    for thing in survey.fixed:
        if thing.wall is not None and " ".join(thing.name.lower().split()) in item.words:
            said = phrase("thing-typed", thing=thing.name, wall=survey.walls[thing.wall].letter)
            yield ItemEvidence(EvidenceKind.DESIGNER, said)
