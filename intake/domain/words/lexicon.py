"""The words that name a checklist's items in running text, and the turns of phrase for "none" and "where"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from intake.domain.words.cues import any_of
from intake.domain.words.german import ABSENT, ITEMS
from intake.model.checklist import Checklist, EvidenceKind

_SHOWN = any_of(
    "photo(?:graph)?s?|pictures?|pics?|images?|measurements?|details?|info(?:rmation)?|numbers?|sizes?|dimensions?"
)
_QUALIFIES = re.compile(
    r"^[ -]"
    + any_of(
        "man|men|people|company|supplier|guy|lights?|lamps?|rose|tiles?|paint|joists?|void|beams?|fan|hob"
        "|bottles?|cylinders?|canisters?|tanks?|flaschen?|cooker|oven|fires?|bill|engineer|safe|smell",
        "leaks?|combi|central heating|boiler|board|plug|hooks?|unit doors?|mark|stains?|cracks?",
    )
    + r"\b",
    re.I,
)
"""Words after a name that make it another thing: a ceiling light, a gas hob."""
_TO_REVEAL = re.compile(r"reveal", re.I)
_WHAT = re.compile(r" (?:the|how|what|whether)\b", re.I)
""" "To reveal the truth": no recess."""

_ROOM = r"(?:here|(?:the|this|that|my|our)\s+(?:kitchen|room|bedroom|bathroom))\b"
ROOM_ONLY = re.compile(rf"^\s*(?:in|inside|within|to)\s+{_ROOM}", re.I)
_ONE_WALL = re.compile(
    r"^\s*(?:on|in|at)\s+(?:the|that|this|either)\s+(?:\w+\s+){0,2}(?:walls?|sides?|end)\b", re.I
)
UNSURE = re.compile(
    r"\b(?:at the moment|currently|right now|for now|please|momentan|derzeit|zur zeit|visible|that i can"
    r"|i can see|i could (?:see|find)|as far as i|to be seen|found|capped|disconnected)\b",
    re.I,
)
NONE_BEFORE = re.compile(
    any_of(
        r"\bno|\bwithout(?: any| a)?|\b(?:isn't|is not|aren't|are not|not)(?: any| a)|\bnever had(?: any| a)?",
        r"\bnot connected to(?: the)?",
        r"\b(?:oil|electric\w*|lpg|solid fuel|heat pump|öl|strom)(?:,| and| und)? (?:not|nicht)",
        r"\bneither(?: the| any| a)?|\bnor(?: the| any| a)?",
        r"\b(?:kein|keine|keinen|ohne|haben kein|haben keinen)(?: eigenen?)?(?: \w+ mit)?",
        r"\b(?:don't|do not|doesn't|does not|haven't|have not|hasn't|has not|ain't)(?: got| have| had)*(?: any| a)?",
    )
    + r"(?: (?:mains|natural|town|actual|separate|working))? $",
    re.I,
)
_NONE_AFTER = re.compile(
    r"^\s*+(?:is|are|[:=-])?\s*+"
    + any_of(
        r"none\b",
        r"keine?[rsnm]?\W*$",
        r"n/?a\b",
        "not applicable",
        r"absent\b",
        "no$",
        "nil$",
        "(?:doesn't|does not) exist",
    )
    + r"|^,?:?\s(?:we|i|they) (?:(?:don't|do not|never) (?:have|had)(?: (?:one|any|it))?|(?:haven't|have not)(?: got)?"
    r" (?:one|any|it)|(?:haven't|have not) got|(?:are|'re|is) not having(?: one| any)?|have none)"
    r"(?=\s?[,.;!)]|\s?$| (?:here|in the|at the|out|on the|so|as|and|but|it's|just)\b)"
    r"|^\s*(?:isn't|aren't|(?:is|are) not) (?:present|fitted|connected|available)"
    r"|^\s(?:haben wir|gibt es|gibt's|habe ich|hat (?:das|unser) haus)"
    r"(?: (?:hier|leider|bei uns|im dorf|im ort|in der gegend|in der straße|im haus|in der wohnung|auch|aber|ja"
    r"|überhaupt|gar|in der wg|noch))*+ (?:nie(?= gehabt)|(?:nicht|keine?[nrs]?)\b"
    r"(?!\s(?:\w+\s)?(?:ge(?!habt\b)\w+|\w+iert|entdeckt|erkannt)\b))",
    re.I,
)
_HAVE_NOT = re.compile(r"^,?\s(?:we|i|they) (?:haven't|have not)(?=\s?[,.;!)]|\s?$)", re.I)
""" "Gas we have not": only of gas; a meter or a photo that one has not is one not found or not taken."""
_PICTURE_OF = re.compile(r"\b(?:photo\w*|pic\w*|images?|foto\w*|bild\w*)\s(?:of|von|vom)\s(?:\w+\s)?\Z", re.I)

_PREPOSITION = any_of(
    "in|inside|under|underneath|beneath|behind|by|beside|next to|above|below|outside|on|at|near|opposite|within|over"
    "|beyond|against",
    "(?:(?:at|on) )?(?:the )?(?:back|front|foot|top|bottom|far end|end|rear) of",
    "to the (?:left|right) of|(?:links|rechts) (?:von|vom|neben)",
    "upstairs|downstairs|outdoors|external(?:ly)?|im|ins|in der|in dem|unter|unterm|hinter|neben|draußen|außen"
    "|auf dem|bei"
    "|beim|über|am|an der|oben|unten",
)
NOWHERE = (
    r"(?:(?:the|a|an|this|that|my|our|your|next|same|separate|another|last|first) )*"
    + any_of(
        r"photo\w*|pictures?|pics?|images?|attach\w*|e-?mails?|files?|post|zip|plan|sketch|drawing|reply|message",
        "question|way|working|need|service|process|use|future|morning|due|theory|checklist|list|letter|tomorrow",
        "house|flat|building|property|village|estate|haus|wohnung|gebäude|dorf|ort",
        "home|work|mine|ours|theirs|zuhause|hause|touch|progress|order|mind|fact|general|case|time|moment|weekend"
        "|phone|minute|all|least|once|good|request",
        "monday|tuesday|wednesday|thursday|friday|saturday|sunday|one|it|them|two|next|last|first",
    )
    + r"\b"
)
"""What may follow "in" or "on" without being a place in a house."""
_LINKS = any_of(
    "ist|sind|sitzt|hängt|liegt|steht|befindet sich|befinden sich|finden sie",
    "it's|it is|they're|they are|that's|er ist|sie ist|es ist",
    "is|are|'s|was|sits|hangs|stands|lives|located|situated|mounted|fixed|hidden|found|can be|to be|kept"
    "|also|currently"
    "|just|still",
    "links|rechts|left|will be|all|both|up|down|out|right|actually|high|low|comes? in|enters?|[:=-]",
)
SPOTS = any_of(
    "ext(?:ernal)? (?:wall|box)|ext meter box|meter box",
    "(?:front|back|side|door) ?steps?",
    "scullery|coal ?(?:hole|house|shed|bunker)|wash ?house|dairy|back kitchen|lav|lavatory|vestibule|parlour|passage",
    "front garden|back garden|garden|drive|pavement|street|yard|outhouse|lean-to|conservatory|pantry|larder"
    "|lobby|spare room",
    "loft|attic|hall|hallway|cupboard|garage|utility|kitchen|porch|cellar|basement|stairs|outside|landing|bathroom",
    "bedroom|wc|cloakroom|lounge|study|toilet|shed|driveway|front door|back door|under the sink|understairs",
    "entrance|entry|gallery|corridor|balcony|kiosk|boundary wall|gable end|boiler room|plant room|foyer",
    "eingang|gang|heizungsraum|hausanschlussraum|anschlussraum|technikraum|waschküche|balkon",
    "flur|keller|diele|garage|dachboden|speicher|treppenhaus|abstellraum|abstellkammer|bad|küche"
    "|speisekammer|hauswirtschaftsraum",
)
PLACE_AFTER = re.compile(
    rf"^(?:\s(?:that\s)?you\s(?:asked|wanted|mentioned|mean|meant)(?:\s(?:about"
    rf"|for))?|\s(?:that\s)?(?:you'll|you will|you can|you)\s(?:find"
    rf"|see)(?:\sit)?)?\s*(?:{_LINKS}\s*)*(?P<not>(?:not|isn't|n't)\s+)?(?!(?:on|in|at|by|near|over|within"
    rf"|under"
    rf"|off)\W*$){_PREPOSITION}\b(?!\s+{NOWHERE})"
    rf"(?:\s+(?:the|a|an|my|our|this|that)?\s*[a-z]|\s*$)|^\s*[:=-]\s*(?:the )?(?:\w+ ){{0,2}}{SPOTS}\b"
    r"|^\s*(?:is|are|'s)\s+(?:\w+\s)?(?:above|below|under|underneath|next to|beside|behind|opposite) (?:it"
    r"|that|them)\b",
    re.I,
)
PLACE_BEFORE = re.compile(
    rf"\b{_PREPOSITION}\s+(?!{NOWHERE})(?:the|a|an|my|our)?\s*[a-z][\w -]{{1,40}}?\s"
    r"(?:is|are|there's|there is|there are|we have|you'll find)(?: (?:the|a|an|our|my))?\s$",
    re.I,
)
IT_IS = re.compile(r"^\s*(?:it|which|that|they|both|all)(?:'s|'re| is| are| sits?| lives?)\b", re.I)
ARE = re.compile(r"^\s*(?:are|all|both|sit|live)\b", re.I)
BARE_NAME = re.compile(r"\A\W*+(?:the|our|my|a|an|both)?\s*+(?:[a-z]++\s*+){1,3}", re.I)

_WORD = re.compile(r"\w+")
_FROM = re.compile(r"\b(?:from|between|zwischen|von)\b", re.I)
_TO = re.compile(r"\b(?:to|and|bis|und)\b", re.I)


@dataclass(frozen=True)
class Mention:
    start: int
    end: int
    items: tuple[str, ...]
    absent: bool = False


class Lexicon:
    """The words that name a checklist's items, longest first, so that "ceiling height" wins over "ceiling"."""

    def __init__(self, checklist: Checklist) -> None:
        self.room = str(checklist.room)
        self.items = {i.id: i for i in checklist.items if EvidenceKind.WORDS in i.evidence}
        named: dict[tuple[bool, str], list[str]] = {}
        for item in self.items.values():
            german_names = _phrases(ITEMS, item.id), _phrases(ABSENT, item.id)
            for absent, words in (
                (False, (*item.words, *MORE_NAMES.get(item.id, ()), *german_names[0])),
                (True, (*item.absent_words, *german_names[1])),
            ):
                for word in words:
                    named.setdefault((absent, word.lower()), []).append(item.id)
        ordered = sorted(named.items(), key=lambda entry: -len(entry[0][1]))
        self._patterns = [
            (_phrase(word), tuple(dict.fromkeys(ids)), absent) for (absent, word), ids in ordered
        ]
        self._beginning: dict[str, list[int]] = {}
        """Which of the patterns may be in a text with a word that begins so; "" for those with a sign there."""
        for at, ((_, word), _ids) in enumerate(ordered):
            self._beginning.setdefault("" if word[1:2] in ("=", "#") else word[:2], []).append(at)
        self.mentions = lru_cache(maxsize=2048)(self._mentions)
        """The things that a clause names, in order; a message's clauses are asked for again and again."""

    def _mentions(self, clause: str) -> tuple[Mention, ...]:
        found: list[Mention] = []
        begun = {"", *(word[:2].lower() for word in _WORD.findall(clause))}
        for at in sorted(at for begins in begun for at in self._beginning.get(begins, ())):
            pattern, items, absent = self._patterns[at]
            for match in pattern.finditer(clause):
                free = all(match.end() <= m.start or match.start() >= m.end for m in found)
                after = clause[match.end() :]
                if free and not (
                    _QUALIFIES.match(after) or (_TO_REVEAL.match(match[0]) and _WHAT.match(after))
                ):
                    found.append(Mention(match.start(), match.end(), items, absent))
        return tuple(sorted(found, key=lambda m: m.start))


