"""Telephone numbers in a customer's words."""

from __future__ import annotations

import re

_NUMBER = re.compile(r"(?<![\w.,])(?:\+\d|\(?0)[\d ()/-]{7,18}\d(?![\w.,]?\d)")
_LEAST, _MOST = 8, 15
"""Digits of a telephone number: ITU-T E.164 allows 15 at most (from memory); the least is common practice."""


def phone_numbers(words: str) -> tuple[str, ...]:
    """The telephone numbers in `words` as written, each once, in order."""
    found = (" ".join(m[0].split()) for m in _NUMBER.finditer(words))
    return tuple(dict.fromkeys(n for n in found if _LEAST <= sum(c.isdigit() for c in n) <= _MOST))
