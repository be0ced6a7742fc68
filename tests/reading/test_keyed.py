"""A key of overalls in a corner of the sheet. That people letter their walls so is common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from intake.domain.sketch.words_for_roles import role_of_words
from intake.model.reading import Role
from intake.reading.keyed import with_keys
from intake.reading.numbers import Placed, decided
from intake.reading.walls import WallStanding
from tests.reading.test_inference import WALLS
from tests.reading.test_numbers import _place

FAR = tuple(WallStanding(n, 0.4, 0.5, False, False, 0.25) for n in range(4))


def entry(label: str, text: str) -> Placed:
    place = _place((text, 0.97))
    roles = {**dict.fromkeys(Role, 0.01), Role.CEILING: 0.9}
    return replace(place, text=replace(place.text, label=label), roles=roles, by=FAR, named=Role.CEILING)


def test_lettered_overalls_are_of_the_walls_whose_sums_they_are() -> None:
    places = with_keys([entry("A =", "400"), entry("B=", "300"), entry("(C):", "400"), entry("H =", "240")])
    assert [p.keyed for p in places] == [True, True, True, False]
    assert places[0].roles[Role.OVERALL] > 0.8
    assert sum(places[0].roles.values()) == pytest.approx(1.0)
    assert {s.wall for s in places[0].stands} == {0, 1, 2, 3}
    found = decided(places, WALLS)[1]
    assert [f.decision.meaning.role for f in found[:3]] == [Role.OVERALL] * 3
    assert found[3].decision.meaning.role is Role.CEILING


@pytest.mark.parametrize("labels", [("A =", "B="), ("a:", "(b) =", "c =")])
def test_from_two_letters_on_it_is_a_key(labels: tuple[str, ...]) -> None:
    """A letter that stands in no row with the others is none of the key's, nor is what says more than a letter."""
    places = with_keys([entry(label, "400") for label in (*labels, "e = mc")])
    assert [p.keyed for p in places] == [True] * len(labels) + [False]
    for place in places[:-1]:
        assert place.named is None and {s.span for s in place.stands} == {(0.0, 1.0)}
        assert sum(s.weight for s in place.stands) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "labels", [("A =",), ("B =", "C ="), ("A", "B"), ("A: mm", "B: mm"), ("S =", "H ="), ("W =", "D =")]
)
def test_letters_that_say_something_else_make_no_key(labels: tuple[str, ...]) -> None:
    """A letter of its own, those before it unseen, no sign of equality, more after it, and words cut short."""
    assert not any(p.keyed for p in with_keys([entry(label, "240") for label in labels]))


def _at(place: Placed, x: float, y: float, turned: bool = False) -> Placed:
    """The entry with figures 60 wide and 20 high there; `turned`: read upwards."""
    box = np.array([(0, 0), (60, 0), (60, 20), (0, 20)], float)
    box = box @ np.array([(0, -1), (1, 0)], float) if turned else box
    corners = [(float(a + x), float(b + y)) for a, b in box]
    return replace(place, box=(corners[0], corners[1], corners[2], corners[3]))


def test_letters_round_the_room_only_tell_its_pieces_apart() -> None:
    """Each stays of where it stands, with the roles that the sorter tells, and h = 240 is no height."""
    labels = ("a=", "b =", "c=", "d=", "f=", "g=", "h=")
    where = ((100, 0), (400, 30), (420, 200, True), (300, 400), (120, 380), (0, 300, True), (10, 100, True))
    places = with_keys([_at(entry(c, "240"), *at) for c, at in zip(labels, where, strict=True)])
    assert all(p.lettered and p.named is None and not p.keyed for p in places)
    assert all(p.roles[Role.CEILING] == 0.9 and p.stands == () for p in places)


def test_a_list_set_down_in_a_column_is_a_key() -> None:
    """Steps as on four strangers' sheets: 1.3 to 1.7 heights down, hardly aside."""
    down = [_at(entry(c, "240"), 5 * n, 30 * n) for n, c in enumerate(("A =", "B=", "C:"))]
    assert all(p.keyed for p in with_keys(down))
    apart = [_at(entry(c, "240"), 200 * n, 30 * n) for n, c in enumerate(("A =", "B=", "C:"))]
    assert not any(p.keyed for p in with_keys(apart))


def test_a_list_set_down_in_one_line_is_a_key() -> None:
    line = [_at(entry(c, "240"), 120 * n, 2 * n) for n, c in enumerate(("A =", "B=", "C:"))]
    assert all(p.keyed for p in with_keys(line))


@pytest.mark.parametrize(
    ("labels", "others"), [("ABCDE", "H"), ("AB", "D"), ("ABC", "EH")], ids=lambda letters: letters
)
def test_a_letter_that_stands_apart_from_the_row_keeps_its_meaning(labels: str, others: str) -> None:
    """A height or a door's width beside a list of overalls; of a row only one letter may be lacking."""
    places = [_at(entry(f"{c} =", "240"), 0, 30 * n) for n, c in enumerate(labels + others)]
    found = with_keys(places)
    assert [p.keyed for p in found] == [True] * len(labels) + [False] * len(others)
    assert all(p.named is Role.CEILING for p in found[len(labels) :])


def test_a_row_goes_on_beyond_one_letter_that_was_misread() -> None:
    places = [_at(entry(f"{c} =", "240"), 0, 30 * n) for n, c in enumerate("ABDE")]
    assert all(p.keyed for p in with_keys(places))


@pytest.mark.parametrize("words", ["O/A", "o/a", "0/A", "/A", "ALL", "total", "= ", "Gesamt"])
def test_words_of_an_overall(words: str) -> None:
    assert role_of_words(words) is Role.OVERALL


@pytest.mark.parametrize("words", ["n/a", "a", "H ="])
def test_words_that_are_no_overall(words: str) -> None:
    assert role_of_words(words) is not Role.OVERALL
