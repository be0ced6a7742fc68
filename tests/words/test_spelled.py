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


def said(words: str) -> str:
    """What is made of it within a sentence, whose other words stay, each in its place."""
    found = in_figures(f"Sill {words}, it is so.")
    assert found.text.startswith("Sill ") and found.text.endswith(", it is so.")
    assert len(found.spelled) == 1, found
    ((start, end),) = found.spelled
    assert found.back[end:] == tuple(range(len(f"Sill {words}"), len(f"Sill {words}, it is so.") + 1))
    assert found.back[: start + 1] == (*range(5), 5)
    return found.text[start:end]


def tens(n: int) -> str:
    """What follows the metres: "oh five", "forty-five"."""
    return english(n) if n > 9 else f"oh {ONES[n]}"


def test_every_length_of_a_room_in_every_way_to_say_it() -> None:
    """Metres with and without the word, digit by digit, in figures' words; English and German."""
    for n in [n for n in range(101, 330) if n % 100]:
        metres, rest = divmod(n, 100)
        digits = " ".join(ONES[int(d)] or "oh" for d in str(n))
        ways = {
            digits: f"{n}",
            digits.replace(" ", "-"): f"{n}",
            f"{ONES[metres]} {tens(rest)}": f"{n}",
            f"{ONES[metres]} hundred and {rest}": f"{n}",
            f"{ONES[metres]} metres {tens(rest)}": f"{metres} m {rest:02}",
            f"{ONES[metres]} meters and {tens(rest)}": f"{metres} m {rest:02}",
            f"{ONES[metres]} metres {tens(rest)} centimetres": f"{metres} m {rest:02}",
            f"{metres} metres {tens(rest)}": f"{metres} m {rest:02}",
            digits.replace(" ", " point ", 1): f"{n / 100:.2f}",
            f"{ONES[metres]} thousand {english(rest * 10)}": f"{metres * 1000 + rest * 10}",
            f"{ONES[metres]} thousand and {english(rest)}": f"{metres * 1000 + rest}",
        }
        if rest > 9:
            ways |= {
                f"{EINER[metres]} Meter {german(rest)}": f"{metres} m {rest}",
                f"{EINER[metres]} Meter {german(rest)} Zentimeter": f"{metres} m {rest}",
                f"{EINER[metres]} Meter und {german(rest)}": f"{metres} m {rest}",
                f"{EINER[metres]} Meter {german(rest)}einhalb": f"{metres} m {rest} ½",
                f"{EINER[metres]} {german(rest)}": f"{n}",
                f"{EINER[metres]} {german(rest)}einhalb": f"{n}.5",
                f"{german(n)} Komma fünf": f"{n}.5",
            }
        assert {words: said(words) for words in ways} == ways


def test_every_length_in_feet_and_inches() -> None:
    for feet in range(1, 20):
        for inches in range(1, 12):
            want = f"{feet} ft {inches}"
            for lead in (ONES[feet], f"{feet}"):
                assert said(f"{lead} foot {ONES[inches]}") == said(f"{lead} feet and {ONES[inches]}") == want
        assert said(f"{ONES[feet]} feet") == f"{feet} ft"
        assert in_figures(f"{ONES[feet]} feet twelve").text == f"{feet} ft 12"
        assert in_figures(f"{ONES[feet]} feet three quarters").text == f"{feet} ft three quarters"


def test_of_small_numbers_only_what_has_a_unit_or_a_fraction_is_a_length() -> None:
    """Others count things, or point to one."""
    for n in range(1, 20):
        figure = ONES[n] if n < 10 else f"{n}"
        assert in_figures(f"{ONES[n]} windows").text == f"{figure} windows"
        assert in_figures(f"it is {ONES[n]}").text == f"it is {figure}"
        assert in_figures(f"the {ONES[n]} over the sink").text == f"the {figure} over the sink"
        for follows in (" cm", " inches", " and a half", " and one quarter"):
            assert in_figures(f"{ONES[n]}{follows}").text == f"{n}{follows}"
        figure = german(n) if n < 10 else f"{n}"
        assert in_figures(f"{german(n)} Fenster").text == f"{figure} Fenster"
        assert in_figures(f"{german(n)} Zoll").text == f"{n} Zoll"


@pytest.mark.parametrize(
    ("words", "figures"),
    [
        ("a hundred", "100"),
        ("a hundred and one", "101"),
        ("hundred and one", "101"),
        ("one hundred and a half", "100 and a half"),
        ("one hundred and one half", "100 and one half"),
        ("one hundred and one quarter", "100 and one quarter"),
        ("two hundred, forty", "200, 40"),
        ("forty, five", "40, five"),
        ("two, forty", "two, 40"),
        ("nine thousand nine hundred and ninety-nine", "9999"),
        ("nought point five", "0.5"),
        ("sixteen point five three the fuse box", "16.5 three the fuse box"),
        ("sixteen point five three metres", "16.53 metres"),
        ("sixteen point two five", "16.25"),
        ("two point sixteen", "2.16"),
        ("anderthalb Meter", "1.5 Meter"),
        ("anderthalb Stunden", "anderthalb Stunden"),
        ("a meter", "a meter"),
        ("a metre", "1 m"),
        ("a meter and forty", "1 m 40"),
        ("2 metres", "2 metres"),
        ("two metres five", "2 m five"),
        ("two four", "two four"),
        ("two four five six", "2456"),
    ],
)
def test_where_a_number_ends(words: str, figures: str) -> None:
    assert in_figures(words).text == figures


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
