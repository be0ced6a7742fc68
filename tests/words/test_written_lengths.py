"""Every length in every way to write it, within a sentence: its value, and where it stands. 25.4 mm in an inch and
twelve inches in a foot: the international yard and pound, 1959."""

from __future__ import annotations

from fractions import Fraction

import pytest

from intake.domain.words.numbers import Number, numbers

INCH = Fraction(254, 10)
PARTS = {
    Fraction(0): ("",),
    Fraction(1, 2): (" 1/2", "½", " ½", " and a half", "-and-a-half", " and one half"),
    Fraction(1, 4): (" 1/4", "¼", " and a quarter"),
    Fraction(3, 4): (" 3/4", "¾", " and three quarters"),
}


def one(words: str) -> Number:
    """The only length of a sentence that is put round it."""
    ((number,), _) = numbers(f"Sill: {words}, as before.")
    assert number.text == words and number.start == len("Sill: ") and number.end == len(f"Sill: {words}")
    return number


def nearest(length: Fraction) -> tuple[int, ...]:
    """The nearest millimetre; of two as near either."""
    return tuple({int(length + Fraction(1, 2)), -int(-length + Fraction(1, 2))})


def test_metric_lengths() -> None:
    for mm in range(1005, 3300, 15):
        metres, rest = divmod(mm, 1000)
        ways = [
            f"{mm} mm",
            f"{mm}mm",
            f"{mm} millimetres",
            f"{metres},{rest:03} mm",
            f"{metres} {rest:03} mm",
        ]
        ways += [f"{metres}.{rest:03} m", f"{metres},{rest:03}m", f"{metres}.{rest:03} metres"]
        if mm % 10:
            ways += [
                f"{mm / 10} cm",
                f"{mm / 10}cm".replace(".", ","),
                f"{mm // 10} 1/2 cm",
                f"{mm // 10}½ cm",
            ]
            ways += [f"{mm // 10} cm 5 mm", f"{mm // 10} and a half cm"]
            ways += (
                [f"{metres} m {rest // 10:02}.5", f"{metres}m {rest // 10:02} and a half"]
                if rest >= 100
                else []
            )
        else:
            ways += [
                f"{mm // 10} cm",
                f"{mm // 10}cms",
                f"{metres}.{rest // 10:02} m",
                f"{mm // 10} Zentimeter",
            ]
            ways += [
                f"{metres} m {rest // 10:02}",
                f"{metres}m{rest // 10:02}",
                f"{metres} m {rest // 10:02} cm",
            ]
        assert {w: one(w).whole_mm for w in ways} == dict.fromkeys(ways, mm)


@pytest.mark.parametrize("part", PARTS)
def test_inches_and_feet(part: Fraction) -> None:
    for inches in range(13, 110, 6):
        want = nearest((inches + part) * INCH)
        for sign in PARTS[part]:
            for unit in ('"', " inches", " inch"):
                assert one(f"{inches}{sign}{unit}").whole_mm in want, (inches, sign, unit)
    for feet in range(1, 11):
        for inches in (0, 1, 5, 11):
            want = nearest((feet * 12 + inches + part) * INCH)
            for sign in PARTS[part]:
                for words in (
                    f"{feet}' {inches}{sign}\"",
                    f"{feet} ft {inches}{sign} in",
                    f"{feet} foot {inches}{sign} inches",
                    f"{feet}ft {inches}{sign}",
                ):
                    assert one(words).whole_mm in want, words


def test_a_bare_figure_has_no_length_until_it_is_known_what_it_is_of() -> None:
    for words, places in (("104", 0), ("104.5", 1), ("1.04", 2), ("1045", 0), ("104,5", 1)):
        number = one(words)
        assert (number.whole_mm, number.unit, number.places) == (None, "", places)
