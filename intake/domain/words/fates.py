"""What becomes of a clause: used, not about the survey, or unread."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.domain.words.clause import PREPOSITION, Clause, not_said_twice
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import ASIDE
from intake.domain.words.statements import SentenceReader
from intake.domain.words.turns import PICKED, PLACED, SPOT, YES
from intake.model.checklist import Checklist
from intake.model.letter import Ask
from intake.model.word import Statement, StatementKind


class Fate(StrEnum):
    """What became of a clause."""

    USED = "used"
    ASIDE = "not about the survey"
    UNREAD = "unread"


@dataclass(frozen=True)
class JudgedClause:
    """A clause of a customer's words with what became of it; `about` are asks ("1") and items."""

    text: str
    fate: Fate
    about: tuple[str, ...] = ()


SHORT = re.compile(
    r"^\W*(?:yes|yep|yeah|no|nope|neither|both|either|all|the (?:first|second|other|last)|first|second"
    r"|correct|right|wrong"
    r"|ja|nein|beide[sn]?)\b",
    re.I,
)


_UNABLE = re.compile(
    r"\b(?:can't|cannot|can not|couldn't|could not|unable|no idea|don't know|do not know|dunno|smudged"
    r"|illegible|unreadable|no clue|kann ich nicht"
    r"|konnte|weiß (?:ich )?nicht|keine ahnung)\b",
    re.I,
)
RETRACTS = re.compile(
    r"^\W*(?:no,? (?:wait|hang on|hold on|sorry)|(?:no,? )?(?:wait|hang on|hold on)|scratch that|oops|whoops"
    r"|correction|tell a lie|i tell a lie"
    r"|(?:nein,? )?(?:quatsch|moment|halt|warte))\b",
    re.I,
)
"""How a sentence begins that takes back what stands before it."""


def mere_promise(whole: Clause) -> bool:
    """Whether it only says that the answer comes later."""
    return whole.has(C.LATER) and not _UNABLE.search(whole.text)


def bare_word(clause: Clause) -> bool:
    """A yes, a no or a choice of which nobody can tell what it is to."""
    finished = re.search(
        r"\b(?:done|good|sorted|clear|fine|well|set|there|erledigt|fertig|gut|klar)\b", clause.text, re.I
    )
    return bool(SHORT.match(clause.text)) and len(clause.words) <= 4 and not (clause.has(C.ASIDE) or finished)


def left_over(reader: SentenceReader, said: Sequence[Statement]) -> bool:
    """More lengths in the sentence than were taken from it."""
    if reader.corrects:
        return False
    given = not_said_twice([v for c in reader.clauses if not of_a_door(c) for v in c.lengths])
    lengths = {v.number.figure for v in given}
    worktop = any(s.value_mm is not None and len(lengths) == 2 and "worktop" in s.text.lower() for s in said)
    return bool(said) and not worktop and len(lengths) > sum(s.value_mm is not None for s in said)


def for_the_plan(given: Sequence[Statement], ask: Ask, checklist: Checklist) -> bool:
    """Lengths that only a plan can hold, told in words: no item takes them by itself."""
    items = [checklist.item(s.item) for s in given if s.value_mm is not None and ask.number is None]
    return any(i is not None and "words" not in i.evidence for i in items)


def only_promised(said: Sequence[Statement]) -> bool:
    """A question beside "could not": whatever it asks is not answered by noting that."""
    return bool(said) and all(s.kind is StatementKind.COULD_NOT for s in said)


