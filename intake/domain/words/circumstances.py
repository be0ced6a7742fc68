"""What a customer tells beside the answers: how it was measured, why something comes later, that a slip was their own.

None of it is about the survey, unless something in the room changes by it, or the plan is said to be wrong.
"""

from __future__ import annotations

import re

from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import PREPOSITION, RELATIVE
from intake.domain.words.fitting import TO_ANOTHER
from intake.domain.words.said_of_items import SentenceReader

_SOMEBODY = (
    rf"(?:i|we|he|she|hubby|ich|wir|er|(?:my|our|the|mein|meine|unser|unsere|der|die)\s(?:\w+\s)?{RELATIVE}"
    r"|(?-i:[A-Z][a-z]+)(?:\sand\s(?:i|me|(?-i:[A-Z][a-z]+)))?)"
)
_BY_HAND = (
    r"(?:took|held|holds?|holding|stood|stands? on|pushed|pressed?|climbed|used|borrowed|laid|lay|crawled|knelt"
    r"|leant|leaned"
    r"|reached|stretched|checked|went|managed|measured?|measuring|photographed|tried|asked|helped|sat|learn(?:ed|t)?"
    r"|got (?:down|up|under|behind|the (?:tape|ladder|steps))|had (?:a go|to (?:move|climb|stand|kneel|lie|crawl"
    r"|borrow|ask))"
    r"|did|put the (?:tape|laser|ladder)|gemessen|ausgemessen|nachgemessen|gehalten|gestanden|geklettert|benutzt"
    r"|gefragt|musste|mussten)"
)
_TELLS_HOW = re.compile(
    rf"^\W*(?:(?:and|so|but|then|also|because|as|und|aber|also|dann|weil|da)\s)*{_SOMEBODY}(?:'ve|'d|'m|'s)?\s"
    rf"(?:[\w']+\s){{0,4}}?{_BY_HAND}\b",
    re.I,
)
_OF_AN_OPENING = re.compile(
    r"\b(?:measur\w+|check\w+|reach\w+|photograph\w+|(?:aus|nach)?gemessen|lean\w*)\b", re.I
)
_OTHER = re.compile(
    r"\b(?:other|another|second|2nd|both|two|new|ander\w*|zweite\w*|beide\w*|neue\w*)\b", re.I
)
_HINDERS = re.compile(
    r"\b(?:behind|hidden|covered|sheeted|blocked|parked|piled|full of|in front of|in the way|at the moment|just now"
    r"|busy|asleep"
    r"|away|locked|shut|dark|fixing|painting|using|borrowed|zugestellt|verdeckt|vollgestellt|im weg|davor|momentan)\b",
    re.I,
)
_REASON = re.compile(
    r"\b(?:because|since|as|so|once|until|till|when|while|but|though|after|if|weil|da|denn|sobald|wenn|bis|nachdem"
    r"|aber|also"
    r"|deshalb|daher)\b",
    re.I,
)
_TOOLS = (
    r"(?:pencils?|pens?|biros?|ink|hand(?:writing|s)?|writing|scrawl|scribbles?|spelling|typing|eyes(?:ight)?"
    r"|glasses|specs"
    r"|figures|digits|(?:ones|twos|threes|fours|fives|sixes|sevens|eights|nines|noughts|zeros)|stift|bleistift|kuli"
    r"|schrift"
    r"|handschrift|brille|augen)"
)
_WITH_THEIR_TOOLS = re.compile(
    rf"\b(?:my|our|a|the|mein\w*|der|die|dem)\s(?:\w+\s)?{_TOOLS}\b"
    rf"|^\W*(?:\w+\s)?{_TOOLS}\W*$",
    re.I,
)
_WRITES = re.compile(
    r"\b(?:wr(?:ite|ites|iting|ote|itten)|press\w*|scribbl\w+|scrawl\w*|schreib\w*"
    r"|geschrieben)\b",
    re.I,
)
_NO_ARTIST = re.compile(
    r"\bi(?:'m| am) (?:no|not (?:an?|much of an?|very|the|so)|hopeless|useless|terrible|bad)\b.{0,20}\b(?:artist"
    r"|architect"
    r"|draughts\w+|builder|expert|drawing|writing|numbers|maths|tidiest|neatest|technical|handy|typ\w+)\b",
    re.I,
)
_WE_WERE = re.compile(
    r"^\W*(?:(?:sorry|but|and)\W{1,2})?(?:we|i)(?:'d|'ve)? (?:\w+ )?(?:had|was|were|been|forgot"
    r"|got)\b",
    re.I,
)
_EXCUSED = re.compile(
    r"^\W*(?:(?:(?:good )?(?:morning|evening|afternoon)|hello|hi|so|oh|and|und),?\s)?(?:sorry|apologies"
    r"|my apologies|i apologi[sz]e|forgive|excuse|pardon"
    r"|entschuldig\w*|verzeih\w*"
    r"|tut mir leid)\b",
    re.I,
)
_WHERE = re.compile(
    rf"{PREPOSITION.pattern}\s(?:(?:the|a|an|my|our|this|that|der|die|das|dem|den"
    rf"|einem?r?)\s)?(?:\w+\s)?\Z",
    re.I,
)
_YOURS = re.compile(r"\b(?:you|your|yours|sie|ihr|ihnen|ihre[nmrs]?)\b", re.I)
_OWN = re.compile(r"\b(?:i|i'd|i've|my|me|we|our|ich|mein\w*|mir|wir)\b", re.I)


NOT_ALONE = re.compile(
    r"after the|once the|it's going|that's going|they're going|changing|will change|is going|are going|swap"
    r"|swapping|get a new|getting a new|put in a"
    r"|new door"
    r"|change of plan|goes on|is due|switch to|before the work|(?:wird|werden).*(?:gemacht|erledigt)",
    re.I,
)
"""Words of change that say nothing of the room by themselves: "once the table has been cleared"."""


