"""What all lots and looks tell together, as of now."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from intake.domain.inspection.bounds import DOUBT, Silent, silent
from intake.domain.inspection.lots import Seen
from intake.domain.inspection.packing import Mask, Numbers, counts_of, unpacked
from intake.model.inspection import Cell, CountedLot, HandKind, Verdict

Counts = Callable[[Numbers], Mask]
K = TypeVar("K")
_TOLD = (Verdict.RIGHT, Verdict.WRONG, Verdict.UNTOLD, Verdict.WAITING)


@dataclass(frozen=True)
class Evidence:
    """The lots before the first of which a number still waits, as limits that hold at any time hold at that one; a
    number of theirs that waits all the same was not looked at in time, and counts as untold. `waiting` are the numbers
    that may yet be looked at."""

    lots: tuple[CountedLot, ...]
    waiting: int = 0

    @cached_property
    def numbers(self) -> Numbers:
        return unpacked([lot.numbers for lot in self.lots])

    @cached_property
    def _lot(self) -> NDArray[np.intp]:
        """Which lot each number is of."""
        return np.repeat(np.arange(len(self.lots)), counts_of([lot.numbers for lot in self.lots]))

    @cached_property
    def _judged(self) -> NDArray[np.intp]:
        return self.numbers.which(*_TOLD)

    @cached_property
    def _wrong(self) -> NDArray[np.intp]:
        return self.numbers.which(Verdict.WRONG)

    @cached_property
    def _untold(self) -> NDArray[np.intp]:
        return self.numbers.which(Verdict.UNTOLD, Verdict.WAITING)

    @cached_property
    def _slips(self) -> NDArray[np.intp]:
        return np.flatnonzero(self.numbers.slip)

    def _shares(self, numbers: NDArray[np.intp]) -> NDArray[np.float64]:
        return np.array([self.lots[n].share for n in self._lot[numbers]], float)

    def silent(self, counts: Counts, doubt: float = DOUBT, one_sided: bool = False) -> Silent:
        """The silent errors among the numbers that count. How often designers slip is told by all that were looked
        at."""
        of = counts(self.numbers)
        return silent(
            self._shares(self._wrong[of[self._wrong]]),
            self._shares(self._untold[of[self._untold]]),
            int(of[self._judged].sum()),
            int(of.sum()),
            int(of[self._slips].sum()),
            doubt,
            one_sided,
            (len(self._slips), len(self._judged)),
        )

    def seen(self, counts: Counts) -> Seen:
        """What the next lots go by."""
        told, wrong = (
            Counter(self.lots[n].hand for n in self._lot[each]) for each in (self._judged, self._wrong)
        )
        by_hand = {hand: (told[hand], wrong[hand]) for hand in HandKind}
        return Seen(self.silent(counts), by_hand, self.waiting)

    @cached_property
    def _cells(self) -> tuple[list[Cell], NDArray[np.intp]]:
        """The months, versions and papers that there are, and of which of these each number is."""
        names: dict[Cell, int] = {}
        which = [names.setdefault(lot.cell, len(names)) for lot in self.lots]
        return list(names), np.array(which, np.intp)[self._lot]

    def silent_by(self, counts: Counts, key: Callable[[Cell], K]) -> dict[K, Silent]:
        """The same apart by what a key makes of month, version and paper; counted in one go, as there are many."""
        cells, cell = self._cells
        names = list(dict.fromkeys(map(key, cells)))
        part = np.array([names.index(key(each)) for each in cells], np.intp)[cell]
        of = counts(self.numbers)

        def many(numbers: NDArray[np.intp] | Mask) -> list[int]:
            return list(map(int, np.bincount(part[numbers], minlength=len(names))))

        def shares(numbers: NDArray[np.intp]) -> list[NDArray[np.float64]]:
            some = numbers[of[numbers]]
            return [self._shares(some[part[some] == n]) for n in range(len(names))]

        told, slips = self._judged, self._slips
        wrong, untold = shares(self._wrong), shares(self._untold)
        checked, among, slipped = many(told[of[told]]), many(of), many(slips[of[slips]])
        rate = list(zip(many(slips), many(told), strict=True))
        return {
            name: silent(wrong[n], untold[n], checked[n], among[n], slipped[n], slipped=rate[n])
            for n, name in enumerate(names)
        }


def accepted(numbers: Numbers) -> Mask:
    """The numbers that were accepted as read."""
    return numbers.accepted
