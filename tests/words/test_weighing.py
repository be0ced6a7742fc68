"""Why a length, an absence or a place is in doubt by what stands beside it, each beside a sentence that leaves it
certain. No outside source: the sentences are invented, what they say is plain. Where one is wrong, a guess is drawn as
a length, or the designer reads another reason than the customer gave."""

from __future__ import annotations

import pytest

from intake.domain.words.weighing import ANOTHER_UNIT, CHANGING, HEARSAY, UNCERTAIN
from intake.domain.words.whole_message import understand
from intake.model.word import Statement, StatementKind
from tests.words.test_replies import KITCHEN


def statements(words: str) -> tuple[Statement, ...]:
    return understand(words, (), KITCHEN, "<m>").statements


@pytest.mark.parametrize(
    ("doubtful", "doubt", "certain"),
    [
        ("Sill 104 or 105", UNCERTAIN, "Sill 104 and top 205"),
        ("Sill 104, I think", UNCERTAIN, "Sill 104, I measured it"),
        ("Sill 104, the tape was bent", UNCERTAIN, "Sill 104, the tape was new"),
        ("Sill 104, 96 in that is", "doubt-two-lengths", "Sill 104, that's 41 in"),
        ("It was a sill of 104 before they put the floor in", CHANGING, "It is a sill of 104"),
        ("Sill 104 at present", CHANGING, "Sill 104, as ever"),
        ("Sill 104 for now", CHANGING, "Sill 104"),
        ("Sill 104, but we will change the window", CHANGING, "Sill 104, but thank you"),
        ("Sill 104, but the floor isn't level", "doubt-limited", "Sill 104, but thank you"),
        ("Sill 104, but the floor isn't level", "doubt-limited", "Sill 104, but the top is 205"),
        ("Sill 104, my builder says", HEARSAY, "Sill 104, my son measured it"),
        ("Sill 104, from the skirting", "doubt-remark-beside", "Sill 104, as ever"),
        ("The sill is not 104, it is 104", "doubt-denied-and-said", "The sill is not 105, it is 104"),
    ],
)
def test_a_length_is_in_doubt_by_what_stands_beside_it(doubtful: str, doubt: str, certain: str) -> None:
    (first, *_) = statements(doubtful)
    assert (first.item, first.kind, first.doubt) == ("sill-height", StatementKind.DOUBTFUL, doubt)
    (first, *_) = statements(certain)
    assert (first.item, first.kind, first.doubt) == ("sill-height", StatementKind.VALUE, "")


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("Sill 103 - sorry, 104", [(1040, "")]),
        ("Sill 103 - no, 104", [(1040, "doubt-another-beside")]),
        ("Sill 103 - no, not the top", [(1030, "")]),
        ("Ceiling 238 - sorry, 238.5", [(2385, "")]),
        ("Ceiling 238, 238.5", [(2380, ""), (2385, "")]),
        ("Ceiling 238, sorry for the delay", [(2380, "")]),
    ],
)
def test_of_a_length_and_its_correction_the_latter_stands(words: str, facts: list[tuple[int, str]]) -> None:
    assert [(s.value_mm, s.doubt) for s in statements(words)] == facts


@pytest.mark.parametrize(
    ("words", "kind", "doubt"),
    [
        ("There is no gas", StatementKind.ABSENCE, ""),
        ("There is no gas, I think", StatementKind.DOUBTFUL, UNCERTAIN),
        ("There is no gas, my builder says", StatementKind.DOUBTFUL, HEARSAY),
        ("There is no gas, but not in the garage", StatementKind.DOUBTFUL, "doubt-perhaps-denied"),
        ("The gas meter is under the stairs", StatementKind.PLACE, ""),
        ("The gas meter is under the stairs, my builder says", StatementKind.DOUBTFUL, HEARSAY),
        (
            "The gas meter is under the stairs, but not in the house",
            StatementKind.DOUBTFUL,
            "doubt-perhaps-denied",
        ),
        ("The gas meter is under the stairs, that will change", StatementKind.DOUBTFUL, CHANGING),
    ],
)
def test_an_absence_and_a_place_as_well(words: str, kind: StatementKind, doubt: str) -> None:
    (first, *_) = statements(words)
    assert (first.item, first.kind, first.doubt) == ("gas-meter", kind, doubt)


@pytest.mark.parametrize(
    ("words", "doubts"),
    [
        ("Sill 40 inches, reveal depth 5", ["doubt-another-beside", ANOTHER_UNIT]),
        ("Sill 40 inches, reveal depth 5 inches", ["", ""]),
        ("Sill 40 inches, reveal depth 12 cm", ["", ""]),
    ],
)
def test_a_bare_number_beside_inches_may_be_inches(words: str, doubts: list[str]) -> None:
    assert [s.doubt for s in statements(words)] == doubts
