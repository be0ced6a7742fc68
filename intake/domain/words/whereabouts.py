"""Places and absences that no turn of phrase has claimed: what the words between one name and the next say of a thing.

Beside the names of the lexicon, what was asked for may be called by half its name ("the meter", "water: ...").
"""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import OUR_WORDS, PREPOSITION
from intake.domain.words.lexicon import NOWHERE, SPOTS, Lexicon
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.things import EXCEPT, NEEDS_WORK
from intake.domain.words.turns import PLACED, SPOT
from intake.model.checklist import ChecklistItem, EvidenceKind
from intake.model.letter import Ask
from intake.model.word import Statement, StatementKind

_PREPOSITION = PREPOSITION.pattern
_HALF_NAMES = {
    "gas-meter": r"gas(?: supply| connection)?|meter|zähler|gas(?:zähler|uhr|anschluss|leitung)",
    "water-main": r"(?:mains |incoming )?water(?: (?:tap|main|stop|off) ?(?:thing\w*|tap|switch|valve))?(?: thing\w*)?"
    r"|(?:the )?(?:main )?tap|stop ?cock|mains?(?= (?:probably "
    r"|also )?(?:in|comes?|is)\b)|(?:haupt|haus|kalt)?wasser"
    r"(?:hahn|anschluss|uhr|absperr\w+|zufuhr|hauptanschluss)?|hahn",
    "consumer-unit": r"(?:electric|fuse|trip) ?(?:box|board|cupboard|switch\w*)|electrics?|electricity|fuses?|trips"
    r"|breakers?|strom\w*|sicherung\w*|zähler(?:kasten|schrank)|elektro\w*",
    "boiler": r"heating|(?:öl|gas|zentral|pellet|etagen|fern)?heizung|(?:öl|gas|heiz)?kessel"
    r"|(?:gas|kombi)?therme|combi",
}
_FAILS = re.compile(r"\A\s(?:\w+\s)?(?:go(?:es)?|cuts?|went|trips?) (?:off|out|down)\b", re.I)
_MAY_FAIL = frozenset(("consumer-unit", "boiler"))
""" "The electricity goes off in the kitchen": it fails there. Water that goes off somewhere is turned off there."""
_NO_KIND = r"(?<!\bis )(?<!'s )(?<!\bare )(?<!'re )(?<!\ball )(?<!\bist )(?<!\bsind )"
"""Not what something else is: "the boiler is electric"."""
_SAYS_OF_IT = (
    r"(?=\s*(?:and|und|&|sowie)\s|\s*(?:(?:also|probably|actually|then|now|too|auch|still|just"
    r"|you turn off|turns off|gets turned off)\s+)*(?:[:=,?-]|$|(?:is|are|'s|was|comes?|goes"
    r"(?! (?:off|out|down) (?:\w+ly|often|sometimes|again|now|every|a lot|all)\b)"
    r"|closes|shuts|enters"
    r"|lives|sits|stands|hangs"
    r"|off|ist|sind|steht|liegt|sitzt|befindet"
    rf"|kommt|hängt)\b|{_PREPOSITION}))"
)
_WHOLE_HOME = (
    r"(?:(?:the|our|my|this|that|der|dem|das|unserem|unserer|diesem|dieser)\s)?"
    r"(?:house|flat|building|property|home|estate|village|area|haus|wohnung|gebäude|uns)\b"
)
_SOMEWHERE = re.compile(
    rf"{_PREPOSITION}\s+(?!{NOWHERE}|{_WHOLE_HOME})(?:[a-zäöüß]|\Z)|\b{SPOTS}\b|\b(?:up|down)stairs\b|\boutdoors\b"
    r"|\bdraußen\b|\b\w+(?:keller|raum|küche|zimmer|kammer|schrank|flur)\b",
    re.I,
)
_SAME = re.compile(
    r"\b(?:same (?:place|spot|cupboard|room|wall)|in there|there too|ditto|dito|as above|wie oben|siehe oben|likewise"
    r"|ebenso|dort auch|ebenda|daneben)\b|\A\W{0,4}(?:(?:the )?same|there|ebenso|auch)\W{0,4}\Z"
    r"|\b(?:next to|beside|beneath|underneath|below|above|under|over|behind) (?:it|that|them)\b",
    re.I,
)
_GONE = re.compile(
    r"\b(?:(?:was|were|been|got|had it|had them) (?:all )?(?:taken out|removed|ripped out|disconnected|capped(?: off)?"
    r"|cut off)|capped off|disconnected|no longer|not any ?more|nicht mehr|(?:'s|is|has|have) gone|came off"
    r"|come off|not (?:there|present|available|existing|connected)"
    r"|nicht (?:vorhanden|angeschlossen|da)|stillgelegt|abgeklemmt)\b",
    re.I,
)
_UNSURE = (C.CHANGE, C.DISPUTE, C.HEARSAY, C.TAKEN_BACK, C.PERSON)
_LISTED = re.compile(
    r"\s{0,4}(?:,|,? ?and|,? ?und|&|\+|/|sowie)\s{0,4}(?:(?:the|our|der|die|das)\s{1,4})?", re.I
)
_ALL_OF_THEM = re.compile(
    r"(?:.{0,90}\b(?:all|both|the lot|everything|alle|alles)(?: (?:of them|of it|together|four|three|in one place"
    r"|vier|drei"
    r"|zusammen)){0,3}\W{0,4}\Z|\W{0,4}(?:all|both|alle[s]?|beide) (?:together )?(?:in|under|behind|by|on|at|inside"
    r"|outside|im|unter|hinter|neben)\b)"
    r"|\W{0,4}(?:(?:and|so|also|but)\s)?(?:(?:they|these|those|it)(?:'re|'s| are| is)? (?:are )?(?:all|both)"
    r"|all (?:of (?:them|these|those"
    r"|it)|four|three)"
    r"|all (?:of )?(?:the|those|these|your) (?:things|items|others?|services|four|three)"
    r"|(?:and )?the (?:lot|others|rest)(?: (?:is|are))?(?: all)?"
    r"|everything|alles|alle)\b",
    re.I,
)
_AMISS = re.compile(r"\b(?:burst|turned off at|broken|leak\w*|flood\w*|packed up)\b", re.I)
_NEXT_TO = re.compile(
    r"\b(?:next to|beside|right by|alongside|with|neben|bei|beim)\s+(?:(?:the|our|my|dem|der)\s+)?\Z", re.I
)
_STOP = re.compile(r"[,;:.()]")
_I_THINK = re.compile(r"\b(?:i|we) (?:think|believe|guess|reckon|suppose)\b|\bglaube? ich\b", re.I)
_FIRST_PERSON = re.compile(r"\b(?:i|we|he|she|ich|wir)\b", re.I)
LONGEST_PLACE = 14
"""Words of a sentence that is a place and nothing else, at most; common practice, no source."""
NOT_FOR_CERTAIN = "doubt-not-certain-where"
NOT_FOR_CERTAIN_NONE = "doubt-not-certain-none"


