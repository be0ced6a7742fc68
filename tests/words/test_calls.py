"""What calls for a person, beside what sounds like it, each predicate in pairs. No outside source: the sentences are
invented, what they say is plain. What is lost where one is wrong: a wish, a dispute or a cry for help that reaches
nobody, or a person who is called for thanks."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from intake.domain.words import calls
from intake.domain.words.clause import Clause
from intake.domain.words.lexicon import Lexicon
from intake.domain.words.said_of_items import SentenceReader
from intake.model.word import Statement, StatementKind
from tests.words.test_replies import KITCHEN

LEXICON = Lexicon(KITCHEN)


def clause(text: str) -> Clause:
    return Clause(text, 0, LEXICON, "en")


def wants(text: str) -> bool:
    reader = SentenceReader(text, LEXICON, "en")
    return calls.wants_somebody(reader.whole, reader.clauses)


@pytest.mark.parametrize(
    ("calling", "not_calling"),
    [
        ("Your colleague said he'd ring and he hasn't", "My neighbour said he'd ring and he did"),
        ("I'd like to have the boiler moved", "I'd like to thank you"),
        ("I want it by the window", "I like it"),
        ("Please ring me", "Please ring me if anything's unclear"),
        (
            "I want to cancel, let me know if there's any problem",
            "All done, let me know if there's any problem",
        ),
        ("Ring me, it was good", "It was good of you to ring me"),
        ("Can somebody help me", "Can my son help me"),
        ("Can you come and measure", "My son can come and measure"),
        ("Let me know if the price includes fitting", "Let me know if you want more"),
        ("I can't tell which wall you mean", "I can't tell a lie"),
        ("no idea what you mean", "no idea when"),
        ("It is urgent", "It was urgent, hence the delay"),
        ("We have had a funeral", "We had a funeral, so I'll do it tomorrow"),
        ("Please phone", "On my phone"),
    ],
)
def test_a_wish_for_somebody(calling: str, not_calling: str) -> None:
    assert wants(calling)
    assert not wants(not_calling)


@pytest.mark.parametrize(
    ("predicate", "it_is", "it_is_not"),
    [
        (calls.long_ago, "We had the wall taken out years ago", "You had the wall taken out years ago"),
        (calls.long_ago, "The wall was taken out in 1998", "The wall comes out in 2031"),
        (calls.slipped, "I was holding it upside down", "it is upside down"),
        (calls.slipped, "I drew it the wrong way", "I drew it and the window is not on the plan"),
        (calls.unable, "I cannot climb at my age", "I cannot do it until Friday"),
        (calls.unable, "I can't reach", "I can't reach today, tomorrow"),
        (calls.unable, "I cannot measure", "I cannot do otherwise"),
        (calls.says_no_more, "Thank you", "Thank you, see the plan"),
        (calls.says_no_more, "I'll do it later", "the measurements are on the plan"),
        (calls.says_no_more, "no problem", "no boiler"),
        (calls.says_no_more, "so be it", "left of the window"),
        (calls.says_no_more, "so be it", "so be it, 104"),
        (calls.says_no_more, "so be it", "yes"),
        (calls.says_no_more, "so be it", "under the stairs"),
        (calls.courteous, "Give me till Monday", "Give me till Monday, it's wrong"),
        (calls.courteous, "Ring me if anything's unclear", "Ring me if the window's unclear"),
        (calls.courteous, "I'll do it on Monday", "I will not do it on Monday"),
        (calls.courteous, "Thank you so much", "the same as before, thank you"),
        (calls.foreign, "je suis desole", "the je is on it"),
        (calls.for_forms_sake, "Is that enough?", "Is that enough for the window?"),
        (calls.for_forms_sake, "Is that ok?", "Is that ok, 104?"),
        (calls.unseen, "I can't see the picture", "I can see the picture"),
        (calls.unseen, "I can't open the photo", "I can't take the photo"),
        (calls.unseen, "I can't see the picture", "I can't see it"),
    ],
)
def test_a_sentence_is_told_from_one_that_is_like_it(
    predicate: Callable[[Clause], bool], it_is: str, it_is_not: str
) -> None:
    assert predicate(clause(it_is))
    assert not predicate(clause(it_is_not))


@pytest.mark.parametrize(
    ("changes", "changes_not"),
    [
        ("The wall is coming out", "The wall was coming out, years ago"),
        ("The window is going", "It's going"),
        ("We are putting in a new boiler", "It was put in a few years ago"),
        ("I'll measure it after the new floor", "I'll measure it after the party"),
        ("The window is going", "I'll measure the window next week, once the party is over"),
    ],
)
def test_what_will_change(changes: str, changes_not: str) -> None:
    assert calls.will_change(clause(changes), False)
    assert not calls.will_change(clause(changes_not), False)


COULD_NOT = Statement("ceiling-height", StatementKind.COULD_NOT, "")
NONE = Statement("gas-meter", StatementKind.DOUBTFUL, "", means=StatementKind.ABSENCE)


@pytest.mark.parametrize(
    ("words", "said", "corrects", "is_one"),
    [
        ("The window is the wrong way round", (), False, True),
        ("everything's the wrong way round", (), False, False),
        ("I had the window the wrong way round", (), False, False),
        ("That is not on the plan", (), False, True),
        ("The drawing is upside down", (), False, True),
        ("The drawing is upside down, I am no artist", (), False, False),
        ("There is no such meter on the plan", (NONE,), False, False),
        ("The wall is in the wrong place", (), False, True),
        ("The wall is in the wrong place", (), True, False),
        ("The picture of the wall is the wrong way round", (), True, True),
        ("The window is by the door", (), False, False),
    ],
)
def test_a_dispute_of_the_plan(words: str, said: tuple[Statement, ...], corrects: bool, is_one: bool) -> None:
    assert calls.disputes(clause(words), said, corrects) is is_one


@pytest.mark.parametrize(
    ("words", "said", "for_good"),
    [
        ("I am 84 and do not go up ladders", (), True),
        ("I am 84", (), False),
        ("I am 84", (COULD_NOT,), True),
        ("We have looked everywhere", (COULD_NOT,), True),
        ("There are boxes everywhere", (COULD_NOT,), False),
        ("We have looked everywhere, I'll look again tomorrow", (COULD_NOT,), False),
        ("It was too high", (COULD_NOT,), False),
    ],
)
def test_what_can_never_be_told_is_not_asked_for_again(
    words: str, said: tuple[Statement, ...], for_good: bool
) -> None:
    assert calls.unable_for_good(clause(words), said) is for_good


@pytest.mark.parametrize(
    ("sentence", "asks"),
    [
        ("The ceiling is 245, could you tell me when the sale ends", True),
        ("Could you tell me when the sale ends", False),
        ("The ceiling is 245, is that enough", False),
        ("It's 241 - will the units reach?", True),
        ("It's 241 - the units reach?", False),
        ("It's 241 - is that enough?", False),
    ],
)
def test_a_question_within_a_sentence(sentence: str, asks: bool) -> None:
    reader = SentenceReader(sentence, LEXICON, "en")
    assert (calls.asks_within(reader) or any(map(calls.asks_itself, reader.clauses))) is asks
