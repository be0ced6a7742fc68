"""Dialects and slips are read, and what is shown stays the customer's own words; two heights of one spot."""

from __future__ import annotations

import pytest

from intake.domain.words.dialect import as_written, speaks_dialect
from intake.domain.words.own_words import without_ours
from intake.domain.words.spelling import mended
from intake.domain.words.whole_message import understand
from intake.model.letter import Ask
from intake.model.word import StatementKind
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


@pytest.mark.parametrize(
    ("spoken", "language"),
    [
        ("Mir händ kei Gas", True),
        ("Gas hamma net", True),
        ("d'Deckn is 248 hint", True),
        ("Wir haben kein Gas", False),
        ("The ceiling is 240, no gas", False),
        ("Da ist noch eine Tür", False),
        ("de la cuisine, au fond", False),
    ],
)
def test_a_dialect_is_told_from_the_written_language_and_from_others(spoken: str, language: bool) -> None:
    assert speaks_dialect(spoken) is language


def test_each_place_of_a_mended_text_leads_back_to_the_words_as_written() -> None:
    """Checked against the words one by one: the mended text has as many stretches between blanks, or more."""
    written = "Fenschter isch 17 tüüf, d'Deckn 248 und de boyler im Kella"
    found = mended(written, dialect=True)
    assert len(found.back) == len(found.text) + 1
    assert found.back[-1] == len(written)
    assert list(found.back) == sorted(found.back)
    for word in ("17", "248", "und", "im"):
        at = found.text.index(word)
        assert written[found.back[at] : found.back[at + len(word)]] == word
    assert [as_written(w) for w in ("Fenschter", "d'Deckn", "Kella")] == ["Fenster", "die Decke", "Keller"]


def test_what_is_shown_is_what_the_customer_wrote() -> None:
    words = "Hoi Ines, es isch 380.5. Fenschter isch 17 tüüf. Mir händ kei Gas. Ruumhöchi 242.5"
    found = understand(words, LETTERS["A"], KITCHEN, "<m>")
    told = [*found.statements, *(a.statement for a in found.answers)]
    assert {"reveal-depth=170", "gas-meter=none", "ceiling-height=2425", "wall-sections=3805"} == set(
        facts_of(found)
    )
    assert all(s.text in words for s in told)
    assert all(c.text in words for c in found.clauses)


def test_a_word_or_two_of_ours_may_be_their_own() -> None:
    """A sentence of three words on that stands in the letter is a quotation."""
    ask = Ask("gas-meter", "Where is the gas meter?", how="No gas?", why="We need it.")
    assert without_ours("No gas?", [ask]) == "No gas?"
    assert without_ours("We need it. Where is the gas meter? Hall.", [ask]).split() == ["1:", "Hall."]


@pytest.mark.parametrize(
    ("words", "certain"),
    [
        ("240 by the door and 241 by the window", {2400, 2410}),
        ("I make it 240. My husband says 241.", set()),
        ("240. My husband says 241.", set()),
        ("By the window 241. By the door 240. Again by the window: 242.", {2400}),
        ("Dave measured: 240 left, 241 right", {2400, 2410}),
    ],
)
def test_two_heights_of_one_spot_are_not_both_certain(words: str, certain: set[int]) -> None:
    found = understand(words, LETTERS["C"], KITCHEN, "<m>")
    values = {a.statement.value_mm for a in found.answers if a.statement.kind is StatementKind.VALUE}
    assert values == certain


@pytest.mark.parametrize(
    ("letter", "words"),
    [
        ("A", "1: 386.5. I took it to the middle of the beam. 4: 240"),
        ("C", "I held the tape from the skirting, 236"),
        ("C", "240. I measured the other window too."),
        ("C", "240. We had the wall taken down."),
        ("B", "yes. Our builder measured the sill and put a new board on it."),
    ],
)
def test_how_it_was_measured_reaches_a_person_where_it_changes_what_was_measured(
    letter: str, words: str
) -> None:
    found = understand(words, LETTERS[letter], KITCHEN, "<m>")
    doubtful = any(a.statement.kind is StatementKind.DOUBTFUL and a.statement.value_mm for a in found.answers)
    assert found.needs or doubtful
