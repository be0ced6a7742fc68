"""Openings whose kind is written at them: `door 76`, `W 120`, a lone D."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import replace
from string import ascii_uppercase

import numpy as np

from intake.domain.sketch.told_openings import weighed
from intake.domain.sketch.words_for_openings import opening_named
from intake.model.reading import Box, Feature, OpeningKind, OutlineWall
from intake.reading.numbers import is_number, is_word, letters_beside
from intake.reading.texts import ReadText

NAMED, LETTERED, WORD = 60.0, 15.0, 3
"""How much likelier a word, of so many letters, or a letter or two make the kind that they name: what is written is
surer than what is drawn (closed doors drawn as a thick bar were windows by their ink, with "door" written at them)."""
FAINTEST = 0.03
"""No kind that is written at an opening is ruled out by its ink: of what the ink says with .9 or more of drawers that
taught it .967 is right (python -m fixtures.training.openings)."""
NEAR = 0.12
"""It stands nearer to its opening than this, in diagonals of the room."""


_WALLS, _COMPASS = frozenset("ABC"), frozenset("NEOSW")
"""Where two of the first, three of the second (in English, German or French) or three letters in a row stand alone on a
plan, its lone letters name walls or are a compass; one or two of them may be misread."""
_LETTER = 0.9
"""How surely one letter alone is read, and is no number, to count (judgement)."""


def labels(texts: Sequence[ReadText], heights: Set[int]) -> list[tuple[str, ReadText]]:
    """What may be written at an opening: words, lone letters, and what numbers are labelled with. A letter at a height
    ("T 205" for a top; `heights` are the ids of their texts) says nothing, nor do letters that go round the walls or
    a compass."""
    elsewhere = _name_no_openings({letter_of(text) for text in texts})
    said = ((_label(text, id(text) in heights, elsewhere), text) for text in texts)
    return [(label, text) for label, text in said if label]


def _name_no_openings(letters: set[str]) -> bool:
    """Whether lone letters go round the walls, or are a compass."""
    in_a_row = any(letters.issuperset(ascii_uppercase[n : n + 3]) for n in range(len(ascii_uppercase) - 2))
    return in_a_row or len(letters & _WALLS) > 1 or len(letters & _COMPASS) > 2


def _label(text: ReadText, is_height: bool, letters_elsewhere: bool) -> str:
    if not is_number(text):
        return text.word.text if is_word(text) else "" if letters_elsewhere else letter_of(text)
    label = text.label or letters_beside(text)
    return text.numbers[0].text if not label else "" if is_height and len(label) == 1 else label


def letter_of(text: ReadText) -> str:
    """The one letter that a text is, in capitals ("D" over a door); "" where it is none, or may be a number."""
    letters = re.sub(r"[^A-Za-z]", "", text.word.text)
    sure = text.word.confidence > _LETTER and text.own.not_a_number > _LETTER
    return letters.upper() if len(letters) == 1 and len(text.word.text) <= 2 and sure else ""


def with_words(
    features: Sequence[Feature], walls: Sequence[OutlineWall], written: Sequence[tuple[str, Box]]
) -> tuple[Feature, ...]:
    """The openings with what is written at them weighed in; everything in the picture's pixels."""
    if not walls:
        return tuple(features)
    corners = np.array([w.start for w in walls])
    limit = NEAR * float(np.hypot(*(corners.max(axis=0) - corners.min(axis=0))))
    named = [
        (kind, _odds(text), np.mean(box, axis=0)) for text, box in written if (kind := opening_named(text))
    ]
    by_wall = {w.wall: w for w in walls}
    return tuple(
        _weighed(f, [(kind, odds) for kind, odds, at in named if _stands_at(f, by_wall[f.wall], at, limit)])
        if f.wall in by_wall
        else f
        for f in features
    )


def _odds(text: str) -> float:
    return NAMED if re.search(rf"[^\W\d_]{{{WORD}}}", text) else LETTERED


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


def _weighed(feature: Feature, named: Sequence[tuple[OpeningKind, float]]) -> Feature:
    """The opening's chances where one kind is named at it."""
    kinds = {kind for kind, _ in named}
    if len(kinds) != 1:
        return feature
    possible = replace(feature, kinds=tuple((kind, max(p, FAINTEST)) for kind, p in feature.kinds))
    return weighed(possible, {named[0][0]: max(odds for _, odds in named)})
