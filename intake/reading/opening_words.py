"""Openings whose kind is written at them: `door 76`, `W 120`, a lone D."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from intake.domain.sketch.told_openings import weighed
from intake.domain.sketch.words_for_openings import opening_named
from intake.model.reading import Box, Feature, OpeningKind, OutlineWall

NAMED = 15.0
"""How much likelier a word or a letter makes the kind that it names."""
NEAR = 0.12
"""It stands nearer to its opening than this, in diagonals of the room."""


def with_words(
    features: Sequence[Feature], walls: Sequence[OutlineWall], written: Sequence[tuple[str, Box]]
) -> tuple[Feature, ...]:
    """The openings with what is written at them weighed in; everything in the picture's pixels."""
    if not walls:
        return tuple(features)
    corners = np.array([w.start for w in walls])
    limit = NEAR * float(np.hypot(*(corners.max(axis=0) - corners.min(axis=0))))
    named = [(kind, np.mean(box, axis=0)) for text, box in written if (kind := opening_named(text))]
    by_wall = {w.wall: w for w in walls}
    return tuple(
        _weighed(f, {kind for kind, at in named if _stands_at(f, by_wall[f.wall], at, limit)})
        if f.wall in by_wall
        else f
        for f in features
    )


SPARE = 0.15
"""How far past an opening, in its widths, words at it may stand (set by hand, no source)."""


def _stands_at(feature: Feature, wall: OutlineWall, at: np.ndarray, limit: float) -> bool:
    """Whether writing stands over against the opening, and near it."""
    if feature.span is None:
        return False
    run = np.subtract(wall.end, wall.start)
    length = max(float(np.hypot(*run)), 1e-6)
    off = at - np.asarray(wall.start)
    along, apart = float(off @ run) / length**2, abs(float(off[0] * run[1] - off[1] * run[0])) / length
    low, high = feature.span
    spare = SPARE * (high - low)
    return low - spare <= along <= high + spare and apart < limit


def _weighed(feature: Feature, named: set[OpeningKind]) -> Feature:
    """The opening's chances where one kind is named at it."""
    return weighed(feature, dict.fromkeys(named, NAMED)) if len(named) == 1 else feature
