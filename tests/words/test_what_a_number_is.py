"""Which numbers of a clause are no lengths, which of our requests a length answers by where it is said to stand or by
its place in the row. Each pair differs in one thing alone. No outside source: the words are invented, what they say is
plain."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.words.clause import Clause
from intake.domain.words.lexicon import Lexicon
from intake.domain.words.whole_message import understand
from intake.model.letter import Ask
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

LEXICON = Lexicon(KITCHEN)


def lengths(text: str, language: str = "en") -> list[str]:
    return [f"{v.number.figure}{v.number.unit}" for v in Clause(text, 0, LEXICON, language).lengths]


@pytest.mark.parametrize(
    ("none", "length"),
    [
        # An age is no length, and how tall somebody is none of the room's.
        ("I am 84", "it is 84"),
        ("he is 84", "he is 84 cm"),
        ("I'm 1.60 m tall", "it's 1.60 m tall"),
        ("I'm 5 ft 4", "it's 5 ft 4"),
        # A digit of the handwriting: below ten, bare, after "a" or "my".
        ("it's an 8", "it's an 8 cm"),
        ("it's a 9", "it's a 10"),
        ("my 9", "mine: 9"),
        # An hour.
        ("at work till 8", "up to the tile 8"),
        ("until 8", "until 8 cm"),
        ("until 24", "until 25"),
        ("before 2", "before 2.5"),
        # What a window, a flat or a photograph is called.
        ("window 2", "window 2.5"),
        ("photo 2", "photo 2 cm"),
        ("flat 12", "flat 13"),
        # How many there are.
        ("3 windows", "3, windows"),
        ("3 - windows", "3 / windows"),
        ("60 windows", "61 windows"),
        ("3 windows", "3 cm windows"),
        ("12 wide windows", "12 high windows"),
        ("60 mugs", "61 mugs"),
        ("2 new photos", "2 new walls"),
    ],
)
def test_a_number_that_is_no_length_is_told_from_one_that_is(none: str, length: str) -> None:
    """A length that is taken for an hour or a count is lost; an age that is taken for a length is drawn."""
    assert lengths(none) == []
    assert len(lengths(length)) == 1


@pytest.mark.parametrize(
    ("none", "length"),
    [
        ("ich bin 84", "ich bin 84 cm"),
        ("ich bin nur 1,60 groß", "es ist nur 1,60 hoch"),
        ("bis 8", "bis 8 cm"),
        ("26 Gäste sind da", "26 sind da"),
    ],
)
def test_so_it_is_in_german(none: str, length: str) -> None:
    assert lengths(none, "de") == []
    assert len(lengths(length, "de")) == 1


def asked_beside(*beside: str) -> tuple[Ask, ...]:
    """The request about 38 or 83, which stands beside that on the plan."""
    return (replace(LETTERS["D"][0], beside=beside),)


@pytest.mark.parametrize(
    ("words", "there", "elsewhere"),
    [
        ("The 38 is the piece by the door", ("left of door",), ("left of window",)),
        ("The 38 is the piece by the door", ("door",), ("left wall",)),
        ("the door one is 38", ("right of door",), ("right of window",)),
        ("38 right of the window", ("right of window",), ("left of window",)),
        ("The 38 is left of the window", ("left of window",), ("left of door",)),
        ("38 links von der Tür", ("left of door",), ("right of door",)),
        ("38 rechts von der Tür", ("door",), ("left of door",)),
        ("38 next to the door on the left wall", ("door", "left wall"), ("door", "right wall")),
        ("38 on the right wall", ("door", "right wall"), ("door", "left wall")),
        ("38 on the top wall", ("window",), ("window", "bottom wall")),
        ("38 next to the door on the left wall", ("door", "left wall"), ("window", "left wall")),
    ],
)
def test_a_length_that_is_said_to_stand_where_the_number_does_is_it(
    words: str, there: tuple[str, ...], elsewhere: tuple[str, ...]
) -> None:
    """Said to stand elsewhere it may be another's: taken for this one, a wall is drawn by its neighbour's length."""
    for beside, fact in ((there, "wall-sections=380"), (elsewhere, "wall-sections=?380")):
        assert facts_of(understand(words, asked_beside(*beside), KITCHEN, "<m>")) == [fact], beside


@pytest.mark.parametrize(
    ("words", "fact"),
    [
        ("38 along the wall", "380"),
        ("38 along the other wall", "?380"),
        # A width of the door itself is none beside it; nor is what lies between two things, or another length.
        ("38 is the door", "?380"),
        ("38 between the door and the window", "?380"),
        ("41 by the door", "?410"),
    ],
)
def test_what_stands_along_a_wall_or_between_things(words: str, fact: str) -> None:
    assert facts_of(understand(words, asked_beside("left of door"), KITCHEN, "<m>")) == [
        f"wall-sections={fact}"
    ]


SILL, TOP, RECESS = "sill-height", "head-height", "reveal-depth"


@pytest.mark.parametrize(
    ("words", "certain"),
    [
        ("Sill 104 then 210 then 12", {SILL: "1040", TOP: "2100", RECESS: "120"}),
        # The sill twice, and not its top.
        ("Sill 104 then 104.5 then 12", {}),
        # A top or a recess that is none, and lengths of two units.
        ("Sill 104 then 21 then 12", {}),
        ("Sill 104 then 210 then 300", {}),
        ("Sill 1.04 then 210 then 12", {}),
        ("Sill 41 in then 210 then 12", {}),
        # Another order than the letter's, a place, a guess.
        ("top 210 then 104 then 12", {}),
        ("Sill 104 then 108 by the sink then 12", {}),
        ("Sill 104 then maybe 210 then 12", {}),
        ("104, 210 and I couldn't do the recess", {SILL: "1040", TOP: "2100", RECESS: "could-not"}),
        ("104, 104.5 and I couldn't do the recess", {RECESS: "could-not"}),
        ("104, 21 and I couldn't do the recess", {RECESS: "could-not"}),
        ("1.04, 210 and I couldn't do the recess", {RECESS: "could-not"}),
    ],
)
def test_lengths_in_the_order_that_the_letter_asked_in(words: str, certain: dict[str, str]) -> None:
    """All are certain where the row is plain; else none is that would only be by its place."""
    facts = facts_of(understand(f"2. {words}", LETTERS["B"], KITCHEN, "<m>"))
    assert [f for f in facts if "?" not in f] == [f"{item}={value}" for item, value in certain.items()], facts
