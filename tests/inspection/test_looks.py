"""What looks say of a number, and what all lots and looks tell together."""

from __future__ import annotations

from datetime import timedelta

import pytest

from intake.domain.inspection.bounds import silent
from intake.domain.inspection.evidence import accepted, evidence
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
from intake.model.inspection import HandKind, Verdict
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


def test_evidence_ends_before_the_first_sketch_of_which_a_number_waits() -> None:
    lots = [lot("a", 0), lot("b", 1), lot("c", 2)]
    checks = [check(1, "a", "386.5"), check(2, "b", "380.5"), check(3, "c", "380.5", "380.5"), check(4, "c")]
    known = evidence(lots, checks, NOW)
    assert [each.picture for each in known.lots] == ["a"]
    assert [each.id for each in known.waiting] == [2, 4]  # those begun first
    later = evidence(lots, [checks[0], check(2, "b", "380.5", "386.5"), checks[2]], NOW)
    found = later.silent(accepted)
    assert (found.among, found.checked, found.wrong, found.slips) == (30, 3, 1, 1)
    assert later.only(lambda each: each.picture == "c").silent(accepted).wrong == 1


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


def test_fewer_are_looked_at_as_evidence_grows_more_of_hard_hands_and_never_less_than_the_floor() -> None:
    def seen(wrong: int, checked: int, among: int, waiting: int = 0) -> Seen:
        return Seen(silent([0.15] * wrong, [], checked, among, 0), {}, waiting)

    begun = [share(hand, seen(0, 0, 0), 0.15, 0.0075) for hand in HandKind]
    assert begun == sorted(begun)
    assert begun[0] == pytest.approx(0.15)
    later = [share(HandKind.CLEAR, seen(n // 150, n, 10 * n), 0.15, 0.0075) for n in (0, 100, 400, 900)]
    assert later == sorted(later, reverse=True)
    assert share(HandKind.CLEAR, seen(0, 2000, 20_000), 0.15, 0.0075) == FLOOR
    assert share(HandKind.CLEAR, seen(0, 0, 0, waiting=500), 0.15, 0.0075) == FLOOR
    assert share(HandKind.HARD, seen(0, 0, 0), 0.5, 0.0075) == MOST
    assert severity(seen(60, 300, 2000).silent, 0.0075) is Severity.TIGHTENED
    assert severity(seen(0, 2000, 20_000).silent, 0.0075) is Severity.REDUCED
    assert severity(seen(1, 100, 700).silent, 0.0075) is Severity.NORMAL


def test_the_lot_falls_as_often_as_its_share() -> None:
    assert drawn([3, 5, 8], [0.1, 0.2, 0.01], 0.15) == [3, 8]
