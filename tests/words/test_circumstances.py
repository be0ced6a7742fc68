"""What a customer tells beside the answers, in pairs: the first of each is of no consequence, the second may be. No
outside source: the sentences are invented, what they say is plain."""

from __future__ import annotations

import pytest

from intake.domain.words import circumstances
from intake.domain.words.clause import Clause
from intake.domain.words.lexicon import Lexicon
from intake.domain.words.said_of_items import SentenceReader
from tests.words.test_replies import KITCHEN

LEXICON = Lexicon(KITCHEN)


def clause(text: str) -> Clause:
    return Clause(text, 0, LEXICON, "en")


@pytest.mark.parametrize(
    ("how", "more"),
    [
        ("I pushed the tape down to the boards", "the tape was pushed down to the boards"),
        ("I stood on a chair", "I stood it by the boiler"),
        ("my husband held the tape", "my husband held the other tape"),
        ("I measured it twice", "I couldn't measure it"),
        ("I measured it twice", "I think I measured it"),
        ("I used a laser", "I used a photo"),
        ("I stood on a chair", "I stood by the window"),
        ("I leaned out of the window", "I climbed out of the window"),
        ("I checked the window", "I checked the other window"),
    ],
)
def test_how_it_was_measured_is_told_from_what_is_there(how: str, more: str) -> None:
    assert circumstances.tells_how(clause(how))
    assert not circumstances.tells_how(clause(more))


@pytest.mark.parametrize(
    ("own", "more"),
    [
        ("my pencil was bad", "the pencil line by the window was bad"),
        ("my writing is awful", "your writing is awful"),
        ("I wrote it in a hurry", "I wrote it in a hurry, I think"),
        ("I am no artist", "I am no artist, the boiler is round"),
        ("no idea where that came from", "no idea where that wall came from"),
        ("my eyes are not what they were", "my knees are not what they were"),
    ],
)
def test_a_slip_of_ones_own_is_told_from_what_is_amiss(own: str, more: str) -> None:
    assert circumstances.excuses(clause(own))
    assert not circumstances.excuses(clause(more))


@pytest.mark.parametrize(
    ("where", "more"),
    [
        ("it was behind the door", "the door was behind it"),
        ("by the window", "not by the window"),
        ("at the wall", "perhaps at the wall"),
        ("next to the door", "a pipe runs up next to the door"),
        ("by the window", "50 wide by the window"),
        ("under the window", "I couldn't get under the window"),
    ],
)
def test_a_thing_that_only_says_where_is_told_from_one_that_is_told_of(where: str, more: str) -> None:
    assert circumstances.only_where(clause(where))
    assert not circumstances.only_where(clause(more))
    assert not circumstances.only_where(clause("it was there")), "where it names nothing it says no place"


@pytest.mark.parametrize(
    ("plain", "turning"),
    [
        ("I will measure it after the party", "I will measure it after the new floor"),
        ("I had it right", "you had it wrong"),
        ("that was on the plan", "ignore that on the plan"),
        ("I will do it", "please ring me"),
        ("once the table is cleared I will do it", "the wall is coming out"),
    ],
)
def test_what_turns_things_is_told_from_talk(plain: str, turning: str) -> None:
    assert not circumstances.turns(clause(plain))
    assert circumstances.turns(clause(turning))


@pytest.mark.parametrize(
    ("sentence", "aside"),
    [
        ("Sorry, we were away", [False, True]),
        ("Sorry, we had the door off", [False, False]),
        ("We were away", [False]),
        ("I stood on a chair", [True]),
        ("Did I stand on a chair?", [False]),
        ("I stood on a chair, it is 104", [True, False]),
        ("The window's covered in scaffolding, so it'll be next week", [True, False]),
        ("The window's covered in scaffolding, it'll be next week", [False, False]),
        ("The window's lovely, so it'll be next week", [False, False]),
        ("The scaffolding is up, so I'll do it next week", [True, True]),
        ("The scaffolding is up, I'll do it next week", [False, True]),
        ("I'll do it next week", [True]),
        ("Because of the scaffolding I'll do it next week", [True]),
        ("Because the window is blocked I'll do it next week", [False]),
        ("The window's covered in scaffolding, so there you go", [False, False]),
        ("My pencil was bad", [True]),
    ],
)
def test_what_is_beside_the_point(sentence: str, aside: list[bool]) -> None:
    """What is not goes on to whoever reads what was not understood."""
    reader = SentenceReader(sentence, LEXICON, "en")
    assert [circumstances.beside_the_point(c, reader) for c in reader.clauses] == aside
