"""A sentence cut into clauses, and each clause taken apart: lengths, things named, and the words that turn it round."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import JOINTS, PREPOSITION
from intake.domain.words.in_place import in_place
from intake.domain.words.lexicon import Lexicon, Mention, none_after
from intake.domain.words.no_lengths import OF_A_FAMILY
from intake.domain.words.numbers import Number, in_unit_for_all, numbers
from intake.domain.words.vocabulary import Spoken, spoken, told_apart
from intake.model.checklist import EvidenceKind

_CUT = re.compile(
    r"(?:,(?!\d)|,(?=\d{3,}|\d+[.,]\d)|\s[/&]\s|"
    rf"[()]|\s-\s(?!(?:[\w.'/\"]+ ?){{1,3}}$)|\.\.+|(?<!\bor )\b{JOINTS}\b)",
    re.I,
)
_NAMED_NEXT = re.compile(
    r"(?:(?<=[\d½¼¾])|(?<=\d\sm)|(?<=\dm)|(?<=[cm]m))\s(?=(?:top|head|sill|cill|recess|reveal|depth|ceiling"
    r"|width|height|breite|höhe|tiefe"
    r"|brüstung|leibung|decke)\b"
    r"\s?(?:[:=-]|is\b|at\b)?\s?\d)",
    re.I,
)
""" "sill 103.5 top 108": a new name begins where a length ends."""
_SIDE = re.compile(
    r"\W{0,4}(?:on the |the )?(?:left|right|links|rechts)(?: hand)?(?: side| one)?\s{0,4}", re.I
)
""" "Left: 110, 210, 12. Right: 90, 210, 12."."""
_BEFORE = re.compile(r"(?:it\s|which\s)?(?:was|used to be|war|vorher|previously|formerly|before)\b", re.I)
_DENIED = re.compile(
    r"\b(?:no to|nein zu|not|isn't|wasn't|aren't|never|nicht|kein|keine|rather than|instead of|statt|anstatt|than"
    r"|neither|nor)\s+"
    r"(?:(?:be|the|a|exactly|quite|der|die|das|dem|den|as)\s+)*$",
    re.I,
)
_DENIED_AFTER = re.compile(
    r"^\s?(?:cm|mm|m)?,?\s(?:was|were|is|war|ist)\s(?:(?:me|my|just|only|obviously|clearly|of course|a|an|the|ein"
    r"|mein|ich"
    r"|nur)\s)*(?:(?!right|correct)\w+\s)?(?:swapp\w+|typo|slips?|mistakes?|errors?|misread\w*|misprint|wrong\w*"
    r"|nonsense|rubbish"
    r"|mix-?up|tippfehler|fehler|falsch|unsinn|quatsch|vertippt|verschrieben)\b"
    r"|^\s?(?:cm|mm|m)?,?\s(?:(?:the )?first time|to begin with|to start with|zuerst|beim ersten mal)\b(?!.*\d)",
    re.I,
)
""" "247 was a typo"."""
_BY = re.compile(r"\b(?:by|um)\s+(?:(?:about|around|etwa|ca\.?)\s+)?$", re.I)
_OVER = re.compile(
    r"^\s?(?:above|over(?! (?:by|at|near|in|on|where|there|here)\b)|below|under|unter|über)\b", re.I
)
_AT_HEAD_HEIGHT = re.compile(r"\b(?:at|about|above|below|just) head height\Z", re.I)
""" "By the front door at head height": no top of a window."""
_BESIDE = re.compile(
    r"\b(?:by|near|next to|over|above|behind|beside|at|under|opposite|am|bei|beim|neben|über|hinter"
    r"|an|where)\s(?:the\s|my\s|our\s|der\s|dem\s)?$",
    re.I,
)
_AWAY = re.compile(
    r"^\s?(?:above|over|below|under|from|off|away|unter|über|von)\b(?!\s+(?:by|at|near|in|on|where|memory|here"
    r"|there|what|my"
    r"|the tape|the plan)\b)(?!\s+(?:the\s+|dem\s+|der\s+|den\s+)?(?:finished\s+|fertigen\s+)?"
    r"(?:floor|ground|carpet|tiles|lino|boden|fußboden|estrich))",
    re.I,
)
_REFERENCE = re.compile(
    r"\b(?:no\.?|number|wall|window|door|photo|picture|page|item|point|flat|option|question|q|fenster|tür|foto|bild|#"
    r"|year|class|form|house|unit|plot|bedroom|bathroom|level|storey|room|floor|chapter|step|platform|version)\s?$",
    re.I,
)
_EXTENSION = re.compile(r"\b(?:ext\.?|(?:on|at) extension|durchwahl)\s?$", re.I)
""" "Please contact her on extension 240"."""
_TIME = re.compile(r"\b(?:till?|until|before|after|since|bis|seit|gegen)\s(?:about |around |ca\.? )?$", re.I)
""" "At work till 8"."""
_A_DIGIT = re.compile(
    r"\b(?:an?|eine?|another|the|that|die)\s$|\b(?:my|meine?n?)\s(?:\d'?s? (?:and|und|or|oder) (?:my "
    r"|meine )?)?$",
    re.I,
)
""" "It's a 5": a digit of the handwriting."""
_AGE = re.compile(
    rf"\b(?:i am|i'm|he is|he's|she is|she's|aged|age|alter|bin|{OF_A_FAMILY}(?:'s|\sis|\sist))"
    r"\s(?:only |just |barely |nur )?$",
    re.I,
)
_TALL = re.compile(r"\s?(?:m\s)?(?:groß|tall|klein)\b", re.I)
""" "Ich bin nur 1,60 groß"."""
_LEAD = re.compile(r"\s(?:(?:and|then|also|the|our|my)\s)*$", re.I)
_HANGS_ON = re.compile(
    r"\b(?:in|inside|under|underneath|behind|by|beside|to|above|below|on|at|near|opposite|within|over|of|from"
    r"|with|no|or|nor|than|as|between|a|an"
    r"|any|both|is|are|not|unter|über|neben|hinter|bei|beim|im|an|von|vom|und|oder|kein|keine|keinen)$",
    re.I,
)
_PLURAL = re.compile(
    r"\b(?!in|cent|mill|met|cm|mm)[a-z]{2,20}[a-rt-z]s|goldfish|fish|sheep|geese|mice|women|postmen|grandchildren"
)
_GERMAN_PLURAL = re.compile(r"\b(?!(?i:zent|mill|met|zoll))[A-ZÄÖÜ][a-zäöüß]{2,20}(?:e|en|er|n|s)")
HALF_AN_INCH = 13
MOST_DIGITS = 10
"""Below it a bare number after "a" or "the" is a digit of the handwriting."""
MOST_NAMED = 12
"""Up to it a bare number is the name of a window or a flat ("window 2"), or counts things with an adjective ("two tall
doors"); common practice, no source."""
MOST_HOURS = 24
"""In a day."""
MOST_COUNTED = 60
"""More things than that nobody counts in a room."""


@dataclass(frozen=True)
class Length:
    """A length in a clause. `up`, `across`: the word beside it says which way it runs; `apart`: it is the distance of
    one thing from another, or how much one differs."""

    number: Number
    apart: bool = False
    up: bool = False
    across: str = ""
    over: bool = False
    """It is apart only by a word that may say where it was measured ("239 over the sink")."""

    @property
    def start(self) -> int:
        return self.number.start

    @property
    def end(self) -> int:
        return self.number.end


@dataclass
class Clause:
    """One clause and what stands in it; `start` is where it begins in its sentence."""

    text: str
    start: int
    lexicon: Lexicon = field(repr=False)
    language: str = "en"
    unit: str = ""
    """The unit that the message gives once for all its numbers; "" for none."""
    twice: tuple[Number, ...] = ()
    """Lengths in feet that another clause says in metres."""

    @cached_property
    def _numbers(self) -> tuple[tuple[Number, ...], tuple[tuple[int, int], ...]]:
        found, others = numbers(self.text)
        return tuple(in_unit_for_all(n, self.unit) for n in found), others

    @property
    def numbers(self) -> tuple[Number, ...]:
        """Every number that may be a length, told or not."""
        return self._numbers[0]

    @cached_property
    def mentions(self) -> tuple[Mention, ...]:
        """The things named; where something else was measured ("251.5 by the fridge") is none of them."""
        found = self.lexicon.mentions(self.text)
        found = tuple(m for m in found if not _AT_HEAD_HEIGHT.search(self.text, 0, m.end))
        return tuple(m for m in found if not (self._numbers[0] and self._only_where(m)))

    def _only_where(self, mention: Mention) -> bool:
        loose = all(EvidenceKind.PICTURE not in self.lexicon.items[i].evidence for i in mention.items)
        loose = loose and not any(self.lexicon.items[i].range_mm for i in mention.items)
        return loose and bool(_BESIDE.search(self.text[: mention.start]))

    @cached_property
    def words(self) -> tuple[Spoken, ...]:
        none = self._numbers[1]
        found = spoken(self.text, self.language)
        heard = [w for w in found if not any(s <= w.start and w.end <= e for s, e in none)]
        placed = (in_place(w, self.text, self._numbers[0], bool(self.mentions)) for w in heard)
        return tuple(placed)

    @cached_property
    def apart(self) -> tuple[Spoken, ...]:
        """What says in words that stand apart that something will be altered ("kommt im Herbst weg"), is not drawn,
        or could not be done."""
        found = (in_place(w, self.text, self._numbers[0], bool(self.mentions)) for w in told_apart(self.text))
        return tuple(w for w in found if w.concepts & {C.CHANGE, C.DISPUTE, C.COULD_NOT})

    @cached_property
    def lengths(self) -> tuple[Length, ...]:
        """The lengths that are told; counts, names ("window 2"), differences and denied numbers are none, and of one
        length in feet and in metres the metres count."""
        told = [n for n in self._numbers[0] if not self._is_none(n) and n not in self.denied]
        once = (n for n in told if n not in self.twice and not any(_same_in_feet(n, m) for m in told))
        return tuple(self._length(n) for n in once)

    @cached_property
    def denied(self) -> tuple[Number, ...]:
        """The numbers that are said to be wrong: "not 236", "I wrote 236"."""
        found = [n for n in self._numbers[0] if not self._is_none(n)]
        old = [w for w in self.words if C.SAID_BEFORE in w.concepts]
        if self.start and _BEFORE.match(self.text):
            return tuple(found[:1])
        return tuple(
            n
            for n in found
            if _DENIED.search(self.text[: n.start])
            or _DENIED_AFTER.match(self.text[n.end :])
            or (any(w.end <= n.start for w in old) and n is found[0])
        )

    def _is_none(self, number: Number) -> bool:
        before, after = self.text[: number.start], self.text[number.end :]
        bare = not number.unit and not number.places
        tall = number.unit in ("in", "m") or _TALL.match(after)
        if (bare or tall) and _AGE.search(before):
            return True
        if bare and number.figure < MOST_DIGITS and _A_DIGIT.search(before):
            return True
        if bare and number.figure <= MOST_HOURS and _TIME.search(before):
            return True
        if bare and (
            _EXTENSION.search(before) or (number.figure <= MOST_NAMED and _REFERENCE.search(before))
        ):
            return True
        following = [w for w in self.words if w.start >= number.end][:2]
        if not bare or not following or re.match(r"\s*[,:;=]", after):
            return False
        counted = (
            number.figure <= MOST_COUNTED
            and C.COUNTED in following[0].concepts
            and C.ACROSS not in following[0].concepts
            and C.DIFFERENCE not in following[0].concepts
        )
        adjective = (
            number.figure <= MOST_NAMED
            and len(following) > 1
            and C.COUNTED in following[1].concepts
            and (C.PICTURE in following[1].concepts or not self._named(following[0]))
        )
        counted = counted or (number.figure <= MOST_COUNTED and self._is_a_plural(following[0]))
        between = after[: following[0].start - number.end]
        return not re.search(r"[^\s-]", between) and (
            counted or (adjective and C.UP not in following[0].concepts)
        )

    def _is_a_plural(self, word: Spoken) -> bool:
        """ "2 mugs", "11 goldfish", "26 Gäste sind da": a word that nobody knows and that more than one is meant by."""
        text = self.text[word.start : word.end]
        german = (
            self.language == "de" and _GERMAN_PLURAL.fullmatch(text) and self.text[word.end :].strip(" .!")
        )
        return not word.concepts and bool(german or _PLURAL.fullmatch(text))

    def _named(self, word: Spoken) -> bool:
        return (
            any(m.start < word.end and m.end > word.start for m in self.mentions) or C.KNOWN in word.concepts
        )

    def _length(self, number: Number) -> Length:
        before, after = self.text[: number.start], self.text[number.end :]
        after = re.sub(r"^\s?(?:cm|mm|m)\b", "", after)
        near = [w for w in self.words if w.start >= number.end][:1]
        word = (
            near[0].concepts
            if near and self.text[number.end : near[0].start].strip(" -") == ""
            else frozenset()
        )
        away = bool(_AWAY.match(after)) and C.UP not in word and not self._named_from(number)
        differs = C.DIFFERENCE in word or bool(_BY.search(before))
        apart = differs or away
        return Length(
            number,
            apart,
            C.UP in word,
            self.text[near[0].start : near[0].end].lower() if C.ACROSS in word and near else "",
            over=away and not differs and bool(_OVER.match(after)),
        )

    def _named_from(self, number: Number) -> bool:
        """ "109 from sill to top": what follows is the name of the length, not what it is measured away from."""
        return any(
            " to " in self.text[m.start : m.end] and not self.text[number.end : m.start].strip(" fromvThe")
            for m in self.mentions
            if m.start >= number.end
        )

    def has(self, *concepts: C) -> bool:
        """Whether a word plays one of these parts; words within the name of a thing do not count."""
        return not self._played.isdisjoint(concepts)

    @cached_property
    def _played(self) -> frozenset[C]:
        return self.parts.union(*(w.concepts for w in self.apart))

    @cached_property
    def parts(self) -> frozenset[C]:
        """The parts that its words play."""
        return frozenset().union(*(w.concepts for w in self.words if not self._named_exactly(w)))

    def _named_exactly(self, word: Spoken) -> bool:
        within = any(m.start <= word.start and word.end <= m.end for m in self.mentions)
        return within or (C.DISPUTE in word.concepts and self._says_none(word))

    def _says_none(self, word: Spoken) -> bool:
        """ "Gas gibt es nicht": what says that there is none of a thing disputes nothing."""
        none = ((m.end, none_after(m, self.text[: m.start], self.text[m.end :])) for m in self.mentions)
        return any(found and at <= word.start and word.end <= at + found.end() for at, found in none)

    def where(self, concept: C) -> tuple[Spoken, ...]:
        heard = (w for w in self.words if concept in w.concepts) if self.has(concept) else ()
        found = tuple(w for w in heard if not self._named_exactly(w))
        return found + tuple(w for w in self.apart if concept in w.concepts)

    @cached_property
    def unknown(self) -> tuple[str, ...]:
        """The words that no vocabulary knows, but those that say which one is meant ("by the Aga")."""
        spans = [(m.start, m.end) for m in self.mentions] + list(self._numbers[1])
        spans += [(n.start, n.end) for n in self._numbers[0]]
        found = []
        for word in self.words:
            covered = any(s < word.end and e > word.start for s, e in spans)
            if not word.concepts and not covered and not self._refers(word):
                found.append(self.text[word.start : word.end])
        return tuple(found)

    def _refers(self, word: Spoken) -> bool:
        before = [m.end() for m in PREPOSITION.finditer(self.text[: word.start])]
        return bool(before) and len(re.findall(r"[^\W\d_]+", self.text[before[-1] : word.start])) <= 3


def not_said_twice(lengths: Sequence[Length]) -> list[Length]:
    """The lengths without those in feet that another says in metres."""
    return [v for v in lengths if not any(_same_in_feet(v.number, w.number) for w in lengths)]


def _same_in_feet(feet: Number, metric: Number) -> bool:
    """ "8 foot, 244 cm": the same to half an inch. A bare number beside feet is in centimetres."""
    if feet.unit != "in" or metric.unit == "in":
        return False
    value = metric.whole_mm if metric.unit else int(metric.figure * 10)
    return feet.whole_mm is not None and value is not None and abs(feet.whole_mm - value) <= HALF_AN_INCH


def clauses_of(sentence: str, lexicon: Lexicon, language: str, unit: str = "") -> list[Clause]:
    """The parts of a sentence between commas, brackets and joining words, in order; a number is never cut."""
    whole, others = numbers(sentence)
    spans = [(n.start, n.end) for n in whole] + list(others)
    found_cuts = [m.span() for p in (_CUT, _NAMED_NEXT) for m in p.finditer(sentence) if m[0]]
    found_cuts += _without_stops(sentence, lexicon, [s for s, _ in spans])
    cuts = sorted(c for c in found_cuts if not _inside(c, spans))
    found, at = [], 0
    for start, end in [*cuts, (len(sentence), len(sentence))]:
        for text in _led_in(sentence[at:start].strip(), lexicon, language):
            found.append(Clause(text, sentence.index(text, at), lexicon, language, unit))
        at = end
    every = [n for c in found for n in c.numbers]
    for clause in found:
        clause.twice = tuple(n for n in clause.numbers if any(_same_in_feet(n, m) for m in every))
    return found


def _without_stops(sentence: str, lexicon: Lexicon, numbers_at: Sequence[int]) -> list[tuple[int, int]]:
    """Where a new thing is named in a sentence without stops: after a length or a place, and not as part of one
    ("... in the garage the water main is ...")."""
    cuts = []
    for earlier, later in pairwise(lexicon.mentions(sentence)):
        between = sentence[earlier.end : later.start]
        lead = _LEAD.search(between)
        told = any(earlier.end <= n < later.start for n in numbers_at) or PREPOSITION.search(
            between[: lead.start()] if lead else ""
        )
        if (
            lead
            and told
            and not _HANGS_ON.search(between[: lead.start()])
            and not re.search(r"[,;:()/]", between)
        ):
            at = earlier.end + lead.start()
            cuts.append((at, at + 1))
    return cuts


def _led_in(text: str, lexicon: Lexicon, language: str) -> list[str]:
    """A clause, cut at a colon that leads in what follows ("all in one place: the boiler"), not at a name's."""
    before, _, after = text.partition(": ")
    if not after:
        return [text] if text else []
    named = any(m.start < len(before) for m in lexicon.mentions(text)) or re.search(r"\d", before)
    about = Clause(before, 0, lexicon, language).has(C.WINDOW, C.DOOR, C.ROOM_WORD, C.ACROSS, C.UP)
    if named or about or _SIDE.fullmatch(before):
        return [text]
    return [p for p in (before.strip(), after.strip()) if p]


def _inside(cut: tuple[int, int], spans: Iterable[tuple[int, int]]) -> bool:
    return any(start < cut[1] - 0 and end > cut[0] for start, end in spans)
