"""Marks on a plan: the walls' letters, and the angles of corners that are not right ones."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from intake.drawing.clearance import Clearance, inside
from intake.drawing.display import FINE, Arc, PaperPoint, Sheet, Stroke, Text, centred
from intake.drawing.layout import HEADING, NAME, SMALL
from intake.drawing.wall_frame import WallFrame
from intake.model.examination import Squareness
from intake.model.room import Wall

SHARES = (0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88)
NEAR_MM = (8.0, 12.0, 17.0, 23.0, 30.0)
FURTHER_MM = tuple(sign * (28.0 + 7.0 * n) for n in range(24) for sign in (1.0, -1.0))
"""Where along a wall, and how far off it on paper, its letter is sought: first in the room, last beyond all."""
LEAST_SHOWN_DEG = 0.35
"""Corners nearer a right angle are not marked (set by hand)."""
RING_MM, RING_SPACE_MM, SHORT_MM, TO_THE_WALL_MM = 3.0, 3.4, 6.4, 12.0
"""A letter's ring and the room it takes; how far its pointer's tip lies from its middle, and from where on the pointer
goes on to the wall."""
ANGLE_IN_MM, ANGLE_ASIDE_MM = (9.0, 12.0, 15.0, 19.0, 24.0, 30.0), (0.0, 5.0, -5.0, 9.0, -9.0)
"""Where a corner's angle is tried: ever further into the room, to either side."""


def draw_letter(sheet: Sheet, clear: Clearance, wall: Wall, frame: WallFrame) -> None:
    """The wall's letter in a circle with a pointer: the elevation of the same letter shows what it points at. It is
    never left out: where no place near the wall is free it stands further off, with a longer pointer."""
    run, off = next(_places(clear, frame), (frame.length / 2, NEAR_MM[0]))
    x, y = frame.shifted(run, off)
    pointer = frame.shifted(run, off - math.copysign(RING_MM, off)), frame.shifted(run, _tip(off))
    clear.take(_ring(x, y), pointer)
    sheet.add(Stroke(pointer, FINE, "TEXT"), Arc((x, y), RING_MM, 0.0, 360.0, FINE, "TEXT"))
    size = SMALL if len(wall.letter) > 1 else HEADING
    sheet.add(Text((x, y + size / 2), wall.letter, size, "middle", bold=True))


def _places(clear: Clearance, frame: WallFrame) -> Iterator[tuple[float, float]]:
    """Free (run, off on paper), best first; a pointer that crosses something is better than no letter."""
    for crossing in (False, True):
        for off in (*NEAR_MM, *FURTHER_MM) if crossing else NEAR_MM:
            for run in (frame.length * share for share in SHARES):
                pointer = frame.shifted(run, off - RING_MM), frame.shifted(run, _tip(off))
                if clear.free(_ring(*frame.shifted(run, off))) and (crossing or clear.free(pointer)):
                    yield run, off


def _tip(off: float) -> float:
    """How far off the wall the pointer ends: long ones reach it."""
    return math.copysign(1.0 if abs(off) > TO_THE_WALL_MM else abs(off) - SHORT_MM, off)


def _ring(x: float, y: float) -> tuple[PaperPoint, ...]:
    turns = [n * math.pi / 4 for n in range(8)]
    return tuple((x + RING_SPACE_MM * math.cos(t), y + RING_SPACE_MM * math.sin(t)) for t in turns)


def draw_angles(sheet: Sheet, clear: Clearance, frames: list[WallFrame], square: Squareness) -> None:
    """The angle inside each corner that diagonals say is not a right one."""
    for n, angle in enumerate(square.corners_deg if square.out else ()):
        if angle is None or min(abs(angle - 90.0), abs(angle - 3 * 90.0)) < LEAST_SHOWN_DEG:
            continue
        text = next((t for t in _near(frames, n, f"{angle:.1f}°") if _apart(t, clear, frames)), None)
        if text:
            sheet.add(text)
            clear.take_text(text)


def _apart(text: Text, clear: Clearance, frames: list[WallFrame]) -> bool:
    """Whether lettering stands free in the room with a space on either side."""
    spaced = replace(text, text=f" {text.text} ")
    return clear.free_text(spaced) and in_room(spaced, frames)


def _near(frames: list[WallFrame], n: int, words: str) -> Iterator[Text]:
    """The words ever further into the room from a corner, between its walls, then to either side."""
    before, after = frames[n - 1], frames[n]
    mx, my = after.along[0] - before.along[0], after.along[1] - before.along[1]
    size = math.hypot(mx, my) or 1.0
    (x, y), (ux, uy) = after.at(0.0), (mx / size, my / size)
    for away in ANGLE_IN_MM:
        for side in ANGLE_ASIDE_MM:
            yield centred((x + away * ux - side * uy, y + away * uy + side * ux), words, 0.0)


def in_room(text: Text, frames: list[WallFrame]) -> bool:
    """Whether lettering lies inside the walls."""
    outline = [f.at(0.0) for f in frames]
    return len(outline) < 3 or all(inside(p, outline) for p in text.corners())


def draw_middle(
    sheet: Sheet,
    clear: Clearance,
    frames: list[WallFrame],
    lines: Callable[[float], list[tuple[str, float, bool]]],
) -> None:
    """The room's name, height and area where they are clear of everything; smaller where the room is small. `lines`
    gives (words, height of capitals, bold) for a size of the name."""
    for size in (NAME, HEADING, SMALL):
        rows = lines(size)
        tall = sum(height + 2.0 for _, height, _ in rows)
        for x, y in _spots([f.at(0.0) for f in frames]):
            texts, base = [], y - tall / 2
            for words, height, bold in rows:
                base += height
                texts.append(Text((x, base), words, height, "middle", bold=bold))
                base += 2.0
            if all(clear.free_text(t) and in_room(t, frames) for t in texts):
                sheet.add(*texts)
                for text in texts:
                    clear.take_text(text)
                return


def _spots(outline: list[PaperPoint]) -> list[PaperPoint]:
    """Places in the room, the middle first."""
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    cx, cy = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    grid = [
        (min(xs) + (max(xs) - min(xs)) * i / 12, min(ys) + (max(ys) - min(ys)) * j / 12)
        for i in range(1, 12)
        for j in range(1, 12)
    ]
    within = [p for p in grid if len(outline) < 3 or inside(p, outline)]
    return sorted(within, key=lambda p: math.dist(p, (cx, cy)))
