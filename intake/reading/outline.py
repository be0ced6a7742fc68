"""The room's outline: a closed chain of straight walls, found as the cheapest cut between inside and outside.

Every line that carries strokes is drawn on across the drawing; together they cut the page into cells. A
cell is inside or outside the room. Parting two neighbouring cells costs the length of their common edge
that bears no ink, and each cell outside loses a reward for its area, so that the minimum cut (Ford and
Fulkerson; Boykov and Jolly, ICCV 2001) is the largest room whose walls are nearly all drawn: doorways and
gaps are bridged where that is cheaper than giving up the room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order, maximum_flow
from shapely import LineString, Point, Polygon, STRtree, box, polygonize, unary_union
from shapely.geometry.base import BaseGeometry

from intake.model.reading import Box
from intake.reading.strokes import (
    Line,
    Segments,
    find_segments,
    gather,
    lying_on,
    near_texts,
    outside_texts,
    without_arcs,
    without_hatching,
)

Corners = NDArray[np.float64]
"""n x 2 page pixels, clockwise on the page (y down)."""

_MOST_LINES = 44
_SHORTEST = 0.026
_TRIALS = ((1.1, 0.2), (1.1, 0.5), (1.6, 0.35), (2.2, 0.2), (0.7, 0.4))
"""What a cell's area is worth, in squared diagonals of the drawing, and what a bare stretch between two
strokes of one line costs beside one at a line's end (it may be an opening). Each pair gives one room; the
best drawn of them is taken."""
_GAP = 0.35
"""What a gap between two strokes of a line costs beside a bare end, when rooms are compared."""
_JOG, _JOG_COST = 0.05, 0.02
"""A wall shorter than this many diagonals must gain this share of the room's perimeter in drawn length."""
_RETURN = 0.1
"""The longest return, in diagonals, that is taken for a way round a dimension line where it is not drawn."""
_UNIT = 1000
_ALIKE = 0.27
"""The sine of the angle within which a stroke runs along an edge."""
_BESIDE = 0.014
"""How far beside an edge, in diagonals of the drawing, a stroke still bears it: half the depth of a
window's box."""


@dataclass(frozen=True)
class Drawing:
    """What the outline is found from: strokes and the lines they lie on, and the diagonal of it all in
    pixels."""

    segments: Segments
    lines: list[Line]
    diagonal: float


def find_drawing(ink: NDArray[np.bool_], texts: Sequence[Box]) -> Drawing:
    return drawing_of(near_texts(outside_texts(find_segments(ink), texts), texts))


def drawing_of(segments: Segments) -> Drawing:
    if len(segments) < 3:
        return Drawing(segments, [], 0.0)
    ends = segments.reshape(-1, 2)
    diagonal = float(np.hypot(*(np.percentile(ends, 97, axis=0) - np.percentile(ends, 3, axis=0))))
    lines = [line for line in gather(segments, 0.009 * diagonal) if line.length > _SHORTEST * diagonal]
    lines = without_hatching(without_arcs(lines, 0.04 * diagonal), 0.1 * diagonal)[:_MOST_LINES]
    return Drawing(lying_on(segments, lines, 0.012 * diagonal), lines, diagonal)


def find_outline(drawing: Drawing, texts: Sequence[Box]) -> Corners | None:
    """The corners of the room, or None where no closed room is drawn.

    A closed line with no writing near it is the sheet's own edge: the search goes on without it.
    """
    for _ in range(3):
        rooms = _rooms(drawing)
        written = [room for room in rooms if not texts or _written_about(room, drawing, texts)]
        if written:
            chains = [_corners(room, drawing) for room in written]
            return max(chains, key=lambda chain: drawn_share(chain, drawing))
        if not rooms:
            return None
        drawing = _without_edge(drawing, max(rooms, key=lambda room: room.area))
    return None


def has_second_room(drawing: Drawing, texts: Sequence[Box]) -> bool:
    """Whether a second closed room, with numbers about it, is drawn beside the first."""
    first = find_outline(drawing, texts)
    if first is None:
        return False
    room = Polygon(first).buffer(0.02 * drawing.diagonal)
    away = [s for s in drawing.segments if not room.intersects(LineString(s.reshape(2, 2)))]
    rest = [
        text
        for text in texts
        if room.exterior.distance(Point(*np.mean(text, axis=0))) > 0.15 * room.length / 4
    ]
    if len(away) < 12 or len(rest) < 4:
        return False
    second = find_outline(drawing_of(np.asarray(away)), rest)
    return (
        second is not None and Polygon(second).area > 0.3 * room.area and not room.intersects(Polygon(second))
    )


def _rooms(drawing: Drawing) -> list[Polygon]:
    """The rooms that the trials give."""
    if len(drawing.lines) < 3:
        return []
    cells = _cells(drawing)
    if len(cells) < 2:
        return []
    borders = _borders(cells, drawing)
    found: dict[frozenset[int], Polygon] = {}
    for reward, opening in _TRIALS:
        inside = frozenset(_inside(cells, borders, drawing, reward, opening))
        room = _largest_part([cells[i] for i in inside])
        if room is not None and room.area > 0.02 * drawing.diagonal**2:
            found[inside] = room
    return list(found.values())


