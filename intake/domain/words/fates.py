"""What becomes of a clause: used, told besides, not about the survey, or unread."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass
from enum import StrEnum

from intake.domain.words.calls import NO_TROUBLE, SHORT, for_forms_sake, offers_help, unseen, wants
from intake.domain.words.circumstances import beside_the_point, only_where, promises, turns
from intake.domain.words.clause import Clause, not_said_twice
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import GREETING, PREPOSITION
from intake.domain.words.numbers import IMPERIAL, every_reading, unit_for_all
from intake.domain.words.said_of_items import OF_A_WINDOW, SentenceReader
from intake.domain.words.signature import CLOSING
from intake.domain.words.signs import MOVABLE, of_a_thing
from intake.domain.words.weighing import FROM_WHERE
from intake.model.checklist import Checklist, EvidenceKind
from intake.model.letter import Ask
from intake.model.reading import Role
from intake.model.word import Statement, StatementKind

MOST_PICTURES = 20
"""Below it a bare number beside "photos" counts them; common practice, no source."""


class Fate(StrEnum):
    """What became of a clause."""

    USED = "used"
    BESIDES = "besides"
    ASIDE = "aside"
    UNREAD = "unread"


@dataclass(frozen=True)
class JudgedClause:
    """A clause of a customer's words with what became of it; `about` are asks ("1") and items."""

    text: str
    fate: Fate
    about: tuple[str, ...] = ()


_NAME = re.compile(r"(?!Mrs?\b|Ms\b|Dr\b)[A-ZÄÖÜ][\w.'-]*(?:\s(?:and|und|&|[A-ZÄÖÜ][\w.'-]*)){0,3}\W{0,3}")
_UNABLE = re.compile(
    r"\b(?:can't|cannot|can not|couldn't|could not|unable|no idea|don't know|do not know|dunno|smudged"
    r"|illegible|unreadable|no clue|kann ich nicht"
    r"|konnte|weiß (?:ich )?nicht|keine ahnung)\b",
    re.I,
)
_TAKES_BACK = (
    r"(?:ignore|disregard|forget|scrap|scratch|scrub|strike|cross out|cancel|bin|delete|vergessen sie|ignorieren sie"
    r"|streichen sie) (?:that|it|this|them|those|what i (?:said|wrote|sent)|everything"
    r"|(?:the|my) (?:\w+ )?(?:e-?mail|mail|message)|das|es|alles)\b"
    r"(?! (?:mess|noise|for me)\b)|(?:cross|rub|strike) (?:that|it|this|them|those) out\b(?! of\b)"
)
_TAKES_BACK_LATE = re.compile(
    rf"\b(?:so|please|bitte|then|better|also)\W{{1,3}}(?:please |bitte )?(?:{_TAKES_BACK})", re.I
)
""" "The tape was twisted so please cross that out": what stands before the sentence no longer stands."""
RETRACTS = re.compile(
    r"^\W*(?:no,? (?:wait|hang on|hold on|sorry)|(?:no,? )?(?:wait(?! for| till| until)|hang on|hold on)"
    rf"|(?:(?:no|nein|sorry|actually|oh|please|bitte),? ){{0,3}}(?:{_TAKES_BACK})|oops|whoops"
    r"|(?:no,? )?(?:what am i (?:saying|on about|talking about|thinking)|what did i (?:just )?(?:say|write))"
    r"|(?:nein,? )?(?:was (?:sag|schreib|red)e? ich(?: da)?)"
    r"|correction|tell a lie|i tell a lie"
    r"|(?:nein,? )?(?:kommando zurück|quatsch|moment|halt(?=\W*$|,)|warte))\b",
    re.I,
)
"""How a sentence begins that takes back what stands before it."""


OWN_MISREADING = re.compile(
    r"\b(?:i|we)(?:'ve|'d| have| had| must have)? (?:mis(?:read|measured|wrote|typed)|(?:got|read|wrote"
    r"|typed) (?:it|that) wrong)\b"
    r"|\bich habe? mich (?:ver\w+)\b",
    re.I,
)
""" "Oh no, I misread it.": what an earlier message said no longer stands."""
_NOT_ANY_MORE = re.compile(
    r"\A\W*(?:but |aber )?(?:that|this|it|das)(?:'s| is| was| ist| war) (?:an? |my |ein |inzwischen )?(?:slip"
    r"|out of date|outdated|überholt|veraltet|versehen|irrtum)\W*\Z",
    re.I,
)
""" "I wrote 83 there. That was a slip."."""
ALL_BACK = re.compile(
    rf"^\W*(?:(?:please|sorry|oh|no|actually|bitte)\W+){{0,3}}(?:{_TAKES_BACK})",
    re.I,
)
""" "Disregard that.": all that was said last, where the message has said nothing yet."""
EARLIER_MESSAGE = re.compile(
    r"\b(?:last|previous|first|other|earlier|my|letzte)\s+(?:e?-?mail|message|nachricht|answers?)", re.I
)


