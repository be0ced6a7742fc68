"""What a customer answers when we ask whether an opening is a window, a door or an open doorway."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.concepts import Concept as C
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.weighing import UNCERTAIN
from intake.model.checklist import ChecklistItem
from intake.model.reading import OpeningKind
from intake.model.word import Statement, StatementKind

_OUR_WORD = re.compile(r"\b(?:the|this|that|your|die|diese|ihre) (?:opening|öffnung)\b", re.I)
_KINDS = {
    OpeningKind.WINDOW: re.compile(r"\b(?:windows?|fenster)\b", re.I),
    OpeningKind.DOOR: re.compile(r"\b(?:doors?|french|patio|\w{0,12}t(?:ü|ue)r(?:en?)?)\b", re.I),
    OpeningKind.DOORWAY: re.compile(
        r"\b(?:door ?ways?|arch(?:way)?|openings?|open(?! plan)|passage(?:way)?|durchg[aä]nge?|durchbruch"
        r"|offene?[rsn]?)\b",
        re.I,
    ),
}
_TURNED = re.compile(
    r"\b(?:no|not|none|never|nor|neither|without|or|if|used to|was|were|once|half|blocked|bricked|boarded|filled|fake"
    r"|false|dummy|nicht|nie|kein\w{0,2}|ohne|oder|wenn|war|waren|früher|zugemauert\w{0,2}|blind\w{0,2})\b|n't\b",
    re.I,
)
"""What may make of a named kind none, or another."""
_NO_ANSWER = (
    C.HEDGE,
    C.HEARSAY,
    C.CHANGE,
    C.DISPUTE,
    C.COULD_NOT,
    C.ANOTHER_HOME,
    C.ANOTHER_ROOM,
    C.TAKEN_BACK,
    C.NEGATION,
)


def kind_told(text: str) -> OpeningKind | None:
    """The one kind that an answer names; None where it names none or two."""
    words = _OUR_WORD.sub(" ", text)
    named = [kind for kind, pattern in _KINDS.items() if pattern.search(words)]
    return named[0] if len(named) == 1 else None


def answer_about_an_opening(reader: SentenceReader, items: Sequence[ChecklistItem]) -> list[Statement]:
    """What a sentence says to that request: a kind, in doubt where it is guessed or turned round; else nothing."""
    if kind_told(reader.text) is None:
        unable = reader.whole.has(C.COULD_NOT)
        return [Statement(item.id, StatementKind.COULD_NOT, reader.text) for item in items if unable]
    turned = (
        reader.asked or reader.whole.has(*_NO_ANSWER) or reader.whole.denied or _TURNED.search(reader.text)
    )
    doubt = UNCERTAIN if turned else ""
    kind = StatementKind.DOUBTFUL if doubt else StatementKind.SAID
    for told in reader.told:
        told.used |= not told.clause.lengths
    return [Statement(item.id, kind, reader.text, doubt=doubt) for item in items]
