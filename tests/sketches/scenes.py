"""Small sketches that several tests look at, drawn in hands that need no downloaded font or data."""

from __future__ import annotations

from functools import lru_cache

from fixtures.hands import Hand, hands
from fixtures.sketches import Sketch, render


@lru_cache(maxsize=3)
def stroke_hands(split: str) -> list[Hand]:
    return [hand for hand in hands(split) if hand.kind == "strokes"][:8]


@lru_cache(maxsize=16)
def sketch(seed: int, split: str) -> Sketch:
    """The sketch of a seed without planted slips, 1600 pixels long."""
    return render(seed, split, slips=0, long_side=1600, hand=stroke_hands(split)[seed % 8])
