"""What one number of a plan may say and measure: chances are chances, whatever is read and drawn.

No outside source but the axioms of probability and the geometry of the plan drawn here."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.domain.room.drawn_lengths import proportion_logs
from intake.domain.sketch.meaning import (
    CLEAR,
    MOST_TEXTS,
    _across,
    _near,
    _places,
    _readings,
    _stands_at,
    _usual,
    pixels_along,
    scale_of,
    usual_logs,
)
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.words_for_roles import odds_of_letters, weighed_roles
from intake.model.reading import Alternative, Role, Stand
from tests.reading.test_inference import EAST, FIRST, OVERALL, SECOND, THIRD, WALLS, WHOLE, seen

LEVELS = Levels(WALLS)
"""A room of 800 by 600 pixels from (100, 100)."""
LENGTHS = ("95.5", "120", "184.5", "240", "61", "302.5")


def _chances(*texts: tuple[str, float]) -> dict[int | None, float]:
    return {index: math.exp(log) for index, _, log in _readings(seen(0, (0.0, 1.0), *texts), "cm")}


@settings(max_examples=25)
@given(st.lists(st.floats(0.01, 1.0), min_size=1, max_size=MOST_TEXTS))
def test_what_unclear_ink_may_say_adds_up_to_one(shares: list[float]) -> None:
    sure = [0.8 * share / sum(shares) for share in sorted(shares, reverse=True)]
    found = _chances(*zip(LENGTHS, sure, strict=False))
    assert sum(found.values()) == pytest.approx(1.0)
    assert [*found] == [*range(len(sure)), None]


def test_the_more_surely_ink_is_read_the_less_it_says_none_of_it() -> None:
    for sure in ((0.05, 0.2, 0.3, 0.4, 0.85), (CLEAR, 0.95, 0.98)):
        none = [_chances(("95.5", confidence), ("45.5", 0.02))[None] for confidence in sure]
        assert none == sorted(none, reverse=True) and len({*none}) > 2


def test_clear_ink_says_what_it_says_and_little_else_is_looked_at() -> None:
    found = _chances(("95.5", 0.95), ("45.5", 0.02), ("35.5", 0.002))
    assert found[0] == pytest.approx(0.95) and found[1] == pytest.approx(0.02) and 2 not in found
    rest, whole = (_chances((text, 0.95))[None] for text in ("7", "75"))
    assert 3 * whole < rest < 0.5, "a digit may be the rest of a number, and mostly is none"


def test_no_more_than_five_readings_are_looked_at_and_one_that_no_room_has_hardly() -> None:
    assert [*_chances(*((text, 0.1) for text in LENGTHS))] == [0, 1, 2, 3, 4, None]
    odd = _chances(("95.5", 0.4), ("9.55", 0.4))
    assert odd[1] == pytest.approx(0.02 * odd[0]), "no tape is read to a tenth of a millimetre"


def test_the_places_of_a_number_share_its_chance() -> None:
    """A number that stands at one wall, by its roles: wall by wall they make up no more than it."""
    number = seen(0, (0.0, 0.24), ("95.5", 0.97), or_wall=(1, 0.25))
    places = {(role, wall): math.exp(log) for role, wall, _, _, log in _places(number, LEVELS)}
    assert places[Role.SECTION, 0] == pytest.approx(3 * places[Role.SECTION, 1])
    assert places[Role.OVERALL, 0] == pytest.approx(3 * places[Role.OVERALL, 1])
    roles = {r: c / sum(number.roles.values()) for r, c in number.roles.items()}
    along = roles.get(Role.SECTION, 0.0) + roles.get(Role.OPENING, 0.0)
    assert places[Role.SECTION, 0] + places[Role.SECTION, 1] == pytest.approx(along, rel=0.01)


def test_a_height_stands_at_the_walls_that_it_may_be_of() -> None:
    told = replace(
        FIRST, stands=(Stand(0, 0.7, (0.0, 1.0), height=0.6, thing=0.1), Stand(1, 0.3, (0.0, 1.0)))
    )
    half = replace(told, of_wall=0.5)
    assert _stands_at(half, Role.SILL) == [(0, 0.6), (1, pytest.approx(0.15)), (None, pytest.approx(0.25))]
    assert _stands_at(half, Role.FIXTURE)[0] == (0, 0.1)
    assert _stands_at(replace(told, of_wall=0.6), Role.CEILING) == [(0, 1.0)]
    assert _stands_at(half, Role.CEILING) == [(None, 1.0)]
    assert _stands_at(replace(told, stands=()), Role.SILL) == [(None, 1.0)]


def test_a_line_is_near_the_levels_that_it_ends_on() -> None:
    """A room's diagonal is 1000 pixels here, so 40 pixels are one deviation."""
    line = ((100.0, 300.0), (900.0, 300.0))
    assert _near(line, 100.0, 900.0, 0, 1000.0) == 1.0
    assert _near(line[::-1], 100.0, 900.0, 0, 1000.0) == 1.0
    assert _near(line, 140.0, 900.0, 0, 1000.0) == pytest.approx(math.exp(-0.5))
    assert _near(line, 100.0, 860.0, 0, 1000.0) == pytest.approx(math.exp(-0.5))
    assert _near(line, 100.0, 900.0, 1, 1000.0) == 0.0, "it runs the other way"


