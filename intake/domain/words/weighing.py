"""What a sentence says beside its statements that makes them doubtful: a guess, hearsay, a change, a remark."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from intake.domain.lengths.notation import AGREE_MM
from intake.domain.words.clause import Clause, Length
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import ASIDE
from intake.domain.words.numbers import Number, every_reading, reading_of
from intake.domain.words.somebody_elses import both_measured
from intake.model.word import Statement, StatementKind

UNUSUAL = "doubt-unusual"
NOT_PLAIN = "doubt-not-plain"
ANOTHER_UNIT = "doubt-which-unit"
ANOTHER_BESIDE = "doubt-another-beside"
ANOTHER_UNUSUAL = "doubt-unusual-beside"
TWO_LENGTHS = "doubt-two-lengths"
TWO_FOR_ONE = "doubt-two-for-one"
UNCERTAIN = "doubt-uncertain"
ELSEWHERE = "doubt-another-room"
SAID_OTHERWISE = "doubt-something-else-said"
HEARSAY = "doubt-hearsay"
CHANGING = "doubt-will-change"
NOT_ALL_KNOWN = "doubt-not-all-known"
TAKEN_BACK = "doubt-taken-back"
WHICH_REQUEST = "doubt-which-request"
_NOT_THERE = re.compile(r"\A\W*+(?:but\s)?(?:not|none|nicht|keine?s?)\b", re.I)
FROM_WHERE = re.compile(
    r"\A\W*+(?:(?:that's|that is|which is|it's|das ist) )?(?:up |down )?(?:to|from|including|excluding"
    r"|not (?:counting|including)|without|incl|excl|minus|plus|bis|ab|ohne|inklusive)\b",
    re.I,
)
_RANGE = re.compile(
    r"\b(?:between|anything from|from|zwischen|von)\s\d[\d.,]*(?:\s?(?:cm|mm|m))?\s(?:and|to|und|bis)\s\d",
    re.I,
)
""" "Somewhere between 238 and 242": neither end is what it is."""
_THAT_IS = re.compile(
    r"\W{0,4}(?:(?:so|or) )?(?:that's|that is|which is|i\.?e\.?|=|\(|das sind|das ist|also)\W{0,4}(?:about )?",
    re.I,
)
OF_A_KIND = 2.5
"""Two lengths less apart than by this factor may be of one thing, digits exchanged ("83", "38"); set by hand."""
INCHES_IN_A_ROOM = 118
"""No height of a room is more (3 m); common practice, no source."""
_OR = re.compile(r"\A(?:or|oder)\b", re.I)
_OF_WHAT_WAS_SAID = re.compile(
    r"\b(?:it|that|this|them|those|these|they|right|correct|ok|okay|enough|sense|again|measure\w*|das|es|so|stimmt"
    r"|richtig"
    r"|genau|reicht|nochmal|mess\w*)\b|\A\W*(?:\w+\W*){0,2}\Z",
    re.I,
)
_WHEN = re.compile(
    r"\b(?:when|wann|open|auf|geöffnet|(?:mon|tues|wednes|thurs|fri|satur|sun)day|\w+tag|cost|kostet)\b", re.I
)
_TAPE_AT_FAULT = re.compile(
    r"\b(?:tape|ruler|rule|laser|maßband|zollstock)\b.{0,25}\b(?:kink\w*|twist\w*|ben[dt]\w*|slip\w*|caught|sag\w*"
    r"|broken|stretched|snagged|folded|(?:starts?|begins?) at(?! (?:zero|0|null)\b)|missing"
    r"|verdreht|verrutscht|geknickt)\b"
    r"|\bdifferent (?:answers|numbers|figures|readings|results)\b",
    re.I,
)
""" "242, then 244, then I found the tape had a kink in it": neither may be right."""
_MEASURED_TWICE = re.compile(
    r"\d.{0,40}\b(?:first|1st) time\b.{0,60}\d|\d.{0,60}\b(?:second|2nd) time\b|\btape\b.{0,40}\blaser\b"
    r"|\blaser\b.{0,40}\btape\b|\bwhen (?:i|we) (?:did|measured|checked) (?:it )?again\b|\berst \d.{0,30}\bdann \d"
    r"|\d\s?(?:cm|mm|m)?\s(?:to|bis)\s\d|\d\s?[(,]?\s?(?:or|oder)\s\d",
    re.I,
)
""" "242 by the tape and 245 by the laser", "240 to 244": two lengths of one thing."""
_READ_AS = re.compile(r"\b(?:mis)?read (?:it|that|this) (?:as|for)\b", re.I)
""" "Read that as 240 first time": the other one is right."""
_RECKONED = re.compile(
    r"\b(?:take|knock|add|put|subtract|deduct)\b.{0,6}\d.{0,12}\b(?:off|on|to|from)\b.{0,8}\d|\d.{0,6}\b(?:less|more)"
    r" than the \d"
    r"|(?<!^also )(?<!^na )(?<!^nun )(?<!^ok )(?<!^okay )(?<!^ja )\bgut \d"
    r"|\d\s?(?:cm|mm|m)?\s(?:plus|minus|excl\w*\.?|incl\w*\.?|not counting"
    r"|without|inkl\w*\.?)\s(?!(?:the |some |a |my )?(?:photo|pic|foto|bild))"
    r"|\b(?:that|it|which) (?:includes|excludes|leaves out)\b",
    re.I,
)
""" "Take 3 off the 245 I gave you"."""
VALUE, ABSENCE, PLACE = StatementKind.VALUE, StatementKind.ABSENCE, StatementKind.PLACE


_WAS_BEFORE = re.compile(
    r"\b(?:was|were|used to be|had been|war|waren)\b.{0,30}\d.{0,25}\b(?:before|until|till|bevor|ehe"
    r"|(?:jetzt|inzwischen|now)\s(?:\w+\s)?(?:ab|ge|has|have|it's been|lower)\w*)\b(?! I measured)",
    re.I,
)
_FOR_NOW = re.compile(
    r"\b(?:at the moment|at present|for now|for the moment|for the time being|just now|right now|now|currently"
    r"|as things stand|im moment|momentan|derzeit|zurzeit|vorerst|noch)\b[^.]{0,80}\b(?:but|though|although|until|till"
    r"|aber|allerdings|bis)\b[^.]{0,90}\b(?:it|it's|that|them|they|one|both|move|shift|new|go|goes|going|es|sie|ihn|neue\w*"
    r"|weg|um)\b",
    re.I,
)
""" "At the moment it's by the larder but they are coming to shift it": how it is now, and not for long."""
_AT_PRESENT = re.compile(
    r"\d(?:\s?(?:cm|mm|m))?\s(?:at present|for now|for the moment|for the time being|currently|as it stands|derzeit"
    r"|momentan|vorerst|zurzeit)\b|\b(?:currently|at present|derzeit|zurzeit)\s(?:it's\s|is\s|ist\s)?\d",
    re.I,
)
""" "2400 at present."."""
_SO_IS = re.compile(
    r"\b(?:so|as|neither|nor)\s(?:is|was|are)\b|\bboth (?:are )?wrong\b|\bbeide(?: sind)? falsch\b", re.I
)
""" "386.5 is wrong, so is 380.5"."""
_BUT = re.compile(r"\b(?:but|although|though|however|except|aber|allerdings|jedoch|obwohl|bloß)\W*$", re.I)
_BUT_FIRST = re.compile(
    r"^\W*(?:but|although|though|however|mind you|except|aber|allerdings|jedoch|obwohl)\b", re.I
)


OR_ELSE = re.compile(
    r"^\W*(?:or|oder|maybe|perhaps|possibly|vielleicht|eventuell|(?:it )?(?:might|could) be)\b\W*(?:\w+\W+){0,2}?\d",
    re.I,
)


def _says_one_again(number: Number, told_mm: Sequence[int]) -> bool:
    """Whether a number is one of the lengths told, in feet and inches nearly so: "249. Or 8ft 2 in old money"."""
    rounded = AGREE_MM if number.unit in ("in", "ft") else 0
    return any(abs(v - t) <= rounded for v in every_reading(number) for t in told_mm)


def offered_another(whole: Clause, before: Sequence[Statement]) -> list[Statement]:
    """ "Or 250.": those said `before` beside which a sentence puts another length, the ones of its size; all of them
    where none is."""
    told = [(s, s.value_mm) for s in before if s.value_mm is not None]
    others = [v.number for v in whole.lengths] if OR_ELSE.match(whole.text) else []
    apart = [o for n in others if (o := every_reading(n)) and not _says_one_again(n, [t for _, t in told])]
    if not (told and apart):
        return []
    meant = [s for s, t in told if any(max(v, t) < OF_A_KIND * min(v, t) for o in apart for v in o)]
    return meant or [*before]


def begins_conceding(whole: Clause) -> bool:
    """ "But the floor isn't level.": a sentence that limits what stands before it."""
    return bool(_BUT_FIRST.match(whole.text)) and _limits(whole)


def concedes(whole: Clause, clauses: Sequence[Clause]) -> bool:
    """Whether a "but" beside a length limits it: "240, but the floor isn't level"."""
    return any(
        (_BUT.search(whole.text[: c.start]) or _BUT_FIRST.match(c.text)) and _limits(c) for c in clauses[1:]
    )


def _limits(clause: Clause) -> bool:
    """Not where it goes on to another thing, a courtesy, a promise or a picture."""
    other = (
        clause.lengths
        or clause.mentions
        or clause.has(C.ASIDE, C.LATER, C.PICTURE, C.COULD_NOT, C.BUSINESS, C.TAKEN_BACK)
    )
    return not other and len(clause.words) > 1


def weighed(
    found: Sequence[Statement], whole: Clause, clauses: Sequence[Clause], titles: Mapping[str, str]
) -> list[Statement]:
    """The statements of a sentence, weakened by what it says beside them; `titles` are the items' by id."""
    refused = {v for length in refused_at_once(clauses) for v in every_reading(length.number)}
    said = [s for s in found if s.value_mm not in refused]
    if corrected_within(whole):
        latest = {s.item: s for s in said if s.kind is VALUE}
        said = [s for s in said if latest.get(s.item, s) == s]
        last = max(whole.lengths, key=lambda v: v.end)
        if latest and not any(set(reading_of(last.number, None).values_mm) & {s.value_mm} for s in said):
            said = weakened(said, "doubt-another-in-place", VALUE)
    if bare := bare_beside_inches(whole):
        said = [in_doubt(s, ANOTHER_UNIT) if s.kind is VALUE and s.value_mm in bare else s for s in said]
    if said_otherwise_again(whole):
        said = weakened(said, TWO_FOR_ONE, VALUE)
    if any(_OR.match(c.text) and c.lengths for c in clauses):
        said = weakened(said, UNCERTAIN, VALUE)
    if no_longer(whole):
        said = weakened(said, CHANGING, VALUE)
    if unsteady(whole):
        said = weakened(said, UNCERTAIN, VALUE)
    so_is = _SO_IS.search(whole.text) if whole.has(C.TAKEN_BACK) else None
    if so_is:
        gone = {v for n in whole.lengths if n.end <= so_is.start() for v in every_reading(n.number)}
        said = [in_doubt(s, UNCERTAIN) if s.kind is VALUE and s.value_mm in gone else s for s in said]
    if any(not c.lengths and c.has(C.HEDGE) and not ASIDE.match(c.text) for c in clauses):
        said = weakened(said, UNCERTAIN, VALUE, ABSENCE)
    if concedes(whole, clauses):
        said = weakened(said, "doubt-limited", VALUE)
    if whole.has(C.HEARSAY):
        said = weakened(said, HEARSAY, VALUE, ABSENCE, PLACE)
    if whole.has(C.ANOTHER_HOME):
        said = weakened(said, ELSEWHERE, VALUE, ABSENCE, PLACE)
    if whole.has(C.CHANGE, C.DISPUTE) or _FOR_NOW.search(whole.text):
        said = weakened(said, CHANGING, VALUE, ABSENCE, PLACE)
    said = _by_remarks(said, whole, clauses, titles)
    if any(s.doubt == UNUSUAL for s in said):
        said = weakened(said, ANOTHER_UNUSUAL, VALUE)
    return said


