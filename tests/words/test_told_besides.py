"""What is told beside an answer waits for nobody, unless it may change what the survey holds. Replies are invented."""

from __future__ import annotations

import pytest

from intake.domain.words.evidence import LEAST, chance
from intake.domain.words.fates import Fate
from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


@pytest.mark.parametrize(
    ("besides", "bears"),
    [
        ("The fridge is 91 wide and 178 tall.", False),
        ("The fridge is 91 wide, will it fit?", True),
        ("386.5 it is, 380.5 would be silly.", False),
        ("There is a beam in the dining room.", False),
        ("There is a beam over the sink.", True),
        ("The plaster is old.", False),
        ("The wall by the door is damp.", True),
        ("The floor was laid two years ago.", False),
        ("The wall next to it is 120.", True),
        ("Die Wand zum Esszimmer kommt im Frühjahr weg.", True),
        ("I'll do the window once the blind is down.", False),
    ],
)
def test_a_sentence_beside_an_answer_waits_where_it_may_change_something(besides: str, bears: bool) -> None:
    found = understand(f"386.5. Recess 14. No gas. The ceiling is 242. {besides}", LETTERS["A"], KITCHEN)
    assert bool(found.needs) == bears
    assert {"reveal-depth=140", "gas-meter=none", "ceiling-height=2420"} <= set(facts_of(found))


@pytest.mark.parametrize(
    "wish",
    [
        "Please call me.",
        "Call me please",
        "Please ring.",
        "Ring me after 5.",
        "Phone me.",
        "Give us a ring.",
        "Please ring my husband.",
        "My number is 01632 960123, call me.",
        "Please get in touch.",
        "We need to talk.",
        "Bitte melden Sie sich.",
    ],
)
@pytest.mark.parametrize("answer", ["The ceiling is 242.", "386.5 and", "It's under the stairs."])
def test_who_asks_for_a_call_is_seen_whatever_they_answer(answer: str, wish: str) -> None:
    assert understand(f"{answer} {wish}", LETTERS["A"], KITCHEN).needs


@pytest.mark.parametrize(
    "words", ["They call it the utility.", "Call it 38.", "I rang the bell.", "No bells."]
)
def test_who_calls_something_a_name_asks_for_nobody(words: str) -> None:
    assert not understand(f"386.5. {words}", LETTERS["A"], KITCHEN).needs


def test_what_is_told_besides_is_kept_as_that() -> None:
    found = understand("242. The radiator is 60 tall.", LETTERS["C"], KITCHEN)
    assert [(c.text, c.fate) for c in found.clauses][-1] == ("The radiator is 60 tall", Fate.BESIDES)


@pytest.mark.parametrize(
    ("words", "waits"),
    [("The window, then.", False), ("Not that window.", True), ("Window lower there.", True)],
)
def test_a_topic_waits_for_nobody_and_what_turns_it_round_does(words: str, waits: bool) -> None:
    assert bool(understand(f"{words} 242", LETTERS["C"], KITCHEN).needs) == waits


@pytest.mark.parametrize(
    ("words", "waits"),
    [
        ("Fair enough then.", False),
        ("So be it.", False),
        ("All very clever.", True),
        ("Such is life today.", True),
    ],
)
def test_an_acknowledgement_of_three_words_at_most_waits_for_nobody(words: str, waits: bool) -> None:
    assert bool(understand(words, LETTERS["A"], KITCHEN).needs) == waits


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("247 over the lino", ["ceiling-height=2470"]),
        ("It drops by 240 over the hall", []),
        ("240 difference over the tiles", []),
    ],
)
def test_a_height_over_something_is_the_ceilings_and_a_difference_is_not(
    words: str, facts: list[str]
) -> None:
    found = understand(words, LETTERS["C"], KITCHEN)
    assert facts_of(found) == facts and bool(found.needs) == (not facts)


def test_the_same_words_wait_where_the_message_answers_nothing() -> None:
    assert understand("The radiator is 60 tall.", LETTERS["C"], KITCHEN).needs


@pytest.mark.parametrize(
    ("letter", "words", "facts"),
    [
        ("A", "Neither: 384.5", ["wall-sections=3845"]),
        ("A", "The ceiling is somewhere between 238 and 242", ["ceiling-height=?2380", "ceiling-height=?2420"]),
        ("A", "The recess is 16... no, I look again, it is 17", ["reveal-depth=170"]),
        ("A", "The recess is 16. No gas.", ["reveal-depth=160", "gas-meter=none"]),
        ("A", "Under the stairs.", ["gas-meter=?place"]),
        ("B", "3. hall, porch, loft, blue", ["consumer-unit=?place"]),
        ("B", "3. The boiler is upstairs; the stop tap is with the gas meter in the cellar.",
         ["boiler=place", "gas-meter=place", "water-main=place"]),
        ("B", "Die Therme hängt in der Küche, die wird aber rausgerissen.", ["boiler=?place"]),
    ],
)  # fmt: skip
def test_what_is_meant_without_a_number_or_a_name(letter: str, words: str, facts: list[str]) -> None:
    assert facts_of(understand(words, LETTERS[letter], KITCHEN)) == facts


@pytest.mark.parametrize(
    ("change", "doubtful"),
    [
        ("The window is being replaced in May.", {"reveal-depth=?140"}),
        ("We're having oak boards laid at the end of the month.", {"ceiling-height=?2420"}),
    ],
)
def test_what_will_change_is_doubtful_wherever_it_was_told(change: str, doubtful: set[str]) -> None:
    found = understand(f"386.5. Recess 14. No gas. The ceiling is 242. {change}", LETTERS["A"], KITCHEN)
    told = {"reveal-depth=140", "gas-meter=none", "ceiling-height=2420", "wall-sections=3865"}
    assert set(facts_of(found)) == doubtful | {f for f in told if f.replace("=", "=?") not in doubtful}


def test_the_weights_of_evidence_part_chat_from_a_wish() -> None:
    """What nothing but words tells apart, with all that was asked told."""
    chat = {
        "All-told",
        "Not-used",
        *["he", "was", "a", "joiner", "and", "it", "has", "never", "let", "us", "down"],
    }
    wish = {"Not-used", "Question", "PERSON", "?", *["please", "ring", "me", "when", "can", "you", "come"]}
    assert chance(chat) < LEAST < chance(wish)