def takes_back(whole: Clause) -> bool:
    """Whether a sentence takes back what stands before it."""
    begins = RETRACTS.match(whole.text) or _NOT_ANY_MORE.match(whole.text)
    return whole.has(C.TAKEN_BACK) or bool(begins or _TAKES_BACK_LATE.search(whole.text))


def takes_back_at_once(reader: SentenceReader) -> bool:
    """ "386.5 - no wait, I had the tape upside down": whether a sentence ends by taking back what it says."""
    last = max((n for n, c in enumerate(reader.clauses) if c.lengths), default=-1)
    if last < 0:
        return False
    clause = reader.clauses[last]
    later = [clause.text[max(v.end for v in clause.lengths) :], *(c.text for c in reader.clauses[last + 1 :])]
    return any(RETRACTS.match(text) for text in later)


def mere_promise(whole: Clause) -> bool:
    """Whether it only says that the answer comes later."""
    return (whole.has(C.LATER) or promises(whole)) and not _UNABLE.search(whole.text)


def bare_word(clause: Clause) -> bool:
    """A yes, a no or a choice of which nobody can tell what it is to."""
    finished = re.search(
        r"\b(?:done|good|sorted|clear|fine|well|set|there|erledigt|fertig|gut|klar)\b", clause.text, re.I
    )
    return (
        bool(SHORT.match(clause.text))
        and len(clause.words) <= 4
        and not (clause.has(C.ASIDE, C.LATER) or finished or NO_TROUBLE.match(clause.text))
    )


def says_again(clause: Clause, told_mm: Set[int]) -> bool:
    """Whether all of a clause's lengths, and it has some, are told already: "that's three eight six point five"."""
    again = all(every_reading(v.number) & told_mm for v in clause.lengths)
    return (
        bool(clause.lengths)
        and again
        and not (clause.mentions or turns(clause) or clause.has(C.HEDGE, C.NEGATION))
    )


def left_over(reader: SentenceReader, said: Sequence[Statement], told_mm: Set[int]) -> bool:
    """More lengths in the sentence than were taken from it, and one that the message does not tell elsewhere."""
    if reader.corrects:
        return False
    given = not_said_twice([v for c in reader.clauses if not of_a_door(c) for v in c.lengths])
    lengths = {v.number.figure for v in given}
    if all(every_reading(v.number) & told_mm for v in given):
        return False
    worktop = any(s.value_mm is not None and len(lengths) == 2 and "worktop" in s.text.lower() for s in said)
    return bool(said) and not worktop and len(lengths) > sum(s.value_mm is not None for s in said)


def for_the_plan(given: Sequence[Statement], ask: Ask, checklist: Checklist) -> bool:
    """Lengths that only a plan can hold, told in words: no item takes them by itself."""
    items = [checklist.item(s.item) for s in given if s.value_mm is not None and ask.number is None]
    return any(i is not None and EvidenceKind.WORDS not in i.evidence for i in items)


def only_promised(said: Sequence[Statement]) -> bool:
    """A question beside "could not": whatever it asks is not answered by noting that."""
    return bool(said) and all(s.kind is StatementKind.COULD_NOT for s in said)


_OUR_PLAN = re.compile(
    r"\byour (?:plan|picture|drawing|sketch|photo)\b.*\b(?:is|are|has|have|was|shows?|isn't|hasn't|doesn't|looks?)\b"
    r"|\b(?:ihr|ihre[mnr]?) (?:plan|bild|zeichnung|skizze)\b.*\b(?:ist|sind|hat|zeigt|fehlt)\b",
    re.I,
)
BARE_NO = re.compile(r"\W{0,6}(?:no|nope|nein|not quite|wrong|falsch|yes|ja)\W{0,6}", re.I)


_THE_TOP = re.compile(
    r"\b(?:the|das|die) (?:top|oberkante|obere ende)\b(?! of the (?!window|frame|glass|opening))"
    r"(?! (?:shel\w+|cupboards?|units?|drawers?|steps?|stairs?|floor|wall|corner|rail|rung|row|tiles?|bit of)\b)",
    re.I,
)