def one_length_between_two(text: str, mentions: Sequence[Mention]) -> bool:
    """ "From the sill to the ceiling is 132": the length of neither."""
    items = {m.items for m in mentions}
    start = _FROM.search(text)
    return len(items) > 1 and start is not None and bool(_TO.search(text, start.end()))


MORE_NAMES = {
    "sill-height": (
        "silk height",
        "seal height",
        "still height",
        "floor to window",
        "floor to the start of the window",
        "floor to the beginning of the window",
        "floor to the bottom of the window",
        "bottom of the window",
        "window ledge",
        "sil",
        "sill hight",
        "cill height",
        "window board",
    ),
    "head-height": (
        "top of widow",
        "window top",
        "floor to window top",
        "floor to the top of the window",
        "floor to the end of the window",
        "up of window",
        "sill to the top",
        "from the sill to the top",
        "sill up to the top",
        "head of the window",
        "top of the frame",
        "top#",
        "head#",
        "sill to head",
    ),
    "reveal-depth": (
        "window recess depth",
        "recess",
        "recesses",
        "depth of the reveal",
        "window reveals",
        "reveals",
        "depth of the window recess",
    ),
    "ceiling-height": (
        "high of the room",
        "room is",
        "room's height",
        "the room is high",
        "celing",
        "cieling",
        "ceiling hight",
        "headroom",
        "floor-to-ceiling",
    ),
    "boiler": ("boil her", "boyler", "gas heater", "heating boiler"),
    "gas-meter": ("gas metre", "metre for the gas", "gas box", "gas counter", "gas clock", "gas meatier"),
    "consumer-unit": (
        "cu",
        "electrics",
        "electric box",
        "electricity box",
        "fuse cupboard",
        "trip switches",
        "trip box",
        "breakers",
        "rcd",
        "fuses",
        "fuse boxes",
        "consumer box",
        "breaker box",
        "distribution board",
        "trip switch box",
        "electric panel",
        "electrical panel",
        "electricity panel",
        "electric board",
        "electrical board",
        "electrical cabinet",
        "electrics cupboard",
        "switchboard",
        "fuse panel",
        "fuse bored",
        "fuses box",
    ),
    "water-main": (
        "water shut-off",
        "shut off valve",
        "mains tap",
        "water stopcock",
        "stop valve",
        "main stop tap",
        "water stop tap",
        "stop-tap",
        "stop-cock",
        "mains stopcock",
        "water supply",
        "general tap",
        "general tap of the water",
        "main tap",
        "water valve",
        "main valve",
        "stop clock",
        "stop cook",
    ),
}
"""Further names in English, misspelt ones among them."""


