"""The numbers of a lot as words of 32 bits, so that those of fifty thousand sketches are counted in a moment.

From the lowest bit on: 14 of confidence in ten-thousandths, eligible, accepted, 3 of what became of it, whether the
first look was the designer's own slip, and 12 of its index on the sketch; little-endian.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from intake.model.inspection import Verdict, Weighed

_TEN_THOUSANDTHS = 10_000
_ELIGIBLE, _ACCEPTED, _VERDICT, _SLIP, _INDEX = 14, 15, 16, 19, 20
"""Steps of a chance within its 14 bits, and the bit at which each other thing begins."""
_CODES: Mapping[Verdict | None, int] = {
    None: 0,
    Verdict.WAITING: 1,
    Verdict.RIGHT: 2,
    Verdict.WRONG: 3,
    Verdict.UNTOLD: 4,
}
"""None: the lot did not fall on it."""
_WORD = "<u4"
Mask = NDArray[np.bool_]


def packed(numbers: Mapping[int, Weighed], drawn: Iterable[int]) -> bytes:
    """The numbers of a sketch by their index, those that are `drawn` waiting for a look."""
    waiting, words = set(drawn), []
    for index, number in numbers.items():
        word = round(number.confidence * _TEN_THOUSANDTHS) | number.eligible << _ELIGIBLE
        word |= number.accepted << _ACCEPTED | index << _INDEX
        words.append(word | _CODES[Verdict.WAITING if index in waiting else None] << _VERDICT)
    return np.array(words, _WORD).tobytes()


def with_verdicts(numbers: bytes, told: Mapping[int, tuple[Verdict, bool]]) -> bytes:
    """The same with what looks say of those drawn: a verdict each, and whether the first look was a slip."""
    words = np.frombuffer(numbers, _WORD).copy()
    for n, index in enumerate((words >> _INDEX).tolist()):
        if index in told:
            verdict, slip = told[index]
            kept = words[n] & ~np.uint32(0b1111 << _VERDICT)
            words[n] = kept | np.uint32(_CODES[verdict] << _VERDICT | slip << _SLIP)
    return words.tobytes()


@dataclass(frozen=True)
class Numbers:
    """Numbers that took part, side by side."""

    confidence: NDArray[np.float64]
    eligible: Mask
    accepted: Mask
    slip: Mask
    _verdict: NDArray[np.uint8]

    def which(self, *verdicts: Verdict) -> NDArray[np.intp]:
        """The places of those of which looks say one of these."""
        wanted = np.zeros(8, bool)
        wanted[[_CODES[v] for v in verdicts]] = True
        return np.flatnonzero(wanted[self._verdict])

    def by(self, bar: float) -> Mask:
        """Those that a bar would accept; what it does not decide over is as it was."""
        return np.where(self.eligible, self.confidence >= bar, self.accepted)


def unpacked(parts: Sequence[bytes]) -> Numbers:
    words = np.frombuffer(b"".join(parts), _WORD)
    eligible, accepted, slip = ((words >> bit & 1).astype(bool) for bit in (_ELIGIBLE, _ACCEPTED, _SLIP))
    confidence = (words & (1 << _ELIGIBLE) - 1) / _TEN_THOUSANDTHS
    return Numbers(confidence, eligible, accepted, slip, (words >> _VERDICT & 0b111).astype(np.uint8))


def counts_of(parts: Sequence[bytes]) -> NDArray[np.intp]:
    """How many numbers each part holds."""
    return np.fromiter(map(len, parts), np.intp, len(parts)) // np.dtype(_WORD).itemsize


def waiting_in(numbers: bytes) -> int:
    """How many of them wait for a look."""
    return len(unpacked([numbers]).which(Verdict.WAITING))
