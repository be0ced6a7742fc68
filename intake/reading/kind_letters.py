"""The letter or two that people write beside a number for its kind: "S 98", "C/H=240", "120 W"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from intake.model.reading import Alternative

_LETTER = r"[SHCRDWB](?:/?[SHCRDWB])?"
_BEFORE = re.compile(rf"^({_LETTER})?=?(?=\d)")
_AFTER = re.compile(rf"(?<=[\d'\"])({_LETTER})$")
_LETTERED = re.compile(r"(?:[A-HJ-NP-RT-Y] |L ?)(\d{1,4}(?:[.,]\d)?)\Z")
"""One letter that is hardly a digit (not I, O, S, Z) before a number, with a space: "B3.5" may be 13.5, "B 42.5" is not
(5 of 5 on validation sheets; 5 of 10 without a space)."""
_SURE_LETTER = 0.85
"""A letter read less surely than this names no number (set by hand)."""


def parted(text: str) -> tuple[str, str]:
    """The letters beside a number ("" where there are none) and the number itself: "S98" gives ("S", "98"), "120W"
    ("W", "120"). What holds no number is all number: ("", text)."""
    plain = re.sub(r"^h(?=[=\d])", "H", text.replace(" ", "") if text[:1].isalpha() else text)
    before = _BEFORE.match(plain)
    if before is None:
        return "", text
    rest = plain[before.end() :]
    after = _AFTER.search(rest)
    if after is not None and not before[1]:
        return after[1], rest[: after.start()]
    return before[1] or "", rest


def lettered(said: Sequence[Alternative], word: Alternative) -> tuple[Alternative, ...]:
    """PP-OCR's list for a number where its free reading sees a letter before it: "L 43" is no 143, which it says when
    it may say digits only."""
    found = _LETTERED.match(word.text)
    if found is None or word.confidence < _SURE_LETTER:
        return tuple(said)
    body = Alternative(found[1], word.confidence)
    others = [a for a in said if a.text != body.text]
    return (body, *(replace(a, confidence=a.confidence * (1.0 - word.confidence)) for a in others))
