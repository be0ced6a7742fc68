"""In which forms lengths are written, how finely, and which are usual for what."""

from __future__ import annotations

import math
import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.domain.lengths.notation import likelihood_of_form, of_a_room, parse_length, usual_form
from intake.domain.lengths.plausible import HEIGHTS_MM, PLAIN, SECTIONS, USUAL, WHOLE_WALL, Usual
from intake.domain.lengths.written import written_alike, written_sigma

ORDINARY = ("386.5", "95,5", "120", "2.36", "2,365", "0.95", "1845", "9", "120 cm", "2.36m", "1450mm")
FEET = ("5'3\"", '63"', "5ft 3", "2m36")
HARDLY = ("061", "31001", "12.75", "1.2.3", "door", "-5", "12.")


@pytest.mark.parametrize("text", ORDINARY)
def test_ordinary_forms_are_as_likely_as_can_be(text: str) -> None:
    assert likelihood_of_form(text) == likelihood_of_form(text, feet=True) == 1.0
    assert usual_form(text, "cm") and not usual_form(text, "ft")


@pytest.mark.parametrize("text", FEET)
def test_marks_of_feet_are_ordinary_on_a_sketch_in_feet_only(text: str) -> None:
    assert likelihood_of_form(text, feet=True) == 1.0
    assert 0.0 < likelihood_of_form(text) < 1.0
    assert not usual_form(text, "cm")


@pytest.mark.parametrize("text", HARDLY)
def test_what_nobody_writes_is_unlikely_and_never_impossible(text: str) -> None:
    assert 0.0 < likelihood_of_form(text) < 0.5


def test_a_number_in_an_odd_form_is_likelier_than_what_is_none() -> None:
    assert likelihood_of_form("31001") > likelihood_of_form("door")
    assert likelihood_of_form("2m36") > likelihood_of_form("31001")


@pytest.mark.parametrize(
    ("text", "unit", "may"),
    [
        ("251", "cm", True),
        ("251.5", "cm", True),
        ("2.51", "cm", False),
        ("2510", "mm", True),
        ("251.5", "mm", False),
        ("2.51", "m", True),
        ("2.515", "m", True),
        ("145", "m", False),
        ('40.125"', "in", True),
        ('40.1254"', "in", False),
        ("1", "cm", False),
        ("1.5", "cm", True),
        ("1000", "cm", True),
        ("1001", "cm", False),
        ("door", "cm", False),
        ("2.515", "m", True),
        ("2.5155", "m", False),
    ],
)
def test_what_a_tape_gives_in_a_room(text: str, unit: str, may: bool) -> None:
    """Half centimetres, from 1.5 cm to 10 m."""
    assert of_a_room(text, unit) is may


@pytest.mark.parametrize(
    ("text", "value_mm", "other_mm", "written"),
    [
        ("148.5", 1485, 1845, "184.5"),
        ("1485", 1485, 1845, "1845"),
        ("1.485", 1485, 1845, "1.845"),
        ("1,48", 1480, 1845, "1.845"),
        ("5'3\"", 1600, 1905, "6ft 3"),
        ("5ft 3", 1600, 305, "1ft 0"),
        ('63"', 1600, 254, "10in"),
        ("a door", 800, 1845, "184.5"),
        ("0", None, 1845, "184.5"),
        ("", None, 1845, "184.5"),
        ("0", 1200, 950, "95"),
        ("9", 9, 10, "10"),
        ("1", 1, 10, "10"),
    ],
)
def test_another_length_is_written_as_the_customer_wrote_theirs(
    text: str, value_mm: int | None, other_mm: int, written: str
) -> None:
    assert written_alike(text, value_mm, other_mm) == written


@given(st.text(max_size=12), st.none() | st.integers(0, 100_000), st.integers(1, 100_000))
def test_whatever_was_written_another_length_can_be(text: str, value_mm: int | None, other_mm: int) -> None:
    written = written_alike(text, value_mm, other_mm)
    assert any(parse_length(written, unit) is not None for unit in ("cm", "mm", "m", "ft"))


@pytest.mark.parametrize(
    ("text", "unit", "step"), [("2.36", "m", 10.0), ("63", "in", 25.4), ("5'3\"", "cm", 25.4)]
)
def test_a_coarse_step_makes_a_length_less_sure(text: str, unit: str, step: float) -> None:
    """Simulated: a length rounded to a step is off by a uniform error beside the tape's own."""
    chance = random.Random(1)
    errors = [chance.gauss(0, 5.0) + chance.uniform(-step / 2, step / 2) for _ in range(40_000)]
    assert written_sigma(5.0, text, unit) == pytest.approx(statistics.pstdev(errors), rel=0.02)


def test_centimetres_and_millimetres_are_as_sure_as_the_tape() -> None:
    assert written_sigma(5.0, "236", "cm") == written_sigma(5.0, "2360", "mm") == 5.0


ALL = [*USUAL.values(), *SECTIONS.values(), PLAIN, WHOLE_WALL]


@pytest.mark.parametrize("usual", ALL, ids=lambda u: f"{u.middle_mm:.0f}")
def test_usual_lengths_are_likeliest_in_the_middle_and_never_impossible(usual: Usual) -> None:
    steps = [usual.middle_mm * math.exp(usual.spread * k / 2) for k in range(-8, 9)]
    density = [usual.density(s) for s in steps]
    assert max(density) == density[8]
    assert density[:9] == sorted(density[:9]) and density[8:] == sorted(density[8:], reverse=True)
    assert all(d > 0 for d in density) and usual.density(0) > 0
    assert usual.least_mm < usual.middle_mm < usual.most_mm


@pytest.mark.parametrize("usual", ALL, ids=lambda u: f"{u.middle_mm:.0f}")
def test_the_densities_are_those_of_a_log_normal_within_the_range(usual: Usual) -> None:
    """Against the standard library's normal distribution; the surprises of rooms are under one in a thousand of it."""
    normal = statistics.NormalDist(math.log(usual.middle_mm), usual.spread)
    for k in (-1.0, -0.5, 0.0, 0.5, 1.0):
        length = usual.middle_mm * math.exp(k * usual.spread)
        if usual.least_mm <= length <= usual.most_mm:
            assert usual.density(length) == pytest.approx(normal.pdf(math.log(length)), rel=1e-3)


def test_a_length_out_of_range_is_a_rare_surprise() -> None:
    for usual in USUAL.values():
        inside, outside = usual.density(usual.most_mm), usual.density(usual.most_mm * 1.0001)
        if usual.most_mm < 100_000:
            assert outside < 0.1 * inside or inside < 0.01


def test_heights_are_ranges_that_hold_the_usual_length() -> None:
    """A sill of a metre, a window's top at two, a recess of 15 cm, a worktop at 90 and a ceiling of 2.40: trade."""
    usual = {"sill": 1000, "head": 2050, "reveal": 150, "worktop": 900, "ceiling": 2400}
    assert {name: low <= usual[name] <= high for name, (low, high) in HEIGHTS_MM.items()} == dict.fromkeys(
        usual, True
    )
