"""Which language a text is in, and what part each of its words plays."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

from intake.domain.words import english, german
from intake.domain.words.alterations import CHANGES, COULD_NOT, NOT_DRAWN
from intake.domain.words.concepts import Concept
from intake.domain.words.dialect import speaks_dialect

_WORD = re.compile(r"[^\W\d_]+(?:['.-][^\W\d_]+)*|\d{1,3}%|\?")
_ENGLISH_SIGNS = frozenset(
    [
        "the",
        "is",
        "and",
        "of",
        "we",
        "have",
        "it",
        "in",
        "for",
        "was",
        "are",
        "that",
        "this",
        "not",
        "no",
        "to",
        "my",
        "our",
        "with",
        "at",
        "from",
        "on",
        "please",
        "thanks",
        "you",
        "yes",
    ]
)
_FIGURE = re.compile(r"\d")
LONGEST_PHRASE = 5
"""Words of the longest phrase that is looked for (set by hand)."""


@dataclass(frozen=True)
class Spoken:
    """A stretch of words and the parts that it may play; none for a word that is not known."""

    start: int
    end: int
    concepts: frozenset[Concept]


Vocabulary = dict[tuple[str, ...], frozenset[Concept]]


@cache
def _vocabulary(language: str) -> Vocabulary:
    found: dict[tuple[str, ...], set[Concept]] = {}
    for concept, phrases in (german if language == "de" else english).PHRASES.items():
        for phrase in phrases.split("|"):
            words = tuple(w.lower() for w in _WORD.findall(phrase.strip()))
            if words:
                found.setdefault(words, set()).add(concept)
    return {words: frozenset(concepts) for words, concepts in found.items()}


@cache
def _longest_from(language: str) -> dict[str, int]:
    """How many words the longest phrase has that begins with a word."""
    found: dict[str, int] = {}
    for words in _vocabulary(language):
        found[words[0]] = max(len(words), found.get(words[0], 0))
    return found


@cache
def known_word(word: str) -> bool:
    """Whether a word stands in the vocabulary of either language, by itself or in a phrase."""
    return word in _every_word()


@cache
def _every_word() -> frozenset[str]:
    phrases = (phrase for language in ("en", "de") for phrase in _vocabulary(language))
    return frozenset(word for phrase in phrases for word in phrase)


def language_of(text: str) -> str:
    """ "de" where German's small words are the more frequent, or a dialect is spoken, else "en"."""
    if speaks_dialect(text):
        return "de"
    words = [w.lower() for w in _WORD.findall(text)]
    german_words = sum(w in german.SIGNS for w in words)
    return "de" if german_words > sum(w in _ENGLISH_SIGNS for w in words) else "en"


_APART = {Concept.CHANGE: CHANGES, Concept.DISPUTE: NOT_DRAWN, Concept.COULD_NOT: COULD_NOT}


@lru_cache(maxsize=2048)
def told_apart(text: str) -> tuple[Spoken, ...]:
    """The stretches of `text` that say, in words that stand apart, that something will be altered, is not drawn or
    could not be done."""
    return tuple(
        Spoken(*m.span(), frozenset({concept}))
        for concept, words in _APART.items()
        for m in words.finditer(text)
    )


@lru_cache(maxsize=2048)
def spoken(text: str, language: str) -> tuple[Spoken, ...]:
    """The words of `text` in order, the longest known phrase first, looked up in its language, then in the other;
    phrases may overlap."""
    return tuple(_spoken(text, language))


def _spoken(text: str, language: str) -> Iterator[Spoken]:
    words = [(m.start(), m.end(), m[0].lower()) for m in _WORD.finditer(text)]
    at = 0
    while at < len(words):
        length, concepts = _longest(_unbroken(text, words[at : at + LONGEST_PHRASE]), language)
        yield Spoken(words[at][0], words[at + length - 1][1], concepts)
        end = at + length
        for inner in range(at + 1, end):
            # "Going to be moved": "going to" does not hide "to be moved".
            more, also = _longest(_unbroken(text, words[inner : inner + LONGEST_PHRASE]), language)
            if inner + more > end:
                yield Spoken(words[inner][0], words[inner + more - 1][1], also)
                end = inner + more
        at = end


def _unbroken(text: str, words: Sequence[tuple[int, int, str]]) -> list[str]:
    """The words up to a figure: "kommt 245 raus" is no "kommt raus"."""
    ends = (n for n, (a, b) in enumerate(pairwise(words), 1) if _FIGURE.search(text, a[1], b[0]))
    return [w for _, _, w in words[: next(ends, len(words))]]


def _longest(words: list[str], language: str) -> tuple[int, frozenset[Concept]]:
    length, concepts = _longest_as_written(words, language)
    for short, whole in (("'s", "is"), ("'re", "are")):
        if words[0].endswith(short) and len(words) > 1:
            # "The boiler's moving" is "is moving".
            more, also = _longest_as_written([whole, *words[1:]], language)
            if more > length and Concept.CHANGE in also:
                return more, also
    return length, concepts


def _longest_as_written(words: list[str], language: str) -> tuple[int, frozenset[Concept]]:
    for tongue in (language, "en" if language == "de" else "de"):
        for length in range(min(len(words), _longest_from(tongue).get(words[0], 0)), 0, -1):
            if found := _vocabulary(tongue).get(tuple(words[:length])):
                return length, found
    if re.search(r"[-.']", words[0]):
        # "wall-to-wall": known where its parts are.
        parts = re.split(r"[-.']", words[0])
        known = [_longest([p], language)[1] for p in parts if p]
        if all(known):
            return 1, frozenset().union(*known)
    return 1, frozenset()
