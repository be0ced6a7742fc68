"""The room's outline: a closed chain of straight walls, found as the cheapest cut between inside and outside.

Every line that carries strokes of walls or openings is drawn on across the drawing; together they cut the page into
cells. A cell is inside or outside the room. Each side costs what the sorter holds against it over the cell's area,
and parting two neighbouring cells costs the length of their common edge that bears no ink. The minimum cut (Ford and
Fulkerson; Boykov and Jolly, ICCV 2001) is the room that both agree on best: doorways and gaps are bridged, and the
walls lie where they are drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order, maximum_flow
from shapely import LineString, Polygon, STRtree, box, polygonize, unary_union
from shapely.geometry.base import BaseGeometry

from intake.reading.open_sides import beside, open_sides
from intake.reading.sorter import Ink, Sorted
from intake.reading.strokes import Line, Segments, find_segments, gather, lengths, lying_on, without_arcs

PixelPoint = NDArray[np.float64]
Corners = NDArray[np.float64]
"""n x 2 pixels of `Sorted.kinds`, clockwise on the page (y down)."""

_MOST_LINES = 44
_GATHER, _ARC, _ON_A_LINE = 0.009, 0.04, 0.012
"""In diagonals of the drawing (judgement): how far apart strokes of one line lie, how short the strokes are that bend
like a door's arc, and how near to a line a stroke lies on it."""
_SHORTEST = 0.022
"""The shortest stroke that is drawn on, in diagonals of the drawing."""
_RIM = 0.01
"""How closely, in diagonals of the drawing, lines follow the rim of what the sorter holds for the room."""
_PART = 0.03
"""How wide and high, in diagonals of the drawing, a part of the room is that is looked at again where both disagree."""
_MOST_APART = 0.1
"""Where both disagree on more than this share of the room, the strokes are right."""
_AREA = 30.0
"""What a squared diagonal of area on the wrong side costs beside a diagonal of bare wall."""
_GAP, _EDGE = 0.35, 0.02
"""What a bare stretch between two strokes of one line costs beside one at a line's end (it may be an opening), and
what any stretch costs, drawn or not."""
_STEP, _BARE_STEP, _BARE = 0.024, 0.045, 0.6
"""What is shorter than the first, in diagonals of the drawing, is no wall, nor what is shorter than the second and
bears no stroke for more than a share of the third."""
_NIB = 0.015
"""How thick, in diagonals, a nib is at least (set by hand, no source)."""
_UNIT = 10_000
_ALIKE = 0.27
"""The sine of the angle within which a stroke runs along an edge."""
_BESIDE = 0.014
"""How far beside an edge, in diagonals of the drawing, a stroke still bears it: half the depth of a
window's box."""
_SHARES = 100
"""Least share (of 255) of wall and opening together for ink to be theirs."""
_LEAST_ROOM = 0.02
"""A room is no smaller than this share of the squared diagonal (judgement)."""
_SIMPLER = 0.004
"""In diagonals: corners that stand out by less are none (judgement)."""
_STRAIGHT, _PARALLEL = float(np.sin(np.radians(12))), 0.35
"""Sines: of a corner that is straight on, and of two walls that run too much alike to be drawn on until they meet
(judgement)."""
_SECOND = 0.3
"""A second room is at least this large beside the first."""
_LEAST_INSIDE = 100
"""Pixels of the inside of a room of which an outline can be made (set by hand, no source)."""


@dataclass(frozen=True)
class Drawing:
    """What the outline is found from: strokes of walls and openings, the lines they lie on, the diagonal of it all in
    pixels, and the chance of each pixel to lie inside the room."""

    segments: Segments
    lines: list[Line]
    diagonal: float
    inside: NDArray[np.float32]


def find_drawing(ink: Sorted) -> Drawing:
    shares = ink.kinds[Ink.WALL].astype(np.uint16) + ink.kinds[Ink.OPENING]
    return drawing_of(find_segments(shares > _SHARES), ink.inside)


def drawing_of(segments: Segments, inside: NDArray[np.float32]) -> Drawing:
    ys, xs = np.nonzero(inside > 0.5)
    if len(segments) < 3 or len(xs) < _LEAST_INSIDE:
        return Drawing(segments, [], 0.0, inside)
    diagonal = float(np.hypot(np.ptp(xs), np.ptp(ys)))
    lines = [line for line in gather(segments, _GATHER * diagonal) if line.length > _SHORTEST * diagonal]
    lines = without_arcs(lines, _ARC * diagonal)[:_MOST_LINES]
    return Drawing(lying_on(segments, lines, _ON_A_LINE * diagonal), lines, diagonal, inside)


