"""What customers write at an opening: `door 76`, `W 120`, `opening`. Common practice, no source."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from intake.domain.lengths.notation import split_label
from intake.model.reading import (
    Box,
    Feature,
    Hinge,
    OpeningKind,
    Opens,
    OutlineWall,
)

WORDS = {
    word: kind
    for kind, words in (
        (OpeningKind.WINDOW, "window windows windo win wdw w"),
        (OpeningKind.DOOR, "door doors dr d back front patio french"),
        (OpeningKind.DOORWAY, "opening open doorway arch opg op o"),
    )
    for word in words.split()
}
NAMED = 15.0
"""How much likelier a word or a letter makes the kind that it names."""
NEAR = 0.12
"""It stands nearer to its opening than this, in diagonals of the room."""


def kind_named(text: str) -> OpeningKind | None:
    """The kind of opening that a label or words name; None for none, and for words that name two."""
    label = split_label(text)[0] or (text if not any(c.isdigit() for c in text) else "")
    kinds = {WORDS[word] for word in re.findall(r"[a-z]+", label.lower()) if word in WORDS}
    return kinds.pop() if len(kinds) == 1 else None


def with_words(
    features: Sequence[Feature], walls: Sequence[OutlineWall], written: Sequence[tuple[str, Box]]
) -> tuple[Feature, ...]:
    """The openings with what is written at them weighed in; everything in the picture's pixels."""
    if not walls:
        return tuple(features)
    corners = np.array([w.start for w in walls])
    limit = NEAR * float(np.hypot(*(corners.max(axis=0) - corners.min(axis=0))))
    named = [(kind, np.mean(box, axis=0)) for text, box in written if (kind := kind_named(text))]
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
    if len(named) != 1 or not feature.kinds:
        return feature
    odds = {kind: p * (NAMED if kind in named else 1.0) for kind, p in feature.kinds}
    total = sum(odds.values())
    kinds = tuple(sorted(((k, p / total) for k, p in odds.items()), key=lambda each: -each[1]))
    changed = replace(feature, kind=kinds[0][0], kinds=kinds)
    return (
        changed
        if kinds[0][0] is OpeningKind.DOOR
        else replace(changed, hinge=Hinge.UNTOLD, into=Opens.UNTOLD, swing=0.0)
    )
