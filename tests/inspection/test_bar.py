"""The bar that follows the evidence: proposed by what was found, and laid over readings."""

from __future__ import annotations

from dataclasses import replace

from intake.domain.inspection.bar import BARS, Reason, at_bar, lowest_kept, proposal, with_bar
from intake.domain.inspection.evidence import Evidence
from intake.domain.inspection.packing import packed, with_verdicts
from intake.model.inspection import CountedLot, HandKind, Verdict, Weighed
from tests.inspection.build import reading

PROMISE = 0.0075


def known(sure_wrong: int, unsure_wrong: int, sheets: int = 2400, share: float = 0.2) -> Evidence:
    """So many sheets with ten numbers read at .99, two at .93 and one, not accepted, at .85; of each sheet in five one
    of the sure and one of the others was looked at, and so many of these were wrong."""
    numbers = dict(
        enumerate(
            (
                *(Weighed(0.99, True, True),) * 10,
                *(Weighed(0.93, True, True),) * 2,
                Weighed(0.85, False, True),
            )
        )
    )
    lots = []
    for n in range(sheets):
        told = {
            0: (Verdict.WRONG if n // 5 < sure_wrong else Verdict.RIGHT, False),
            10: (Verdict.WRONG if n // 5 < unsure_wrong else Verdict.RIGHT, False),
        }
        looked = with_verdicts(packed(numbers, told), told) if n % 5 == 0 else packed(numbers, ())
        lots.append(CountedLot("v-1", "own-paper", "2026-03", HandKind.CLEAR, share, looked))
    return Evidence(tuple(lots))


def test_a_bar_is_only_proposed_where_it_is_shown() -> None:
    assert proposal(Evidence(()), 0.9, PROMISE) is None
    few = known(0, 0, sheets=100)
    assert proposal(few, 0.9, PROMISE) is None
    assert lowest_kept(few, PROMISE) is None


def test_a_bar_that_is_too_loose_gives_way_to_one_that_is_shown_to_keep_the_promise() -> None:
    found = proposal(known(0, 120), 0.9, PROMISE)
    assert found is not None
    assert found.reason is Reason.LOOSE
    assert found.kept
    assert 0.93 < found.bar <= 0.99
    assert found.then.silent.upper <= PROMISE < found.now.silent.lower
    assert found.more == -2.0  # two numbers a sheet are looked at by a person again


def test_a_bar_that_is_likely_too_loose_gives_way_to_one_that_is_shown() -> None:
    found = proposal(known(0, 50), 0.9, PROMISE)
    assert found is not None
    assert found.reason is Reason.UNSHOWN
    assert found.now.silent.lower <= PROMISE < (found.now.silent.estimate or 0.0)
    assert found.kept and found.bar > 0.93


def test_where_nothing_is_shown_to_keep_it_the_likeliest_is_named_as_that() -> None:
    found = proposal(known(60, 120), 0.9, PROMISE)
    assert found is not None
    assert found.reason is Reason.LOOSE
    assert not found.kept
    assert found.bar == max(BARS)


def test_of_those_not_shown_the_lowest_is_named_of_which_half_the_promise_is_the_best_guess() -> None:
    """None of the sure ones found wrong in five hundred sheets shows nothing yet; ten in a thousand are .005."""
    none, one = (proposal(known(*seen), 0.9, PROMISE) for seen in ((0, 30, 500), (10, 60, 1000)))
    assert none is not None and not none.kept and 0.93 < none.bar < 0.94
    assert one is not None and one.bar == max(BARS)


def test_a_bar_tighter_than_the_promise_needs_is_lowered() -> None:
    found = proposal(known(0, 0), 0.95, PROMISE)
    assert found is not None
    assert found.reason is Reason.TIGHT
    assert found.bar == min(BARS)
    assert found.more == 3.0
    assert found.then.silent.upper <= PROMISE


def test_what_a_bar_would_have_accepted_counts_what_no_bar_decides_over_too() -> None:
    some = (Weighed(0.95, True, True), Weighed(0.95, True, False), Weighed(0.8, False, True))
    numbers = packed(dict(enumerate(some)), ())
    one = Evidence((CountedLot("v-1", "own-paper", "2026-03", HandKind.CLEAR, 0.2, numbers),))
    assert [at_bar(one, bar).accepted for bar in (0.99, 0.9, 0.8)] == [1, 2, 3]


def test_a_bar_is_laid_over_those_that_it_decides_over_alone() -> None:
    read = reading(("100", 0.95, True), ("200", 0.85, False), ("300", 0.97, True))
    barred = replace(read.numbers[2], eligible=False)
    read = replace(read, numbers=(*read.numbers[:2], barred))
    assert [n.accepted for n in with_bar(read, 0.99).numbers] == [False, False, True]
    assert [n.accepted for n in with_bar(read, 0.8).numbers] == [True, True, True]
    assert with_bar(read, None) is read