def find_outline(drawing: Drawing) -> Corners | None:
    """The corners of the room, or None where no closed room is drawn."""
    if len(drawing.lines) < 3:
        return None
    sides = open_sides(drawing.lines, drawing.diagonal, drawing.inside)
    drawing = replace(drawing, lines=[*drawing.lines, *sides])
    room = _room(drawing)
    if room is not None and (rim := _rim(drawing, room, sides)):
        room = _room(replace(drawing, lines=[*drawing.lines, *rim]))
    if room is None or room.area < _LEAST_ROOM * drawing.diagonal**2:
        return None
    return _corners(room, drawing)


def _room(drawing: Drawing) -> Polygon | None:
    cells = _cells(drawing)
    return _largest_part([cells[i] for i in _inside(cells, _borders(cells, drawing), drawing)])


def _rim(drawing: Drawing, room: Polygon, sides: Sequence[Line]) -> list[Line]:
    """Lines along the rim of what the sorter holds for the room, where a good part of it lies on the other side of the
    walls found: hatching hides the edge of a boxed corner, and a faint nib has no stroke. Not at open sides, where it
    frays."""
    size = drawing.diagonal
    held = (drawing.inside > 0.5).astype(np.uint8)
    found = np.zeros_like(held)
    cv2.fillPoly(found, [np.asarray(room.exterior.coords).round().astype(np.int32)], (1,))
    reach = max(1, round(_PART * size))
    part = np.ones((reach, reach), np.uint8)
    apart = cv2.morphologyEx(held ^ found, cv2.MORPH_OPEN, part)
    if not 0 < cv2.countNonZero(apart) < _MOST_APART * cv2.countNonZero(found):
        return []
    near = cv2.dilate(apart, part)
    rims, _ = cv2.findContours(held, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    corners = cv2.approxPolyDP(max(rims, key=cv2.contourArea), _RIM * size, True)[:, 0].astype(np.float64)
    edges = np.hstack([corners, np.roll(corners, -1, axis=0)])
    middles = ((edges[:, :2] + edges[:, 2:]) / 2).astype(int)
    frayed = np.array([beside(middle, sides, size) for middle in middles])
    new = edges[(lengths(edges) > _SHORTEST * size) & (near[middles[:, 1], middles[:, 0]] > 0) & ~frayed]
    return gather(new, _RIM * size) if len(new) else []


def has_second_room(ink: Sorted) -> bool:
    """Whether a second room of some size lies beside the first."""
    _, _, stats, _ = cv2.connectedComponentsWithStats((ink.inside > 0.5).astype(np.uint8))
    areas = sorted(stats[1:, cv2.CC_STAT_AREA], reverse=True)
    return len(areas) > 1 and areas[1] > _SECOND * areas[0]


def _cells(drawing: Drawing) -> list[Polygon]:
    far = 3 * drawing.diagonal
    height, width = drawing.inside.shape
    frame = box(0, 0, width, height)
    drawn = [LineString([line.at(-far), line.at(far)]).intersection(frame) for line in drawing.lines]
    faces = polygonize([unary_union([*drawn, frame.exterior])])
    return [face for face in faces.geoms if isinstance(face, Polygon)]


def _inside(
    cells: list[Polygon], borders: Sequence[tuple[int, int, float, float, float]], drawing: Drawing
) -> list[int]:
    """The cells on the room's side of the minimum cut."""
    n, room, beyond = len(cells), len(cells), len(cells) + 1
    arcs: list[tuple[int, int, int]] = []
    for i, cell in enumerate(cells):
        chance = _chance(cell, drawing.inside)
        area = _UNIT * _AREA * cell.area / drawing.diagonal**2
        arcs += [(room, i, int(area * chance)), (i, beyond, int(area * (1 - chance)))]
    for i, j, length, gap, bare in borders:
        cost = int(_UNIT * (_EDGE * length + _GAP * gap + bare) / drawing.diagonal)
        arcs += [(i, j, cost), (j, i, cost)]
    rows, columns, costs = np.asarray(arcs).T
    graph = coo_matrix((costs, (rows, columns)), (n + 2, n + 2), np.int32).tocsr()
    residual = graph - maximum_flow(graph, room, beyond).flow
    residual.data = np.maximum(residual.data, 0)
    residual.eliminate_zeros()
    return [int(i) for i in breadth_first_order(residual, room, return_predecessors=False) if i < n]


def _chance(cell: Polygon, inside: NDArray[np.float32]) -> float:
    """The mean chance over a cell to lie inside."""
    x0, y0, x1, y1 = (int(v) for v in cell.bounds)
    part = inside[y0 : y1 + 1, x0 : x1 + 1]
    mask = np.zeros(part.shape, np.uint8)
    cv2.fillPoly(mask, [(np.asarray(cell.exterior.coords) - (x0, y0)).round().astype(np.int32)], (1,))
    return float(cv2.mean(part, mask)[0])


def _borders(cells: list[Polygon], drawing: Drawing) -> list[tuple[int, int, float, float, float]]:
    """Each pair of neighbouring cells with the length of their common edge, and how much of that is bare
    between two strokes of its line and beyond them."""
    tree = STRtree(cells)
    found = []
    for i, cell in enumerate(cells):
        for j in tree.query(cell):
            if j <= i:
                continue
            common = cell.intersection(cells[j])
            if common.length > 1:
                ends = _ends(common)
                found.append((i, int(j), float(common.length), *_without_strokes(ends, drawing)))
    return found


def _ends(edge: BaseGeometry) -> NDArray[np.float64]:
    whole = edge.coords if isinstance(edge, LineString) else edge.bounds
    return np.asarray(whole, np.float64).reshape(-1, 2)


def _without_strokes(ends: NDArray[np.float64], drawing: Drawing) -> tuple[float, float]:
    """How much of the edge has no stroke beside it that runs the same way: between two such strokes, and
    beyond them. Strokes that cross the edge do not count."""
    a, b = ends[0], ends[-1]
    length = float(np.hypot(*(b - a)))
    along = (b - a) / max(length, 1e-6)
    normal = np.array([-along[1], along[0]])
    starts, stops = drawing.segments[:, :2] - a, drawing.segments[:, 2:] - a
    run = stops - starts
    like = abs(run @ normal) < _ALIKE * np.hypot(*run.T)
    near = abs((starts + stops) @ normal) / 2 < _BESIDE * drawing.diagonal
    spans = np.sort(np.stack([starts @ along, stops @ along], axis=1)[like & near], axis=1)
    if not len(spans):
        return 0.0, length
    between = max(0.0, min(float(spans[:, 1].max()), length) - max(float(spans[:, 0].min()), 0.0))
    covered, end = 0.0, 0.0
    for low, high in spans[np.argsort(spans[:, 0])]:
        covered += max(0.0, min(high, length) - max(low, end))
        end = max(end, high)
    return max(0.0, between - covered), max(0.0, length - between)


def _largest_part(cells: list[Polygon]) -> Polygon | None:
    if not cells:
        return None
    joined = unary_union(cells)
    parts = [part for part in getattr(joined, "geoms", [joined]) if isinstance(part, Polygon)]
    return max(parts, key=lambda part: part.area, default=None)


def _corners(room: Polygon, drawing: Drawing) -> Corners:
    """The room's corners, with steps too short to be a wall smoothed away."""
    points = np.asarray(room.exterior.simplify(_SIMPLER * drawing.diagonal).coords[:-1])
    area = float(np.sum(points[:, 0] * np.roll(points[:, 1], -1) - points[:, 1] * np.roll(points[:, 0], -1)))
    return straightened(points if area > 0 else points[::-1], lambda *corners: _too_short(corners, drawing))


FourCorners = tuple[PixelPoint, PixelPoint, PixelPoint, PixelPoint]


def _too_short(corners: FourCorners, drawing: Drawing) -> bool:
    """Whether a stretch of the outline, the middle one between four corners, is too short for a wall: a longer one
    counts where strokes run along it, so that the side of a window's box is none, and so does the end of a nib whose
    sides are drawn."""
    before, a, b, after = corners
    length = float(np.hypot(*(b - a)))
    if _NIB * drawing.diagonal <= length < _BARE_STEP * drawing.diagonal and _is_spike(a - before, after - b):
        return not all(_is_drawn(side, drawing) for side in ((before, a), (b, after)))
    if _STEP * drawing.diagonal <= length < _BARE_STEP * drawing.diagonal:
        return sum(_without_strokes(np.asarray([a, b]), drawing)) > _BARE * length
    return length < _STEP * drawing.diagonal


def _is_drawn(wall: tuple[PixelPoint, PixelPoint], drawing: Drawing) -> bool:
    """Whether a wall is long enough for a nib's side, and bears strokes."""
    length = float(np.hypot(*(wall[1] - wall[0])))
    return (
        length > _BARE_STEP * drawing.diagonal
        and sum(_without_strokes(np.asarray(wall), drawing)) < _BARE * length
    )


def straightened(
    corners: Corners, too_short: Callable[[PixelPoint, PixelPoint, PixelPoint, PixelPoint], bool]
) -> Corners:
    """The chain without walls that are too short (told by the four corners round one), the shortest going first.

    Where such a wall parts two that run the same way (a step round a window's box), the two become one
    line; where its neighbours run different ways they are drawn on until they meet.
    """
    points = [np.asarray(p, np.float64) for p in corners]
    while len(points) > 3:
        ends = [points[(i + 1) % len(points)] for i in range(len(points))]
        around = zip(points[-1:] + points[:-1], points, ends, ends[1:] + ends[:1], strict=True)
        short = [i for i, corners in enumerate(around) if too_short(*corners)]
        if not short:
            bend = [_bend(points, k) for k in range(len(points))]
            i = int(np.argmin(bend))
            if bend[i] > _STRAIGHT:
                break
            del points[i]
            continue
        points = _without(points, min(short, key=lambda i: float(np.hypot(*(ends[i] - points[i])))))
    return np.asarray(points)


def _is_spike(u: PixelPoint, v: PixelPoint) -> bool:
    """Whether two walls with a short one between them run there and back, as those of a thin nib do."""
    lengths_both = float(np.hypot(*u) * np.hypot(*v))
    return float(u @ v) < 0 and abs(float(u[0] * v[1] - u[1] * v[0])) < _PARALLEL * lengths_both


def _bend(points: list[NDArray[np.float64]], k: int) -> float:
    """The sine of the turn at a corner."""
    a, b, c = points[k - 1], points[k], points[(k + 1) % len(points)]
    u, v = b - a, c - b
    cross = abs(float(u[0] * v[1] - u[1] * v[0])) / max(float(np.hypot(*u) * np.hypot(*v)), 1e-9)
    return cross if float(u @ v) > 0 else 1.0


def _without(points: list[NDArray[np.float64]], i: int) -> list[NDArray[np.float64]]:
    """The chain without its wall `i`."""
    n = len(points)
    before, start, end, after = (points[(i + k) % n] for k in (-1, 0, 1, 2))
    u, v = start - before, after - end
    cross = float(u[0] * v[1] - u[1] * v[0])
    rest = [points[(i + k) % n] for k in range(2, n)]
    if _is_spike(u, v) and n > 5:
        return rest
    if abs(cross) < _PARALLEL * float(np.hypot(*u) * np.hypot(*v)):
        if n <= 4:
            return [points[(i + k) % n] for k in range(1, n)]
        keep = start if np.hypot(*u) >= np.hypot(*v) else end
        return _moved(rest, keep, u if np.hypot(*u) >= np.hypot(*v) else v)
    w = start - before + 0.0
    t = float((end - before)[0] * v[1] - (end - before)[1] * v[0]) / cross
    return [*rest, before + t * w][:]


def _moved(
    rest: list[NDArray[np.float64]], through: NDArray[np.float64], along: NDArray[np.float64]
) -> list[NDArray[np.float64]]:
    """The open chain's two end walls' far corners slid onto the line that both merged walls now share."""
    first, last = rest[0], rest[-1]
    ahead, behind = rest[1] - rest[0], rest[-1] - rest[-2]

    def onto(corner: NDArray[np.float64], wall: NDArray[np.float64]) -> NDArray[np.float64]:
        cross = float(wall[0] * along[1] - wall[1] * along[0])
        if abs(cross) < _PARALLEL * float(np.hypot(*wall) * np.hypot(*along)):
            return corner
        gap = through - corner
        return np.asarray(corner + wall * float(gap[0] * along[1] - gap[1] * along[0]) / cross)

    return [onto(first, ahead), *rest[1:-1], onto(last, behind)]
