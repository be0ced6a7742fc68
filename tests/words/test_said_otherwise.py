"""The same reply greeted, signed, quoted, in another unit or in another order says the same. No outside source: each
reply is held against itself.

The first run, over 647 replies of the learned tables, found that a greeting alone hid a reply that only a person can
judge, that "Thanks for your letter." at the top made a signature of what followed, and that "Hi Ines, 1 yes" lost its
label.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

import pytest

from intake.domain.words.cues import sentences
from intake.domain.words.whole_message import Understood, understand
from tests.words.test_replies import KITCHEN, LETTERS, Reply, facts_of, replies

LEARNED = [
    r
    for name in ("seventeenth", "nineteenth", "twentieth", "twentyfirst", "twentythird")
    for r in replies(name)
    if "Please measure" not in r.words
]
"""Those that quote no letter of ours: its words are not the customer's to change."""
FEW = 60
"""So many that can be said in a way are all tried."""
_CM = re.compile(r"(?<![\w.,/'])(\d{1,3})(?:[.,](\d))? ?cm\b(?! ?(?:and |und )?\d)")
_METRES = re.compile(r"(?<![\w.,/'])(\d)[.,](\d\d) ?m\b")
_TURNS = re.compile(
    r"\b(?:no|not|wait|hang on|sorry|ignore|first|second|third|it|it's|that|that's|they|there|then|es|das)\b",
    re.I,
)


def _quoted(reply: Reply) -> str:
    asked = [f"> {n}. {ask.question}" for n, ask in enumerate(LETTERS[reply.letter], 1)]
    letter = ["> Hello,", ">", *asked, "> Kind regards", "> Ines"]
    head = "On Tue, 3 Nov 2026 at 10:12, Mill Kitchens <post@mill.example> wrote:"
    return "\n".join([reply.words, "", head, *letter])


OTHERWISE: dict[str, Callable[[Reply], str]] = {
    "greeted": lambda r: f"Hello Ines,\n\n{r.words}",
    "greeted in its first line": lambda r: f"Hi Ines, {r.words}",
    "greeted in German": lambda r: f"Guten Tag Frau Mill,\n\n{r.words}",
    "thanked for": lambda r: f"Thanks for your letter.\n\n{r.words}",
    "signed": lambda r: f"{r.words}\n\nKind regards,\nPat Miller\n07700 900123",
    "sent from a telephone": lambda r: f"{r.words}\nSent from my iPhone",
    "over our letter": _quoted,
    "in millimetres": lambda r: _CM.sub(lambda m: f"{int(m[1]) * 10 + int(m[2] or 0)} mm", r.words),
    "in centimetres": lambda r: _METRES.sub(r"\1\2 cm", r.words),
    "with other blanks": lambda r: r.words.replace(" cm", "\u00a0cm").replace(". ", ".  ").replace("'", "’"),
}


def _read(reply: Reply, words: str) -> Understood:
    return understand(words, LETTERS[reply.letter], KITCHEN, "<m>")


@cache
def _said(reply: Reply, words: str) -> tuple[set[str], bool]:
    """The facts in them, and whether somebody is needed."""
    found = _read(reply, words)
    return {*facts_of(found)}, bool(found.needs)


@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("way", OTHERWISE)
def test_the_same_said_otherwise_says_the_same(way: str, every: int) -> None:
    """Each way on every third reply, the next way on others."""
    otherwise = [(r, words) for r in LEARNED if (words := OTHERWISE[way](r)) != r.words]
    some = otherwise if len(otherwise) < FEW else otherwise[[*OTHERWISE].index(way) % every :: every]
    assert len(some) >= 10
    assert [words for reply, words in some if _said(reply, words) != _said(reply, reply.words)] == []


def test_the_sentences_of_a_reply_in_another_order_say_nothing_wrong() -> None:
    """Only replies whose sentences do not lean on one another: no pronoun, no correction, no label."""
    turned, wrong = 0, []
    for reply in LEARNED:
        told = sentences(reply.words)
        if len(told) < 3 or _TURNS.search(reply.words) or re.search(r"(?m)^\W{0,3}\d\W", reply.words):
            continue
        turned += 1
        certain = [f for f in facts_of(_read(reply, ". ".join(reversed(told)))) if "?" not in f]
        wrong += [
            (f, reply.words)
            for f in certain
            if f not in reply.facts and not f.endswith(("could-not", "said"))
        ]
    assert turned >= 10
    assert wrong == []
