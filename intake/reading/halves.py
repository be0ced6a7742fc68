"""Halves written with a fraction bar, "22½": PP-OCR has a sign for them, the project's own recogniser has none."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.model.reading import Alternative

HALF_SIGNS = "½%"
_HALVED = re.compile(rf"([1-9]\d{{0,2}})[{HALF_SIGNS}]2?\Z")
_IN_DIGITS = re.compile(r"[.']?[14]?/?[26]?\Z")
"""How PP-OCR spells a half, and what a half behind a number looks like to a reader that has no sign for it."""


def before_half(text: str) -> str:
    """What stands before the half of a number that ends in one, "22" of "22½", by PP-OCR's free reading; "" of others.
    Of 2,640 texts on 100 sheets 35 were read so, and all of them were halves."""
    found = _HALVED.match(text)
    return found[1] if found else ""


def halved(said: Sequence[Alternative], whole: str) -> tuple[Alternative, ...]:
    """An n-best list in which the half behind `whole`, spelt in digits ("2212") or left out, is .5."""
    total: dict[str, float] = {}
    for a in said:
        half = a.text.startswith(whole) and _IN_DIGITS.match(a.text[len(whole) :])
        text = f"{whole}.5" if half else a.text
        total[text] = total.get(text, 0.0) + a.confidence
    return tuple(Alternative(text, min(1.0, p)) for text, p in sorted(total.items(), key=lambda kv: -kv[1]))
