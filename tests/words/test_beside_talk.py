"""Questions, changes and second heights beside an answer, and words that look like them. No outside source: the replies
are put together from their parts."""

from __future__ import annotations

import pytest

from intake.domain.words import waiting, whole_message
from intake.domain.words.whole_message import Understood, understand
from intake.model.need import NeedKind
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


def _read(letter: str, words: str) -> Understood:
    return understand(words, LETTERS[letter], KITCHEN, "<m>")


def _facts(letter: str, words: str) -> list[str]:
    return facts_of(_read(letter, words))


@pytest.mark.parametrize(
    "asks", ["does it matter that it slopes?", "will the units reach the ceiling?", "can we paint it first?"]
)
def test_a_question_behind_a_length_is_seen(asks: str) -> None:
    assert NeedKind.QUESTION in [n.kind for n in _read("C", f"It's 241 and 240.5, {asks}").needs]


def test_a_question_for_forms_sake_is_not() -> None:
    assert _read("C", "It's 241 and 240.5, is that enough?").needs == ()


@pytest.mark.parametrize(
    "changing",
    [
        "The old tiles come up before you start",
        "The laminate is coming up",
        "The radiator under the window is coming off",
        "He is going to put a window there",
        "She wants to move out the radiator",
        "The plumber will have to shift the boiler",
    ],
)
def test_what_comes_up_or_off_changes_the_room(changing: str) -> None:
    assert _read("A", f"386.5, 14, no gas, 241. {changing}.").needs


@pytest.mark.parametrize(
    "talk",
    [
        "I've been plastering for 31 years",
        "My cleaner is going to hear about the cobweb",
        "We are all a bit tired after the showroom",
        "My father's tape, and it has never been wrong",
        "I deleted your letter by mistake",
        "My lad held the tape and would rather have been anywhere else",
        "My wife is sending from her phone",
        "The vinyl comes up well after a clean",
        "My son will take the door off so I can measure",
        "Es wird nur noch von der Küche geredet",
        "2 ceiling photos attached",
    ],
)
def test_words_of_change_in_another_sense_call_for_nobody(talk: str) -> None:
    assert _read("A", f"386.5, 14, no gas, 241. {talk}.").needs == ()


@pytest.mark.parametrize(
    "wish",
    [
        "The window is going to get bigger",
        "That wall is going to vanish",
        "My builder is going to make the wall shorter",
        "It's going to look different by June, they're making it open plan",
        "The ceiling is going to have spotlights in a box",
        "The floor is going to rise by a few centimetres",
        "It's going to lose 10 cm when the floor is in",
        "The sink wants to move nearer the window",
        "We want to move in a wall",
        "We are going to move nearer the wall the sink",
        "We're changing the sheets of plasterboard",
        "We are replacing the tyres and the window",
        "We are changing a bulb fitting to spots, so the ceiling drops",
        "I love it if the doors open the other way",
        "I like it to be white",
        "I like the sink where you put it",
        "We love to have an island in the middle",
        "We would rather stay with gas",
        "We'd rather have been told we could choose",
    ],
)
def test_the_same_words_of_the_room_or_as_a_wish_call(wish: str) -> None:
    assert _read("A", f"386.5, 14, no gas, 241. {wish}.").needs


def test_a_boiler_that_will_live_elsewhere_is_in_doubt() -> None:
    found = _read(
        "B", "Yes. 101, 211, 12. Hall, porch, kitchen, kitchen. The boiler is going to live in the loft."
    )
    assert "boiler=place" not in facts_of(found)
    assert found.needs


@pytest.mark.parametrize(
    "mistake",
    [
        "I sent it by mistake, that was the bedroom",
        "I sent that in error",
        "Sending this in error, it's the flat upstairs",
        "I sent my sister's by mistake",
        "I sent the bedroom ones by mistake",
        "I opened the tape by mistake at the inches side",
        "I pressed the button by mistake so it's off the table top",
        "He's not been wrong yet but this time he was",
        "My tape was never wrong until today",
    ],
)
def test_a_mistake_with_anything_but_our_letter_leaves_the_length_in_doubt(mistake: str) -> None:
    assert "ceiling-height=2400" not in _facts("C", f"240. {mistake}.")


@pytest.mark.parametrize("reason", ["because the tape ended there", "as that's what the tape reaches"])
@pytest.mark.parametrize("said", ["I put", "I said", "We wrote"])
def test_what_was_put_down_for_a_reason_is_not_certain(said: str, reason: str) -> None:
    found = _read("C", f"{said} 240 {reason}.")
    assert "ceiling-height=2400" not in facts_of(found)
    assert found.needs


@pytest.mark.parametrize(
    "about", ["My husband is worried about the corner unit", "We're a bit concerned about the steps"]
)
def test_who_is_worried_is_heard(about: str) -> None:
    assert _read("A", f"386.5, 14, no gas, 241. {about}.").needs


@pytest.mark.parametrize(
    "range_", ["Between 240 and 241 everywhere", "It's from 238 to 242", "zwischen 240 und 241"]
)
def test_the_ends_of_a_range_are_in_doubt(range_: str) -> None:
    assert [f for f in _facts("C", range_) if "=?" not in f] == []


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("Ceiling 241 by the door, 240.5 by the window", "ceiling-height=2410 ceiling-height=2405"),
        (
            "Ceiling: 241 next to the back door and 239 at the window",
            "ceiling-height=2410 ceiling-height=2390",
        ),
        ("Ceiling 241 by the door, 215 by the window", "ceiling-height=2410 ceiling-height=?2150"),
        ("Ceiling 241, the window 240.5", "ceiling-height=2410 ceiling-height=?2405"),
    ],
)
def test_a_second_height_by_an_opening_is_the_ceilings(words: str, facts: str) -> None:
    assert _facts("C", words) == facts.split()


