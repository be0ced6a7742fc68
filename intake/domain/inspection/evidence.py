"""What all lots and looks tell together, as of now."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.domain.inspection.bounds import DOUBT, Silent, silent
from intake.domain.inspection.looks import is_slip, verdict
from intake.domain.inspection.lots import Seen
from intake.model.inspection import HandKind, Lot, SpotCheck, Verdict, Weighed

Counts = Callable[[Weighed], bool]


@dataclass(frozen=True)
class Told:
    """A spot check with its lot and what the looks say."""

    check: SpotCheck
    lot: Lot
    verdict: Verdict
    slip: bool


@dataclass(frozen=True)
class Evidence:
    """Every lot in the order drawn, up to the first of which a number still waits; limits that hold at any time hold
    at that one. `waiting` are the checks that nobody has settled yet, those begun first."""

    lots: tuple[Lot, ...]
    told: tuple[Told, ...]
    waiting: tuple[SpotCheck, ...]

    def silent(self, counts: Counts, doubt: float = DOUBT, one_sided: bool = False) -> Silent:
        """The silent errors among the numbers that count."""
        told = [t for t in self.told if counts(t.check.weighed)]
        return silent(
            [t.lot.share for t in told if t.verdict is Verdict.WRONG],
            [t.lot.share for t in told if t.verdict is Verdict.UNTOLD],
            len(told),
            sum(counts(n) for lot in self.lots for n in lot.numbers),
            sum(t.slip for t in told),
            doubt,
            one_sided,
        )

    def seen(self, counts: Counts) -> Seen:
        """What the next lots go by."""
        by_hand: dict[HandKind, tuple[int, int]] = {}
        for t in self.told:
            checked, wrong = by_hand.get(t.lot.hand, (0, 0))
            by_hand[t.lot.hand] = checked + 1, wrong + (t.verdict is Verdict.WRONG)
        return Seen(self.silent(counts), by_hand, len(self.waiting))

    def only(self, lots: Callable[[Lot], bool]) -> Evidence:
        """The part of it that some lots tell."""
        told = tuple(t for t in self.told if lots(t.lot))
        return Evidence(tuple(lot for lot in self.lots if lots(lot)), told, ())


def accepted(number: Weighed) -> bool:
    """The numbers that were accepted as read."""
    return number.accepted


def evidence(lots: Iterable[Lot], checks: Sequence[SpotCheck], now: datetime) -> Evidence:
    """What lots and looks tell; the checks of lots that are not given are left out."""
    order = sorted(lots, key=lambda lot: (lot.at, lot.picture))
    by_picture: dict[str, list[SpotCheck]] = {}
    for check in checks:
        by_picture.setdefault(check.picture, []).append(check)
    told = [_told(check, lot, now) for lot in order for check in by_picture.get(lot.picture, ())]
    waiting = [t.check for t in told if t.verdict is Verdict.WAITING]
    upto = _before(order, {check.picture for check in waiting})
    known = {lot.picture for lot in upto}
    begun = sorted(waiting, key=lambda check: not check.looks)
    return Evidence(tuple(upto), tuple(t for t in told if t.lot.picture in known), tuple(begun))


def _told(check: SpotCheck, lot: Lot, now: datetime) -> Told:
    return Told(check, lot, verdict(check, lot.unit, lot.at, now), is_slip(check, lot.unit))


def _before(order: Sequence[Lot], open_: set[str]) -> list[Lot]:
    first = next((n for n, lot in enumerate(order) if lot.picture in open_), len(order))
    return list(order[:first])


def shares_by(lots: Sequence[Lot]) -> Mapping[HandKind, float]:
    """The latest share of each kind of hand."""
    return {lot.hand: lot.share for lot in lots}
