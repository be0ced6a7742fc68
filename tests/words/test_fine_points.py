"""What random faults in the rules of a person's words showed to be held by nothing (python -m tests.mutants).

No outside source: the replies are invented, what they say is plain."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from intake.domain.words.fates import Fate
from intake.domain.words.labels import parts
from intake.domain.words.of_a_number import told_once
from intake.domain.words.ours import without_letters
from intake.domain.words.signature import unsigned
from intake.domain.words.spelled import in_figures
from intake.domain.words.turns import read_out
from intake.domain.words.weighing import ANOTHER_BESIDE, ANOTHER_UNIT
from intake.domain.words.whole_message import understand
from intake.model.letter import Ask
from tests.words.test_replies import KITCHEN, LETTERS, facts_of
from tests.words.test_spelled import english, german

USED, BESIDES, ASIDE, UNREAD = Fate.USED, Fate.BESIDES, Fate.ASIDE, Fate.UNREAD


@pytest.mark.parametrize(
    ("letter", "words", "facts"),
    [
        # A bare length after the numbered answer to a request for three is of none of them for certain.
        ("B", "2. Sill is 101. Measured again: 102.", ["sill-height=?1020"]),
        # Nothing over nought is no part of a length.
        ("N", "The sill height is 103 1/0", ["sill-height=1030"]),
        ("N", "The sill height is 103 1/2", ["sill-height=1035"]),
        # What is taken back leaves its thing named: the next length may be of it.
        ("N", "Sill 104, wrong, 103", ["sill-height=?1040", "sill-height=?1030"]),
        # Who is not sure where the meter is may be sure of the ceiling.
        ("A", "The ceiling is 242. Under the stairs, I think.", ["ceiling-height=2420", "gas-meter=?place"]),
        # The place of the second thing is not the first one's.
        ("B", "The stop tap but the consumer unit is in the hall.", ["consumer-unit=place"]),
        # What is said for certain of a part of the window stays so beside a bare length.
        ("B", "It's 98. 7 deep.", ["reveal-depth=70", "sill-height=?980"]),
        # A bare no goes with the length after it, and the window's come in their order.
        (
            "B",
            "no, 253.5, 101, 211, 7",
            ["wall-sections=2535", "sill-height=1010", "head-height=2110", "reveal-depth=70"],
        ),
        # "or so" names nothing that would be counted.
        ("A", "2. 12 or so", ["reveal-depth=?120"]),
    ],
)
def test_what_is_taken_from_words(letter: str, words: str, facts: list[str]) -> None:
    assert facts_of(understand(words, LETTERS[letter], KITCHEN, "<m>")) == facts


@pytest.mark.parametrize(
    ("letter", "words", "fates"),
    [
        ("N", "The old dresser is 192 tall and is not staying.", [ASIDE, ASIDE]),
        ("B", "Make that 94 for the sill, had the tape on the rug.", [USED, ASIDE]),
        ("N", "Photos 1 to 4 attached, 5 and 6 to follow", [ASIDE, ASIDE, ASIDE]),
        ("N", "The wall is 3.2 long, 40", [UNREAD, UNREAD]),
        # Where the number stands that was asked about is no answer; and what will change is for a person.
        ("D", "1: 38. It's the piece by the gas meter.", [USED, BESIDES]),
        ("D", "1. It's the piece by the window that will be changed.", [UNREAD]),
        # Why there is no sill has been taken with it; a door that is blocked is not why it comes later.
        ("B", "My window is a patio door so there isn't a sill", [BESIDES, USED]),
        ("A", "The door is blocked and I will measure it next week.", [UNREAD, ASIDE]),
        ("B", "The window's covered in scaffolding, so it'll be next week", [ASIDE, ASIDE]),
        ("B", "It'll be next week, the window's covered in scaffolding", [ASIDE, UNREAD]),
        ("B", "The door is stuck, tomorrow", [UNREAD, ASIDE]),
    ],
)
def test_what_becomes_of_each_clause(letter: str, words: str, fates: list[Fate]) -> None:
    assert [c.fate for c in understand(words, LETTERS[letter], KITCHEN, "<m>").clauses] == fates


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("straight in from the street", ["access=said"]),
        ("straight in from the street, I think", ["access=?None"]),
        ("The builder says it is fine", ["access=?None"]),
        ("It will be changed", ["access=?None"]),
        ("thank you", []),
        ("80", []),
    ],
)
def test_what_is_asked_for_in_words_is_any_words_and_in_doubt_where_they_are(
    words: str, facts: list[str]
) -> None:
    way_in = (Ask("access", "Please tell us how large pieces can be carried in."), *LETTERS["C"])
    assert facts_of(understand(f"1. {words}", way_in, KITCHEN, "<m>")) == facts


@pytest.mark.parametrize(
    ("words", "cut"),
    [
        ("1 386.5, 2 14, 3 none", [(1, "386.5"), (2, "14"), (3, "none")]),
        (
            "Sorry, in your order: 1 386.5, 2 12, 3 none",
            [(0, "Sorry, in your order:"), (1, "386.5"), (2, "12"), (3, "none")],
        ),
        # One such number, or two that do not count up, may be lengths.
        ("1 386.5", [(0, "1 386.5")]),
        ("2 105, 1 98", [(0, "2 105, 1 98")]),
        # A number and nothing answers nothing; a question mark does.
        ("1.\n2. 105", [(2, "105")]),
        ("1. ?\n2. 105", [(1, "?"), (2, "105")]),
    ],
)
def test_which_part_answers_which_request(words: str, cut: list[tuple[int, str]]) -> None:
    assert [(p.ask, p.text) for p in parts(words, 3)] == cut


@pytest.mark.parametrize(
    ("words", "digits"),
    [("three eight", "38"), ("das ist drei acht", "38"), ("it's three", ""), ("three hundred", "")],
)
def test_single_digits_that_are_read_out(words: str, digits: str) -> None:
    assert read_out(words) == digits


@pytest.mark.parametrize(
    ("message", "told"), [("It is 38.", True), ("38, yes 38", True), ("I wrote 83. It is 38.", False)]
)
def test_of_two_readings_of_one_number_neither_is_told(message: str, told: bool) -> None:
    assert bool(told_once(message, LETTERS["D"])) is told


LETTER = "Hello Tom,\n\nPlease measure the height from the floor to the ceiling, in two places.\n"


@pytest.mark.parametrize(
    "head",
    [
        "-----\nFrom: Ines",
        "From: Ines\nDate: 4 May",
        "-----\nFrom: Ines\nTo: Tom",
        "On 4 May 2026 Ines wrote:",
    ],
)
def test_every_line_of_a_letters_head_goes_with_it(head: str) -> None:
    assert without_letters(f"It is 243.\n\n{head}\n\n{LETTER}", [LETTER]) == "It is 243."


@pytest.mark.parametrize(
    ("under", "left"),
    [
        ("Sent from my phone\nThe sill is 104", "The sill is 104"),
        ("Sent from my iPhone\nThe sill is 104\nAnn Smith", "The sill is 104"),
        ("-- \nMill Kitchens\nThe sill is 104\nfor all your needs\n1: 104", "The sill is 104\n1: 104"),
        ("-- \nMill Kitchens\n> 1. The sill?\nthanks", "> 1. The sill?"),
        ("Kind regards\nAnn Smith\n01632 960000\nThe sill is 104", "Kind regards\nThe sill is 104"),
        ("Kind regards\nAnn Smith\nno name of anybody", "Kind regards\nno name of anybody"),
        ("Ann Smith\nKind regards\n1: 104", "Ann Smith\nKind regards\n1: 104"),
    ],
)
def test_what_stands_under_a_closing_line_goes_and_answers_there_stay(under: str, left: str) -> None:
    """The line "-- " above a signature: RFC 3676 4.3 (from memory)."""
    first = "The plan is attached."
    assert unsigned(f"{first}\n{under}", lambda line: "sill" in line) == f"{first}\n{left}"


@pytest.mark.parametrize("spelled", [english, german])
def test_metres_and_centimetres_are_said_without_the_word(spelled: Callable[[int], str]) -> None:
    """ "Zwei fünfzig" is 250; two digits in a row, "zwei neun", may be anything."""
    for metres in range(2, 10):
        for rest in range(1, 100):
            words = f"{spelled(metres)} {spelled(rest)}"
            assert in_figures(words).text == (str(100 * metres + rest) if rest >= 10 else words)


def test_each_length_keeps_its_own_doubt() -> None:
    """Beside a sill in inches the others may be so too; which unit the bare 5 has nobody can tell."""
    answers = understand('2. sill 40", top 210, recess 5', LETTERS["B"], KITCHEN, "<m>").answers
    assert [(a.statement.value_mm, a.statement.doubt) for a in answers] == [
        (1016, ANOTHER_BESIDE),
        (2100, ANOTHER_BESIDE),
        (50, ANOTHER_UNIT),
    ]
