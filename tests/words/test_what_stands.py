"""What is refused, put right or measured with a bad tape does not stand, however it is said. No outside source: the
replies are put together from their parts."""

from __future__ import annotations

import pytest

from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


def _facts(letter: str, words: str) -> list[str]:
    return facts_of(understand(words, LETTERS[letter], KITCHEN, "<m>"))


@pytest.mark.parametrize(
    "no", ["No", "Argh no", "Nein", "Oh no, wait", "Actually scrub that", "Please ignore that"]
)
@pytest.mark.parametrize(("first", "then"), [("83", "38"), ("38", "83")])
def test_a_no_by_itself_takes_back_the_number_before_it(no: str, first: str, then: str) -> None:
    assert _facts("D", f"{first}. {no}. {then}.") == [f"wall-sections={then}0"]


def test_what_is_taken_back_without_another_number_is_in_doubt() -> None:
    assert _facts("D", "It's 83. Actually scrub that, I'm not sure at all.") == ["wall-sections=?830"]


@pytest.mark.parametrize("lead", ["Then", "And", "", "Also"])
def test_a_bare_length_after_an_answer_is_no_second_one(lead: str) -> None:
    found = _facts("B", f"The sill is 92. {lead} 13.5.")
    assert "sill-height=920" in found
    assert "sill-height=135" not in found


@pytest.mark.parametrize("also", [", 13 deep", ", depth 13", ""])
@pytest.mark.parametrize("to", ["to the", "up to the", "to"])
def test_a_length_that_reaches_to_a_thing_is_its_own(to: str, also: str) -> None:
    found = [
        f.replace("?", "") for f in _facts("B", f"the window 95 {to} sill 205 {to} top of the window{also}")
    ]
    assert "sill-height=950" in found
    assert not {"sill-height=2050", "head-height=950"}.intersection(found)


@pytest.mark.parametrize(
    "fault", ["then I found the tape had a kink in it", "the tape was twisted", "my ruler is broken"]
)
def test_a_tape_at_fault_leaves_its_lengths_in_doubt(fault: str) -> None:
    assert _facts("C", f"242, then 244, {fault}. With a good one: 243.") == [
        "ceiling-height=?2420",
        "ceiling-height=?2440",
        "ceiling-height=2430",
    ]


@pytest.mark.parametrize(
    "mend", ["Korrektur, oben sind es 205", "Correction, the top is 205", "Sorry, top 205"]
)
def test_a_length_put_right_stands_in_place_of_the_one_in_the_list(mend: str) -> None:
    found = _facts("B", f"Yes. 95, 215, 11. {mend}.")
    assert "head-height=2150" not in found
    assert {"head-height=2050", "head-height=?2050"}.intersection(found)


@pytest.mark.parametrize("depth", ["2 cm", "38 cm"])
def test_a_length_outside_what_the_request_names_is_in_doubt(depth: str) -> None:
    assert _facts("A", f"2. {depth}") == [f"reveal-depth=?{depth[:-3]}0"]


@pytest.mark.parametrize(
    ("sill", "top", "doubtful"), [("205", "95", True), ("100", "212", False), ("90", "125", False)]
)
def test_a_top_below_its_sill_that_is_no_glass_above_it_either_is_in_doubt(
    sill: str, top: str, doubtful: bool
) -> None:
    """95 cm of glass over a sill at 205 would reach to 3 m: letters (a) and (b) are exchanged, or one is no length."""
    (head,) = (f for f in _facts("B", f"Yes. a {sill} b {top} c 14") if f.startswith("head-height"))
    assert ("?" in head) is doubtful


@pytest.mark.parametrize("none", ["Nae gas in the glen", "There's nae gas", "We dinnae have gas"])
def test_a_scots_no_is_a_no(none: str) -> None:
    assert _facts("A", f"3. {none}.") == ["gas-meter=none"]


@pytest.mark.parametrize(
    "hunt", ["hunted high and low for it", "looked high and low", "I'm blowed if I can find it"]
)
def test_a_hunt_that_found_nothing_is_no_place(hunt: str) -> None:
    assert "gas-meter=place" not in _facts("A", f"3. The gas meter I've {hunt}.")


def test_a_picture_sign_ends_a_sentence() -> None:
    assert "gas-meter=place" not in _facts(
        "A", "386.5 👍 10cm 👍 240 by the sink, 239.5 by the door 👍 gas meter pic attached"
    )


@pytest.mark.parametrize(
    "beside",
    [
        "242, new laminate to go on top",
        "242 (or 247)",
        "240 to 244",
        "242 first time, 245 second time",
        "Tape says 242, laser 245",
        "Take 3 off the 245 I gave you",
        "242 but that's to the old ceiling",
        "242, my tape starts at 2",
        "242 plus the boards",
        "242, tiles still to come",
        "242 but that includes the carpet",
        "gut 242",
        "erst 242, dann 245 gemessen",
    ],
)
def test_a_length_that_its_own_words_limit_is_in_doubt(beside: str) -> None:
    found = _facts("C", beside)
    assert found
    assert all("=?" in f for f in found)


@pytest.mark.parametrize(
    "words",
    [
        "gas meter under the stairs or in the garage",
        "My landlord says the gas meter is in the cellar",
        "Gas bottles outside",
    ],
)
def test_a_place_that_is_not_known_first_hand_is_in_doubt(words: str) -> None:
    assert _facts("A", words) == ["gas-meter=?place"]


@pytest.mark.parametrize("yet", ["except it's 284.5 at the top", "but I make it 284.5"])
def test_a_yes_with_another_length_after_it_is_in_doubt(yet: str) -> None:
    assert "wall-sections=2835" not in _facts("B", f"right, {yet}")


@pytest.mark.parametrize(
    "who", ["Your colleague said he'd", "You promised you would", "The lady told me she would"]
)
@pytest.mark.parametrize("not_kept", ["and he hasn't", "and nothing came", "but she never did"])
def test_a_promise_of_ours_that_was_not_kept_reaches_a_person(who: str, not_kept: str) -> None:
    found = understand(
        f"380.5. 13. In the hall. 239. {who} e-mail a quote {not_kept}.", LETTERS["A"], KITCHEN
    )
    assert found.needs
