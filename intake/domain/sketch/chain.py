"""Which drawn piece of its wall each number of a chain is of, where several may be of one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from intake.model.reading import Feature, Span

THINNEST = 0.02
"""A piece of wall is drawn at least so long, as a share of it (set by hand)."""


@dataclass
class ReadSection:
    """One section in the making: where along its wall, which number, what is drawn there."""

    along: float
    number: int | None
    feature: Feature | None = None
    beside: float | None = None
    """Where its number itself stands; told only where another section has the same stretch."""
    stretch: Span | None = None
    """The plain stretch that it was found to be of after all, where another section had the same."""

    @property
    def crowded(self) -> bool:
        return self.beside is not None

    def off(self, middle: float) -> float:
        """How far from a place along the wall; of one that shares its stretch, its number's own distance, halved, as
        it surely is of a stretch nearby."""
        return abs(self.along - middle) if self.beside is None else abs(self.beside - middle) / 2


def plain_stretches(features: Sequence[Feature]) -> list[Span]:
    """The stretches of a wall where no opening is drawn."""
    edges = [0.0, *(edge for span in sorted(f.span for f in features if f.span) for edge in span), 1.0]
    return [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > THINNEST]


def spread_out(entries: Sequence[ReadSection], features: Sequence[Feature]) -> None:
    """Of two sections said to be of one stretch, the one that stands nearer a plain stretch without any is of that one,
    where the wall has then one number for each of its drawn pieces; so both are plain wall, whatever word is near."""
    plain, drawn = plain_stretches(features), [f for f in features if f.span]
    bare = [span for span in plain if not any(span[0] < e.along < span[1] for e in entries)]
    if len(bare) != 1 or len(entries) != len(plain) + len(drawn) or any(e.number is None for e in entries):
        return
    middle = sum(bare[0]) / 2
    crowded = [e for e in entries if e.crowded and e.feature is None]
    if len(crowded) != 2:
        return
    mover, other = sorted(crowded, key=lambda e: abs((e.beside or 0.0) - middle))
    if abs((mover.beside or 0.0) - middle) < abs((mover.beside or 0.0) - mover.along):
        other.stretch = next((span for span in plain if span[0] < other.along < span[1]), None)
        mover.along, mover.stretch = middle, bare[0]


def one_each(
    entries: Sequence[ReadSection], features: Sequence[Feature], place: Callable[[int], float]
) -> None:
    """Where two numbers have one opening and the wall has one number for each of its drawn pieces, each is of the piece
    that it comes to in the order in which they stand ("78.5 door 120" under a wall: the 120 is no door)."""
    shared = [e.feature for e in entries if e.feature is not None]
    plain = plain_stretches(features)
    drawn: list[tuple[Span, Feature | None]] = [(f.span, f) for f in features if f.span]
    pieces = sorted([*drawn, *((span, None) for span in plain)], key=lambda piece: piece[0])
    told = [e.number for e in entries]
    if len({id(f) for f in shared}) == len(shared) or len(entries) != len(pieces) or None in told:
        return
    for entry, (span, feature) in zip(
        sorted(entries, key=lambda e: place(e.number or 0)), pieces, strict=True
    ):
        entry.along, entry.feature = sum(span) / 2, feature
        entry.stretch = None if feature else span
