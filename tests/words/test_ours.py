"""What stands in a letter of ours is never the customer's. Letter and heads are invented; the forms of the heads are
those of common mail programs in their languages (from memory)."""

from __future__ import annotations

from pathlib import Path

import pytest

from intake.checklists import load_checklists
from intake.domain.words.ours import without_letters
from intake.domain.words.whole_message import understand
from intake.mailbox.quotes import own_words
from intake.model.checklist import RoomKind
from intake.model.letter import Ask
from intake.model.word import StatementKind

KITCHEN = load_checklists(Path(__file__).parents[2] / "config" / "checklists")[RoomKind.KITCHEN]
ASKS = (
    Ask("wall-sections", "Is the number in this picture 386.5 or 380.5?", "Look at your own plan.",
        choices=("386.5", "380.5"), picture="p", number=3),
    Ask("gas-meter", "Please photograph the gas meter and say where it is - or tell us that there is no gas."),
    Ask("ceiling-height", "Please measure the height from the floor to the ceiling, in two places."),
)  # fmt: skip
LETTER = """Hello Tom,

Thank you for the plan and the 4 photographs.

We need 3 more things before we can start on your design:

1. Is the number in this picture 386.5 or 380.5?
   Look at your own plan.

2. Please photograph the gas meter and say where it is - or tell us that there is
   no gas.

3. Please measure the height from the floor to the ceiling, in two places.

Simply reply to this e-mail and number your answers as above.

With kind regards,
Ines
Kitchens at the Mill
01632 960000
"""
HEADS = [*(Path(__file__).parent / "heads.txt").read_text("utf-8").rstrip("\n").split("\n\n"), ""]
"""How mail programs say, in many languages, whose letter they quote; from memory. The last says nothing."""
MARKS = ["", "> ", "| ", "    "]


def read(body: str) -> tuple[set[tuple[int, str, int | None]], list[str]]:
    """What a reply says after quotations are told apart: answers, and what is given to a person."""
    found = understand(without_letters(own_words(body), [LETTER]), ASKS, KITCHEN, "<m>")
    certain = [a for a in found.answers if a.statement.kind is not StatementKind.DOUBTFUL]
    assert not [s for s in found.statements if s.kind is StatementKind.ABSENCE]
    return {(a.ask, str(a.statement.kind), a.statement.value_mm) for a in certain}, [
        n.text for n in found.needs
    ]


def quoted(mark: str) -> str:
    return "\n".join(mark + line for line in LETTER.split("\n"))


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("mark", MARKS)
def test_a_letter_quoted_under_an_answer_says_nothing(head: str, mark: str) -> None:
    assert read(f"1: 386.5\n\n{head}\n{quoted(mark)}") == ({(1, "value", 3865)}, [])
    assert read(f"Thank you.\n\n{head}\n{quoted(mark)}") == (set(), [])


ANSWERS = {"380.5?": "386.5", "   no gas.": "none here", "two places": "236"}
EVERY = {(1, "value", 3865), (2, "absence", None), (3, "value", 2360)}


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("mark", MARKS)
def test_an_answer_over_and_under_a_quoted_letter_counts(head: str, mark: str) -> None:
    answers = "1: 386.5\n2: no gas\n3: 236"
    assert read(f"{answers}\n\n{head}\n\n{quoted(mark)}") == (EVERY, [])
    assert read(f"{head}\n\n{quoted(mark)}\n\n{answers}") == (EVERY, [])


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("mark", MARKS)
def test_answers_between_and_behind_quoted_lines_belong_to_the_request(head: str, mark: str) -> None:
    between, behind = [], []
    for line in LETTER.split("\n"):
        answer = next((a for sign, a in ANSWERS.items() if sign in line), "")
        between += [mark + line, *(["", answer, ""] if answer else [])]
        behind.append(f"{mark}{line}  {answer}" if answer else mark + line)
    for lines in (between, behind):
        assert read("\n".join(["Hello,", "", head, "", *lines])) == (EVERY, [])


def test_words_of_the_customers_own_stay() -> None:
    own = "The gas meter is in the porch and we have 4 photographs more."
    assert without_letters(own, [LETTER]) == own
    assert without_letters("Hello", []) == "Hello"


def test_a_name_of_ours_in_front_of_a_length_stays_theirs() -> None:
    letter = "1. Please measure the depth of the window recess and the top of the window."
    own = "Top of the window 208 cm and the recess is 14\ndepth of the window recess: 14"
    assert without_letters(own, [letter]) == own