BARE_NO = re.compile(
    r"\A\W*(?:(?:oh|ah|or|wait|hang on|sorry|moment|ach|a+rgh|ugh|damn|oops|doh|er|um|hm+)\W+)*"
    r"(?:no|nein|nope|ne|nee)\W*(?:wait|sorry|moment"
    r"|warte)?\W*\Z",
    re.I,
)


def unsteady(whole: Clause) -> bool:
    """Whether it tells that the tape was not as it should be, two lengths of one thing, or one got from another."""
    if any(p.search(whole.text) for p in (_TAPE_AT_FAULT, _RECKONED, _RANGE)):
        return True
    misread = _READ_AS.search(whole.text)
    twice = (_MEASURED_TWICE.search(whole.text) and not misread) or both_measured(whole.text)
    return len(whole.lengths) > 1 and bool(twice)


def no_longer(whole: Clause) -> bool:
    """ "It was 240 before they put the spotlights in", "2400 at present"."""
    return bool(_WAS_BEFORE.search(whole.text) or _AT_PRESENT.search(whole.text))


def bare_beside_inches(whole: Clause) -> set[int]:
    """ "Sill 40 inches, recess 5": what bare numbers say that may be inches as well, beside others that are."""
    if not any(v.number.unit in ("in", "ft") and not v.number.inwards for v in whole.lengths):
        return set()
    bare = [v.number for v in whole.lengths if not v.number.unit and v.number.figure <= INCHES_IN_A_ROOM]
    return {v for n in bare for v in every_reading(n)}