@dataclass(frozen=True)
class _Name:
    start: int
    end: int
    item: str


class Whereabouts:
    """The things that a letter asks for and that a place or a "none" answers."""

    def __init__(self, asks: Sequence[Ask], lexicon: Lexicon) -> None:
        self._lexicon, self._asked = lexicon, {i: n for n, ask in enumerate(asks, 1) for i in ask.items}
        self._items = {
            i: item for i in self._asked if (item := lexicon.items.get(i)) is not None and _has_a_place(item)
        }
        self._half = {
            i: re.compile(rf"(?<![\w-]){_NO_KIND}(?:{_HALF_NAMES[i]}){_SAYS_OF_IT}", re.I)
            for i in self._items
            if i in _HALF_NAMES
        }

    def of(
        self, reader: SentenceReader, said: Sequence[Statement], told: Set[str], placed: bool
    ) -> list[tuple[int, Statement]]:
        """What a sentence says of the things that it names and nothing was taken for, each with its request.

        `said` is what was taken from the sentence, `told` are the items that the message has spoken of, `placed`: a
        place was told before, so that there is a "same place".
        """
        text = reader.whole.text
        if not self._items or reader.asked or OUR_WORDS.match(text) or reader.whole.has(C.ANOTHER_HOME):
            return []
        chains, found = self._chains(text), list[Statement]()
        if not chains and not said:
            found = self._all_of_them(reader, told) or self._the_only_one(reader, told)
        but = bool(chains and EXCEPT.search(text[: chains[0][0].start]))
        for at, chain in enumerate(chains):
            start = chains[at - 1][-1].end if at else 0
            before = text[start : chain[0].start]
            before = _STOP.split(before)[-1] if at and not _only_beside(before) else before
            after = text[chain[-1].end : chains[at + 1][0].start if at + 1 < len(chains) else len(text)]
            if at and _only_beside(before):
                found += _beside(chain, chains[at - 1], before, [*said, *found])
                continue
            if but and not at:
                # "Everything is under the stairs apart from the boiler": the place before it is not its own.
                before, after = "", after if _SOMEWHERE.search(before) else ""
            mate = _of_a_mate(chain, said)
            if mate and mate.kind is StatementKind.ABSENCE and _SOMEWHERE.search(after):
                # "No gas, water in the cellar": what follows has a place of its own.
                chain, mate, before = (
                    [n for n in chain if n.item not in {s.item for s in said}] or chain,
                    None,
                    "",
                )
            judged = mate or self._judged(chain[0].item, after, before, reader, placed or bool(found))
            mates = chains[at - 1] if at and _NEXT_TO.search(before) else []
            placed_there = judged is not None and StatementKind.PLACE in (judged.kind, judged.means)
            found += (
                [replace(judged, item=n.item) for n in [*chain, *(mates if placed_there else [])]]
                if judged
                else []
            )
        if but:
            besides = {s.item for s in (*said, *found)} | {n.item for n in chains[0]}
            found += self._all_of_them(reader, told | besides)
        return [(self._asked[s.item], s) for s in dict.fromkeys(found) if s.item not in told]

    def _all_of_them(self, reader: SentenceReader, told: Set[str]) -> list[Statement]:
        """ "They're all in the garage", in answer to a request for several things."""
        whole = reader.whole
        place = _ALL_OF_THEM.match(whole.text) and _SOMEWHERE.search(whole.text)
        if not place or len(self._items) < 2 or whole.has(C.NEGATION, C.COULD_NOT, C.LATER, C.PICTURE):
            return []
        asked = [i for i in self._items if i not in told]
        return [_doubtful(i, reader.text, NOT_FOR_CERTAIN, StatementKind.PLACE) for i in asked]

    def _the_only_one(self, reader: SentenceReader, told: Set[str]) -> list[Statement]:
        """ "386.5. 14. Under the stairs. 242.": a place and nothing else, where one thing that has a place is asked for
        and not told."""
        whole, left = reader.whole, [i for i in self._items if i not in told]
        place = (PLACED.match(whole.text) or SPOT.match(whole.text)) and _SOMEWHERE.search(whole.text)
        turned = (C.NEGATION, C.COULD_NOT, C.LATER, C.PICTURE, C.ASIDE, C.WINDOW, C.CHANGE, C.BUSINESS)
        other = (
            whole.lengths
            or whole.mentions
            or whole.has(*turned)
            or _FIRST_PERSON.search(_I_THINK.sub("", whole.text))
        )
        if len(left) != 1 or not place or other or len(whole.words) > LONGEST_PLACE:
            return []
        return [_doubtful(left[0], reader.text, NOT_FOR_CERTAIN, StatementKind.PLACE)]

    def names(self, text: str) -> bool:
        """Whether `text` names one of the things that were asked for."""
        return bool(self._chains(text))

    def _chains(self, text: str) -> list[list[_Name]]:
        """The things named, those together that nothing but a comma or an "and" parts."""
        full = [
            _Name(m.start, m.end, m.items[0])
            for m in self._lexicon.mentions(text)
            if m.items[0] in self._items
        ]
        half = [
            _Name(m.start(), m.end(), item)
            for item, pattern in self._half.items()
            for m in pattern.finditer(text)
            if not any(m.start() < f.end and f.start < m.end() for f in full)
        ]
        chains: list[list[_Name]] = []
        for name in sorted([*full, *half], key=lambda n: n.start):
            if chains and _LISTED.fullmatch(text[chains[-1][-1].end : name.start]):
                chains[-1].append(name)
            else:
                chains.append([name])
        return chains

    def _judged(
        self, item: str, after: str, before: str, reader: SentenceReader, placed: bool
    ) -> Statement | None:
        """What the words after a name say of it, else those before it."""
        whole = reader.whole
        if item in _MAY_FAIL and _FAILS.match(after):
            return None
        lead = Clause(_STOP.split(before)[-1], 0, self._lexicon, whole.language)
        for words in (after, before):
            clause = Clause(words, 0, self._lexicon, whole.language)
            if NEEDS_WORK.search(words) and not PREPOSITION.search(words):
                continue
            somewhere = bool(_SOMEWHERE.search(words)) or (placed and bool(_SAME.search(words)))
            gone = bool(_GONE.search(words))
            denied = gone or clause.has(C.NEGATION) or lead.has(C.NEGATION)
            could_not = clause.has(C.COULD_NOT) or lead.has(C.COULD_NOT)
            if denied and not could_not and self._items[item].may_be_absent and (gone or not somewhere):
                return _doubtful(item, reader.text, NOT_FOR_CERTAIN_NONE, StatementKind.ABSENCE)
            if somewhere:
                hedged = clause.has(C.HEDGE) or lead.has(C.HEDGE) or bool(_AMISS.search(whole.text))
                if denied or could_not or hedged or whole.has(*_UNSURE):
                    return _doubtful(item, reader.text, NOT_FOR_CERTAIN, StatementKind.PLACE)
                return Statement(item, StatementKind.PLACE, reader.text)
        return None


