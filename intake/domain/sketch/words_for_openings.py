"""What customers write at an opening and at boxing: `door 76`, `W 120`, `Fenster`, `porte`, `boxed in`. Their words in
English, German, French, Italian, Dutch and Spanish: common practice, no source."""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches

from intake.domain.lengths.notation import split_label
from intake.domain.sketch.words_for_roles import NAMING_WORDS
from intake.model.reading import OpeningKind
from intake.model.room import SectionKind

_WORDS: dict[OpeningKind | SectionKind, str] = {
    OpeningKind.WINDOW: "window|windows|windo|win|wdw|w|fenster|f|fenetre|fen|finestra|fin|raam|ventana|v",
    OpeningKind.DOOR: "door|doors|dr|d|back|front|patio|french|tur|tuer|t|haustur|zimmertur|terrassentur|balkontur"
    "|porte|p|porta|deur|puerta",
    OpeningKind.DOORWAY: "opening|open|doorway|arch|archway|opg|op|o|durchgang|durchbruch|offnung|oeffnung|passage"
    "|ouverture|apertura|arco|doorgang|abertura|hueco",
    SectionKind.BOXING: "boxing|boxed|box|kasten|rohrkasten|verkleidung|vorwand|coffre|coffrage|cassonetto|koof",
}
_KINDS = {word: kind for kind, words in _WORDS.items() for word in words.split("|")}
_LIKE = {6: 0.65, 4: 0.74}
"""Words of at least so many letters read a letter or two wrong ("Uindou", "Doar") are known by this likeness."""
_LONG = {least: [word for word in _KINDS if len(word) >= least] for least in _LIKE}
_NOT_BOXING = {"fuse", "letter", "meter", "post", "consumer", "switch", "room"}
"""Beside these a box is a thing, and a box room the title."""


def opening_named(text: str) -> OpeningKind | None:
    """The kind of opening that a label or words name; None for none, and for words that name two."""
    kinds = {kind for kind in _named(text) if isinstance(kind, OpeningKind)}
    return kinds.pop() if len(kinds) == 1 else None


def names_boxing(text: str) -> bool:
    """Whether words say that pipes are boxed in."""
    return SectionKind.BOXING in _named(text) and not _NOT_BOXING & set(re.findall("[a-z]+", _plain(text)))


def _named(text: str) -> set[OpeningKind | SectionKind]:
    plain = _plain(text)
    label = split_label(plain)[0] or ("" if any(c.isdigit() for c in plain) else plain)
    words = re.findall("[a-z]+", label)
    return {_KINDS[w] for w in words if w in _KINDS} or {_KINDS[known] for w in words for known in _like(w)}


def _plain(text: str) -> str:
    """In small letters without marks: "Tür" is tur."""
    return "".join(c for c in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(c))


def _like(word: str) -> list[str]:
    """The word that one misread may be; of a word that names a role none."""
    fit = [] if word in NAMING_WORDS else [least for least in _LIKE if len(word) >= least]
    return next((near for n in fit if (near := get_close_matches(word, _LONG[n], 1, _LIKE[n]))), [])
