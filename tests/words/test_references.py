"""How customers name our requests, and which request an answer without a number is to. The replies are invented."""

from __future__ import annotations

import pytest

from intake.domain.words.labels import parts, without_quoting
from intake.domain.words.signature import unsigned
from intake.domain.words.spelling import mended
from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


@pytest.mark.parametrize(
    ("reply", "expected"),
    [
        ("Yes to 1", [(1, "Yes")]),
        ("1 yes 2a 105 2b 98", [(1, "yes"), (2, "a  105, b  98")]),
        ("for your last question: 241", [(4, "241")]),
        ("The answer to your last question is 241", [(4, "241")]),
        ("As to your first question, the latter", [(1, "the latter")]),
        ("bei Nummer 4: 241 cm", [(4, "241 cm")]),
        ("zur ersten Frage: 386,5", [(1, "386,5")]),
        ("one is 386.5\ntwo is 12\nthree none", [(1, "386.5"), (2, "12"), (3, "none")]),
        ("12 for 2, none for 3", [(2, "12"), (3, "none")]),
        ("> 1. Is the number 38 or 83?\n38\n\n> 4. Please measure\n241", [(1, "38"), (4, "241")]),
        ("my neighbour at number 3 has 236", [(0, "my neighbour at number 3 has 236")]),
        ("I don't understand question 2", [(0, "I don't understand question 2")]),
    ],
)
def test_every_way_of_naming_a_request_is_a_label(reply: str, expected: list[tuple[int, str]]) -> None:
    assert [(p.ask, p.text.strip()) for p in parts(without_quoting(reply), 4)] == expected


@pytest.mark.parametrize(
    ("reply", "asks", "rows"),
    [
        ("1 105 2 98 3 12", 3, [(1, "105"), (2, "98"), (3, "12")]),
        ("Hello\n1 105 2 98 3 12", 3, [(0, "Hello"), (1, "105"), (2, "98"), (3, "12")]),
        ("1 105 2 98 3 12", 4, None),
        ("1 105 2 98", 2, None),
        ("It has 1 boiler 2 windows 3 doors", 3, None),
    ],
)
def test_a_row_of_numbers_is_the_requests_where_it_begins_with_the_first_and_has_them_all(
    reply: str, asks: int, rows: list[tuple[int, str]] | None
) -> None:
    """Two might be anything: a length and how often."""
    found = [(p.ask, p.text.strip()) for p in parts(reply, asks)]
    assert found == ([(0, reply)] if rows is None else rows)


@pytest.mark.parametrize(
    ("letter", "reply", "expected"),
    [
        ("A", "386.5, 14, no gas, 241", {"wall-sections=3865", "reveal-depth=140", "gas-meter=none",
                                         "ceiling-height=2410"}),
        ("B", "yes, 105, 98, 12", {"wall-sections=2835", "sill-height=1050", "head-height=980", "reveal-depth=120"}),
        ("B", "(a) 105 (c) 12", {"sill-height=1050", "reveal-depth=120"}),
        ("B", "No, 285", {"wall-sections=2850"}),
        ("B", "You read it right.", {"wall-sections=2835"}),
        ("B", "Yep", {"wall-sections=?2835"}),
        ("A", "Hello again. 240", {"ceiling-height=?2400"}),
        ("A", "the former", {"wall-sections=3865"}),
        ("A", "386.5, 14, 241, 12", {"wall-sections=?3865"}),
        ("A", "14, 386.5, none, 241", {"wall-sections=3865", "ceiling-height=?2410"}),
    ],
)  # fmt: skip
def test_an_answer_without_a_number_is_certain_only_where_it_can_be_to_nothing_else(
    letter: str, reply: str, expected: set[str]
) -> None:
    found = facts_of(understand(reply, LETTERS[letter], KITCHEN))
    certain = {f for f in found if "?" not in f}
    assert certain == {f for f in expected if "?" not in f}
    assert expected <= set(found)


def test_a_slip_of_the_pen_is_mended_where_only_one_name_is_near_and_nothing_else_is_touched() -> None:
    assert mended("windo sil 102 reces 13 fusebord boyler kichen", dialect=False).text == (
        "window sill 102 recess 13 fuseboard boiler kitchen"
    )
    assert (
        mended("the winder sits beside the seating", dialect=False).text
        == "the winder sits beside the seating"
    )


def test_what_stands_under_a_closing_line_is_no_answer_unless_it_says_something() -> None:
    says = {"The ceiling is 240"}.__contains__
    text = "1: 38\n\nMany thanks,\nJulia Marsh\n14 Orchard Lane\nTel 01632 960456\nThe ceiling is 240\n2: 14"
    assert unsigned(text, says) == "1: 38\n\nMany thanks,\nThe ceiling is 240\n2: 14"
    assert unsigned("38\n-- \nO. Sattar\nYear 9 School\n> 2.\n14 cm", says) == "38\n> 2."
