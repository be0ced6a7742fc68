"""What is to be said to a customer, before it is words of a language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Union

Gap = Union[str, int, "Phrase"]


@dataclass(frozen=True)
class Phrase:
    """A sentence, or a part of one, by its key in config/letters, with what fills its gaps: lengths as the customer
    writes them, or phrases again."""

    key: str
    gaps: tuple[tuple[str, Gap], ...] = ()


def phrase(key: str, /, **gaps: Gap) -> Phrase:
    return Phrase(key, tuple(gaps.items()))
