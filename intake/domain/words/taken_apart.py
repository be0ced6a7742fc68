"""A sentence taken apart once: it is looked at several times on its way."""

from __future__ import annotations

from functools import lru_cache

from intake.domain.words.clause import Clause, clauses_of
from intake.domain.words.lexicon import Lexicon


@lru_cache(maxsize=1024)
def as_one(heard: str, lexicon: Lexicon, language: str, unit: str) -> Clause:
    """A sentence as one clause."""
    return Clause(heard, 0, lexicon, language, unit)


@lru_cache(maxsize=1024)
def taken_apart(heard: str, lexicon: Lexicon, language: str, unit: str) -> list[Clause]:
    """The clauses of a sentence; of one alone, the sentence itself, of which much is known by then."""
    whole, found = [as_one(heard, lexicon, language, unit)], clauses_of(heard, lexicon, language, unit)
    return whole if found == whole else found
