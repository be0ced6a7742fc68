"""Prefix beam search over the output of a recogniser trained with connectionist temporal classification.

Graves, Fernandez, Gomez and Schmidhuber, ICML 2006 (the loss); Hannun et al., arXiv:1408.2873, algorithm 1
(the search).
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_FAINT = 1e-3
"""A sign less likely than this in a frame is not followed."""


def n_best(frames: NDArray[np.float32], signs: str, beam: int = 12) -> list[tuple[str, float]]:
    """The likeliest texts with their probabilities, best first.

    `frames` is time x (1 + len(signs)), each row adding up to at most 1: the blank first, then one column a
    sign.
    """
    beams: dict[str, tuple[float, float]] = {"": (1.0, 0.0)}
    for row in frames:
        likely = [(signs[i - 1], float(row[i])) for i in np.flatnonzero(row > _FAINT) if i > 0]
        if not likely:
            beams = {text: ((b + s) * float(row[0]), 0.0) for text, (b, s) in beams.items()}
            continue
        beams = _step(beams, float(row[0]), likely)
        beams = dict(sorted(beams.items(), key=lambda kv: -sum(kv[1]))[:beam])
    return sorted(((text, sum(p)) for text, p in beams.items()), key=lambda kv: -kv[1])


def _step(
    beams: dict[str, tuple[float, float]], blank: float, likely: list[tuple[str, float]]
) -> dict[str, tuple[float, float]]:
    """One frame: each prefix keeps apart the probability of ending in the blank and in its own last sign."""
    blanks: defaultdict[str, float] = defaultdict(float)
    ended: defaultdict[str, float] = defaultdict(float)
    for text, (on_blank, on_sign) in beams.items():
        blanks[text] += (on_blank + on_sign) * blank
        for sign, p in likely:
            if text.endswith(sign):
                ended[text] += on_sign * p
                ended[text + sign] += on_blank * p
            else:
                ended[text + sign] += (on_blank + on_sign) * p
    return {text: (blanks[text], ended[text]) for text in blanks.keys() | ended.keys()}


@dataclass(frozen=True)
class Sign:
    """One character of a text with the frame it was surest in and its probability there."""

    text: str
    frame: int
    confidence: float


def path(frames: NDArray[np.float32], signs: str) -> list[Sign]:
    """The best path, sign by sign."""
    best = frames.argmax(axis=1)
    found: list[Sign] = []
    for t, column in enumerate(best):
        if not column:
            continue
        p = float(frames[t, column])
        if t and best[t - 1] == column:
            if p > found[-1].confidence:
                found[-1] = Sign(signs[column - 1], t, p)
        else:
            found.append(Sign(signs[column - 1], t, p))
    return found


def greedy(frames: NDArray[np.float32], signs: list[str]) -> tuple[str, float]:
    """The best path's text and the mean probability of its signs (0 where there are none)."""
    best = frames.argmax(axis=1)
    kept = [t for t in range(len(best)) if best[t] and (t == 0 or best[t] != best[t - 1])]
    text = "".join(signs[best[t] - 1] for t in kept)
    return text, math.fsum(float(frames[t, best[t]]) for t in kept) / len(kept) if kept else 0.0