_HELPER = re.compile(
    r"\b(?:my|our|the|a|mein(?:e|en|em)?|unser(?:e|en|em)?|der|die)\s(?:\w+\s)?(?:son|daughter|husband|wife|partner|brother|sister"
    r"|mum|mother|dad|father|friend|neighbour|mate|nephew|niece|grandson|granddaughter|lad|cousin|uncle|aunt|carer"
    r"|son-in-law|brother-in-law|sohn|tochter|mann|frau|bruder|schwester|nachbar\w*|vater|mutter|freund\w*|enkel\w*)\b"
    r"|\b(?:he|she|hubby)\b",
    re.I,
)
_OF_US = re.compile(r"\b(?:you|your|someone|somebody|anyone|anybody|sie|ihnen|jemand\w*)\b", re.I)
_HANDS_ON = re.compile(r"\b(?:come|help|measure|measuring|hold|pop|do it|hand)\b", re.I)
_AT_HOME = re.compile(r"\b(?:emergency|funeral|urgent|krank|bereavement)\b", re.I)
_ASKED = re.compile(r"\b(?:please|bitte|speak|talk|contact|sprechen)\b", re.I)
_DEVICE = re.compile(
    r"\b(?:phone|mobile|laptop|computer|printer|battery|batteries|tape|tape measure|laser|internet|broadband|wi-?fi|car"
    r"|e-?mail|handy|drucker|rechner|akku)\b",
    re.I,
)
_MOVABLE = re.compile(
    r"\b(?:dresser|sideboard|table|chairs?|sofa|settee|bookcase|bookshelf|desk|lamp|rug|piano|tv|television|tisch|stuhl|stühle"
    r"|kommode|regal)\b",
    re.I,
)
"""Furniture that stands in the room and is not fitted: nothing is designed round it."""
_OUR_PLAN = re.compile(
    r"\byour (?:plan|picture|drawing|sketch|photo)\b.*\b(?:is|are|has|have|was|shows?|isn't|hasn't|doesn't|looks?)\b"
    r"|\b(?:ihr|ihre[mnr]?) (?:plan|bild|zeichnung|skizze)\b.*\b(?:ist|sind|hat|zeigt|fehlt)\b",
    re.I,
)
_LOOSE_DISPUTE = re.compile(
    r"upside down|mixed up|wrong one|wrong place|left out|left off|missed out|turned round|reversed|flipped"
    r"|swapped round"
    r"|other way round|other way around|nothing like|rotated|isn't right|can't be right|cannot be right|isn't there"
    r"|is not there|aren't there|not mine|not ours|wrong way round|back to front|also a|you forgot|looks wrong|no such",
    re.I,
)
"""Words of dispute that say nothing of a plan by themselves: "everything's upside down"."""
_OWN_SLIP = re.compile(
    r"\b(?:i|we)(?:'d| had| must have| was| were| wrote| drew| held| got| read)\b|\bmy (?:mistake|writing|sevens?)\b",
    re.I,
)
_NOT_ALONE = re.compile(
    r"after the|once the|changing|will change|is going|are going|swap|swapping|get a new|getting a new|put in a"
    r"|new door"
    r"|change of plan|goes on|is due|switch to|before the work",
    re.I,
)
"""Words of change that say nothing of the room by themselves: "once the table has been cleared"."""


BARE_NO = re.compile(r"\W{0,6}(?:no|nope|nein|not quite|wrong|falsch|yes|ja)\W{0,6}", re.I)


def could_not_measure(whole: Clause) -> bool:
    """ "Couldn't measure the window": nothing but that, of the window as a whole."""
    return whole.has(C.COULD_NOT) and whole.has(C.WINDOW) and not (whole.lengths or whole.mentions)


def wants_somebody(whole: Clause, clauses: Sequence[Clause]) -> bool:
    """Whether it asks for somebody, is lost or is cross; not where a helper of the customer's own or a machine does
    it, nor as a courtesy ("nice to speak to you")."""
    return any(_wants(c, whole) for c in clauses) or (
        whole.has(C.PERSON) and not any(c.has(C.PERSON) for c in clauses)
    )


def _wants(clause: Clause, whole: Clause) -> bool:
    words = clause.where(C.PERSON)
    if (
        words
        and not _ASKED.search(clause.text)
        and not _OF_US.search(clause.text)
        and _DEVICE.search(clause.text)
    ):
        return False
    if not _OF_US.search(clause.text) and _HELPER.search(clause.text):
        words = tuple(w for w in words if not _HANDS_ON.search(clause.text[w.start : w.end]))
    courteous = [w.end for w in clause.where(C.ASIDE)]
    if whole.has(C.LATER):
        words = tuple(w for w in words if not _AT_HOME.search(clause.text[w.start : w.end]))
    return any(not any(0 <= w.start - end <= 4 for end in courteous) for w in words)


