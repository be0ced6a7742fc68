"""Two heights of one spot: of a ceiling several are kept, but not two that cannot both be right."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from intake.domain.words.cues import PREPOSITION, RELATIVE
from intake.domain.words.numbers import every_reading
from intake.domain.words.said_of_items import SentenceReader
from intake.model.word import Statement, StatementKind

TWO_HEIGHTS = "doubt-two-heights"
_SAYS = (
    r"(?:says?|said|gets?|got|makes?|made|has|had|reads?|measures?|measured|thinks?|reckons?|finds?|found|swears?"
    r"|insists?|claims?"
    r"|comes? (?:up with|out at|to)|came (?:up with|out at|to)|sagt|meint|misst|hat|kommt auf|liest)"
)
_ANOTHERS = re.compile(
    rf"\b(?:he|she|they|hubby|(?:(?:my|our|the|mein|meine|unser|unsere|der|die)\s)?(?:\w+\s)?{RELATIVE}"
    rf"|(?:the )?(?:builder|plasterer|fitter|surveyor|agents?|handwerker|vermieter)"
    rf"|(?-i:[A-Z][a-z]+))(?:'s)?\s(?:\w+\s)?{_SAYS}\b"
    r"|\bhere\b.{0,20}\b(?:she|he)\b",
    re.I,
)
_ALL_UNSURE = re.compile(
    r"\b(?:these|those|they|all|everything|(?:the|my|our|all) (?:numbers|figures|measurements|sizes|lengths)|alles"
    r"|alle"
    r"|(?:die|meine|alle) (?:maße|angaben|zahlen|werte))\b(?: (?:are|were|of|these|them|is|it|sind|ist|nur|only"
    r"|just|all"
    r"|very|pretty|a bit|rather|more or less|done|measured|taken|quite))* (?:rough\w*|estimate[sd]?|guess(?:es|ed"
    r"|work)?"
    r"|approximate\w*|approx|from memory|by eye|paced|geschätzt|schätz\w*|ungefähr|grob|aus dem kopf|ca"
    r"|pi mal daumen)\b"
    r"|\b(?:i|we)(?:'ve| have| had)?(?: (?!not|never)\w+)? (?:guessed|estimated|made up|invented"
    r"|to guess|to estimate) (?:at )?(?:them|these|those|all|everything|it all|the lot|most)\b"
    r"|\b(?:haben?|hab) (?:ich |wir )?(?:sie |die |das |es )?alle[ns]? (?:nur |bloß )?(?:geschätzt|geraten)\b"
    r"|\b(?:those|these|they|the (?:numbers|figures|measurements|sizes)) (?:are|were)(?: \w+)? "
    r"(?:(?:my|our|the|next) )?(?:neighbour(?:'s|s'?)|door's|friend's|sister's|brother's)"
    r" (?:numbers|figures|measurements|sizes|ones)\b"
    r"|\b(?:those|these|they|the (?:photos?|pictures?|plan|drawing|numbers|figures|measurements)) (?:are|were|is)"
    r"(?: (?:all|both|some|my|our|just|only|quite|very|from))*"
    r" (?:old|older|ancient|last year's) (?:photo|pic|plan|drawing|sketch|number|figure|measurement|size)\w*\b"
    r"|\bdas (?:sind|waren)(?: \w+)? alte (?:fotos|bilder|maße|zahlen|pläne)\b"
    r"|\bdie(?: zahlen| maße| werte)? (?:sind|waren)(?: \w+)? (?:die )?(?:zahlen |maße |werte )?(?:von )?"
    r"(?:mein\w+|unser\w+|de[rmns]) nachbar\w*\b",
    re.I,
)
_GAS_THING = re.compile(
    r"\bgas[- ]?(?:boilers?|hobs?|cookers?|fires?|ovens?|combi|stoves?|heating|fired|therme|herd|heizung|kessel|ofen"
    r"|kochfeld)\b",
    re.I,
)
_GONE = re.compile(
    r"\b(?:no|not|never|without|old|former|had|was|were|used to|removed|replaced|ripped|took|taken|gone|capped"
    r"|instead of"
    r"|rather than|got rid|kein\w*|ohne|alte[rn]?|früher\w*|statt|nicht|weg|raus|ersetzt|will|going to|would|want"
    r"|bottle\w*"
    r"|lpg|flasche\w*)\b|n't\b",
    re.I,
)
_OWN = re.compile(r"\b(?:i|me|mine|we|ich|wir)\b", re.I)
_PLACE = re.compile(
    rf"{PREPOSITION.pattern}\s(?:(?:the|my|our|a|der|die|das|dem|den)\s)?(?P<noun>(?:(?:left|right|back|front|far"
    rf"|other)\s)?[^\W\d_]+)",
    re.I,
)
_NOWHERE = frozenset(
    ("all", "it", "that", "this", "least", "most", "floor", "the", "present", "first", "last", "memory")
)


@dataclass(frozen=True)
class ToldLength:
    """A length with where it was measured ("" for not told) and whose it is."""

    values_mm: frozenset[int]
    place: str
    anothers: bool
    own: bool


def told_lengths(reader: SentenceReader) -> list[ToldLength]:
    """The lengths of a sentence, each with what its clause says of it."""
    found = []
    for clause in reader.clauses:
        place = _PLACE.search(clause.text)
        noun = place["noun"].lower() if place else ""
        for length in clause.lengths:
            values = frozenset(every_reading(length.number))
            anothers = bool(_ANOTHERS.search(clause.text))
            found.append(
                ToldLength(values, "" if noun in _NOWHERE else noun, anothers, bool(_OWN.search(clause.text)))
            )
    return found


def contradicted(lengths: Sequence[ToldLength], said: Iterable[Statement]) -> list[Statement]:
    """The statements of one item that say two lengths of one spot, or whose spot two people measured."""
    kinds = (StatementKind.VALUE, StatementKind.DOUBTFUL)
    told = [s for s in said if s.kind in kinds and s.value_mm is not None]
    doubtful: list[Statement] = []
    for a, b in combinations(lengths, 2):
        if a.values_mm & b.values_mm or not _of_one_spot(a, b):
            continue
        ones = [s for s in told if s.value_mm in a.values_mm]
        others = [s for s in told if s.value_mm in b.values_mm]
        items = {s.item for s in ones} & {s.item for s in others}
        doubtful += [s for s in (*ones, *others) if s.item in items]
    return doubtful


def unsure_of_all(text: str) -> bool:
    """ "These are only estimates: 386.5 / 11": whether a message doubts all its lengths at once."""
    return bool(_ALL_UNSURE.search(text))


def burns_gas(text: str) -> bool:
    """Whether a message names what burns gas in the home and does not say that it is gone: there is gas then."""
    parts = re.split(r"[,;.()\n]|\b(?:and|but|und|aber)\b", text)
    return any(_GAS_THING.search(part) and not _GONE.search(part) for part in parts)


def _of_one_spot(a: ToldLength, b: ToldLength) -> bool:
    if a.place and b.place:
        return a.place == b.place
    return b.anothers or (a.anothers and b.own)