@pytest.mark.parametrize("joint", ["\n", ", "])
def test_a_list_by_names_with_colons_is_certain(joint: str) -> None:
    told = joint.join(("sill: 101", "top: 211", "depth: 12"))
    assert _facts("B", told) == ["sill-height=1010", "head-height=2110", "reveal-depth=120"]


@pytest.mark.parametrize("yes", ["Yes", "yep.", "Ja.", "Hi Tom,\nYes"])
def test_a_yes_that_a_reply_begins_with_is_to_the_number(yes: str) -> None:
    assert "wall-sections=2835" in _facts("B", f"{yes}\nSill - 101\nTop - 211\nRecess - 12")


def test_a_yes_beside_nothing_else_may_be_to_anything() -> None:
    assert "wall-sections=2835" not in _facts("B", "I got your list. Yes. Sill 101, top 211.")


@pytest.mark.parametrize("unsure", ["not sure", "no idea", "?"])
def test_the_place_of_one_thing_is_not_the_next_ones(unsure: str) -> None:
    found = _facts("B", f"2. 101, 211, 12. fuse box hall, gas meter: {unsure}, boiler loft, water: street")
    assert "gas-meter=place" not in found


@pytest.mark.parametrize("beside", ["next to it", "right beneath it", "beside it"])
def test_what_is_beside_the_thing_before_is_placed(beside: str) -> None:
    assert "gas-meter=place" in _facts(
        "B", f"The fuse box is in the cupboard in the hall, gas meter {beside}, boiler in the loft."
    )


def test_everything_but_one_thing_is_in_one_place() -> None:
    found = _facts(
        "B", "Everything is in the cupboard under the stairs apart from the boiler which is in the bathroom"
    )
    assert sorted(found) == ["boiler=place", "consumer-unit=?place", "gas-meter=?place", "water-main=?place"]


def test_a_name_and_words_that_nobody_knows_are_read_by_somebody() -> None:
    assert _read("A", "380,5. 12. Gaszähler: Xyzabgang qurstu. 241").needs


def test_a_stop_and_nothing_leaves_the_others_in_doubt() -> None:
    found = ["wall-sections=2835", "sill-height=?900", "head-height=?2100"]
    assert _facts("B", "Yes, . , 90, . 210") == found


@pytest.mark.parametrize("no", ["No.", "Nope.", "Nein.", "Not quite."])
def test_a_bare_no_to_what_we_read_reaches_somebody(no: str) -> None:
    assert _read("B", f"{no} Sill 101, top 211, recess 12.").needs


@pytest.mark.parametrize(("depth", "fact"), [("60", "reveal-depth=60"), ("30", "reveal-depth=?300")])
def test_a_small_number_among_millimetres_may_be_centimetres(depth: str, fact: str) -> None:
    assert fact in _facts("B", f"Yes. 1100, 2150, {depth}")


def test_a_yes_beside_another_reading_of_the_number_is_in_doubt() -> None:
    assert "wall-sections=2835" not in _facts(
        "B", "Yes\nI measured the wall, it's 285.5. Sill 101, top 211, recess 12"
    )


def test_a_place_that_somebody_thinks_is_in_doubt() -> None:
    assert "gas-meter=?place" in _facts("A", "386.5. 14. In the porch, I think. 241.")


@pytest.mark.parametrize(
    ("letter", "words"),
    [
        ("C", "240 at its highest, but it slopes"),
        ("B", "1: yes if you measure at the floor"),
        ("D", "Should be 38, if it's the little bit beside the door you mean"),
    ],
)
def test_what_no_rule_suspects_and_yet_likely_calls_for_somebody_does(
    letter: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _read(letter, words).needs
    monkeypatch.setattr(waiting, "LIKELY", 1.0)
    assert understand(words, LETTERS[letter], KITCHEN, "<anew>").needs == ()


def test_a_length_that_nothing_explains_makes_its_sentence_doubtful_where_something_is_doubtful_already(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told = "as I had the tape out: top of the door 203, dado rail 92, light switch 117"
    words = f"Ceiling 240 by the hob, 240.5 by the door, and {told}."
    assert "ceiling-height=?2400" in _facts("C", words)
    assert "ceiling-height=2400" in _facts("A", "On train. 380.5, 16, no gas, 240/240")  # the same twice
    monkeypatch.setattr(whole_message, "doubt_where_a_person_looks", lambda *_: None)
    assert "ceiling-height=2400" in facts_of(understand(words, LETTERS["C"], KITCHEN, "<anew>"))


def test_a_length_of_an_answer_that_a_person_must_read_is_doubtful() -> None:
    words = "It's 241 - will the units reach?"
    assert _read("C", words).needs
    assert _facts("C", words) == ["ceiling-height=?2410"]


def test_what_was_misread_the_first_time_leaves_no_doubt() -> None:
    assert _facts("C", "Read that as 240 first time, it's 242 and 241.5") == [
        "ceiling-height=2420",
        "ceiling-height=2415",
    ]


def test_oil_not_gas_is_no_gas() -> None:
    assert _facts("B", "We have oil not gas.") == ["gas-meter=none"]


def test_think_it_is_there_is_a_doubtful_place() -> None:
    assert "gas-meter=?place" in _facts(
        "A", "1 386.5\n2 11\n3 think it's in the cupboard on the landing\n4 250"
    )