def said_otherwise_again(whole: Clause) -> bool:
    """ "96 in, that's 234 cm": a length said again in another unit, and it is another length."""
    told = sorted(whole.lengths, key=lambda v: v.start)
    return any(
        a.number.unit != b.number.unit
        and a.number.whole_mm
        and b.number.whole_mm
        and abs(a.number.whole_mm - b.number.whole_mm) > AGREE_MM
        and _THAT_IS.fullmatch(whole.text[a.end : b.start])
        for a, b in pairwise(told)
    )


def refused_at_once(clauses: Sequence[Clause]) -> list[Length]:
    """ "214 at the front - no, 241": a bare no between two lengths refuses the one before it."""
    refused: list[Length] = []
    for at, clause in enumerate(clauses):
        follows = next((c for c in clauses[at + 1 :] if c.lengths or c.mentions), None)
        before = [v for c in clauses[:at] for v in c.lengths]
        if BARE_NO.match(clause.text) and before and follows and follows.lengths:
            refused.append(before[-1])
    return refused


def weakened(said: Sequence[Statement], doubt: str, *kinds: StatementKind) -> list[Statement]:
    """The statements with those of the given kinds doubtful."""
    return [in_doubt(s, doubt) if s.kind in kinds else s for s in said]


def in_doubt(said: Statement, doubt: str) -> Statement:
    """The statement as doubtful; what it means if it stands is kept."""
    means = said.kind if said.kind in (ABSENCE, PLACE) else said.means
    return replace(said, kind=StatementKind.DOUBTFUL, doubt=doubt, means=means)