def not_measured(whole: Clause) -> frozenset[Role]:
    """ "Couldn't measure the window", "couldn't do the top": nothing but that, of the window or its top."""
    doing = re.search(r"measur|reach|\bget (?:at|to|near)|\bdo\b|messen|dran|heran", whole.text, re.I)
    if not doing or not whole.has(C.COULD_NOT) or whole.lengths or whole.mentions:
        return frozenset()
    if _THE_TOP.search(whole.text):
        return frozenset({Role.HEAD})
    return OF_A_WINDOW if whole.has(C.WINDOW) else frozenset()


def only_names(whole: Clause) -> bool:
    """Whether a sentence names things that have an item, no others, and turns nothing round."""
    turns = (
        C.HEDGE,
        C.NEGATION,
        C.CHANGE,
        C.DISPUTE,
        C.TAKEN_BACK,
        C.HEARSAY,
        C.PERSON,
        C.COULD_NOT,
        C.CORRECTION,
    )
    return not whole.has(*turns, C.ROOM_WORD, C.WINDOW, C.DOOR)


def only_greets(text: str) -> bool:
    """Whether a sentence is a greeting, thanks, a closing or a name, and says nothing."""
    return bool(GREETING.fullmatch(text) or CLOSING.match(text) or _NAME.fullmatch(text))


def only_denies(whole: Clause) -> bool:
    """ "Not 283.5!": whether it says nothing but that a number is wrong."""
    turns = (C.HEDGE, C.CHANGE, C.DISPUTE, C.PERSON, C.ROOM_WORD, C.WINDOW, C.DOOR, C.PICTURE)
    return bool(whole.denied) and not (whole.lengths or whole.has(*turns) or whole.unknown)


def only_a_topic(whole: Clause) -> bool:
    """ "The window then": a thing named in a word or three, and nothing said of it."""
    turns_round = (C.NEGATION, C.HEDGE, C.COULD_NOT, C.CORRECTION, C.DIFFERENCE)
    said = (
        turns(whole) or whole.has(*turns_round) or _SAYS.search(whole.text) or whole.lengths or whole.unknown
    )
    return not said and len(whole.words) <= 4 and not SHORT.match(whole.text) and whole.text[-1:] != "?"


def of_a_door(clause: Clause) -> bool:
    """The height of a door, which the drawings show (domain/said/heights.py), or what shops sell it as."""
    told = clause.has(C.UP) or bool(_STANDARD.search(clause.text))
    return clause.has(C.DOOR) and told and len(clause.lengths) == 1


def said_elsewhere(clause: Clause, found: Sequence[Statement]) -> bool:
    """Whether it only names what the rest of the sentence says something of."""
    if PREPOSITION.match(clause.text) and any(s.kind is StatementKind.PLACE for s in found):
        return not clause.lengths
    if FROM_WHERE.match(clause.text) and any(s.value_mm is not None for s in found):
        return not clause.lengths  # it has made them doubtful (weighing.py)
    named = {i for m in clause.mentions for i in m.items}
    if not named and any(s.kind is StatementKind.PLACE for s in found):
        return not clause.lengths and not clause.has(
            C.NEGATION, C.CHANGE, C.DISPUTE, C.PERSON, C.TAKEN_BACK, C.COULD_NOT
        )
    if not named and any(s.kind is StatementKind.ABSENCE for s in found) and len(clause.words) <= 8:
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
    if (reader.asked and not for_forms_sake(clause)) or wants(clause, reader.whole):
        return Fate.UNREAD
    if offers_help(clause, reader.whole) and not (reader.whole.lengths or reader.whole.mentions):
        return Fate.ASIDE
    if clause.has(C.HEARSAY) and _MUST.search(clause.text):
        return Fate.UNREAD
    if unit_for_all(clause.text) not in ("", IMPERIAL) and not clause.lengths:
        return Fate.USED
    if of_a_door(clause):
        return Fate.USED
    if reader.whole.has(C.ANOTHER_HOME):
        told = clause.lengths or clause.denied or clause.mentions or reader.whole.has(C.PICTURE)
        return Fate.UNREAD if told else Fate.ASIDE
    if _unread_length(clause, reader) or clause.has(C.TAKEN_BACK):
        return Fate.UNREAD
    if _OUR_PLAN.search(clause.text) and (of_a_thing(clause) or clause.has(C.NEGATION)) and not reader.found:
        return Fate.UNREAD
    if beside_the_point(clause, reader):
        return Fate.ASIDE
    if (fate := _of_pictures(clause, reader)) is not None:
        return fate
    of_pictures = reader.whole.has(C.PICTURE) and not (
        reader.whole.has(C.NEGATION) or _SAYS.search(clause.text)
    )
    if MONEY.search(clause.text) and not reader.whole.has(C.ASIDE):
        return Fate.UNREAD
    if of_pictures or _only_named(clause):
        return Fate.ASIDE
    of_the_room = clause.has(C.ROOM_WORD, C.WINDOW, C.DOOR) and not (
        _not_yet(clause, reader.whole) or only_where(clause)
    )
    if clause.mentions or of_the_room:
        return Fate.UNREAD
    return Fate.UNREAD if _strange(clause) else Fate.ASIDE


