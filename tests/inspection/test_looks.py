"""What looks say of a number, and what all lots and looks tell together."""

from __future__ import annotations

from datetime import timedelta
from math import sqrt

import pytest

from intake.domain.inspection.bounds import silent
from intake.domain.inspection.evidence import Evidence, accepted
from intake.domain.inspection.looks import agrees, is_slip, verdict
from intake.domain.inspection.lots import (
    FLOOR,
    MOST,
    Seen,
    Severity,
    drawn,
    hand_of,
    severity,
    share,
    taking_part,
)
from intake.domain.inspection.packing import packed, unpacked, waiting_in, with_verdicts
from intake.model.inspection import HandKind, Verdict, Weighed
from tests.inspection.build import NOW, check, lot, reading


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ((), Verdict.WAITING),
        (("386.5",), Verdict.RIGHT),
        (("3865mm",), Verdict.RIGHT),
        (("386,5",), Verdict.RIGHT),
        (("380.5",), Verdict.WAITING),
        (("380.5", "386.5"), Verdict.RIGHT),
        (("380.5", "380.5"), Verdict.WRONG),
        (("380.5", "388.5"), Verdict.WRONG),
        (("",), Verdict.WAITING),
        (("", ""), Verdict.UNTOLD),
        (("", "380.5"), Verdict.WAITING),
        (("", "380.5", "380.5"), Verdict.WRONG),
        (("", "380.5", "386.5"), Verdict.RIGHT),
    ],
)
def test_two_looks_against_a_reading_make_it_wrong(told: tuple[str, ...], said: Verdict) -> None:
    assert verdict(check(1, "a", *told), "cm", NOW, NOW) is said


def test_a_look_that_nobody_gives_is_given_up_in_the_end() -> None:
    assert verdict(check(1, "a"), "cm", NOW, NOW + timedelta(days=61)) is Verdict.UNTOLD


def test_the_designers_own_slip_is_told_from_a_misreading() -> None:
    assert is_slip(check(1, "a", "380.5", "386.5"), "cm")
    assert not is_slip(check(1, "a", "380.5", "380.5"), "cm")
    assert not is_slip(check(1, "a", "386.5"), "cm")
    assert not agrees("386.5", "no length", "cm")


def test_evidence_counts_what_looks_say() -> None:
    known = Evidence(
        (
            lot([Verdict.RIGHT], slips=1),
            lot([Verdict.WRONG], version="v-2"),
            lot([Verdict.UNTOLD]),
            lot([Verdict.WAITING]),
        ),
        waiting=3,
    )
    found = known.silent(accepted)
    assert (found.among, found.checked, found.wrong, found.untold, found.slips) == (40, 4, 1, 2, 1)
    apart = known.silent_by(accepted, lambda cell: cell[1])
    assert {name: part.wrong for name, part in apart.items()} == {"v-1": 0, "v-2": 1}
    for name, part in apart.items():
        assert part == Evidence(tuple(lot for lot in known.lots if lot.version == name)).silent(accepted)
    assert known.seen(accepted).by_hand[HandKind.CLEAR] == (4, 1)
    assert known.seen(accepted).waiting == 3


def test_numbers_are_unpacked_as_they_were_packed() -> None:
    some = {
        3: Weighed(0.9127, True, True),
        4: Weighed(0.75, False, True),
        70: Weighed(0.9999, True, False),
        4095: Weighed(1.0, True, True),
    }
    found = unpacked([packed(some, [4])])
    assert list(found.confidence) == [n.confidence for n in some.values()]
    assert list(found.accepted) == [True, False, True, True]
    assert list(found.eligible) == [True, True, False, True]
    assert list(found.which(Verdict.WAITING)) == [1]
    told = with_verdicts(packed(some, [4, 70]), {4: (Verdict.RIGHT, True), 70: (Verdict.WRONG, False)})
    again = unpacked([with_verdicts(told, {4: (Verdict.UNTOLD, False)})])
    assert list(again.which(Verdict.UNTOLD)) == [1]
    assert list(again.which(Verdict.WRONG)) == [2]
    assert not again.slip.any()
    assert waiting_in(packed(some, [3, 70])) == 2


def test_a_hand_is_clear_by_what_was_accepted_of_it() -> None:
    def with_accepted(n: int) -> HandKind:
        return hand_of(reading(*[(f"{100 + i}", 0.95, i < n) for i in range(10)]))

    assert [with_accepted(n) for n in (10, 9, 7, 3)] == [
        HandKind.CLEAR, HandKind.CLEAR, HandKind.MIXED, HandKind.HARD,
    ]  # fmt: skip


def test_numbers_not_far_under_the_bar_take_part() -> None:
    found = taking_part(reading(("100", 0.95, True), ("200", 0.8, False), ("300", 0.4, False)))
    assert sorted(found) == [0, 1]
    assert found[0].accepted and not found[1].accepted


def test_fewer_are_looked_at_once_the_promise_is_shown_more_of_hard_hands_and_never_less_than_the_floor() -> (
    None
):
    def seen(wrong: int, checked: int, among: int, waiting: int = 0) -> Seen:
        return Seen(silent([0.15] * wrong, [], checked, among, 0), {}, waiting)

    begun = [share(hand, seen(0, 0, 0), 0.15, 0.0075) for hand in HandKind]
    assert begun == sorted(begun)
    assert begun[0] == pytest.approx(0.15)
    # Evidence that is gathered at a share that falls says no more than that of the least share.
    assert share(HandKind.CLEAR, seen(6, 900, 9000), 0.15, 0.0075) == pytest.approx(0.15)
    assert share(HandKind.CLEAR, seen(0, 2000, 20_000), 0.15, 0.0075) == FLOOR
    assert share(HandKind.CLEAR, seen(0, 0, 0, waiting=60), 0.15, 0.0075) == pytest.approx(0.075)
    assert share(HandKind.CLEAR, seen(0, 0, 0, waiting=900), 0.15, 0.0075) == FLOOR
    assert share(HandKind.HARD, seen(0, 0, 0), 0.5, 0.0075) == MOST
    assert severity(seen(60, 300, 2000).silent, 0.0075) is Severity.TIGHTENED
    assert severity(seen(0, 2000, 20_000).silent, 0.0075) is Severity.REDUCED
    assert severity(seen(1, 100, 700).silent, 0.0075) is Severity.NORMAL


def test_a_kind_of_hand_is_looked_at_in_proportion_to_how_its_errors_spread() -> None:
    """Neyman's allocation (J. R. Stat. Soc. 97, 1934): the shares go with the standard deviation of each stratum, here
    of a number's being wrong. Before anything was seen 3 and 0.4 in 100 are supposed, weighed as 100 looks."""

    def times(seen: dict[HandKind, tuple[int, int]]) -> float:
        return share(HandKind.HARD, Seen(silent([], [], 0, 0, 0), seen), 0.1, 0.0075) / 0.1

    usual = sqrt(0.004 * 0.996)
    assert times({}) == pytest.approx(sqrt(0.03 * 0.97) / usual)
    assert times({HandKind.HARD: (100, 3)}) == pytest.approx(sqrt(0.03 * 0.97) / usual)
    assert times({HandKind.HARD: (100, 1)}) == pytest.approx(sqrt(0.02 * 0.98) / usual)


def test_the_lot_falls_as_often_as_its_share() -> None:
    assert drawn([3, 5, 8], [0.1, 0.2, 0.01], 0.15) == [3, 8]