def _of_a_mate(chain: Sequence[_Name], said: Sequence[Statement]) -> Statement | None:
    """What was taken for one of the things that are named together holds for all of them."""
    items = {n.item for n in chain}
    kinds = (StatementKind.PLACE, StatementKind.ABSENCE, StatementKind.COULD_NOT)
    return next((s for s in said if s.item in items and s.kind in kinds), None) if len(chain) > 1 else None


def _beside(
    chain: Sequence[_Name], other: Sequence[_Name], words: str, said: Sequence[Statement]
) -> list[Statement]:
    """ "Under the stairs next to the gas meter": what another thing hangs beside is there too."""
    there = next((s for s in said if s.item == other[-1].item and s.kind is StatementKind.PLACE), None)
    place = there and _NEXT_TO.search(words) and _SOMEWHERE.search(_NEXT_TO.split(words)[0])
    return [replace(there, item=n.item) for n in chain] if there and place else []


def _has_a_place(item: ChecklistItem) -> bool:
    return not item.range_mm and EvidenceKind.PICTURE in item.evidence and EvidenceKind.WORDS in item.evidence


def _only_beside(between: str) -> bool:
    """Whether a name follows the one before it only to say where that is: "gas meter above the" boiler."""
    last = [m.end() for m in PREPOSITION.finditer(between)]
    return bool(last) and len(between[last[-1] :].split()) <= 2 and not _STOP.search(between[last[-1] :])


def _doubtful(item: str, text: str, doubt: str, means: StatementKind) -> Statement:
    return Statement(item, StatementKind.DOUBTFUL, text, doubt=doubt, means=means)
