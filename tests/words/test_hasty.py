"""What was settled in haste is not settled, and what stands plain is not asked for again. No outside source: the
replies are put together from their parts."""

from __future__ import annotations

import pytest

from intake.domain.words.whole_message import Understood, understand
from intake.model.need import NeedKind
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


def _read(letter: str, words: str) -> Understood:
    return understand(words, LETTERS[letter], KITCHEN, "<m>")


def _facts(letter: str, words: str) -> list[str]:
    return facts_of(_read(letter, words))


@pytest.mark.parametrize("before", ["", "386.5. 14. 242. "])
@pytest.mark.parametrize(
    "missed",
    [
        "Gas meter I haven't, it is locked",
        "Photo of the gas meter I haven't, sorry",
        "A picture of the gas meter we haven't got",
        "I have photographed the fuse box, the gas meter I haven't",
        "The gas meter I have not",
        "Den Gaszähler habe ich nie gesehen",
        "Den Gaszähler haben wir leider nicht gesehen",
        "Den Gaszähler habe ich nie gefunden",
    ],
)
def test_a_meter_not_found_or_not_photographed_is_not_absent(before: str, missed: str) -> None:
    assert "gas-meter=none" not in _facts("A", f"{before}{missed}.")


@pytest.mark.parametrize(
    "none",
    ["Gas we have not", "Gas we haven't", "Gas haben wir nie gehabt", "A gas meter we haven't got"],
)
def test_what_a_home_has_not_got_is_absent(none: str) -> None:
    assert _facts("A", f"{none}.") == ["gas-meter=none"]


@pytest.mark.parametrize("house", ["25cm brick wall", "1930s house", "28 cm wall", "1960 bungalow"])
@pytest.mark.parametrize("number", ["", "2. "])
def test_a_number_in_a_wall_or_house_is_no_inches(number: str, house: str) -> None:
    found = _facts("A", f"{number}10 in a {house}")
    assert {"reveal-depth=100", "reveal-depth=?100"}.intersection(found)
    assert not {"reveal-depth=254", "reveal-depth=250", "reveal-depth=280"}.intersection(found)


@pytest.mark.parametrize("back", ["ignore that", "forget that", "disregard that"])
@pytest.mark.parametrize("it", ["it's", "it is"])
def test_what_is_to_be_ignored_goes_on_where_nothing_parts_it(back: str, it: str) -> None:
    """ "Ignore that it's 240 at the beam" is of the 240."""
    assert "ceiling-height=2400" not in _facts("C", f"242, {back} {it} 240 at the beam")
    assert _facts("C", f"242, {back}, {it} 240") == ["ceiling-height=2400"]


@pytest.mark.parametrize("digit", ["three", "3"])
def test_a_digit_that_begins_both_choices_chooses_none(digit: str) -> None:
    found = _read("A", f"1. The {digit} comes first")
    assert not {"wall-sections=3865", "wall-sections=3805"}.intersection(facts_of(found))
    assert found.needs


@pytest.mark.parametrize(
    "list_of",
    [
        "At the back, on the left, by the door, under the window is the sink",
        "In the hall, in the kitchen, in the loft, in the cellar there are tiles",
        "Utility, kitchen, hall, landing need doing",
        "In the hall, in the kitchen, in the utility, in the loft we have wifi",
        "Hall, outside wall, kitchen, blue tap needs doing",
        "Hall, porch, loft, bathroom: new tiles",
        "Im Flur, im Keller, im Bad, in der Küche gibt es Fliesen",
        "same, same, same, same",
    ],
)
@pytest.mark.parametrize("number", ["", "3. "])
def test_places_of_which_something_is_said_answer_nothing(number: str, list_of: str) -> None:
    found = _facts("B", f"{number}{list_of}")
    assert not {f"{s}=place" for s in ("consumer-unit", "gas-meter", "boiler", "water-main")}.intersection(
        found
    )


@pytest.mark.parametrize(
    "third", ["where the coats are", "in the cupboard we use for shoes", "same", "it's on the left"]
)
def test_a_place_may_be_told_by_what_is_there(third: str) -> None:
    assert _facts("B", f"3. Hall, porch, {third}, under the sink")[-4:] == [
        f"{s}=place" for s in ("consumer-unit", "gas-meter", "boiler", "water-main")
    ]


@pytest.mark.parametrize(
    ("letter", "words", "expected"),
    [
        ("C", "Kitchen's ceiling is 242", "ceiling-height=2420"),
        ("B", "Window's sill is 98, top 210, recess 12", "sill-height=980"),
        ("C", "Ceiling's height is 2.42", "ceiling-height=2420"),
        ("C", "In Saturday's go I got 242", "ceiling-height=2420"),
        ("C", "His is 228, the ceiling is 242", "ceiling-height=2420"),
        ("C", "Hall's ceiling is 240, kitchen's is 242", "ceiling-height=2420"),
        ("C", "Monday's was 240, today's is 242", "ceiling-height=2420"),
    ],
)
def test_a_room_an_opening_or_a_day_is_no_person(letter: str, words: str, expected: str) -> None:
    found = _facts(letter, words)
    assert {expected, expected.replace("=", "=?")}.intersection(found)


@pytest.mark.parametrize("day", ["Monday", "Yesterday", "Saturday"])
def test_what_two_days_measured_of_one_thing_is_in_doubt(day: str) -> None:
    found = _facts("C", f"{day}'s was 240, today's is 242.")
    assert found and all("=?" in fact for fact in found)


@pytest.mark.parametrize(
    "words",
    [
        "We both measured it. His was 238, mine was 242.",
        "His is 242 and I got 240",
        "Dad's was 238 but I made it 242",
        "Seine war 238, meine war 242",
    ],
)
def test_two_peoples_lengths_of_one_thing_are_in_doubt(words: str) -> None:
    found = _facts("C", words)
    assert found
    assert all("=?" in f for f in found)


@pytest.mark.parametrize("whose", ["My husband's are", "Dave's are", "His is"])
def test_lengths_that_may_be_somebody_elses_reach_a_person(whose: str) -> None:
    assert [n.kind for n in _read("A", f"{whose} 386.5, 14, none, 242").needs] == [NeedKind.UNREAD]


@pytest.mark.parametrize(
    "talk", ["The electricity goes off often in the kitchen", "The water goes down slowly in the kitchen"]
)
def test_where_a_supply_fails_is_not_where_it_comes_in(talk: str) -> None:
    assert not [f for f in _facts("B", f"{talk}.") if f.endswith("=place")]


@pytest.mark.parametrize(
    "top", ["reach the top shelf", "do it at the top of the wall", "reach the top cupboard"]
)
def test_the_top_of_something_else_is_not_that_of_the_window(top: str) -> None:
    assert "head-height=could-not" not in _facts("B", f"I couldn't {top}")


@pytest.mark.parametrize(
    ("letter", "words"),
    [("C", "242, the tape starts at zero"), ("B", "Sill 98, top 210, recess 12 plus photos")],
)
def test_a_sound_tape_and_pictures_besides_leave_no_doubt(letter: str, words: str) -> None:
    assert not [f for f in _facts(letter, words) if "=?" in f]