_LONG_AGO = re.compile(
    r"\b(?:ago|when we (?:bought|moved)|before we (?:bought|moved|came)|previous owners?|last year|in (?:19"
    r"|20)\d\d|schon lange"
    r"|vor (?:\w+ )?jahren)\b",
    re.I,
)


def will_change(whole: Clause, told: bool) -> bool:
    """Whether it says that something in the room will change, or has changed; `told`: it also tells something, and
    then what changed long ago is how it is."""
    if told and _LONG_AGO.search(whole.text) and not whole.has(C.PICTURE):
        return False
    words = [whole.text[w.start : w.end] for w in whole.where(C.CHANGE)]
    return any(of_a_thing(whole) or not _NOT_ALONE.fullmatch(w) for w in words)


def disputes(whole: Clause, said: Sequence[Statement], corrects: bool) -> bool:
    """Whether it says that the plan is wrong: not where it puts a number right, tells how the slip came, or says that
    there is none of a thing."""
    words = [whole.text[w.start : w.end] for w in whole.where(C.DISPUTE)]
    if (
        not words
        or (corrects and not whole.has(C.PICTURE))
        or any(s.means is StatementKind.ABSENCE for s in said)
    ):
        return False
    of_the_plan = of_a_thing(whole) or whole.has(C.PICTURE)
    loose = all(_LOOSE_DISPUTE.fullmatch(w) for w in words)
    return not loose or (of_the_plan and not _OWN_SLIP.search(whole.text))


def unable(whole: Clause) -> bool:
    """ "I am 84 and live alone, I cannot do this"."""
    return bool(_CANNOT_DO.search(whole.text)) and not whole.has(C.LATER, C.ASIDE, C.BUSINESS)


_CANNOT_DO = re.compile(
    r"\b(?:can't|cannot|can not|not able to|unable to|beyond|past)\s(?:\w+\s)?(?:do|manage|measure|climb|bend"
    r"|kneel|reach|get"
    r"|stand|see to|cope|me)\b|\bkann (?:das|es) (?:leider )?nicht\b|\b(?:schaffe|schaffen) (?:ich "
    r"|wir )?(?:das|es)?\s?"
    r"(?:leider )?nicht\b",
    re.I,
)


def says_no_more(whole: Clause) -> bool:
    """Whether a sentence is a courtesy, a promise, a word on pictures or on the writer's own tools, or nothing but an
    acknowledgement: "fair enough"."""
    if whole.has(C.ASIDE, C.PICTURE, C.COULD_NOT, C.LATER, C.BUSINESS):
        return True
    if of_a_thing(whole) or whole.has(C.NEGATION, C.SAME) or re.search(r"\d|\?", whole.text):
        return bool(_NO_TROUBLE.match(whole.text))
    answers = SHORT.match(whole.text) or PICKED.match(whole.text) or YES.match(whole.text)
    placed = PLACED.match(whole.text) or SPOT.match(whole.text)
    brief = len(whole.words) <= 3 and not (answers or placed) and not foreign(whole)
    return (
        brief
        or bool(_WHEN.search(whole.text))
        or bool(_PRAISE.search(whole.text) or _DEVICE.search(whole.text))
    )


_NO_TROUBLE = re.compile(r"^\W*no (?:prob\w*|worries|bother|rush|hurry|drama|sweat|trouble|hassle)\W*$", re.I)
_WHEN = re.compile(
    r"\b(?:(?:for|until|till|since|by|bis|seit|ab) )(?:(?:the|next|this|am)\s)?(?:monday|tuesday|wednesday"
    r"|thursday|friday|saturday"
    r"|sunday|weekend|montag|dienstag|mittwoch|donnerstag|freitag|samstag|sonntag|wochenende|\d{1,2}(?:st|nd|rd|th))\b",
    re.I,
)
_PRAISE = re.compile(
    r"\b(?:impress\w+|thorough|kind|helpful|patient|patience|gem|angel|marvel\w*|splendid|brill|smashing|terrific|useful"
    r"|efficient|thoughtful|friendly|prompt|grateful|generous|clever|sweet|nett|freundlich|hilfreich|gründlich|klasse|spitze"
    r"|wunderbar|herrlich)\b",
    re.I,
)


