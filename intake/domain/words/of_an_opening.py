"""What a customer answers when we ask whether an opening is a window, a door or an open doorway.

Only an answer that is, courtesies apart, the name of one kind settles it ("It's the back door, thanks").
Whatever else names a kind ("opposite the door", "open shelving", "the fridge door") is for a person to look at.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.concepts import Concept as C
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.weighing import UNCERTAIN
from intake.model.checklist import ChecklistItem
from intake.model.reading import OpeningKind
from intake.model.word import Statement, StatementKind

_NAMES_A_KIND = re.compile(
    r"\b(?:windows?|fenster|doors?|french|patio|\w{0,12}t(?:ü|ue)r(?:en?)?|door ?ways?|arch(?:way)?|openings?"
    r"|open(?! plan)|passage(?:way)?|durchg[aä]nge?|durchbruch|offene?[rsn]?)\b",
    re.I,
)
_BEFORE = (
    r"(?:(?:hi|hello|hallo|thanks|thank you|danke|sorry|oh|ah|ok|okay|well|yes|yep|ja)\b[ ,;.!:–-]{0,3}){0,3}"
)
_IT_IS = (
    r"(?:(?:it is|it['’]?s|that is|that['’]?s|this is|this one is|this one['’]s|das ist|es ist|dies ist|ist) )?"
    r"(?:(?:just|only|simply|nur|einfach) )?"
    r"(?:(?:an?|the|our|my|einem?|eine[nr]?|ein|das|die|der|unsere?|mein|meine) )?"
)
_ROOM = (
    r"(?:hall|hallway|garden|dining room|living room|sitting room|lounge|kitchen|utility|utility room|conservatory"
    r"|patio|terrace|balcony|landing|corridor|garage|bathroom|bedroom|cellar|basement|porch|back garden|front garden"
    r"|yard|next room|room next door|garten|flur|esszimmer|wohnzimmer|küche|diele|terrasse|balkon|keller|bad"
    r"|schlafzimmer|hauswirtschaftsraum|nebenraum|nebenzimmer|garage|hof)"
)
_USUAL = (
    r"(?:(?:back|front|side|main|internal|interior|inside|external|exterior|outside|sliding|single|double|normal|ordinary"
    rf"|large|small|big|wide|narrow|{_ROOM}) ){{0,3}}"
)
_WHERE_TO = (
    rf"(?: (?:(?:in)?to|onto|(?:leading|going) (?:in)?to|zum|zur|in|auf) (?:(?:the|our|den|die|das) )?{_ROOM}"
    r"| outside| nach draußen| ins freie)?"
)
_AFTER = r"[ ,;.!–-]{0,3}(?:(?:please|thanks|thank you|many thanks|cheers|danke|yes|ja)[ .!]{0,3})?"
_HEIGHT = (
    r"(?:[ ,;:.]{1,3}(?:and |und )?(?:the )?(?:sill|cill|top|head|recess|reveal|brüstung|oberkante|laibung)"
    r"(?: height| depth)?(?: is| ist|:| =)? {0,2}\d{1,4}(?:[.,]\d{1,2})? ?(?:mm|cm|m)?"
    r"(?: (?:(?:from|above|off) the floor|vom boden|deep|high|tief|hoch))?){0,3}"
)
_KINDS = {
    OpeningKind.WINDOW: rf"{_USUAL}(?:windows?|(?:küchen)?fenster){_HEIGHT}",
    OpeningKind.DOOR: rf"(?:{_USUAL}(?:(?:french|patio) )?doors?|(?:haus|hinter|garten|terrassen|balkon|küchen|eingangs"
    rf"|wohnungs|zimmer|innen|schiebe|keller)?t(?:ü|ue)re?){_WHERE_TO}",
    OpeningKind.DOORWAY: rf"(?:(?:open |{_USUAL})(?:door ?way|archway|passage(?:way)?)|open (?:way|arch|opening)"
    rf"|(?:offener )?durchgang){_WHERE_TO}",
}
_IS_ONE = {kind: re.compile(rf"{_BEFORE}{_IT_IS}{named}{_AFTER}", re.I) for kind, named in _KINDS.items()}


def kind_told(text: str) -> OpeningKind | None:
    """The one kind that an answer is the name of; None for any other."""
    words = " ".join(text.split())
    return next((kind for kind, is_one in _IS_ONE.items() if is_one.fullmatch(words)), None)


def answer_about_an_opening(reader: SentenceReader, items: Sequence[ChecklistItem]) -> list[Statement]:
    """What a sentence says to that request: a kind, in doubt where it says anything beside; else nothing."""
    told = kind_told(reader.text) is not None
    if not told and not _NAMES_A_KIND.search(reader.text):
        unable = reader.whole.has(C.COULD_NOT)
        return [Statement(item.id, StatementKind.COULD_NOT, reader.text) for item in items if unable]
    for clause in reader.told:
        clause.used |= not clause.clause.lengths
    kind, doubt = (StatementKind.SAID, "") if told else (StatementKind.DOUBTFUL, UNCERTAIN)
    return [Statement(item.id, kind, reader.text, doubt=doubt) for item in items]
