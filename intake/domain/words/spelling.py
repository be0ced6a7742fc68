"""Slips of the pen in the words that name things: "windo", "fusebord", "boyler". Only a word that nothing knows is
taken for another, and only for one that is a single slip away."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from intake.domain.words.dialect import as_written
from intake.domain.words.vocabulary import known_word

_NAMES = frozenset(
    re.findall(
        r"\w+",
        "window windows outside correct front floor goes answers questions answers ceiling recess reveal "
        "depth height boiler fuse board consumer "
        "cupboard kitchen meter under stairs hallway"
        " garage utility kitchen first second third fourth number question right correct behind floor "
        "skirting measured measure"
        " approximately roughly"
        " deckenhöhe fensterbank brüstung sicherungskasten gaszähler therme haupthahn leibung laibung fenster keller",
    )
)
_SHORT_NAMES = {
    "deap": "deep", "frunt": "front", "flor": "floor", "hav": "have", "gose": "goes", "gass": "gas",
    "sil": "sill", "dor": "door", "hite": "height", "hight": "height", "heigth": "height", "dep": "deep",
    "fist": "first", "windo": "window", "celing": "ceiling", "cieling": "ceiling", "fusebord": "fuseboard",
    "til": "until", "stopcok": "stopcock", "cubord": "cupboard", "cuboard": "cupboard", "sinck": "sink",
    "cant": "can't", "dont": "don't", "wont": "won't", "isnt": "isn't", "wasnt": "wasn't", "doesnt": "doesn't",
    "havent": "haven't", "didnt": "didn't", "couldnt": "couldn't", "hasnt": "hasn't", "arent": "aren't",
    "theres": "there's", "thats": "that's", "mtr": "meter", "clg": "ceiling", "ht": "height", "hgt": "height",
    "wdw": "window", "aint": "ain't", "flr": "floor", "u": "you", "uve": "you've", "ur": "your",
    "ive": "I've", "weve": "we've", "youve": "you've", "youre": "you're", "theyre": "they're", "whats": "what's",
    "wouldnt": "wouldn't", "shouldnt": "shouldn't", "havnt": "haven't", "gonna": "going to", "wanna": "want to",
    "cos": "because", "cuz": "because", "deffo": "definitely", "defo": "definitely", "yea": "yeah", "yh": "yeah",
    "n": "and", "tmrw": "tomorrow", "tomoz": "tomorrow", "swopped": "swapped", "aswell": "as well",
    "nae": "no", "isnae": "isn't", "wasnae": "wasn't", "hasnae": "hasn't", "havenae": "haven't", "dinnae": "don't",
    "doesnae": "doesn't", "didnae": "didn't", "cannae": "can't", "couldnae": "couldn't", "jist": "just", "fae": "from",
    "diffrent": "different", "bf": "boyfriend", "gf": "girlfriend",
}  # fmt: skip
"""Further from what is meant than one slip, or too short to be sure of by rule."""
_WORD = re.compile(r"[^\W\d_]{2,}|(?<![\w'.&/])[un](?![\w'.&/])")
"""Two letters at least, or a "u" or an "n" alone."""


_IN_THE_TRADE = {
    "u/s": "under", "c/h": "ceiling height", "lhs": "left", "rhs": "right", "ext.": "outside", "ext": "outside",
}  # fmt: skip
_TRADE = re.compile(r"(?<![\w/])(?:[uc]/[sh]|[lr]hs|ext\b\.?)(?![\w/])(?!\s?\d{2})", re.I)
_NO_BETWEEN = re.compile(
    r"(?<=\d),? (?:(?:haha|lol|oh|er|um|ach|äh) )?(?:no|nope|nein|ne)(?: (?:wait|hang on|sorry|moment|warte))? (?=\d)",
    re.I,
)
""" "Window 15 no wait 16.5"."""

_SCRATCHED = re.compile(
    r"(?:^|(?<=[,;:(-] )|(?<=\bno )|(?<=\bno, )|(?<=\bsorry )|(?<=\boops )|(?<=\bactually )|(?<=\d ))"
    r"(?:please |bitte )?(?:(?:ignore|disregard|forget|strike|scrap|delete|cancel|scrub|bin|cross out) (?:that|it)"
    r"|(?:vergessen|ignorieren|streichen) sie das)(?: one| bit| last one)?"
    r"(?=\s?[,.:!-][\s,.:!-]*(?:(?:it'?s|it is|it should (?:be|read)|make (?:it|that)|that'?s|es (?:ist|sind)"
    r"|das sind) )?\d)",
    re.I,
)
""" "Recess 12, ignore that, 14": many words for one thing."""


_ANY_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")


@dataclass(frozen=True)
class _Mended:
    """A text with its slips put right; `back` gives the place in the original of each of its places, and of its end."""

    text: str
    back: tuple[int, ...]


@lru_cache(maxsize=1024)
def mended(text: str, dialect: bool) -> _Mended:
    """`text` with slips in the names of things put right, the trade's abbreviations written out, and out of a `dialect`
    into the written language."""
    found = _Mended(text, tuple(range(len(text) + 1)))
    if dialect:
        found = _replaced(found, _ANY_WORD, as_written)
    found = _replaced(found, _TRADE, lambda word: _IN_THE_TRADE.get(word.lower(), word))
    found = _replaced(found, _NO_BETWEEN, lambda _: ", no, ")
    found = _replaced(found, _SCRATCHED, lambda _: "scratch that")
    return _replaced(found, _WORD, _mended)


def _replaced(given: _Mended, pattern: re.Pattern[str], by: Callable[[str], str]) -> _Mended:
    pieces: list[str] = []
    back: list[int] = []
    at = 0
    for match in pattern.finditer(given.text):
        word = by(match[0])
        if word != match[0]:
            pieces += [given.text[at : match.start()], word]
            back += [*given.back[at : match.start()], *[given.back[match.start()]] * len(word)]
            at = match.end()
    return _Mended("".join([*pieces, given.text[at:]]), (*back, *given.back[at:]))


def _mended(word: str) -> str:
    low = word.lower()
    if low in _NAMES or known_word(low):
        return _SHORT_NAMES.get(low, word)
    return _SHORT_NAMES.get(low) or _near(low) or word


@lru_cache(maxsize=4096)
def _near(word: str) -> str:
    """The one name that is a single slip away; "" for none, and for short words."""
    if len(word) < 5:
        return ""
    found = [n for n in _NAMES if abs(len(n) - len(word)) < 2 and len(n) > 4 and one_slip(word, n)]
    if not found and len(word) > 7:
        found = [n for n in _NAMES if len(n) > 7 and _two_slips(word, n)]
    return found[0] if len(found) == 1 else ""


def _two_slips(a: str, b: str) -> bool:
    """One slip, and another in what is left of a long word."""
    start = next((n for n, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    left, right = a[start:], b[start:]
    return any(
        x and y and one_slip(x, y) for x, y in ((left[1:], right), (left, right[1:]), (left[1:], right[1:]))
    )


def one_slip(a: str, b: str) -> bool:
    """One letter more, less, other, or two that changed places (Damerau 1964, from memory)."""
    start = next((n for n, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    left, right = a[start:], b[start:]
    swapped = left[1:2] + left[:1] + left[2:]
    return left[1:] == right or left == right[1:] or left[1:] == right[1:] or swapped == right
