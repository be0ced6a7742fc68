"""Words on a plan as readers tell them: without marks, and with a letter read wrong."""

from __future__ import annotations

import unicodedata

_LONG = 6
"""A word of so many letters is also known with one letter read wrong, left off or put in ("Uindow")."""


def without_marks(text: str) -> str:
    """In small letters without marks: "Tür" is tur."""
    return "".join(c for c in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(c))


def one_off(word: str, known: str) -> bool:
    """Whether one letter put in, left off or changed makes a long word the other."""
    short, long = sorted((word, known), key=len)
    n = next((n for n, (a, b) in enumerate(zip(short, long, strict=False)) if a != b), len(short))
    changed = short[n + 1 :] if len(short) == len(long) else short[n:]
    return len(short) >= _LONG and changed == long[n + 1 :]