def of_a_thing(whole: Clause) -> bool:
    """Whether it speaks of a thing in the room."""
    return bool(whole.mentions or whole.lengths) or whole.has(C.ROOM_WORD, C.WINDOW, C.DOOR)


def foreign(whole: Clause) -> bool:
    """Whether most of its words stand in no vocabulary: another language, or talk that only a person can judge."""
    unknown = [w for w in whole.unknown if w[:1].islower()]
    return 2 * len(unknown) >= len(whole.words)


def only_names(whole: Clause) -> bool:
    """Whether a sentence names things and turns nothing round."""
    return not whole.has(
        C.HEDGE, C.NEGATION, C.CHANGE, C.DISPUTE, C.TAKEN_BACK, C.HEARSAY, C.PERSON, C.COULD_NOT, C.CORRECTION
    )


def of_a_door(clause: Clause) -> bool:
    """The height of a door, which the drawings show (domain/said/heights.py)."""
    return clause.has(C.DOOR) and clause.has(C.UP) and len(clause.lengths) == 1


def said_elsewhere(clause: Clause, found: Sequence[Statement]) -> bool:
    """Whether it only names what the rest of the sentence says something of."""
    if PREPOSITION.match(clause.text) and any(s.kind is StatementKind.PLACE for s in found):
        return not clause.lengths
    named = {i for m in clause.mentions for i in m.items}
    if not named and any(s.kind is StatementKind.PLACE for s in found):
        return not clause.lengths and not clause.has(
            C.NEGATION, C.CHANGE, C.DISPUTE, C.PERSON, C.TAKEN_BACK, C.COULD_NOT
        )
    if not named and any(s.kind is StatementKind.ABSENCE for s in found) and len(clause.words) <= 5:
        return not (
            clause.lengths or clause.has(C.NEGATION, C.CHANGE, C.DISPUTE, C.PERSON, C.COULD_NOT, C.PICTURE)
        )
    return bool(named) and named <= {s.item for s in found} and not clause.lengths


def of_the_room(whole: Clause) -> bool:
    return bool(whole.lengths or whole.mentions) or whole.has(
        C.ROOM_WORD, C.WINDOW, C.DOOR, C.PICTURE, C.DISPUTE, C.CHANGE
    )


def fate_of(clause: Clause, reader: SentenceReader) -> Fate:
    """Whether a clause of which nothing was taken may be about the survey."""
    if (reader.asked and not _for_forms_sake(clause)) or wants_somebody(clause, [clause]):
        return Fate.UNREAD
    numbers = bool(clause.lengths or (clause.denied and not reader.found))
    if of_a_door(clause):
        return Fate.USED
    if reader.whole.has(C.ANOTHER_HOME):
        return Fate.UNREAD if numbers or clause.mentions or reader.whole.has(C.PICTURE) else Fate.ASIDE
    of_one_thing = any(s.kind is StatementKind.SAID for s in reader.found)
    if of_one_thing and all(v.across or v.up for v in clause.lengths):
        numbers = False
    of_the_pictures = reader.whole.has(C.PICTURE) and numbered(reader.whole)
    if numbers and _MOVABLE.search(clause.text) and all(v.across or v.up for v in clause.lengths):
        numbers = False
    if (numbers and not of_the_pictures) or clause.has(C.TAKEN_BACK):
        return Fate.UNREAD
    if _OUR_PLAN.search(clause.text) and (of_a_thing(clause) or clause.has(C.NEGATION)) and not reader.found:
        return Fate.UNREAD
    if (
        reader.whole.has(C.PICTURE)
        and reader.whole.has(C.LATER, C.ASIDE, C.PICTURE)
        and numbered(reader.whole)
    ):
        return Fate.ASIDE
    if clause.has(C.PICTURE):
        of_mail = _MAIL.search(clause.text) and not _SHOWN.search(clause.text)
        doubted = clause.has(C.NEGATION, C.HEARSAY) and not (of_mail and reader.whole.has(C.ASIDE))
        return Fate.UNREAD if doubted or unseen(clause) else Fate.ASIDE
    of_pictures = reader.whole.has(C.PICTURE) and not (
        reader.whole.has(C.NEGATION) or _SAYS.search(clause.text)
    )
    if _MONEY.search(clause.text) and not reader.whole.has(C.ASIDE):
        return Fate.UNREAD
    if of_pictures or _only_named(clause):
        return Fate.ASIDE
    not_yet = clause.has(C.COULD_NOT, C.LATER) and bool(_TO_DO.search(clause.text))
    not_yet = not_yet or (clause.has(C.COULD_NOT) and clause.has(C.LATER))
    if clause.mentions or (clause.has(C.ROOM_WORD, C.WINDOW, C.DOOR) and not not_yet):
        return Fate.UNREAD
    return Fate.UNREAD if _strange(clause) else Fate.ASIDE


