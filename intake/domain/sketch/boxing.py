"""Boxing along a wall, where words say so: "boxing", "Kasten", "coffrage" beside one of a wall's pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from intake.domain.sketch.drawn_openings import along, centre, feature_at
from intake.domain.sketch.told_openings import diagonal
from intake.domain.sketch.words_for_openings import names_boxing
from intake.model.reading import Feature, OutlineWall, Point, ReadNumber, SketchReading
from intake.model.room import SectionKind, Wall

NEAR = 0.12
"""Words are of boxing within this distance, in diagonals of the room."""
WIDEST_MM = 600
"""Boxing round pipes is no wider (common practice, no source)."""
SURE = 0.98
"""What ink says with this chance is an opening, whatever words stand near it: it is surer than they are, right
40 times of 41 on 378 learned sheets of six drawers."""


def with_boxing(walls: Sequence[Wall], outline: Sequence[OutlineWall], reading: SketchReading) -> list[Wall]:
    """The walls of a room, `outline` as they are drawn, where the piece nearest to each such word is boxing, unless the
    ink, or a person, surely says what opening it is. `reading` is as it was read, before its numbers weigh in."""
    found = list(walls)
    sure = [f for f in reading.outline.features if not f.kinds or f.kinds[0][1] >= SURE]
    for box in (box for text, box in reading.words if names_boxing(text)):
        pieces = [
            piece
            for pair in zip(walls, outline, strict=True)
            for piece in _apart(*pair, reading, centre(box))
        ]
        apart, index, n = min(pieces, default=(math.inf, 0, 0))
        if not pieces or apart >= NEAR * diagonal(outline):
            continue
        length, sections = walls[index].sections[n].length, list(found[index].sections)
        if (length.value_mm or 0) <= WIDEST_MM and not _is_of(
            reading.numbers[length.number or 0], sure, outline[index]
        ):
            sections[n] = replace(sections[n], kind=SectionKind.BOXING)
            found[index] = replace(found[index], sections=tuple(sections))
    return found


def _is_of(number: ReadNumber, openings: Sequence[Feature], wall: OutlineWall) -> bool:
    """Whether a number measures one of these openings."""
    here = [f for f in openings if f.wall == wall.wall]
    return (
        number.box in [f.box for f in openings] or feature_at(number, along(wall, number), here) is not None
    )


def _apart(
    wall: Wall, drawn: OutlineWall, reading: SketchReading, at: Point
) -> Iterator[tuple[float, int, int]]:
    """How far a place is from each piece of a wall that has a number, with wall and piece: in the mean of the number
    and of the piece itself, taken as long on the drawing as it is in the room."""
    lengths = [section.length.value_mm or 0 for section in wall.sections]
    whole = sum(lengths) or 1
    for n, section in enumerate(wall.sections):
        if section.length.number is not None and section.length.value_mm:
            ends = (sum(lengths[:n]) / whole, sum(lengths[: n + 1]) / whole)
            number = centre(reading.numbers[section.length.number].box)
            yield (math.dist(number, at) + math.dist(_nearest(drawn, ends, at), at)) / 2, wall.index, n


def _nearest(wall: OutlineWall, ends: tuple[float, float], at: Point) -> Point:
    """The place on a stretch of a wall that is nearest to another place."""
    (xa, ya), (xb, yb) = wall.start, wall.end
    dx, dy = xb - xa, yb - ya
    along = ((at[0] - xa) * dx + (at[1] - ya) * dy) / ((dx * dx + dy * dy) or 1.0)
    along = min(max(along, ends[0]), ends[1])
    return xa + along * dx, ya + along * dy
