"""Boxes of writing: clockwise from the text's own top left, in its reading direction; all in the same pixels."""

from __future__ import annotations

import numpy as np

from intake.model.reading import Box

_POINTS = 9
"""Points along a side of the grid by which boxes' shares are counted (set by hand)."""


def height(box: Box) -> float:
    """The side that crosses the line of writing, in the box's pixels."""
    return min(float(np.hypot(*np.subtract(box[3], box[0]))), float(np.hypot(*np.subtract(box[1], box[0]))))


def around(a: Box, b: Box) -> Box:
    """The box of both, along the first one's line."""
    points = np.asarray([*a, *b], np.float64)
    along = np.subtract(a[1], a[0]) / max(float(np.hypot(*np.subtract(a[1], a[0]))), 1e-6)
    down = np.array([-along[1], along[0]])
    x, y = points @ along, points @ down
    corners = ((x.min(), y.min()), (x.max(), y.min()), (x.max(), y.max()), (x.min(), y.max()))
    p, q, r, s = ((float(v[0]), float(v[1])) for v in (u * along + w * down for u, w in corners))
    return (p, q, r, s)


def share(inner: Box, outer: Box) -> float:
    """How much of one box lies in another, by a grid of points."""
    steps = (np.arange(_POINTS) + 0.5) / _POINTS
    origin, u, v = np.asarray(inner[0]), np.subtract(inner[1], inner[0]), np.subtract(inner[3], inner[0])
    points = (origin + steps[:, None, None] * u + steps[None, :, None] * v).reshape(-1, 2) - outer[0]
    a, b = np.subtract(outer[1], outer[0]), np.subtract(outer[3], outer[0])
    x, y = points @ a / max(float(a @ a), 1e-6), points @ b / max(float(b @ b), 1e-6)
    return float(((x >= 0) & (x <= 1) & (y >= 0) & (y <= 1)).mean())


def longer(box: Box, before: float, after: float) -> Box:
    """The box drawn out at its start and its end, in its heights."""
    p = np.asarray(box, np.float64)
    along = p[1] - p[0]
    unit = along / max(float(np.hypot(*along)), 1e-6) * height(box)
    moves = (-before * unit, after * unit, after * unit, -before * unit)
    a, b, c, d = ((float(x), float(y)) for x, y in p + np.asarray(moves))
    return (a, b, c, d)
