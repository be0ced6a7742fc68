"""What customers write at an opening and at boxing: `door 76`, `W 120`, `Fenster`, `porte`, `boxed in`. Their words in
English, German, French, Italian, Dutch and Spanish: common practice, no source."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from intake.domain.lengths.notation import split_label
from intake.domain.sketch.plain_words import one_off, without_marks
from intake.domain.sketch.words_for_roles import NAMING_WORDS
from intake.model.reading import OpeningKind

_WORDS = {
    OpeningKind.WINDOW: "window|windows|windo|wdw|fenster|fenetre|finestra|raam|ventana",
    OpeningKind.DOOR: "door|doors|tur|tuer|haustur|zimmertur|terrassentur|balkontur|fenstertur|porte|porta|deur|puerta"
    "|french|patio",
    OpeningKind.DOORWAY: "opening|doorway|arch|archway|durchgang|durchbruch|offnung|oeffnung|passage|ouverture"
    "|apertura|arco|doorgang|abertura|hueco",
}
_ALONE = {
    OpeningKind.WINDOW: "w|win|f|fen|fin|v",
    OpeningKind.DOOR: "d|dr|t|p|back|front",
    OpeningKind.DOORWAY: "o|op|opg|open",
}
"""These name an opening only where no other word stands: an open shelf and a back wall are none."""
_KINDS = {word: kind for kind, words in _WORDS.items() for word in words.split("|")}
_KINDS_ALONE = {word: kind for kind, words in _ALONE.items() for word in words.split("|")}
_BOXING = frozenset({"boxing", "boxed", "rohrkasten", "vorwand", "coffrage", "koof"})
_BOX = re.compile(r"box|kasten|verkleidung|coffre")
_PIPES = re.compile(r"pipes?|soil|rohre?|tuyaux?|in|for|the|a?round|fur|um|de")
"""A box is boxing only alone or beside these: else it is a thing (for gas, letters) or a shutter's."""
_THINGS = re.compile(
    r"fuse|letter|meter|post|consumer|switch|room|shutter|blind|zahler|zaehler|rol+ad|volet|compteur"
)
_TAKEN_AWAY = re.compile(
    r"\b(no|not|without|removed?|removing|gone|keine?n?|ohne|raus|weg|entfern(en|t)|sans|pas|enlever?|senza|geen|zonder"
    r"|sin)\b"
)
"""Words beside what is not there, or will not be."""
_OTHERS = re.compile(
    r"boring|bowing|trench|widows|massage|couverture|hoffnung|finster|minestra|puerto|vorhand|vorrand"
)
"""Words that are one letter from one of an opening's, and mean something else."""


def opening_named(text: str) -> OpeningKind | None:
    """The kind of opening that a label or words name; None for none, and for words that name two."""
    words = _words(text)
    if len(words) == 1 and words[0] in _KINDS_ALONE:
        return _KINDS_ALONE[words[0]]
    kinds = {_KINDS[known] for known in _known(words, _KINDS)}
    return kinds.pop() if len(kinds) == 1 and not _TAKEN_AWAY.search(without_marks(text)) else None


def names_boxing(text: str) -> bool:
    """Whether words say that pipes are boxed in."""
    words, plain = _words(text), without_marks(text)
    if _TAKEN_AWAY.search(plain) or _THINGS.search(plain):
        return False
    beside = [word for word in words if not _BOX.fullmatch(word)]
    is_box = len(beside) < len(words) and all(map(_PIPES.fullmatch, beside))
    return is_box or bool(_known(words, _BOXING))


def _words(text: str) -> list[str]:
    plain = without_marks(text)
    label = split_label(plain)[0] or ("" if any(c.isdigit() for c in plain) else plain)
    return re.findall("[a-z]+", label)


def _known(words: Sequence[str], among: Collection[str]) -> list[str]:
    """Those of `among` that are written; where none is, those that long words with one letter read wrong may be."""
    exact = [word for word in words if word in among]
    misread = [word for word in words if word not in NAMING_WORDS and not _OTHERS.fullmatch(word)]
    return exact or [known for word in misread for known in among if one_off(word, known)]
