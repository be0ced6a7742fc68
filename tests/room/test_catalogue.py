"""The catalogue of slips is whole: each kind's lengths enumerated anew, its chance shared among them.

A slip of the pen is one edit of the digits: one left out, put in, changed, or two neighbours exchanged (Damerau, "A
technique for computer detection and correction of spelling errors", 1964, from memory)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from intake.domain.room.catalogue import EXTRA_SHARE, FOOT_OUT_SHARE, Change, changes_of
from intake.domain.room.slip_chances import KNOWN_SLIP
from intake.model.examination import SlipKind as K
from tests.room.build import length

DIGITS = "0123456789"


def edits(written: str) -> dict[K, set[str]]:
    """Every string that one edit makes of another."""
    at = range(len(written))
    return {
        K.LOST_DIGIT: {written[:i] + d + written[i:] for i in range(len(written) + 1) for d in DIGITS},
        K.EXTRA_DIGIT: {written[:i] + written[i + 1 :] for i in at},
        K.MISREAD: {written[:i] + d + written[i + 1 :] for i in at for d in DIGITS},
        K.SWAPPED: {written[:i] + written[i : i + 2][::-1] + written[i + 2 :] for i in at},
    }


def of_kind(changes: list[Change], kind: K) -> Iterator[Change]:
    return (c for c in changes if c.kind is kind)


@pytest.mark.parametrize("centimetres", [40, 61, 386, 999])
def test_a_slip_of_the_pen_is_one_edit_of_the_digits(centimetres: int) -> None:
    written, value = str(centimetres), 10 * centimetres
    found = changes_of(length("A1", value, text=written), [], [])
    for kind, texts in edits(written).items():
        meant = {10 * int(text) for text in texts} - {0, value}
        assert {c.meant_mm for c in of_kind(found, kind)} == meant


@pytest.mark.parametrize(("written", "value"), [("386", 3860), ("145.5", 1455), ("3040", 3040)])
def test_the_chance_of_a_kind_is_shared_by_its_lengths(written: str, value: int) -> None:
    """No edit of these digits is nothing."""
    found = changes_of(length("A1", value, text=written), [700, 900], [300])
    for kind in (K.SWAPPED, K.MISREAD, K.METRE_OUT, K.TWICE):
        assert sum(c.prior for c in of_kind(found, kind)) == pytest.approx(KNOWN_SLIP), kind
    assert sum(c.prior for c in of_kind(found, K.EXTRA_DIGIT)) == pytest.approx(EXTRA_SHARE * KNOWN_SLIP)


def test_a_tape_is_read_a_metre_or_a_decimetre_out() -> None:
    out = of_kind(changes_of(length("A1", 3865), [], []), K.METRE_OUT)
    assert sorted(c.meant_mm for c in out) == [2865, 3765, 3965, 4865]


def test_a_tape_in_feet_is_read_a_foot_out() -> None:
    """A foot is 304.8 mm by definition (international yard and pound agreement, 1959, from memory)."""
    out = list(of_kind(changes_of(length("A1", 2311, text="7'7\""), [], []), K.METRE_OUT))
    assert sorted(c.meant_mm for c in out) == [2006, 2616]
    assert sum(c.prior for c in out) == pytest.approx(FOOT_OUT_SHARE * KNOWN_SLIP)


def test_a_section_is_counted_in_its_neighbour_oftener_than_in_another() -> None:
    twice = {c.meant_mm: c.prior for c in of_kind(changes_of(length("A1", 2500), [700, 900], [300]), K.TWICE)}
    assert twice.keys() == {1800, 1600, 2200}
    assert twice[1800] == twice[1600] > twice[2200]
