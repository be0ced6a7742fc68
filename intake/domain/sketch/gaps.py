"""Openings that are drawn and not measured: which of them the numbers leave room for.

A pencil that skips leaves a gap in a wall that looks like a doorway, and people draw a door where they have measured
the wall as a whole. Where the rest of the plan leaves such an opening less than a door needs, it is no section of its
own: it would hide a slip, or be asked of the customer for nothing. Nor is what is drawn narrower than any opening.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from statistics import median

from intake.domain.lengths.plausible import LEAST_OPENING_MM
from intake.domain.room.adjusting import UNCHECKED
from intake.domain.room.net_building import fitted
from intake.domain.room.placing import place_adjusted
from intake.domain.room.posterior import judged
from intake.domain.room.soundness import check_sound
from intake.model.examination import Basis, PlacedRoom, PlacedWall
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import SketchReading, Span
from intake.model.room import OPENINGS, RoomSurvey, Section, Wall

DRAWN_NARROW = 0.7
"""An opening may be drawn narrower than it is by this much: plans are not drawn to scale (with 1.0 of 347 clean
validation plans 298 close instead of 300, with 0.7 a slip of 91 more is listed than without any such rule)."""


def without_room(room: RoomSurvey) -> dict[int, list[Span]]:
    """By wall (its index in the room), where openings are drawn that the numbers leave no room for, or too narrow."""
    if not any(_is_drawn_only(s) for w in room.walls for s in w.sections):
        return {}
    narrow = _too_narrow(room)
    room = replace(room, walls=tuple(_without(w, narrow.get(w.index, ())) for w in room.walls))
    sound, faults = check_sound(room)
    if not sound.walls or any(f.code.startswith("too-many") for f in faults):
        return narrow
    placed = place_adjusted(sound, *fitted(sound), frozenset())
    whole = _measured_whole(room, placed)
    found = {
        wall.index: [*narrow.get(wall.index, ()), *(whole.get(wall.index) or _without_room(wall, laid))]
        for wall, laid in zip(room.walls, placed.walls, strict=True)
    }
    return {wall: spans for wall, spans in found.items() if spans}


def _measured_whole(room: RoomSurvey, placed: PlacedRoom) -> dict[int, list[Span]]:
    """By wall the drawn openings that are part of its one number: nothing else says how long these walls are, their
    numbers suit the rest of the drawing better as whole walls than as parts, and as whole walls the room closes and
    each is checked. (Two piers as long as one another beside two garden doors make a room close too.)"""
    scale = _drawing_scale(room)
    found = {
        wall.index: [s.share for s in wall.sections if _is_drawn_only(s) and s.share is not None]
        for wall, laid in zip(room.walls, placed.walls, strict=True)
        if laid.basis is Basis.ASSUMED and _suits_whole(wall, scale)
    }
    if not found:
        return {}
    tried, _ = check_sound(
        replace(room, walls=tuple(_without(w, found.get(w.index, ())) for w in room.walls))
    )
    net, adjustment = fitted(tried)
    checked = {
        e.reading
        for e, r in zip(net.equations, adjustment.redundancy, strict=True)
        if r > UNCHECKED and e.reading
    }
    mine = {s.length.id for w in tried.walls if w.index in found for s in w.sections}
    return found if mine <= checked and judged(tried, net, adjustment).closes else {}


def _suits_whole(wall: Wall, scale: float) -> bool:
    """Whether a wall has one number, and drawn openings beside it, and the number, by so many millimetres a unit of the
    drawing, is rather the whole wall's than that of the part that is left beside them."""
    numbers = [s.length.value_mm for s in wall.sections if not _is_drawn_only(s)]
    opened = sum(s.share[1] - s.share[0] for s in wall.sections if _is_drawn_only(s) and s.share)
    if len(numbers) != 1 or not numbers[0] or not 0.0 < opened < 1.0 or not scale:
        return False
    drawn = wall.drawn * scale
    return abs(math.log(numbers[0] / drawn)) < abs(math.log(numbers[0] / (drawn * (1.0 - opened))))


def _without(wall: Wall, spans: Sequence[Span]) -> Wall:
    kept = (s for s in wall.sections if not (_is_drawn_only(s) and s.share in spans))
    return replace(wall, sections=tuple(kept))


def _too_narrow(room: RoomSurvey) -> dict[int, list[Span]]:
    """The openings that are drawn narrower than any is, both by the lengths beside them and by those of the whole room;
    a slip of one length makes one of these wrong."""
    whole = _drawing_scale(room)
    found: dict[int, list[Span]] = {}
    for wall in room.walls:
        scale = max(whole, median([*_scales(wall)] or [0.0]))
        for low, high in (s.share for s in wall.sections if _is_drawn_only(s) and s.share is not None):
            if 0.0 < (high - low) * wall.drawn * scale < DRAWN_NARROW * LEAST_OPENING_MM:
                found.setdefault(wall.index, []).append((low, high))
    return found


def _drawing_scale(room: RoomSurvey) -> float:
    """Millimetres a unit of the drawing, by all lengths; 0 where there is none."""
    return median([scale for wall in room.walls for scale in _scales(wall)] or [0.0])


def _scales(wall: Wall) -> Iterator[float]:
    """Millimetres a unit of the drawing, by each length of a wall."""
    for section in wall.sections:
        if section.share is not None and section.length.value_mm and section.share[1] > section.share[0]:
            yield section.length.value_mm / ((section.share[1] - section.share[0]) * max(wall.drawn, 1.0))
    yield from (o.value_mm / max(wall.drawn, 1.0) for o in wall.overalls if o.value_mm)


def _without_room(wall: Wall, laid: PlacedWall) -> Iterator[Span]:
    """The narrowest of a wall's drawn openings, as many as do not fit; none of a wall of nothing else. Of a wall whose
    length is only guessed, those that the guess leaves less than an opening."""
    drawn = [s for s in wall.sections if _is_drawn_only(s)]
    others = [s.length.value_mm for s in wall.sections if not _is_drawn_only(s)]
    if not drawn or not others or None in others:
        return
    if laid.basis is Basis.ASSUMED:
        for section, spot in zip(wall.sections, laid.sections, strict=True):
            if _is_drawn_only(section) and section.share and spot.end_mm - spot.start_mm < LEAST_OPENING_MM:
                yield section.share
        return
    left = laid.length_mm - sum(value or 0 for value in others)
    room_for = max(0, left // LEAST_OPENING_MM)
    shares = [s.share for s in drawn if s.share is not None]
    yield from sorted(shares, key=lambda span: span[0] - span[1])[room_for:]


def _is_drawn_only(section: Section) -> bool:
    return section.kind in OPENINGS and section.length.number is None and section.share is not None


def left_out(reading: SketchReading, walls: dict[int, list[Span]]) -> SketchReading:
    """The reading without the openings of some walls (by their numbers), each wall with a finding that says so."""
    features = tuple(
        f for f in reading.outline.features if f.wall is None or f.span not in walls.get(f.wall, ())
    )
    return replace(reading, outline=replace(reading.outline, features=features))


def said(letters: list[str]) -> tuple[Finding, ...]:
    """A finding for each wall that lost a drawn opening."""
    return tuple(
        Finding("opening-has-no-room", phrase("opening-has-no-room", wall=letter)) for letter in letters
    )
