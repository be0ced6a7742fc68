"""A length, a place or an absence that stands beside another thing's name is not taken for this one's. No outside
source: the replies are composed."""

from __future__ import annotations

import pytest

from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


def _facts(letter: str, words: str) -> set[str]:
    return set(facts_of(understand(words, LETTERS[letter], KITCHEN, "<m>")))


@pytest.mark.parametrize(
    ("letter", "words"),
    [
        ("B", "2835, sill 90, top 2100, deep 12"),
        ("B", "it's 2835. sill 90, top 2110, deep 15"),
        ("N", "Sill is 90, ceiling 2410, wall 3865"),
        ("B", "Ja. Brüstung 90, oben 2100. Kühlschrank 1780."),
    ],
)
def test_a_small_sill_among_millimetres_may_be_in_centimetres(letter: str, words: str) -> None:
    assert {"sill-height=?90", "sill-height=?900"} <= _facts(letter, words)


def test_a_recess_and_a_sill_that_can_be_in_millimetres_alone_are() -> None:
    assert "reveal-depth=90" in _facts("A", "3865, 90, none, 2410")
    assert {"sill-height=1050", "head-height=2110"} <= _facts("B", "2835. sill 1050, top 2110, deep 150")


@pytest.mark.parametrize(
    "words",
    [
        "Ceiling 241 and 236 at the window",
        "Ceiling height 241 in the middle, 236 above the window",
        "Ceiling 241, in the doorway it is 236",
        "Decke 241 in der Mitte, 236 in der Tür",
        "241 by the door and the door is 236",
        "241 and the door 236",
        "241; french doors 236",
        "ceiling 241 window 236",
        "241 near the door. The cupboard is 236 near the window.",
        "Ceiling 241. By the window the blind box is at 236.",
    ],
)
def test_what_may_be_of_an_opening_is_no_second_height_of_the_ceiling(words: str) -> None:
    assert "ceiling-height=2410" in _facts("C", words)
    assert "ceiling-height=2360" not in _facts("C", words)


@pytest.mark.parametrize(
    "words",
    [
        "Ceiling 241 by the door, 236 by the window",
        "236 at the window end, 241 at the door end",
        "241 bei der Tür und 236 beim Fenster",
    ],
)
def test_two_heights_of_a_ceiling_stand(words: str) -> None:
    assert _facts("C", words) == {"ceiling-height=2410", "ceiling-height=2360"}


@pytest.mark.parametrize(
    "words", ["no gas, water in the cellar, boiler kitchen", "Kein Gas, Wasser im Keller, Therme Küche"]
)
def test_what_has_a_place_of_its_own_is_not_absent(words: str) -> None:
    assert {"gas-meter=none", "water-main=place"} <= _facts("B", words)


@pytest.mark.parametrize("but", ["apart from", "except", "other than"])
def test_the_exception_is_not_where_all_the_others_are(but: str) -> None:
    assert _facts("B", f"Everything is under the stairs {but} the boiler.") == {
        "consumer-unit=?place",
        "gas-meter=?place",
        "water-main=?place",
    }
    assert "boiler=place" in _facts(
        "B", f"Everything is under the stairs {but} the boiler, which is in the loft."
    )
    assert _facts("B", f"Everything {but} the gas meter is under the stairs, we have no gas.") == {
        "gas-meter=none"
    }


@pytest.mark.parametrize("remark", ["front step needs mending", "the front step needs mending"])
def test_what_is_said_of_another_thing_is_no_place(remark: str) -> None:
    found = understand(f"Gas meter: {remark}", LETTERS["A"], KITCHEN, "<m>")
    assert found.needs and "gas-meter=place" not in facts_of(found)
    assert "gas-meter=place" in _facts("A", "Gas meter: front step")


@pytest.mark.parametrize(
    "words",
    [
        "I can't measure this, my tape is one metre long",
        "Can't measure it, the tape is only 1 m",
        "Ich kann das nicht messen, mein Zollstock ist nur 2 m lang",
    ],
)
def test_how_long_the_tape_is_is_no_height(words: str) -> None:
    assert _facts("C", words) == {"ceiling-height=could-not"}


def test_what_was_looked_for_was_not_found_and_not_what_was_seen_on_the_way() -> None:
    words = "Boiler in the loft. Looked for the water main, saw the boiler, couldn't find it."
    assert _facts("B", words) == {"boiler=place", "water-main=could-not"}
