"""A word means one thing or another by what stands round it: each pair has the same word, once with its meaning and
once without. No outside source: the clauses are invented, what they say is plain."""

from __future__ import annotations

import pytest

from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.lexicon import Lexicon
from tests.words.test_replies import KITCHEN

LEXICON = Lexicon(KITCHEN)


def has(text: str, concept: C) -> bool:
    return Clause(text, 0, LEXICON, "en").has(concept)


@pytest.mark.parametrize(
    ("concept", "it_does", "it_does_not"),
    [
        # A guess, or how it was written; before a number, or a place or a subject; of how many, no length.
        (C.HEDGE, "it looks like 104", "the 3 looks like an 8"),
        (C.HEDGE, "it is about 104", "it is about the window"),
        (C.HEDGE, "about the 104", "about the window, 104"),
        (C.HEDGE, "about 4", "about 3"),
        (C.HEDGE, "about 3 cm", "about 3"),
        (C.HEDGE, "about 3.5", "about 3"),
        (C.HEDGE, "it was about 283.5", "you were right about the 283.5"),
        (C.HEDGE, "it is about 104", "104 is what it is about"),
        # Another home, or only somebody in it.
        (C.ANOTHER_HOME, "it is 241 at my brother's", "my brother will do it"),
        (C.ANOTHER_HOME, "241 in my brother's house", "241 on my brother's ladder"),
        (C.ANOTHER_HOME, "my brother has 241", "I must ask my brother for the 241"),
        (C.ANOTHER_HOME, "my brother measured his kitchen", "my brother measured it"),
        (C.ANOTHER_HOME, "my neighbour has a house", "my neighbour has a dog"),
        (C.ANOTHER_HOME, "288.5 in your showroom", "288.5, I saw one like it in your showroom"),
        (C.ANOTHER_HOME, "288.5, that was in your showroom", "288.5, same as in your showroom"),
        (C.ANOTHER_HOME, "I saw one in your showroom, 288.5", "288.5, I saw one in your showroom"),
        (C.ANOTHER_HOME, "288.5, I saw 290 in your showroom", "288.5, I saw one in your showroom"),
        # The room changes, or a thing that nobody fixed does.
        (C.CHANGE, "we took down the wall", "we took down the blind"),
        (C.CHANGE, "the wall is going", "my son is going up the ladder"),
        (C.CHANGE, "the boiler is going", "the freezer is going to my daughter"),
        (C.CHANGE, "the wall has to go", "you have to go outside"),
        (C.CHANGE, "swapping the window", "swapping the figures"),
        (C.CHANGE, "we are converting the loft", "converting it to inches"),
        (C.CHANGE, "the extension starts in May", "the wall next to the extension"),
        (C.CHANGE, "the plasterer will plaster it", "the invoice for the plaster"),
        # A promise of what we asked for, or somebody else's help.
        (C.LATER, "my son is sending the photos", "they are sending a man"),
        # Something is asked of a person, or nothing is.
        (C.PERSON, "I have a question about the number", "yes to your question about the number"),
        (C.PERSON, "how much is it", "how much we enjoyed the visit"),
        (C.PERSON, "would you rather have it on the left", "he would rather have been in bed"),
        (C.PERSON, "I was thinking of an island", "it is the one you are thinking of"),
        # What was said is taken back, or nothing of it is.
        (C.TAKEN_BACK, "please ignore the number", "please ignore the mess"),
        (C.TAKEN_BACK, "please ignore my last letter", "please ignore my handwriting"),
        (C.TAKEN_BACK, "the number is wrong", "the tape has never been wrong"),
        (C.TAKEN_BACK, "I sent the number by mistake", "I deleted your letter by mistake"),
    ],
)
def test_a_word_plays_its_part_only_where_what_stands_round_it_says_so(
    concept: C, it_does: str, it_does_not: str
) -> None:
    """Else a length stands that is a guess, of another home or taken back; or a person is called for a blind."""
    assert has(it_does, concept)
    assert not has(it_does_not, concept)