def numbered(whole: Clause) -> bool:
    """ "Photos 1 to 4 attached, 5 and 6 to follow": small numbers that count pictures."""
    figures = [v.number for v in whole.lengths]
    return bool(figures) and all(not (n.unit or n.places) and n.figure < 20 for n in figures)


def _for_forms_sake(clause: Clause) -> bool:
    """ "Is that enough?": a question that needs no answer."""
    courtesy = bool(_FORMS_SAKE.search(clause.text) or ASIDE.match(clause.text))
    about = clause.mentions or clause.lengths or clause.has(C.ROOM_WORD, C.PICTURE, C.WINDOW, C.DOOR)
    return courtesy and not about and len(clause.words) <= 8


_FORMS_SAKE = re.compile(
    r"\b(?:is (?:that|this|it|everything) (?:ok|okay|enough|alright|all right|fine|clear)|(?:does|will"
    r"|would) (?:that|this|it) (?:help|do|work)"
    r"|how are you|hope you|what next|what now|what's next|what happens next|what do you need|how do we start"
    r"|how does it work|reicht das|passt das"
    r"|ist das (?:ok|in ordnung)|hilft (?:das|ihnen))\b",
    re.I,
)
_MONEY = re.compile(
    r"\b(?:prices?|costs?|quotes?|quotation|(?:the|an|my|our) order|deposit|budget"
    r"|invoice|pay|paid|payment|preise?|kosten|angebot|rechnung|bezahlt)\b",
    re.I,
)
_MAIL = re.compile(r"\b(?:e-?mails?|mail|message|nachricht)\b", re.I)
_SHOWN = re.compile(r"\b(?:photo|picture|pic|plan|sketch|drawing|foto|bild|skizze|zeichnung)", re.I)
_TO_DO = re.compile(r"measur|reach|\bowe\b|\blist\b|\bdo\b|\bget\b|\bdone\b|gemessen|messen|erreich", re.I)
_OPENS = re.compile(r"\b(?:see|open|find|download|read|view|load|sehen|öffnen)\b", re.I)
_SAYS = re.compile(
    r"\b(?:is|are|was|were|has|have|had|can|will|needs?|wants?|ist|sind|war|hat|haben|wird|kann)\b|'s\b", re.I
)
_HARMLESS = frozenset({C.KNOWN, C.PICTURE, C.ASIDE, C.COUNTED})


def _only_named(clause: Clause) -> bool:
    """ "With the fuse box and the boiler": things named, and nothing said of them."""
    rest = [
        w for w in clause.words if not any(m.start <= w.start and w.end <= m.end for m in clause.mentions)
    ]
    plain = all(w.concepts and not w.concepts - _HARMLESS for w in rest)
    return bool(clause.mentions) and plain and len(rest) <= 4 and not _SAYS.search(clause.text)


def unseen(clause: Clause) -> bool:
    """ "I can't see the picture"."""
    return clause.has(C.PICTURE) and clause.has(C.COULD_NOT) and bool(_OPENS.search(clause.text))


def _strange(clause: Clause) -> bool:
    """Mostly words that no vocabulary knows: another language, or talk that only a person can judge."""
    unknown = [w for w in clause.unknown if w[:1].islower()]
    return len(unknown) > 2 and 2 * len(unknown) >= len(clause.words)
