"""The letter or two that people write beside a number for its kind: "S 98", "C/H=240", "120 W"."""

from __future__ import annotations

import re

_LETTER = r"[SHCRDWB](?:/?[SHCRDWB])?"
_BEFORE = re.compile(rf"^({_LETTER})?=?(?=\d)")
_AFTER = re.compile(rf"(?<=[\d'\"])({_LETTER})$")


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
