"""What is to be said to somebody, before it is words of a language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Union

Gap = Union[str, int, "Phrase", tuple["Gap", ...]]


@dataclass(frozen=True)
class Phrase:
    """A sentence, or a part of one, by its key in config/letters (to a customer) or intake/wording (to a designer),
    with what fills its gaps: lengths as the customer writes them, names, phrases again, or several in a row."""

    key: str
    gaps: tuple[tuple[str, Gap], ...] = ()

    def __str__(self) -> str:
        raise TypeError(f"{self.key!r} is a phrase: it is worded where it is shown")

    def gap(self, name: str) -> Gap:
        """What fills a gap; "" where there is none of this name."""
        return dict(self.gaps).get(name, "")


def phrase(key: str, /, **gaps: Gap) -> Phrase:
    return Phrase(key, tuple(gaps.items()))


def as_said(words: str) -> Phrase:
    """Words that are there already: a person's own, or those that an older version kept."""
    return phrase("as-said", words=words)


NOTHING = as_said("")
