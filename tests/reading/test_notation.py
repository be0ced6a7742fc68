"""Lengths as people write them. Conversions are checked against pint-free arithmetic: 1 in = 25.4 mm
exactly."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.domain.lengths.notation import format_cm, infer_unit, parse_length, split_label


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("386.5", "cm", 3865),
        ("95,5", "cm", 955),
        ("95.25", "cm", 953),
        ("95·5", "cm", 955),
        ("95 . 5", "cm", 955),
        ("1450", "mm", 1450),
        ("1450mm", "cm", 1450),
        ("2.36m", "cm", 2360),
        ("2,365 m", "cm", 2365),
        ("2m36", "cm", 2360),
        ("2m36cm", "cm", 2360),
        ("1m450mm", "cm", 1450),
        ("145 cm", "mm", 1450),
        ("36½", "cm", 365),
        ("H=236", "cm", 2360),
        ("ceiling height: 2.36 m", "cm", 2360),
        ("CH 236", "cm", 2360),
        ("5'3\"", "cm", 1600),
        ("5ft 3", "cm", 1600),
        ("14'6\"", "cm", 4420),
        ("14’ 6½”", "cm", 4432),
        ('63"', "cm", 1600),
        ('40½"', "cm", 1029),
        ("25 3/4 in", "cm", 654),
        ("14", "ft", 4267),
    ],
)
def test_a_length_is_read_as_written(text: str, unit: str, mm: int) -> None:
    assert parse_length(text, unit) == mm


@pytest.mark.parametrize(
    "text",
    [
        "",
        "door",
        "1.2.3",
        "0",
        "007",
        "12-5",
        "1,450",
        "5'13\"",
        "99999999",
        "-5",
        "3..5",
        "12 34",
        "1/2",
        "14.6ft",
        "2m36mm",
        "1m450cm",
    ],
)
def test_nonsense_is_no_length(text: str) -> None:
    assert parse_length(text, "cm") is None


@pytest.mark.parametrize(
    ("finest", "finer"),
    [
        ("2365.5 mm", "2365.55 mm"),
        ("236.55 cm", "236.555 cm"),
        ("2.365 m", "2.3655 m"),
        ("14.125 in", "14.1255 in"),
    ],
)
def test_no_tape_is_read_finer_than_its_marks(finest: str, finer: str) -> None:
    """Tapes of class II have marks at each millimetre, or at each eighth to thirty-second of an inch (common practice,
    no source): half a millimetre is read between them; what has more places is no length."""
    assert parse_length(finest, "cm") is not None and parse_length(finer, "cm") is None


def test_decimal_feet_are_refused_because_they_may_be_inches() -> None:
    assert parse_length("14.6", "ft") is None


@given(st.integers(min_value=1, max_value=99_999))
def test_what_is_formatted_is_read_back(mm: int) -> None:
    assert parse_length(format_cm(mm), "cm") == mm


@given(st.text(max_size=20), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_any_text_is_a_positive_length_or_none(text: str, unit: str) -> None:
    length = parse_length(text, unit)
    assert length is None or 0 < length <= 100_000


def test_a_label_is_set_apart() -> None:
    assert split_label("H= 236") == ("h", "236")
    assert split_label("236") == ("", "236")


@pytest.mark.parametrize(
    ("texts", "unit"),
    [
        (["95.5", "120", "184.5", "400", "H=236"], "cm"),
        (["955", "1200", "1845", "4000", "2360"], "mm"),
        (["0.95", "1.2", "1.85", "4.00"], "m"),
        (["5'3\"", "14'6\"", "7'9\""], "ft"),
        (["95.5", "120", "1450", "400"], "cm"),
        (["120", "184", "all in mm"], "mm"),
        (["120", "184", "2.36m"], "cm"),
        (["1200", "1845", "boiler"], "mm"),
        ([], "cm"),
    ],
)
def test_the_unit_of_a_sketch(texts: list[str], unit: str) -> None:
    assert infer_unit(texts) == unit


@pytest.mark.parametrize(
    ("mm", "written"), [(0, "0"), (5, "0.5"), (-1, "-0.1"), (-5, "-0.5"), (3865, "386.5"), (-1200, "-120")]
)
def test_centimetres_are_written_as_the_trade_does(mm: int, written: str) -> None:
    assert format_cm(mm) == written