def _by_remarks(
    said: list[Statement], whole: Clause, clauses: Sequence[Clause], titles: Mapping[str, str]
) -> list[Statement]:
    """A remark beside a statement that may turn it: "but not in the house", "(to the top of it)"."""
    later = [c.text for c in clauses[1:] if not (c.lengths or c.mentions)]
    if any(_NOT_THERE.match(t) for t in later):
        said = weakened(said, "doubt-perhaps-denied", PLACE, ABSENCE)
    if any(FROM_WHERE.match(t) for t in later):
        said = weakened(said, "doubt-remark-beside", VALUE)
    denied = {n.figure for n in whole.denied}
    if any(v.number.figure in denied for v in whole.lengths):
        said = weakened(said, "doubt-denied-and-said", VALUE)
    unnamed = " ".join(c.text.lower() for c in clauses if not c.mentions)
    for item in {s.item for s in said if s.kind is ABSENCE}:
        if ({*titles[item].lower().split()} - {"the"}) & {*re.findall(r"\w+", unnamed)}:
            said = weakened(said, SAID_OTHERWISE, ABSENCE)
    return said


def corrected_within(whole: Clause) -> bool:
    """ "238 - sorry, 238.5": a length before the correction and one after it."""
    ends = [v.end for v in whole.lengths]
    return bool(ends) and any(min(ends) <= w.start < max(ends) for w in whole.where(C.CORRECTION))


def hedges_it(whole: Clause) -> bool:
    """Whether a sentence may doubt the one before it: "Is the showroom open on Sunday?" does not."""
    words = [whole.text[w.start : w.end] for w in whole.where(C.HEDGE)]
    asks_us = {*words} == {"?"} and (whole.has(C.BUSINESS) or bool(_WHEN.search(whole.text)))
    return bool(words) and not (asks_us and not _OF_WHAT_WAS_SAID.search(whole.text))
