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

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order, maximum_flow
from shapely import LineString, Point, Polygon, STRtree, box, polygonize, unary_union

from intake.model.reading import Box
from intake.reading.readers import Grey
from intake.reading.strokes import Line, Segments, find_segments, gather, outside_texts

Corners = NDArray[np.float64]
"""n x 2 page pixels, clockwise on the page (y down)."""

_MOST_LINES = 44
_AREA_REWARD = 1.1
_UNIT = 1000


@dataclass(frozen=True)
class Drawing:
    """What the outline is found from: ink (bool, page pixels), its strokes and the lines they lie on."""

    ink: NDArray[np.bool_]
    segments: Segments
    lines: list[Line]
    diagonal: float


def find_drawing(flat: Grey, ink: NDArray[np.bool_], texts: Sequence[Box]) -> Drawing:
    segments = outside_texts(find_segments(flat), texts)
    if not len(segments):
        return Drawing(ink, segments, [], 0.0)
    ends = segments.reshape(-1, 2)
    diagonal = float(np.hypot(*(np.percentile(ends, 97, axis=0) - np.percentile(ends, 3, axis=0))))
    lines = [line for line in gather(segments, 0.009 * diagonal) if line.length > 0.035 * diagonal]
    return Drawing(ink, segments, lines[:_MOST_LINES], diagonal)


def find_outline(drawing: Drawing) -> Corners | None:
    """The corners of the room, or None where no closed room is drawn."""
    if len(drawing.lines) < 3:
        return None
    cells = _cells(drawing)
    if len(cells) < 2:
        return None
    room = _largest_part([cells[i] for i in _inside(cells, drawing)])
    if room is None or room.area < 0.02 * drawing.diagonal**2:
        return None
    return _corners(room, drawing)


def _cells(drawing: Drawing) -> list[Polygon]:
    far = 3 * drawing.diagonal
    ends = drawing.segments.reshape(-1, 2)
    (x0, y0), (x1, y1) = ends.min(axis=0) - 0.02 * far, ends.max(axis=0) + 0.02 * far
    frame = box(x0, y0, x1, y1)
    drawn = [LineString([line.at(-far), line.at(far)]).intersection(frame) for line in drawing.lines]
    return list(polygonize([unary_union([*drawn, frame.exterior])]).geoms)


def _inside(cells: list[Polygon], drawing: Drawing) -> list[int]:
    """The cells on the room's side of the minimum cut."""
    n, room, beyond = len(cells), len(cells), len(cells) + 1
    frame = unary_union(cells).exterior
    arcs: list[tuple[int, int, int]] = []
    for i, cell in enumerate(cells):
        if cell.exterior.intersection(frame).length > 1:
            arcs.append((i, beyond, 10**8))
        arcs.append((room, i, int(_UNIT * _AREA_REWARD * cell.area / drawing.diagonal**2)))
    for i, j, bare in _borders(cells, drawing):
        cost = int(_UNIT * bare / drawing.diagonal)
        arcs += [(i, j, cost), (j, i, cost)]
    rows, columns, costs = np.asarray(arcs).T
    graph = coo_matrix((costs, (rows, columns)), (n + 2, n + 2), np.int32).tocsr()
    flow = maximum_flow(graph, room, beyond).flow
    residual = graph - flow
    residual.data = np.maximum(residual.data, 0)
    residual.eliminate_zeros()
    return [int(i) for i in breadth_first_order(residual, room, return_predecessors=False) if i < n]


def _borders(cells: list[Polygon], drawing: Drawing) -> list[tuple[int, int, float]]:
    """Each pair of neighbouring cells with the length of their common edge that bears no ink."""
    reach = max(3, round(0.006 * drawing.diagonal))
    near = cv2.dilate(drawing.ink.astype(np.uint8), np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))
    tree = STRtree(cells)
    found = []
    for i, cell in enumerate(cells):
        for j in tree.query(cell):
            if j <= i:
                continue
            common = cell.intersection(cells[j])
            if common.length > 1:
                found.append((i, int(j), _bare_length(common, near)))
    return found


def _bare_length(edge: LineString, near: NDArray[np.uint8]) -> float:
    steps = np.linspace(0, 1, max(2, int(edge.length / 4)))
    points = np.asarray([edge.interpolate(s, normalized=True).coords[0] for s in steps])
    x = np.clip(points[:, 0].round().astype(int), 0, near.shape[1] - 1)
    y = np.clip(points[:, 1].round().astype(int), 0, near.shape[0] - 1)
    return float(edge.length * (0.02 + np.mean(near[y, x] == 0)))


def _largest_part(cells: list[Polygon]) -> Polygon | None:
    if not cells:
        return None
    joined = unary_union(cells)
    parts = list(getattr(joined, "geoms", [joined]))
    return max(parts, key=lambda part: part.area)


def _corners(room: Polygon, drawing: Drawing) -> Corners:
    """The room's corners, with steps too short to be a wall smoothed away."""
    outline = room.exterior.simplify(0.012 * drawing.diagonal)
    points = np.asarray(outline.coords[:-1])
    area = float(np.sum(points[:, 0] * np.roll(points[:, 1], -1) - points[:, 1] * np.roll(points[:, 0], -1)))
    return points if area > 0 else points[::-1]


def contains(corners: Corners, point: tuple[float, float]) -> bool:
    return bool(Polygon(corners).contains(Point(point)))
