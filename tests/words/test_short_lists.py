"""Short answers in the letter's order, in inches, taken back, and what cannot be told. No outside source: the replies
are put together from their parts."""

from __future__ import annotations

from itertools import product

import pytest

from intake.domain.words.whole_message import Understood, understand
from intake.model.need import NeedKind
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


def _read(letter: str, words: str) -> Understood:
    return understand(words, LETTERS[letter], KITCHEN, "<m>")


def _facts(letter: str, words: str) -> list[str]:
    return facts_of(_read(letter, words))


@pytest.mark.parametrize(
    "marks", [" in b 83 in c 5 in", '" b 83" c 5"', " in, b 83 in, c 5 in", " in (b) 83 in (c) 5 in"]
)
def test_inches_stand_before_the_next_letter(marks: str) -> None:
    """25.4 mm in an inch: the international yard and pound, 1959."""
    assert _facts("B", f"a 40{marks}") == ["sill-height=1016", "head-height=2108", "reveal-depth=127"]


@pytest.mark.parametrize("last", ["12", "5"])
def test_a_bare_number_beside_inches_is_in_doubt(last: str) -> None:
    assert f"reveal-depth=?{last}0" in _facts("B", f"a 40 in b 83 in c {last}")


@pytest.mark.parametrize(
    ("choice", "depth", "gas", "ceiling"),
    [
        *product(
            ("your first", "first one", "the first one", "386.5"),
            ("12", "14.5"),
            ("outside", "none"),
            ("240", "2.43"),
        )
    ],
)
def test_a_choice_begins_a_list_in_the_letters_order(choice: str, depth: str, gas: str, ceiling: str) -> None:
    found = _facts("A", f"{choice}, {depth}, {gas}, {ceiling}")
    height = {"240": 2400, "2.43": 2430}[ceiling]
    meter = {"outside": "place", "none": "none"}[gas]
    assert found == [
        "wall-sections=3865",
        f"reveal-depth={float(depth) * 10:.0f}",
        f"gas-meter={meter}",
        f"ceiling-height={height}",
    ]


@pytest.mark.parametrize(
    "back", ["ignore that", "forget that", "disregard that", "strike that", "vergessen Sie das"]
)
@pytest.mark.parametrize(
    "form", ["recess 12, {}, 14", "recess 12 - {}, it's 14", "The recess is 12. {}, it is 14."]
)
def test_what_is_taken_back_gives_way_to_what_follows(back: str, form: str) -> None:
    assert _facts("A", form.format(back)) == ["reveal-depth=140"]


@pytest.mark.parametrize("back", ["Ignore that", "Forget that", "Scrap that, I will measure again"])
def test_what_is_taken_back_and_not_replaced_is_in_doubt(back: str) -> None:
    assert "ceiling-height=2420" not in _facts("C", f"242. {back}.")


@pytest.mark.parametrize("tap", ["blue tap", "the red lever", "sink"])
@pytest.mark.parametrize("lead", ["1. yes\n2. 101, 210, 12\n3. ", "yes. 101, 210, 12. "])
def test_a_thing_named_last_among_places_is_a_place_too(tap: str, lead: str) -> None:
    found = _facts("B", f"{lead}hall, outside wall, kitchen, {tap}")
    assert {"consumer-unit=place", "gas-meter=place", "boiler=place"} < {*found}
    assert {"water-main=place", "water-main=?place"}.intersection(found)


def test_one_place_told_at_length_is_none_of_four() -> None:
    assert _facts("B", "3. It's in the hall, behind the coats, on the left, high up") == []


@pytest.mark.parametrize(("sill", "top"), [(98, 112), (92, 105), (100, 118)])
def test_a_top_hardly_above_its_sill_may_be_the_glass(sill: int, top: int) -> None:
    assert f"head-height=?{top}0" in _facts("B", f"sill {sill}, top {top}, recess 12")
    assert f"head-height={top}0" in _facts("B", f"sill {sill}, sill to top {top}, recess 12"), (
        "said from where"
    )
    assert f"head-height=?{top}0" in _facts("B", f"2. {sill}, {top}, 12"), "as the letter asks for it"


@pytest.mark.parametrize(
    "why",
    [
        "I am 84 and don't go up ladders",
        "the blind is screwed on",
        "I have vertigo",
        "my hip is bad",
    ],
)
def test_what_can_never_be_told_reaches_a_person(why: str) -> None:
    found = _read("A", f"386.5. 14. no gas. I couldn't do the ceiling, {why}.")
    assert "ceiling-height=could-not" in facts_of(found)
    assert [n.kind for n in found.needs] == [NeedKind.UNREAD]
    later = _read("A", f"386.5. 14. no gas. I couldn't do the ceiling, {why}. My son will do it on Sunday.")
    assert not later.needs, "it is promised"


@pytest.mark.parametrize("lead", ["In your order: ", "", "In the same order: "])
@pytest.mark.parametrize("before", ["Yes. 98, 210, 12. ", "283.5 is right. Window 98 / 208 / 13. "])
def test_four_places_in_a_sentence_are_in_the_letters_order(before: str, lead: str) -> None:
    found = _facts("B", f"{before}{lead}Hallway, front porch, airing cupboard, utility floor by the washer.")
    assert {"consumer-unit=place", "gas-meter=place", "boiler=place", "water-main=place"} < {*found}


@pytest.mark.parametrize(("digit", "value"), [("eight", 830), ("3", 380)])
def test_the_digit_that_comes_first_chooses(digit: str, value: int) -> None:
    assert _facts("D", f"The {digit} comes first.") == [f"wall-sections={value}"]


@pytest.mark.parametrize(
    "top", ["Couldn't do the top, there is a blind over it", "The top I could not reach"]
)
def test_a_top_alone_could_not_be_measured(top: str) -> None:
    assert _facts("B", f"Yes. Sill 98. Recess 12. {top}.")[-1] == "head-height=could-not"


@pytest.mark.parametrize("none", ["Gas we have not", "Gas haben wir nie gehabt", "Gas gibt's nicht"])
def test_there_is_none_whatever_stands_first(none: str) -> None:
    assert _facts("A", f"{none}.") == ["gas-meter=none"]


@pytest.mark.parametrize(
    "right", ["Yes to the number", "Die 283,5 kann ich bestätigen", "As for the number, yes"]
)
def test_a_yes_is_to_the_number_whatever_is_to_follow(right: str) -> None:
    found = _facts("B", f"{right}, window to follow.")
    assert {"wall-sections=2835", "wall-sections=?2835"}.intersection(found)
