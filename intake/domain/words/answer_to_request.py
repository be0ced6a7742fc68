"""What a customer's reply says to one numbered request of our letter."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from intake.domain.lengths.notation import AGREE_MM, parse_length
from intake.domain.words.calls import slipped
from intake.domain.words.clause import Clause, Length, not_said_twice
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import OUR_WORDS, PREPOSITION, in_another_room
from intake.domain.words.fitting import ANOTHER_END, OF_THE_TAPE, TO_ANOTHER, beside_the_ceiling, in_one_unit
from intake.domain.words.numbers import Reading, every_reading, reading_of
from intake.domain.words.of_a_number import (
    WHERE_IT_STANDS,
    by_another_hand,
    in_inches,
    of_another_thing,
    picked_first,
)
from intake.domain.words.of_an_opening import answer_about_an_opening
from intake.domain.words.of_what_it_measures import answer_what_it_measures
from intake.domain.words.places_in_order import places_in_order
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.turns import (
    BY_DIGIT,
    CONFIRMED,
    GUESSED,
    MAYBE,
    NO,
    NONE_AT_ALL,
    NOT_QUITE,
    OKAY,
    ONE_WINDOW,
    PICKED,
    PLACED,
    REST,
    SHOULD,
    SPOT,
    YES,
    chosen_by_digit,
    first_digit,
    lettered,
    read_out,
)
from intake.domain.words.weighing import (
    ANOTHER_UNIT,
    CHANGING,
    ELSEWHERE,
    HEARSAY,
    NOT_ALL_KNOWN,
    NOT_PLAIN,
    TWO_FOR_ONE,
    UNCERTAIN,
    bare_beside_inches,
    concedes,
    in_doubt,
    no_longer,
    refused_at_once,
    said_otherwise_again,
    unsteady,
)
from intake.model.checklist import Checklist, ChecklistItem, EvidenceKind
from intake.model.letter import Ask
from intake.model.word import Statement, StatementKind

A_DIGIT = 10
"""Below it a bare number may be a digit of the handwriting and not the whole length."""
OF_ITS_SIZE = (0.4, 2.5)
"""Between these parts of an offered length a number is of its size, and not a request's number; common practice, no
source."""
_FIRST_FIELD = re.compile(r"[,;(:]|\s-\s")
_ROUGHLY = re.compile(r"~\s?\d|\d\s?ish\b|\d\s+(?:or|oder)\s+\d")
_BY_SIDES = re.compile(r"\b(?:left|right|links|rechts)\b", re.I)


class AnswerReader:
    """What the sentences of one part of a reply say to the request that it answers."""

    def __init__(self, ask: Ask, checklist: Checklist) -> None:
        self.ask = ask
        self.items = [i for i in (checklist.item(item_id) for item_id in ask.items) if i is not None]
        self.choices = [v for c in ask.choices if (v := parse_length(c, "cm")) is not None]

    def read(self, reader: SentenceReader, found: Sequence[Statement]) -> list[Statement]:
        """What a sentence says; `found` is what it says by itself, the names of things in it taken literally."""
        if self.ask.opening is not None:
            return answer_about_an_opening(reader, self.items)
        if self.ask.measures:
            return answer_what_it_measures(reader, self.items)
        named = [s for s in found if s.item in self.ask.items and s.kind is not StatementKind.SAID]
        if len(self.items) > 1 and (ordered := self._in_order_but(reader, named)):
            return ordered
        if (
            len(self.items) > 1
            and (placed := places_in_order(reader, self.items))
            and len(placed) > len(named)
        ):
            sure = {s.item: s for s in named if not s.doubt}
            return [sure.get(s.item, s) for s in placed]
        if named or not self.items:
            return named
        whole = reader.whole
        if OUR_WORDS.match(whole.text):
            return []
        anew = bool(self._after_taking_back(reader)) or any(
            (c.has(C.CORRECTION) or SHOULD.search(c.text)) and c.lengths for c in reader.clauses
        )
        anew = anew or (
            bool(whole.denied) and any(c.lengths and not c.has(C.TAKEN_BACK) for c in reader.clauses)
        )
        if whole.has(C.ANOTHER_HOME) or (whole.has(C.TAKEN_BACK) and not NO.match(whole.text) and not anew):
            return []
        figures = {
            v.number.figure for c in reader.clauses if not OF_THE_TAPE.search(c.text) for v in c.lengths
        }
        first = reader.clauses[0] if reader.clauses else whole
        right = CONFIRMED.fullmatch(first.text) or (None if first.has(C.LATER) else YES.match(whole.text))
        if len(self.choices) == 1 and not figures and right and whole.has(C.LATER):
            # "Yes that's right, the rest will follow."
            return self._picked(SentenceReader(right[0], reader.lexicon, whole.language), self.items[0])
        if whole.has(C.COULD_NOT) and (not figures or (self.ask.number is not None and len(figures) > 1)):
            return [Statement(i.id, StatementKind.COULD_NOT, whole.text) for i in self.items]
        if len(self.items) > 1:
            return self._in_order(reader)
        return self._one(reader, self.items[0])

    def _one(self, reader: SentenceReader, item: ChecklistItem) -> list[Statement]:
        lengths = self._meant(reader) if item.range_mm or self.ask.number is not None else []
        if not lengths:
            return self._picked(reader, item) or self._in_words(reader, item)
        doubt = self._doubt(reader)
        reads = [self._reading(v, item) for v in lengths]
        values = list(dict.fromkeys(v for r in reads for v in r.values_mm))
        if not doubt and (len(values) > 1 and not self._several(item, reads)):
            doubt = TWO_FOR_ONE
        digit = any(not (v.number.unit or v.number.places) and v.number.figure < A_DIGIT for v in lengths)
        if not doubt and digit and not set(values) & set(self.choices):
            doubt = "doubt-a-digit"
        if not doubt and self.ask.number is not None and not all(map(self._near, values)):
            doubt = "doubt-far-from-read"
        if not doubt and not all(r.usual for r in reads):
            doubt = "doubt-unusual"
        kind = StatementKind.DOUBTFUL if doubt else StatementKind.VALUE
        said = [Statement(item.id, kind, reader.text, v, doubt=doubt) for v in values]
        others = beside_the_ceiling(reader.clauses) if item.one_value and not self.choices else set[int]()
        return [in_doubt(s, NOT_PLAIN) if s.value_mm in others and not doubt else s for s in said]

    def _reading(self, value: Length, item: ChecklistItem) -> Reading:
        near = self.choices if self.ask.number is not None or len(self.choices) > 1 else ()
        read = reading_of(value.number, item.range_mm, near)
        return read if read.usual or not near else reading_of(value.number, item.range_mm)

    def _near(self, value: int) -> bool:
        """Whether a length is of the size of one that was offered; "3" beside 386.5 may be a request's number."""
        return not self.choices or any(
            OF_ITS_SIZE[0] * c <= value <= OF_ITS_SIZE[1] * c for c in self.choices
        )

    def _several(self, item: ChecklistItem, reads: Sequence[Reading]) -> bool:
        """Several heights of a ceiling are all kept; of anything else two lengths are two meanings."""
        return item.one_value and not self.choices and all(len(r.values_mm) == 1 for r in reads)

    def _meant(self, reader: SentenceReader) -> list[Length]:
        """The lengths that are said to the request: not those of other things; after a correction what follows."""
        plain_ones = [c for c in reader.clauses if self._names(c) or not _of_other_things(c, reader)]
        plain_ones = self._after_taking_back(reader) or plain_ones
        marked = [
            n
            for n, c in enumerate(plain_ones)
            if c.has(C.CORRECTION) and any(later.lengths for later in plain_ones[n:])
        ]
        clauses = plain_ones[marked[-1] :] if marked else plain_ones
        here = [c for c in clauses if not in_another_room(c.text, reader.lexicon.room)]
        clauses = here if any(c.lengths for c in here) else clauses
        refused = refused_at_once(reader.clauses)
        return not_said_twice(
            [v for c in clauses for v in c.lengths if self._is_told(v) and v not in refused]
        )

    def _is_told(self, value: Length) -> bool:
        ceiling = (
            value.over and "ceiling-height" in self.ask.items and self._reading(value, self.items[0]).usual
        )
        return (not value.apart or ceiling) and self._runs_right(value)

    def _after_taking_back(self, reader: SentenceReader) -> list[Clause]:
        """The clauses after the last that takes something back, where one of them gives a length."""
        back = [n for n, c in enumerate(reader.clauses) if c.has(C.TAKEN_BACK)]
        later = reader.clauses[back[-1] + 1 :] if back else []
        return later if any(c.lengths for c in later) else []

    def _names(self, clause: Clause) -> bool:
        return any(i in self.ask.items for m in clause.mentions for i in m.items)

    def _runs_right(self, value: Length) -> bool:
        heights = {"ceiling-height", "sill-height", "head-height"}.intersection(self.ask.items)
        return not (value.across and heights) and not (value.up and "reveal-depth" in self.ask.items)

    def _doubt(self, reader: SentenceReader) -> str:
        whole = reader.whole
        refused = bool(NO.match(whole.text) or NOT_QUITE.match(whole.text)) or whole.has(C.TAKEN_BACK)
        lengths = whole.lengths
        hedges = [w for w in whole.where(C.HEDGE) if not SHOULD.fullmatch(whole.text[w.start : w.end])]
        if refused or whole.denied:
            hedges = [w for w in hedges if whole.text[w.start : w.end] != "?"]
        offered = [v for v in lengths if set(self._reading(v, self.items[0]).values_mm) & set(self.choices)]
        in_its_place = self.ask.number is not None and not offered
        unsure = bool(hedges) or (whole.has(C.HEDGE) and not (refused or whole.denied or in_its_place))
        if unsure or reader.asked or unsteady(whole) or _ROUGHLY.search(whole.text):
            return UNCERTAIN
        if whole.has(C.COULD_NOT) and not (REST.search(whole.text) or whole.has(C.LATER, C.PICTURE)):
            return "doubt-could-not-properly"
        if concedes(whole, reader.clauses):
            return "doubt-limited"
        if no_longer(whole):
            return CHANGING
        if said_otherwise_again(whole) or self._other_than_picked(whole) or by_another_hand(whole, self.ask):
            return TWO_FOR_ONE
        if in_inches(lengths, self.ask):
            return ANOTHER_UNIT
        told = [c.text for c in reader.clauses if c.lengths]
        if told and all(in_another_room(text, reader.lexicon.room) for text in told):
            return ELSEWHERE
        if TO_ANOTHER.search(whole.text):
            return ANOTHER_END
        if whole.has(C.HEARSAY):
            return HEARSAY
        if whole.has(C.CHANGE) or (whole.has(C.DISPUTE) and not slipped(whole)):
            return "doubt-change-or-wrong"
        if any(c.has(C.DIFFERENCE) for c in reader.clauses if c.lengths):
            return "doubt-difference"
        if len(self.choices) == 1 and (
            (refused and offered) or (YES.match(whole.text) and len(offered) < len(lengths))
        ):
            return "doubt-yes-or-no-and-more"
        if self.ask.number is not None and of_another_thing(reader.clauses, self.ask):
            return WHERE_IT_STANDS
        return NOT_ALL_KNOWN if any(c.unknown for c in reader.clauses if c.lengths) else ""

    def _other_than_picked(self, whole: Clause) -> bool:
        """ "Option 2 (I measured 84)"."""
        said = {v for n in whole.lengths for v in every_reading(n.number)}
        picked = PICKED.match(_FIRST_FIELD.split(whole.text)[0]) if len(self.choices) > 1 else None
        chosen = self._of(picked) if picked else None
        return chosen is not None and parse_length(chosen, "cm") not in said

    def _picked(self, reader: SentenceReader, item: ChecklistItem) -> list[Statement]:
        """ "Yes" to the only choice, "the second" of several; a yes with more beside it is doubtful."""
        text, choices = reader.whole.text, self.ask.choices
        chosen = None
        maybe = bool(MAYBE.match(text))
        if len(choices) == 1 and (maybe or YES.match(text) or OKAY.match(text)):
            chosen = choices[0]
        elif len(choices) > 1 and (match := PICKED.match(text) or picked_first(reader.clauses)):
            chosen = self._of(match)
        elif len(choices) > 1 and (match := BY_DIGIT.match(text)):
            chosen = chosen_by_digit(match, choices)
        elif len(choices) > 1 and (digit := first_digit(text)):
            begun = [c for c in choices if c.startswith(digit)]
            chosen = begun[0] if len(begun) == 1 else None
        elif figures := read_out(text):
            chosen = next((c for c in choices if re.sub(r"\D", "", c) == figures), None)
        if chosen is None:
            return []
        words = reader.whole
        doubt = UNCERTAIN if maybe or words.has(C.HEDGE) or reader.asked else ""
        if (
            not doubt
            and words.has(C.NEGATION, C.CHANGE, C.DISPUTE, C.HEARSAY, C.DIFFERENCE)
            and not (PICKED.match(text) or BY_DIGIT.match(text))
        ):
            doubt = "doubt-yes-and-more"
        if not doubt and any(c.unknown or c.mentions for c in reader.clauses):
            doubt = NOT_ALL_KNOWN
        kind = StatementKind.DOUBTFUL if doubt else StatementKind.VALUE
        return [Statement(item.id, kind, reader.text, parse_length(chosen, "cm"), doubt=doubt)]

    def _of(self, match: re.Match[str]) -> str | None:
        choices = self.ask.choices
        if match["first"] or match["last"]:
            return (
                choices[0]
                if match["first"]
                else choices[-1]
                if len(choices) == 2 or match["last"] == "last"
                else choices[1]
            )
        ranked = sorted(choices, key=lambda c: parse_length(c, "cm") or 0)
        return (ranked[0] if match["small"] else ranked[-1]) if len(self.choices) == len(choices) else None

    def _in_order(self, reader: SentenceReader) -> list[Statement]:
        """ "103.5, 108, 12" to an ask for three lengths, in the order that it named them, or by its letters."""
        lengths = [v for c in reader.clauses for v in c.lengths]
        ranged = [i for i in self.items if i.range_mm]
        if not ranged or not lengths:
            return []
        if whole_names := [i for m in reader.whole.mentions for i in m.items if i in self.ask.items]:
            in_order = [i.id for i in ranged if i.id in whole_names]
            if whole_names != in_order:
                return [self._each(ranged[0], lengths[0], reader.text, "doubt-orders-differ")]
        letters = lettered(reader.whole.text)
        if letters and (found := self._by_letters(reader, letters, ranged)):
            return found
        doubt = self._doubt(reader) if not letters else UNCERTAIN if reader.whole.has(C.HEDGE) else ""
        if len(lengths) != len(ranged):
            return [
                Statement(
                    ranged[0].id,
                    StatementKind.DOUBTFUL,
                    reader.text,
                    v,
                    doubt="doubt-miscounted",
                )
                for v in self._reading(lengths[0], ranged[0]).values_mm[:1]
            ]
        if not doubt and (ONE_WINDOW.search(reader.text) or _BY_SIDES.search(reader.text)):
            doubt = "doubt-one-of-several"
        found = [self._each(i, v, reader.text, doubt) for i, v in zip(ranged, lengths, strict=True)]
        return found if in_one_unit(found, lengths) else [in_doubt(s, "doubt-orders-differ") for s in found]

    def _in_order_but(self, reader: SentenceReader, named: Sequence[Statement]) -> list[Statement]:
        """ "Sill 104 then 210 then 12", only the first being named; "1.04, 2.10 and I couldn't do the recess"."""
        whole, ranged = reader.whole, [i for i in self.items if i.range_mm]
        lengths = [v for c in reader.clauses for v in c.lengths]
        names = [i for m in whole.mentions for i in m.items if i in self.ask.items]
        missing = {s.item for s in named if s.kind is StatementKind.COULD_NOT}
        left, ids = [i for i in ranged if i.id not in missing], [i.id for i in ranged]
        placed = not missing and PREPOSITION.search(whole.text)  # "sill 104 then 108 by the sink"
        turned = placed or whole.denied or whole.has(C.HEDGE, C.TAKEN_BACK, C.CORRECTION, C.HEARSAY, C.CHANGE)
        in_order = [*missing] == names == ids[-1:] if missing else names == ids[:1]
        if turned or not in_order or not 1 < len(left) == len(lengths):
            return []
        found = [self._each(i, v, reader.text, "") for i, v in zip(left, lengths, strict=True)]
        apart = abs((found[0].value_mm or 0) - (found[1].value_mm or 0)) > AGREE_MM  # not two sills
        plain = apart and all(s.kind is StatementKind.VALUE for s in found) and in_one_unit(found, lengths)
        return [*found, *(s for s in named if s.item in missing)] if plain else []

    def _by_letters(
        self, reader: SentenceReader, letters: Mapping[str, int], ranged: Sequence[ChecklistItem]
    ) -> list[Statement]:
        """ "a 105 c 12": each length is the next after its letter, whichever of them were given."""
        found, starts = [], sorted(letters.values())
        in_inches_too = bare_beside_inches(reader.whole)
        doubt = UNCERTAIN if reader.whole.has(C.HEDGE) else ""
        for letter, start in letters.items():
            end = next((s for s in starts if s > start), len(reader.whole.text))
            given = [v for v in reader.whole.lengths if start <= v.start < end]
            at = "abc".index(letter)
            if len(given) != 1 or at >= len(ranged):
                return []
            said = self._each(ranged[at], given[0], reader.text, doubt)
            found.append(in_doubt(said, ANOTHER_UNIT) if said.value_mm in in_inches_too else said)
        return found

    def _each(self, item: ChecklistItem, value: Length, text: str, doubt: str) -> Statement:
        read = reading_of(value.number, item.range_mm)
        if not doubt and (not read.usual or len(read.values_mm) != 1):
            doubt = "doubt-unusual"
        kind = StatementKind.DOUBTFUL if doubt or not read.values_mm else StatementKind.VALUE
        return Statement(item.id, kind, text, read.values_mm[0] if read.values_mm else None, doubt=doubt)

    def _in_words(self, reader: SentenceReader, item: ChecklistItem) -> list[Statement]:
        text = reader.text
        if item.may_be_absent and NONE_AT_ALL.match(reader.whole.text):
            return [Statement(item.id, StatementKind.ABSENCE, text)]
        if EvidenceKind.WORDS not in item.evidence or item.range_mm or reader.asked or reader.whole.lengths:
            return []
        hedged = reader.whole.has(C.HEDGE, C.HEARSAY, C.CHANGE)
        placed = [
            c
            for c in reader.clauses
            if (PLACED.match(GUESSED.sub("", c.text)) or SPOT.match(c.text))
            and not c.has(C.PICTURE, C.NEGATION)
        ]
        none = item.may_be_absent and any(NONE_AT_ALL.match(c.text) for c in reader.clauses)
        if none and not placed and not hedged:
            return [Statement(item.id, StatementKind.ABSENCE, text)]
        if placed and not none:
            placed_there = Statement(item.id, StatementKind.PLACE, text)
            return [in_doubt(placed_there, "doubt-not-certain-where") if hedged else placed_there]
        if item.evidence == (EvidenceKind.WORDS,) and not _courtesy(reader):
            kind = StatementKind.DOUBTFUL if hedged else StatementKind.SAID
            return [Statement(item.id, kind, text)]
        return []


def _of_other_things(clause: Clause, reader: SentenceReader) -> bool:
    """Whether a clause names a thing that may have a length or a place of its own."""
    return any(reader.item(i).evidence != (EvidenceKind.WORDS,) for m in clause.mentions for i in m.items)


def _courtesy(reader: SentenceReader) -> bool:
    return all(w.concepts & {C.ASIDE} for w in reader.whole.words)