def test_a_number_amid_the_room_lies_between_the_levels_about_it() -> None:
    """By its place alone likeliest in the middle, and as likely a little to either side."""
    middle, left, right, edge = (
        dict(_across(replace(FIRST, at=(x, 400.0), amid=True), LEVELS)) for x in (500.0, 400.0, 600.0, 110.0)
    )
    (pair,) = [p for p in middle if LEVELS.axis(p[0]) == 0]
    assert left[pair] == pytest.approx(right[pair])
    assert middle[pair] > left[pair] > edge[pair]


@settings(max_examples=25)
@given(st.sampled_from(list(Role)), st.floats(20.0, 9000.0))
def test_one_length_is_as_usual_as_among_many(role: Role, value: float) -> None:
    assert usual_logs(role, np.array([value, 1000.0]))[0] == pytest.approx(_usual(role, value))


def test_a_length_in_proportion_is_likeliest_and_none_is_ruled_out() -> None:
    """What is short is drawn longer than it is, so large lengths are taken here."""
    lengths = np.array([2000.0, 4000.0, 8000.0, 16000.0, 1e6])
    logs = proportion_logs(lengths, 8000.0)
    assert logs.argmax() == 2 and logs[2] == pytest.approx(0.0, abs=0.01)
    assert logs[1] == pytest.approx(logs[3], abs=0.05), "half as long and twice as long alike"
    assert logs[4] == pytest.approx(math.log(0.08)), "so many are drawn in no proportion at all"


def test_how_long_a_stretch_is_drawn() -> None:
    assert pixels_along(Role.SECTION, 0, (0.25, 0.75), None, LEVELS) == pytest.approx(400.0)
    assert pixels_along(Role.OVERALL, 0, (0.25, 0.75), None, LEVELS) == pytest.approx(800.0)
    assert pixels_along(Role.SECTION, 1, None, None, LEVELS) == pytest.approx(600.0)
    assert pixels_along(Role.OVERALL, None, None, LEVELS.of_wall(1), LEVELS) == pytest.approx(600.0)


def test_a_plans_scale_is_what_most_of_its_numbers_say() -> None:
    """400 cm along 800 pixels are 5 mm a pixel; what is no length and what stands at no wall says nothing."""
    assert scale_of([FIRST, SECOND, THIRD, WHOLE], LEVELS, "cm") == pytest.approx(5.0, rel=0.01)
    wrong = seen(0, (0.0, 1.0), ("4000", 0.97), roles=OVERALL)
    assert scale_of([WHOLE, EAST, wrong], LEVELS, "cm") == pytest.approx(5.0, rel=0.01)
    word = replace(wrong, texts=(Alternative("sill", 0.97),))
    astray = replace(wrong, stands=())
    assert scale_of([word, astray], LEVELS, "cm") == pytest.approx(4000.0 / LEVELS.diagonal)
    assert scale_of([word, astray, WHOLE], LEVELS, "cm") == pytest.approx(5.0)


def test_letters_beside_a_number_count_as_far_as_they_are_read() -> None:
    known = {"s": {Role.SILL: 6.0}, "h": {Role.HEAD: 4.0, Role.SILL: 2.0}}
    odds = odds_of_letters([Alternative("S", 0.5), Alternative("h.", 0.3), Alternative("Q", 0.2)], known)
    assert odds[Role.SILL] == pytest.approx(0.2 + 0.5 * 6.0 + 0.3 * 2.0)
    assert odds[Role.HEAD] == pytest.approx(0.2 + 0.5 * 0.3 + 0.3 * 4.0)
    assert odds_of_letters([Alternative("s", 0.7), Alternative("h", 0.7)], known)[Role.SILL] == pytest.approx(
        5.6
    )


@settings(max_examples=25)
@given(st.lists(st.floats(0.0, 1.0), min_size=len(Role), max_size=len(Role)), st.sampled_from(list(Role)))
def test_a_word_makes_its_role_thirty_times_likelier(shares: list[float], named: Role) -> None:
    chances = dict(zip(Role, shares, strict=True))
    plain, told = (weighed_roles(chances, word, [1000]) for word in (None, named))
    assert sum(plain.values()) == pytest.approx(1.0) == sum(told.values())
    other = next(role for role in Role if role is not named)
    assert told[named] / told[other] == pytest.approx(30.0 * plain[named] / plain[other])
