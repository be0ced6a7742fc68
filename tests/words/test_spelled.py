"""Numbers in words: every whole number from 13 to 999 is spelled by the rules of both languages (from memory) and read
back."""

from __future__ import annotations

import pytest

from intake.domain.words.numbers import numbers
from intake.domain.words.spelled import in_figures

ONES = ["", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
        "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]  # fmt: skip
TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
EINER = ["", "ein", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwölf",
         "dreizehn", "vierzehn", "fünfzehn", "sechzehn", "siebzehn", "achtzehn", "neunzehn"]  # fmt: skip
ZEHNER = ["", "", "zwanzig", "dreißig", "vierzig", "fünfzig", "sechzig", "siebzig", "achtzig", "neunzig"]


def english(n: int) -> str:
    if n >= 100:
        rest = f" and {english(n % 100)}" if n % 100 else ""
        return f"{ONES[n // 100]} hundred{rest}"
    return ONES[n] if n < 20 else TENS[n // 10] + (f"-{ONES[n % 10]}" if n % 10 else "")


def german(n: int) -> str:
    if n >= 100:
        return f"{EINER[n // 100]}hundert{german(n % 100) if n % 100 else ''}"
    if n < 20:
        return "eins" if n == 1 else EINER[n]
    return (f"{EINER[n % 10]}und" if n % 10 else "") + ZEHNER[n // 10]


def test_every_number_from_13_to_999_is_read_back() -> None:
    for n in range(13, 1000):
        for words in (english(n), english(n).replace(" and ", " ").replace("-", " "), german(n)):
            assert in_figures(words).text == str(n), words


@pytest.mark.parametrize(
    ("words", "figures"),
    [
        ("two forty", "240"),
        ("it is two-four-oh", "it is 240"),
        ("one oh three", "103"),
        ("two metres oh five", "2 m 05"),
        ("a metre ninety", "1 m 90"),
        ("three eighty-six and a half", "386 and a half"),
        ("two point four five metres", "2.45 metres"),
        ("seven foot eleven and a half", "7 ft 11 and a half"),
        ("zwo fünfzig", "250"),
        ("zweieinhalb Meter", "2.5 Meter"),
        ("zweihundertfünfzig Komma fünf", "250.5"),
        ("two windows", "two windows"),
        ("one of the two", "one of the two"),
        ("zwei Fenster", "zwei Fenster"),
        ("the one forty", "the one 40"),
        ("one forty up to the window", "140 up to the window"),
        ("the right height: one forty", "the right height: 140"),
        ("zweihundert bis zwanzig", "200 bis 20"),
        ("der eine oder andere", "der eine oder andere"),
    ],
)  # fmt: skip
def test_spoken_lengths_become_figures_and_counts_stay_words(words: str, figures: str) -> None:
    assert in_figures(words).text == figures


@pytest.mark.parametrize(
    ("words", "mm", "text"),
    [
        ("the ceiling is two metres forty-five and a half.", 2455, "two metres forty-five and a half"),
        ("ceiling: seven foot eleven and a half inches", 2426, "seven foot eleven and a half inches"),
        ("ceiling 24 cm 5 mm", 245, "24 cm 5 mm"),
        ("zwei Meter sechsunddreißig einhalb", 2365, "zwei Meter sechsunddreißig einhalb"),
        ("seven and a half feet", 2286, "seven and a half feet"),
    ],
)
def test_a_number_keeps_its_place_and_its_words(words: str, mm: int, text: str) -> None:
    ((number,), _) = numbers(words)
    assert (number.whole_mm, number.text) == (mm, text)
    assert words[number.start : number.end] == text


@pytest.mark.parametrize(
    ("words", "units"),
    [
        ("3865 and 1080 mm", ["mm", "mm"]),
        ("103.5, 108 and 12 cm", ["cm", "cm", "cm"]),
        ("386 wide, the sill 1080 mm", ["", "mm"]),
    ],
)
def test_a_unit_at_the_end_of_a_list_is_of_the_whole_list(words: str, units: list[str]) -> None:
    assert [number.unit for number in numbers(words)[0]] == units