def _phrases(by_item: Mapping[str, str], item: str) -> tuple[str, ...]:
    return tuple(w.strip() for w in by_item[item].split("|")) if item in by_item else ()


@lru_cache(maxsize=16)
def lexicon_of(checklist: Checklist) -> Lexicon:
    """The lexicon of a checklist, made once."""
    return Lexicon(checklist)


def _phrase(word: str) -> re.Pattern[str]:
    """A name as it may be typed. "H=" is one only where a clause begins with it: a sill has an "H=" too. "top#" is
    one only at the beginning and before a number."""
    if word.endswith("="):
        return re.compile(rf"^\W*{re.escape(word[:-1])}\s?[=:]\s?(?=\d)", re.I)
    if word.endswith("#"):
        return re.compile(
            rf"^\W*(?:the\s)?{word[:-1]}(?=(?:\s?(?:is|at|[:=-])){{0,2}}\s?\d)"
            rf"|(?<=[/,&+;])\s?{word[:-1]}(?=\s?[\d/,&+=:])",
            re.I,
        )
    first, *rest = re.split(r"[\s-]+", word)
    joined = (r"(?:[\s-]+the)?" if w == "the" else rf"[\s-]+{re.escape(w)}" for w in rest)
    spaced = (re.escape(first) + "".join(joined)).replace(r"[\s-]+is[\s-]+", r"(?:[\s-]+is|'s)[\s-]+")
    return re.compile(rf"(?<![\w-]){spaced}(?:'?s)?(?![\w])", re.I)


def says_none(mention: Mention, before: str, after: str) -> bool:
    if re.match(
        rf"^\s*{_SHOWN}\b|^\s*yet\b|^\s(?:on|in) (?:the|my|your|our) (?:plan|drawing|sketch)\b", after, re.I
    ):
        return False
    if mention.absent:
        return not _ONE_WALL.match(after) and not re.search(r"\b(?:not|isn't|aren't)\s+$", before, re.I)
    return bool(NONE_BEFORE.search(before) or none_after(mention, before, after))


def none_after(mention: Mention, before: str, after: str) -> re.Match[str] | None:
    """The words behind a name that say there is none of it: "a gas meter we haven't got", "gas we have not"."""
    if _PICTURE_OF.search(before):
        return None
    gas = mention.end - mention.start == len("gas") and _HAVE_NOT.match(after)
    return gas or _NONE_AFTER.match(after)