def _of_pictures(clause: Clause, reader: SentenceReader) -> Fate | None:
    """Of a clause about the pictures that come with the message, or that were sent; None of any other."""
    if reader.whole.has(C.PICTURE) and numbered(reader.whole):
        return Fate.ASIDE
    if not clause.has(C.PICTURE):
        return None
    if _DOES_NO_MAIL.search(clause.text):
        return Fate.ASIDE
    of_mail = _MAIL.search(clause.text) and not _SHOWN.search(clause.text)
    doubted = clause.has(C.NEGATION, C.HEARSAY) and not (of_mail and reader.whole.has(C.ASIDE))
    return Fate.UNREAD if doubted or unseen(clause) else Fate.ASIDE


def _not_yet(clause: Clause, whole: Clause) -> bool:
    """Whether it says that something could not be done, or comes later."""
    if clause.has(C.COULD_NOT, C.LATER) and _TO_DO.search(clause.text):
        return True
    turned = turns(clause) or clause.has(C.NEGATION)
    if whole.has(C.LATER) and _WE_DO.search(clause.text) and not turned:
        return True
    return clause.has(C.COULD_NOT) and clause.has(C.LATER)


def _unread_length(clause: Clause, reader: SentenceReader) -> bool:
    """A length, not one of furniture that is not fitted, nor a count of pictures or of what comes later."""
    flat = all(v.across or v.up for v in clause.lengths)
    of_one_thing = any(s.kind is StatementKind.SAID for s in reader.found)
    if flat and (of_one_thing or MOVABLE.search(clause.text)):
        return False
    if reader.whole.has(C.PICTURE, C.LATER) and numbered(reader.whole):
        return False
    return bool(clause.lengths or (clause.denied and not reader.found))


def numbered(whole: Clause) -> bool:
    """ "Photos 1 to 4 attached, 5 and 6 to follow": small numbers that count pictures."""
    figures = [v.number for v in whole.lengths]
    return bool(figures) and all(not (n.unit or n.places) and n.figure < MOST_PICTURES for n in figures)


_STANDARD = re.compile(r"\ba standard (?=\d)|\beine? normale \d", re.I)
""" "The door is a standard 76"."""
_MUST = re.compile(
    r"\b(?:has to|have to|needs? to|should|must|wants? (?:to|it|us)|cannot|can't|won't|muss|soll|sollte)\b",
    re.I,
)
MONEY = re.compile(
    r"\b(?:prices?|costs?|quotes?|quotation|(?:the|an|my|our) order|deposit|budget"
    r"|invoice|pay|paid|payment|preise?|kosten|angebot|rechnung|bezahlt)\b",
    re.I,
)
_MAIL = re.compile(r"\b(?:e-?mails?|mail|message|nachricht)\b", re.I)
_DOES_NO_MAIL = re.compile(
    r"\b(?:doesn't|don't|do not|does not|can't|isn't on|not on) (?:(?:do|use|have|like|trust|understand) )?(?:e-?mails?"
    r"|attachments)\b",
    re.I,
)
""" "My mother doesn't do e-mail"."""
_SHOWN = re.compile(r"\b(?:photo|picture|pic|plan|sketch|drawing|foto|bild|skizze|zeichnung)", re.I)
_TO_DO = re.compile(r"measur|reach|\bowe\b|\blist\b|\bdo\b|\bget\b|\bdone\b|gemessen|messen|erreich", re.I)
_WE_DO = re.compile(
    r"\b(?:i|we|he|she|ich|wir)\b.{0,30}\b(?:get|measure|reach|do|check|look|find|photograph|go|messe|schaue?)\b",
    re.I,
)
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


def _strange(clause: Clause) -> bool:
    """Mostly words that no vocabulary knows: another language, or talk that only a person can judge."""
    unknown = [w for w in clause.unknown if w[:1].islower()]
    return len(unknown) > 2 and 2 * len(unknown) >= len(clause.words)