def beside_the_point(clause: Clause, reader: SentenceReader) -> bool:
    """Whether a clause without a length tells how it was measured, why it comes later, or of a slip of one's own."""
    if clause.lengths or clause.denied or reader.asked or turns(clause):
        return False
    was_away = _EXCUSED.search(reader.whole.text) and _WE_WERE.match(clause.text)
    of_an_opening = clause.mentions or clause.has(C.WINDOW, C.DOOR)
    if was_away and not of_an_opening:
        return True
    return tells_how(clause) or why_later(clause, reader) or excuses(clause)


def turns(clause: Clause) -> bool:
    """Whether something changes, is disputed or taken back, or somebody is wanted."""
    changing = [clause.text[w.start : w.end] for w in clause.where(C.CHANGE)]
    later = clause.has(C.LATER) and all(map(NOT_ALONE.fullmatch, changing))
    return clause.has(C.DISPUTE, C.TAKEN_BACK, C.PERSON) or bool(changing and not later)


THERE_IS = re.compile(
    r"\A\W*(?:in|an|am|im|hinter|neben|unter|über|vor|zwischen|auf)\b.{3,40}?\b(?:ist|sind|steht|stehen|hängt"
    r"|läuft|verläuft"
    r"|befindet sich)\s(?:noch |auch )?(?:eine?|zwei|drei)\b"
    r"|\A\W*(?:an?|two|three|some)\s(?:\w+ ){1,3}?(?:runs?|goes|go|sticks?|stands?|hangs?|comes?)\b",
    re.I,
)
""" "Hinter der Tür ist noch eine Nische", "a pipe runs up the corner": what there is besides."""


def only_where(clause: Clause) -> bool:
    """ "It was behind the fridge": whether what it names of the room only says where, and nothing is denied."""
    words = [w for c in (C.ROOM_WORD, C.WINDOW, C.DOOR) for w in clause.where(c)]
    places = all(_WHERE.search(clause.text[: w.start]) for w in words)
    return (
        bool(words)
        and places
        and not clause.has(C.NEGATION, C.HEDGE, C.COULD_NOT, C.DIFFERENCE, C.UP, C.ACROSS)
        and not THERE_IS.search(clause.text)
    )


def tells_how(clause: Clause) -> bool:
    """ "I pushed the tape down to the boards": somebody did something by hand, and no thing of the survey is named."""
    if (
        clause.mentions
        or clause.has(C.NEGATION, C.COULD_NOT, C.HEDGE, C.PICTURE)
        or not _TELLS_HOW.match(clause.text)
    ):
        return False
    if TO_ANOTHER.search(clause.text) or _OTHER.search(clause.text):
        return False
    return not clause.has(C.WINDOW, C.DOOR) or bool(_OF_AN_OPENING.search(clause.text))


def why_later(clause: Clause, reader: SentenceReader) -> bool:
    """ "The window's covered in scaffolding, so it'll be next week": why it is not done yet."""
    whole = reader.whole
    if not whole.has(C.LATER) or turns(whole) or not (promises(whole) or clause is not reader.clauses[-1]):
        return False
    joined = len(reader.clauses) > 1 and bool(_REASON.search(whole.text))
    if clause.mentions or clause.has(C.WINDOW, C.DOOR):
        return joined and bool(_HINDERS.search(clause.text) or clause.has(C.COULD_NOT))
    return joined or clause.has(C.LATER)


_WHENCE = re.compile(
    r"\b(?:no idea|no clue|(?:don't|do not) know|keine ahnung) (?:where|how|wo|woher|wie) (?:that|this|it|i|we|das|ich)"
    r" (?:c[ao]mes?|got|managed|did|kommt|kam|herkommt)\b",
    re.I,
)
""" "No idea where that comes from": a slip of one's own."""


def excuses(clause: Clause) -> bool:
    """ "My pencil was bad": of one's own writing, or an apology for a slip."""
    if clause.mentions or clause.has(C.WINDOW, C.DOOR, C.ROOM_WORD):
        return False
    if _NO_ARTIST.search(clause.text) or _WHENCE.search(clause.text):
        return True
    own = _WITH_THEIR_TOOLS.search(clause.text) or _WRITES.search(clause.text)
    return bool(own and not _YOURS.search(clause.text)) and not clause.has(C.HEDGE)


def own_slip(whole: Clause) -> bool:
    """ "Sorry, I thought I'd put it on": an apology that speaks of nobody else."""
    return bool(_EXCUSED.match(whole.text) and _OWN.search(whole.text) and not _YOURS.search(whole.text))


def promises(whole: Clause) -> bool:
    """ "Will reply once I've had my tea"."""
    return bool(_PROMISES.search(whole.text))


_PROMISES = re.compile(
    r"(?:\A\W{0,4}(?:thanks|ok|okay|cheers)?\W{0,3}|[,;!.]\s{0,3}"
    r"|\b(?:i|we|he|she|hubby|wife|husband|son|daughter)(?:\s|(?=')))"
    r"(?:'ll|will|shall)\s(?!(?:you|it|this|that|the|there|be (?:moved|replaced|gone|removed))\b)\w+"
    r"|\A\W{0,4}(?:(?:just|i|we)\s)?(?:need|have|got) to (?:find|get|buy|borrow|dig|charge|ask)\b"
    r"|\b(?:mache?|messe?|melde|schicke|antworte|erledige|kümmere)\s(?:ich|wir|mich|uns|sie|es|das)\b"
    r"|\bich (?:messe|melde|schicke|antworte)\b",
    re.I,
)
