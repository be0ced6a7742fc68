"""What a number may say as the length of a thing, by the usual range of that and by what it lies near. A bare number is
in centimetres where that is usual (common practice, no source); 25.4 mm in an inch: the international yard, 1959."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.words.numbers import (
    BY_SIZE,
    IMPERIAL,
    Number,
    every_reading,
    in_unit_for_all,
    numbers,
    reading_of,
)

SILL, CEILING, REVEAL = (5, 1400), (2100, 3000), (5, 400)


def number(text: str) -> Number:
    ((found,), _) = numbers(f"it is {text}.")
    return found


@pytest.mark.parametrize(
    ("text", "usual", "values", "is_usual"),
    [
        # Centimetres, or metres or millimetres where only that is usual.
        ("241", CEILING, (2410,), True),
        ("2410", CEILING, (2410,), True),
        ("2.41", CEILING, (2410,), True),
        ("241.5", CEILING, (2415,), True),
        ("24", CEILING, (240,), False),
        ("104", SILL, (1040,), True),
        ("1.04", SILL, (1040,), True),
        ("141", SILL, (1410,), False),
        ("140", SILL, (1400,), True),
        ("0.5", SILL, (5, 500), True),
        ("0.4", SILL, (400,), True),
        ("40.5", REVEAL, (405,), False),
        ("12", REVEAL, (120,), True),
        ("0.12", REVEAL, (120,), True),
        ("120", REVEAL, (120,), True),
        # With its unit it is what it says.
        ("104 cm", SILL, (1040,), True),
        ("104 mm", SILL, (104,), True),
        ("104 cm", CEILING, (1040,), False),
        ("41 inches", SILL, (1041,), True),
        # Without a range nothing is usual but what a room may hold.
        ("104", None, (1040,), True),
    ],
)
def test_a_number_by_the_range_of_its_thing(
    text: str, usual: tuple[int, int] | None, values: tuple[int, ...], is_usual: bool
) -> None:
    found = reading_of(number(text), usual)
    assert (found.values_mm, found.usual) == (values, is_usual)


@pytest.mark.parametrize(
    ("text", "near", "values"),
    [
        ("386.5", (3865, 3805), (3865,)),
        ("3865", (3865, 3805), (3865,)),
        ("3.865", (3865, 3805), (3865,)),
        ("38", (380, 830), (380,)),
    ],
)
def test_a_number_by_what_was_offered(text: str, near: tuple[int, ...], values: tuple[int, ...]) -> None:
    assert reading_of(number(text), None, near).values_mm == values


@pytest.mark.parametrize(
    ("figure", "usual", "values", "is_usual"),
    [
        ("12", REVEAL, (120, 305), True),
        ("5", REVEAL, (50, 127), True),
        ("20", REVEAL, (200,), True),
        ("95", CEILING, (2413,), True),
        ("241", CEILING, (2410,), True),
        ("300", REVEAL, (300,), True),
        ("45", REVEAL, (450,), False),
    ],
)
def test_an_in_may_be_inches_or_the_word(
    figure: str, usual: tuple[int, int], values: tuple[int, ...], is_usual: bool
) -> None:
    """ "The recess is 12 in": of both what is usual, of neither the centimetres."""
    inwards = replace(number(f"{figure} inches"), inwards=True)
    found = reading_of(inwards, usual)
    assert (found.values_mm, found.usual) == (values, is_usual)


@pytest.mark.parametrize(
    ("text", "unit", "becomes"),
    [
        ("41", "in", "in"),
        ("1", "in", "in"),
        ("130", "in", "in"),
        ("131", "in", ""),
        ("12", "ft", "ft"),
        ("13", "ft", ""),
        ("40", "mm", "mm"),
        ("39", "mm", ""),
        ("104.5", "mm", ""),
        ("104.5", "cm", "cm"),
        ("104 cm", "mm", "cm"),
        ("1040", BY_SIZE, "mm"),
    ],
)
def test_a_unit_for_all_is_of_what_a_tape_shows_in_it(text: str, unit: str, becomes: str) -> None:
    found = in_unit_for_all(number(text), unit)
    assert found.unit == becomes
    assert found.guessed == (unit == BY_SIZE)
    inwards = replace(number("12 inches"), inwards=True)
    assert in_unit_for_all(inwards, IMPERIAL) == replace(inwards, inwards=False)


def test_every_reading_is_what_any_unit_makes_of_it() -> None:
    assert every_reading(number("104")) >= {1040, 104}
    assert every_reading(number("1.04")) >= {1040}
    assert every_reading(number("104 cm")) == {1040}
