"""Numbers in words turned into figures: "two hundred and thirty-six", "two forty", "two-four-oh", "zwei Meter fünfzig".

A small grammar over words, English and German. What is not plainly a length stays in words: "two windows", "this one".
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

_ONES = {
    w: n for n, w in enumerate(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"], 1)
}
_TEENS = {
    w: n
    for n, w in enumerate(
        [
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ],
        10,
    )
}
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90,
}  # fmt: skip
_NOUGHT = dict.fromkeys(("oh", "o", "zero", "nought", "naught", "nil", "null"), 0)
_GERMAN_ONES = {
    "ein": 1, "eins": 1, "eine": 1, "einen": 1, "zwei": 2, "zwo": 2, "drei": 3, "vier": 4, "fünf": 5, "fuenf": 5,
    "sechs": 6, "sieben": 7, "acht": 8, "neun": 9,
}  # fmt: skip
_GERMAN_TEENS = {
    "zehn": 10, "elf": 11, "zwölf": 12, "zwoelf": 12, "dreizehn": 13, "vierzehn": 14, "fünfzehn": 15, "sechzehn": 16,
    "siebzehn": 17, "achtzehn": 18, "neunzehn": 19,
}  # fmt: skip
_GERMAN_TENS = {
    "zwanzig": 20, "dreißig": 30, "dreissig": 30, "vierzig": 40, "fünfzig": 50, "fuenfzig": 50, "sechzig": 60, 
    "siebzig": 70, "achtzig": 80, "neunzig": 90,
}  # fmt: skip
_GERMAN_WORD = re.compile(
    rf"(?:(?P<hundreds>{'|'.join(_GERMAN_ONES)})?(?P<hundert>hundert)(?:und)?)?"
    rf"(?:(?:(?P<one>{'|'.join(_GERMAN_ONES)})und)?(?P<tens>{'|'.join(_GERMAN_TENS)})"
    rf"|(?P<teen>{'|'.join(_GERMAN_TEENS)})|(?P<last>{'|'.join(_GERMAN_ONES)}))?(?P<half>einhalb)?",
    re.I,
)
_TOKEN = re.compile(r"[^\W\d_]+|[0-9]+(?:[.,]\d+)?")
_LETTERS = re.compile(r"[^\W\d_]+")
_METRE = frozenset(["metre", "metres", "meter", "meters", "m", "metern"])
_FOOT = frozenset(["foot", "feet", "ft", "fuß"])
_UNITS = (
    _METRE
    | _FOOT
    | frozenset(
        [
            "cm",
            "cms",
            "mm",
            "mms",
            "centimetre",
            "centimetres",
            "centimeter",
            "centimeters",
            "centimetern",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
            "millimetern",
            "zentimeter",
            "zentimetern",
            "inch",
            "inches",
            "zoll",
            "mil",
        ]
    )
)
_TWO_DIGITS = 10
"""From here on a number has two digits: below it a spelled number is a count or a single digit."""
_A_HUNDRED = 100
_MOST_INCHES = 11
"""In what is left of a foot."""
_HALF_NEXT = re.compile(
    r"[\s-]{1,4}and[\s-]{1,4}(?:a[\s-]{1,4}|one[\s-]{1,4})?(?:half|quarter|three)\b|\s?[½¼¾]", re.I
)
_NOT_BEFORE_ONE = frozenset(
    re.findall(
        r"\w+",
        "first second third fourth this that the other last number question which each every left right no any big "
        "small next item point answer window wall door only wrong old new another",
    )
)
"""Before "one" these make it a pronoun or a label: "the second one forty"."""


_SPELT = re.compile(
    "|".join(
        [
            *_ONES,
            *_TEENS,
            *_TENS,
            *_NOUGHT,
            *_GERMAN_ONES,
            *_GERMAN_TEENS,
            *_GERMAN_TENS,
            "hundred",
            "hundert",
        ]
    ).replace("|o|", r"|\bo\b|")
    + r"|\ba\s(?:met(?:re|er)|hundred)|anderthalb",
    re.I,
)
"""A cheap look first: most texts hold no number in words."""


@dataclass(frozen=True)
class SpelledFigures:
    """A text with its spelled numbers in figures; `back` gives the place in the original of each of its places."""

    text: str
    back: tuple[int, ...]
    spelled: tuple[tuple[int, int], ...]
    """Spans of `text` that were words."""


@dataclass(frozen=True)
class _Token:
    start: int
    end: int
    word: str


def in_figures(text: str) -> SpelledFigures:
    """`text` with every spelled number that may be a length in figures."""
    if not _SPELT.search(text):
        return SpelledFigures(text, tuple(range(len(text) + 1)), ())
    tokens = [_Token(m.start(), m.end(), m[0].lower()) for m in _TOKEN.finditer(text)]
    pieces: list[str] = []
    back: list[int] = []
    spans: list[tuple[int, int]] = []
    at, place = 0, 0
    while place < len(tokens):
        found = _Reader(text, tokens, place).number()
        if found is None:
            place += 1
            continue
        figures, after = found
        start, end = tokens[place].start, tokens[after - 1].end
        pieces.append(text[at:start])
        back += range(at, start)
        length = sum(map(len, pieces))
        pieces.append(figures)
        back += [start] * len(figures)
        spans.append((length, length + len(figures)))
        at, place = end, after
    pieces.append(text[at:])
    back += [*range(at, len(text)), len(text)]
    return SpelledFigures("".join(pieces), tuple(back), tuple(spans))


def tells_a_number(text: str) -> bool:
    """Whether a word of a text is, or holds, a number from ten on: "einundvierzigeinhalb", "forty"."""
    return any(
        w in _TENS or w in _TEENS or "hundred" in w or _holds_tens(w)
        for w in map(str.lower, _LETTERS.findall(text))
    )


def _holds_tens(word: str) -> bool:
    match = _GERMAN_WORD.fullmatch(word)
    return match is not None and bool(match["hundert"] or match["tens"] or match["teen"])


class _Reader:
    """Reads one number from the token at `place` on."""

    def __init__(self, text: str, tokens: list[_Token], place: int) -> None:
        self._text, self._tokens, self._place = text, tokens, place

    def number(self) -> tuple[str, int] | None:
        """The figures and the token after them; None where no number that may be a length begins here."""
        ways: tuple[Callable[[int], tuple[str, int] | None], ...] = (
            self._metres,
            self._feet,
            self._figure,
            self._german,
        )
        for way in ways:
            if (found := way(self._place)) is not None:
                return found
        return None

    def _word(self, at: int) -> str:
        return self._tokens[at].word if at < len(self._tokens) else ""

    def _joined(self, at: int) -> bool:
        """Whether the token follows the one before it with nothing but a blank or a hyphen between."""
        if not 0 < at < len(self._tokens):
            return False
        between = self._text[self._tokens[at - 1].end : self._tokens[at].start]
        return between in (" ", "-", "")

    def _small(self, at: int) -> tuple[int, int] | None:
        """1 to 99."""
        word = self._word(at)
        if word in _TENS:
            one = _ONES.get(self._word(at + 1)) if self._joined(at + 1) else None
            return (_TENS[word] + one, at + 2) if one else (_TENS[word], at + 1)
        value = _TEENS.get(word) or _ONES.get(word)
        return (value, at + 1) if value else None

    def _hundreds(self, at: int) -> tuple[int, int] | None:
        """ "Two hundred [and] six", "a hundred", "one hundred and 3"; up to 9999 with thousands."""
        if self._word(at) == "hundred" and self._joined(at + 1):
            found = self._under(100, at + 1)  # "sill hundred and one"
            return found if found[1] > at + 1 else None
        lead = 1 if self._word(at) == "a" else _ONES.get(self._word(at))
        if lead is None or not self._joined(at + 1):
            return None
        if self._word(at + 1) == "thousand":
            return self._under(lead * 1000, at + 2, hundreds=True)
        return self._under(lead * 100, at + 2) if self._word(at + 1) == "hundred" else None

    def _under(self, base: int, at: int, hundreds: bool = False) -> tuple[int, int]:
        """What follows a hundred or a thousand."""
        after = at + 1 if self._word(at) == "and" and self._joined(at) else at
        if not self._joined(after):
            return base, at
        if hundreds and (more := self._hundreds(after)) is not None:
            return base + more[0], more[1]
        if re.fullmatch(r"[0-9]{1,2}", self._word(after)):
            return base + int(self._word(after)), after + 1
        # "one hundred and a half" is a fraction, "a hundred and one half" too.
        small = self._small(after)
        if small is None or self._word(small[1]) in ("half", "quarter", "quarters"):
            return base, at
        return base + small[0], small[1]

    def _digits(self, at: int) -> tuple[str, int]:
        """Single digits read out one by one: "two four oh"."""
        figures, words = "", {**_ONES, **_NOUGHT}
        while self._word(at) in words and (not figures or self._joined(at)):
            figures += str(words[self._word(at)])
            at += 1
        return figures, at

    def _two_more(self, at: int) -> tuple[int, int] | None:
        """The centimetres after spoken metres: "forty-five", "sixteen", "oh five"."""
        if self._word(at) in _NOUGHT and self._joined(at + 1) and self._word(at + 1) in _ONES:
            return _ONES[self._word(at + 1)], at + 2
        small = self._small(at)
        return small if small and small[0] > 9 else None

    def _spoken(self, at: int) -> tuple[int, int] | None:
        """ "Two forty", "three eighty-six": metres and centimetres without the word."""
        lead = _ONES.get(self._word(at))
        if lead is None or not self._joined(at + 1) or self._a_pronoun(at):
            return None
        more = self._two_more(at + 1)
        return (lead * 100 + more[0], more[1]) if more else None

    def _a_pronoun(self, at: int) -> bool:
        return self._word(at) == "one" and at > 0 and self._tokens[at - 1].word in _NOT_BEFORE_ONE

    def _figure(self, at: int) -> tuple[str, int] | None:
        digits, after_digits = self._digits(at)
        whole = self._hundreds(at) or self._spoken(at)
        if len(digits) >= 3 and (whole is None or after_digits >= whole[1]):
            return digits, after_digits
        found = whole or self._small(at)
        if found is None and self._word(at) in _NOUGHT and self._word(at + 1) == "point":
            found = 0, at + 1
        if found is None:
            return None
        value, after = found
        if self._word(after) == "point" and self._joined(after):
            tenths, further = self._digits(after + 1)
            if not tenths and (more := self._small(after + 1)):
                tenths, further = str(more[0]), more[1]
            if value > 9 and len(tenths) > 1 and tenths[1] not in "05" and self._word(further) not in _UNITS:
                # "Sixteen point five three the fuse box": no tape shows hundredths of a centimetre.
                tenths, further = tenths[0], after + 2
            if tenths:
                return f"{value}.{tenths}", further
        return (str(value), after) if whole or self._a_length(at, value, after) else None

    def _a_length(self, at: int, value: int, after: int) -> bool:
        """Small numbers are counts, or "the one over the sink", unless a unit or a fraction follows."""
        if value > 9:
            return True
        if self._a_pronoun(at):
            return False
        end = self._tokens[after - 1].end
        half = bool(_HALF_NEXT.match(self._text, end))
        return half or (self._word(after) in _UNITS and self._joined(after))

    def _metres(self, at: int) -> tuple[str, int] | None:
        """ "Two metres forty[-five]", "a metre ninety", "zwei Meter fünfzig"."""
        word = self._word(at)
        lead = (
            1 if word in ("a", "one", "ein", "einen", "einem") else _ONES.get(word) or _GERMAN_ONES.get(word)
        )
        if word.isdecimal():
            lead = int(word)
        if lead is None or self._word(at + 1) not in _METRE or not self._joined(at + 1):
            return None
        rest = at + 2
        if self._word(rest) in ("and", "und") and self._joined(rest):
            rest += 1
        more = (self._two_more(rest) or self._german_small(rest)) if self._joined(rest) else None
        if more is None or (more[0] < _TWO_DIGITS and more[1] == rest + 1):
            a_thing = (word, self._word(at + 1)) == ("a", "meter") and self._word(at + 2) != "and"
            return None if a_thing or word.isdecimal() else (f"{lead} m", at + 2)
        # What follows the metres is in centimetres, and a unit said after it is theirs.
        after = (
            more[1] + 1
            if self._word(more[1]) in ("centimetres", "centimeters", "cm", "zentimeter")
            else more[1]
        )
        half = " \u00bd" if self._german_value(rest)[0] % 1 else ""
        return f"{lead} m {more[0]:02}{half}", after

    def _feet(self, at: int) -> tuple[str, int] | None:
        """ "Seven foot eleven": inches in words after the feet."""
        word = self._word(at)
        lead = int(word) if word.isdecimal() else (_ONES | _TEENS).get(word) or _GERMAN_ONES.get(word)
        if lead is None or self._word(at + 1) not in _FOOT or not self._joined(at + 1):
            return None
        rest = at + 2
        if self._word(rest) == "and" and self._joined(rest):
            rest += 1
        inches = (_ONES | _TEENS).get(self._word(rest)) if self._joined(rest) else None
        if self._word(rest + 1) in ("quarters", "quarter"):
            inches = None
        if inches is None or inches > _MOST_INCHES:
            return None if word.isdecimal() else (f"{lead} ft", at + 2)
        return f"{lead} ft {inches}", rest + 1

    def _german_small(self, at: int) -> tuple[int, int] | None:
        value, after = self._german_value(at)
        return (int(value), after) if 1 <= value < _A_HUNDRED else None

    def _german_value(self, at: int) -> tuple[float, int]:
        match = _GERMAN_WORD.fullmatch(self._word(at))
        if match is None or not match[0]:
            return 0, at
        value: float = 0
        if match["hundert"]:
            value = _GERMAN_ONES.get((match["hundreds"] or "ein").lower(), 1) * 100
        value += _GERMAN_ONES.get((match["one"] or match["last"] or "").lower(), 0)
        value += _GERMAN_TENS.get((match["tens"] or "").lower(), 0) + _GERMAN_TEENS.get(
            (match["teen"] or "").lower(), 0
        )
        return value + (0.5 if match["half"] else 0), at + 1

    def _german(self, at: int) -> tuple[str, int] | None:
        if self._word(at) in ("anderthalb", "eineinhalb") and self._word(at + 1) in _UNITS:
            return "1.5", at + 1
        value, after = self._german_value(at)
        if not value:
            return None
        lead = _GERMAN_ONES.get(self._word(at))
        # "zwo fünfzig": metres and centimetres without the word.
        if lead and self._joined(after) and (more := self._german_small(after)) and more[0] > 9:
            half = 0.5 if self._german_value(after)[0] % 1 else 0
            return f"{lead * 100 + more[0] + half:g}", more[1]
        if self._word(after) == "komma" and self._joined(after):
            tenths, further = self._german_value(after + 1)
            if tenths and tenths < _A_HUNDRED:
                return f"{int(value)}.{int(tenths)}", further
        if value < _TWO_DIGITS and self._word(after) not in _UNITS:
            return None
        return f"{value:g}", after