def drawn_share(corners: Corners, drawing: Drawing) -> float:
    """How much of the chain is drawn, less what its short walls must gain."""
    ends = [np.asarray(pair) for pair in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    sizes = [float(np.hypot(*(b - a))) for a, b in ends]
    bare = sum(_GAP * gap + beyond for gap, beyond in (_bare(pair, drawing) for pair in ends))
    return 1 - bare / max(sum(sizes), 1e-6) - _JOG_COST * sum(n < _JOG * drawing.diagonal for n in sizes)


def _written_about(room: Polygon, drawing: Drawing, texts: Sequence[Box]) -> bool:
    """Whether a fair share of the writing stands near the walls."""
    reach = 0.1 * float(np.sqrt(room.area)) + 0.01 * drawing.diagonal
    near = [room.exterior.distance(Point(*np.mean(text, axis=0))) < reach for text in texts]
    return sum(near) >= 0.4 * len(near)


def _without_edge(drawing: Drawing, room: Polygon) -> Drawing:
    """The drawing without the strokes that lie on the room's edge."""
    edge = room.exterior.buffer(0.02 * drawing.diagonal)
    keep = [not edge.contains(LineString(s.reshape(2, 2))) for s in drawing.segments]
    return drawing_of(drawing.segments[np.asarray(keep, bool)])


def _cells(drawing: Drawing) -> list[Polygon]:
    far = 3 * drawing.diagonal
    ends = drawing.segments.reshape(-1, 2)
    (x0, y0), (x1, y1) = ends.min(axis=0) - 0.02 * far, ends.max(axis=0) + 0.02 * far
    frame = box(x0, y0, x1, y1)
    drawn = [LineString([line.at(-far), line.at(far)]).intersection(frame) for line in drawing.lines]
    faces = polygonize([unary_union([*drawn, frame.exterior])])
    return [face for face in faces.geoms if isinstance(face, Polygon)]


def _inside(
    cells: list[Polygon],
    borders: Sequence[tuple[int, int, float, float, float]],
    drawing: Drawing,
    reward: float,
    opening: float,
) -> list[int]:
    """The cells on the room's side of the minimum cut."""
    n, room, beyond = len(cells), len(cells), len(cells) + 1
    frame = unary_union(cells).boundary
    arcs: list[tuple[int, int, int]] = []
    for i, cell in enumerate(cells):
        if cell.exterior.intersection(frame).length > 1:
            arcs.append((i, beyond, 10**8))
        arcs.append((room, i, int(_UNIT * reward * cell.area / drawing.diagonal**2)))
    for i, j, length, gap, bare in borders:
        cost = int(_UNIT * (0.02 * length + opening * gap + bare) / drawing.diagonal)
        arcs += [(i, j, cost), (j, i, cost)]
    rows, columns, costs = np.asarray(arcs).T
    graph = coo_matrix((costs, (rows, columns)), (n + 2, n + 2), np.int32).tocsr()
    flow = maximum_flow(graph, room, beyond).flow
    residual = graph - flow
    residual.data = np.maximum(residual.data, 0)
    residual.eliminate_zeros()
    return [int(i) for i in breadth_first_order(residual, room, return_predecessors=False) if i < n]


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
                found.append((i, int(j), float(common.length), *_bare(ends, drawing)))
    return found


def _ends(edge: BaseGeometry) -> NDArray[np.float64]:
    whole = edge.coords if isinstance(edge, LineString) else edge.bounds
    return np.asarray(whole, np.float64).reshape(-1, 2)


def _bare(ends: NDArray[np.float64], drawing: Drawing) -> tuple[float, float]:
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
    points = np.asarray(room.exterior.simplify(0.004 * drawing.diagonal).coords[:-1])
    area = float(np.sum(points[:, 0] * np.roll(points[:, 1], -1) - points[:, 1] * np.roll(points[:, 0], -1)))
    chain = straightened(points if area > 0 else points[::-1], 0.024 * drawing.diagonal)
    return _without_undrawn(chain, drawing)


def _without_undrawn(chain: Corners, drawing: Drawing) -> Corners:
    """The chain without short returns that are not drawn: there it left the wall for a dimension line beside
    it."""
    points = list(chain)
    while len(points) > 4:
        walls = [np.asarray([p, points[(i + 1) % len(points)]]) for i, p in enumerate(points)]
        sizes = [float(np.hypot(*(b - a))) for a, b in walls]
        undrawn = [
            i
            for i, (wall, size) in enumerate(zip(walls, sizes, strict=True))
            if size < _RETURN * drawing.diagonal and sum(_bare(wall, drawing)) > 0.5 * size
        ]
        if not undrawn:
            break
        points = _without(points, min(undrawn, key=lambda i: sizes[i]))
    return straightened(np.asarray(points), 0.024 * drawing.diagonal)


def straightened(corners: Corners, short: float) -> Corners:
    """The chain without walls shorter than `short`, the shortest going first.

    Where such a wall parts two that run the same way (a step round a window's box), the two become one
    line; where its neighbours run different ways they are drawn on until they meet.
    """
    points = [np.asarray(p, np.float64) for p in corners]
    while len(points) > 3:
        sizes = [float(np.hypot(*(points[(i + 1) % len(points)] - p))) for i, p in enumerate(points)]
        i = int(np.argmin(sizes))
        if sizes[i] >= short:
            bend = [_bend(points, k) for k in range(len(points))]
            i = int(np.argmin(bend))
            if bend[i] > np.sin(np.radians(12)):
                break
            del points[i]
            continue
        points = _without(points, i)
    return np.asarray(points)


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
    if abs(cross) < 0.35 * float(np.hypot(*u) * np.hypot(*v)):
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
        if abs(cross) < 1e-6:
            return corner
        gap = through - corner
        return np.asarray(corner + wall * float(gap[0] * along[1] - gap[1] * along[0]) / cross)

    return [onto(first, ahead), *rest[1:-1], onto(last, behind)]


def contains(corners: Corners, point: tuple[float, float]) -> bool:
    return bool(Polygon(corners).contains(Point(point)))
