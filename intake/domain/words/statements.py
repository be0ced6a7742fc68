"""What a customer's own typed words say of the items of a checklist.

A negation, "couldn't measure" or a question never counts as a value, nor does a promise; a guess is doubtful.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from intake.domain.words.cues import (
    ASIDE,
    COULD_NOT,
    HEDGE,
    INTERROGATIVE,
    NOT_EXACT,
    TAKEN_BACK,
    Length,
    clauses,
    elsewhere,
    is_question,
    lengths,
    sentences,
)
from intake.domain.words.lexicon import (
    ARE,
    BARE_NAME,
    IT_IS,
    NONE_BEFORE,
    PLACE_AFTER,
    PLACE_BEFORE,
    ROOM_ONLY,
    UNSURE,
    Lexicon,
    Mention,
    says_none,
)
from intake.model.checklist import Checklist, Statement, StatementKind
from intake.model.reading import Role

_ACROSS_WORDS = re.compile(r"^\s?(?:deep|wide|long|thick|across|width|length)\b", re.I)
_UP_WORDS = re.compile(r"^\s?(?:high|tall|wide|long|across)\b", re.I)
_WORKTOP = re.compile(r"\b(?:work ?tops?|work ?surfaces?|counter(?:top)?s?)\b", re.I)
_FROM_WORKTOP = re.compile(
    r"\bwork\w*(?: ?tops?)? (?:up )?to\b|\b(?:above|from|over) (?:the )?(?:work|counter)", re.I
)
_WORKTOP_MM = (860, 950)
"""Common practice, no source."""
_HEIGHTS = {Role.CEILING, Role.SILL, Role.HEAD}


def statements(text: str, checklist: Checklist, message: str = "") -> tuple[Statement, ...]:
    """What `text` says of the items of `checklist`, in order, each once. Bare numbers are centimetres.

    `message` is the key of the message it stands in. Lines quoted with ">" or standing under "On ... wrote:" do not
    count.
    """
    lexicon = Lexicon(checklist)
    found = (s for sentence in sentences(text) for s in _Sentence(sentence, lexicon).statements())
    return tuple(dict.fromkeys(replace(s, message=message) for s in found))


class _Sentence:
    """One sentence on its way through its clauses; `_open` are the items named but not yet spoken of."""

    def __init__(self, sentence: str, lexicon: Lexicon) -> None:
        self._text = sentence
        self._items = lexicon.items
        self._lexicon = lexicon
        self._found: list[Statement] = []
        self._open: list[str] = []
        self._last: list[str] = []
        self._thing: list[str] = []
        self._unplaced: list[str] = []
        self._could_not = False
        self._elsewhere = False

    def statements(self) -> list[Statement]:
        if (sill := self._two_part_sill()) is not None:
            return [sill]
        if (listed := self._listed()) is not None:
            return listed
        asked = is_question(self._text)
        parts = clauses(self._text)
        if asked and len(parts) > 1 and ASIDE.match(parts[-1]) and not INTERROGATIVE.match(parts[0]):
            parts, asked = parts[:-1], False
        for clause in parts:
            self._clause(clause, asked)
        return self._found

    def _clause(self, clause: str, asked: bool) -> None:
        mentions = self._lexicon.mentions(clause)
        values = lengths(clause)
        if asked:
            self._question(clause, mentions, values)
            return
        if cue := _cue(clause, mentions):
            self._not_measured(clause, mentions, values, cue)
            return
        if it := IT_IS.match(clause):
            for item in self._thing:
                self._where(item, clause, "", clause[it.end() :])
        if mentions:
            self._told(clause, mentions, values)
        elif values:
            self._bare(clause, values)
        elif elsewhere(clause, self._lexicon.room):
            self._elsewhere = True
        if TAKEN_BACK.search(clause):
            self._weaken("they take it back")

    def _question(self, clause: str, mentions: Sequence[Mention], values: Sequence[Length]) -> None:
        named = [i for m in mentions if not m.absent for i in m.items] or (self._last if values else [])
        self._last = named
        for item in named if values else ():
            if self._items[item].range_mm:
                self._add(item, StatementKind.DOUBTFUL, values[0].value_mm, "it is asked, not told")

    def _not_measured(
        self, clause: str, mentions: Sequence[Mention], values: Sequence[Length], cue: re.Match[str]
    ) -> None:
        """Before the last length that precedes the cue all is told; the rest could not be measured."""
        told_to = max((v.end for v in values if v.end <= cue.start()), default=0)
        earlier = [m for m in mentions if m.end <= told_to]
        if earlier:
            self._told(clause[:told_to], earlier, [v for v in values if v.end <= told_to])
        named = self._open + [i for m in mentions if m.start >= told_to and not m.absent for i in m.items]
        for item in named:
            self._add(item, StatementKind.COULD_NOT)
        if not named and self._found and NOT_EXACT.search(clause[cue.start() :]):
            self._weaken("they say that they could not measure it properly")
        self._open, self._last, self._could_not = [], named, True
        self._thing = self._placeable(mentions)

    def _told(self, clause: str, mentions: Sequence[Mention], values: Sequence[Length]) -> None:
        usable = [v for v in values if any(self._fits(i, clause, v) for m in mentions for i in m.items)]
        if usable:
            self._could_not = False
            self._values(clause, mentions, usable)
        for mention in mentions:
            for item in mention.items:
                self._in_words(item, clause, mention)
        ranged = [i for m in mentions if not m.absent for i in m.items if self._items[i].range_mm]
        self._last = ranged or self._last
        self._thing = self._placeable(mentions)
        if BARE_NAME.fullmatch(clause) and self._thing not in ([s.item] for s in self._found):
            self._unplaced += self._thing
        if not usable:
            self._leave_open(ranged)

    def _leave_open(self, ranged: list[str]) -> None:
        """ "I couldn't measure the ceiling and the sill": a bare noun after such a clause shares its fate."""
        if self._could_not:
            for item in ranged:
                self._add(item, StatementKind.COULD_NOT)
        else:
            self._open += ranged

    def _values(self, clause: str, mentions: Sequence[Mention], values: Sequence[Length]) -> None:
        events: list[Mention | Length] = sorted([*mentions, *values], key=lambda e: e.start)
        if isinstance(events[0], Length) and not self._open:
            if len(mentions) == len(values):
                for mention, value in zip(mentions, values, strict=True):
                    self._value(mention.items[0], clause, value)
                return
            events = [e for e in events if isinstance(e, Mention)] + [
                e for e in events if isinstance(e, Length)
            ]
        named, fresh = list(self._open), True
        self._open = []
        for event in events:
            if isinstance(event, Mention):
                named = named + list(event.items) if fresh else list(event.items)
                fresh = True
            elif named:
                self._assign(named, clause, event)
                fresh = False

    def _assign(self, named: list[str], clause: str, value: Length) -> None:
        """One length after several items belongs to none of them for certain ("from sill to ceiling 132")."""
        if len(set(named)) == 1:
            self._value(named[0], clause, value)
        elif self._fits(named[-1], clause, value):
            self._add(
                named[-1], StatementKind.DOUBTFUL, value.value_mm, "one length is given for several things"
            )

    def _value(self, item: str, clause: str, value: Length) -> None:
        if not self._fits(item, clause, value):
            return
        if value.value_mm is None:
            self._add(item, StatementKind.DOUBTFUL, None, f"“{value.text}” is no length that a tape shows")
        elif HEDGE.search(clause):
            self._add(item, StatementKind.DOUBTFUL, value.value_mm, "they are not certain of it")
        elif self._elsewhere or elsewhere(clause, self._lexicon.room):
            self._add(item, StatementKind.DOUBTFUL, value.value_mm, "it may be meant of another room")
        else:
            self._add(item, StatementKind.VALUE, value.value_mm)

    def _bare(self, clause: str, values: Sequence[Length]) -> None:
        """A length without a name is of what was named last: "236 at one end, 234.5 at the other"."""
        named = self._open or self._last
        if len(set(named)) != 1:
            return
        leads = not re.search(r"[a-z]{3,}", IT_IS.sub("", clause[: values[0].start]), re.I)
        for value in values:
            if leads and not self._could_not:
                self._value(named[0], clause, value)
            elif self._fits(named[0], clause, value):
                self._add(
                    named[0], StatementKind.DOUBTFUL, value.value_mm, "it is not plain what this length is of"
                )
        self._open = []

    def _in_words(self, item_id: str, clause: str, mention: Mention) -> None:
        """Absence and place, and for items that words alone answer, anything said."""
        item = self._items[item_id]
        before, after = clause[: mention.start], clause[mention.end :]
        hedged = bool(HEDGE.search(clause))
        if item.may_be_absent and says_none(mention, before, after):
            unsure = hedged or bool(UNSURE.search(after) or ROOM_ONLY.match(after))
            kind = StatementKind.DOUBTFUL if unsure else StatementKind.ABSENCE
            self._add(item_id, kind, doubt="it may not be meant of the whole house" if unsure else "")
        elif mention.absent or self._where(item_id, clause, before, after):
            return
        elif item.evidence == ("words",) and not item.range_mm:
            kind = StatementKind.DOUBTFUL if hedged else StatementKind.SAID
            self._add(item_id, kind, doubt="it is a guess" if hedged else "")

    def _where(self, item_id: str, clause: str, before: str, after: str) -> bool:
        """A place, where the words round a name give one."""
        item = self._items[item_id]
        after_it = PLACE_AFTER.match(after)
        if item.range_mm or "words" not in item.evidence or not (after_it or PLACE_BEFORE.search(before)):
            return False
        unsure = bool(HEDGE.search(clause)) or bool(after_it and after_it["not"])
        kind = StatementKind.DOUBTFUL if unsure else StatementKind.PLACE
        for item in (*(self._unplaced if ARE.match(after) else ()), item_id):
            self._add(item, kind, doubt="it does not say for certain where it is" if unsure else "")
        self._unplaced = []
        return True

    def _placeable(self, mentions: Sequence[Mention]) -> list[str]:
        """The last things named whose place the customer may go on to tell ("... but it is under the stairs")."""
        named = [i for m in mentions if not m.absent for i in m.items]
        return [i for i in named if not self._items[i].range_mm and "words" in self._items[i].evidence][-1:]

    def _fits(self, item_id: str, clause: str, value: Length) -> bool:
        """False where the length cannot be this item's: it has none, or the word after says width for a height."""
        item, after = self._items[item_id], clause[value.end :]
        if not item.range_mm:
            return False
        if _HEIGHTS.intersection(item.roles):
            return not _ACROSS_WORDS.match(after)
        return not (Role.REVEAL in item.roles and _UP_WORDS.match(after))

    def _two_part_sill(self) -> Statement | None:
        """A sill over a worktop: floor to worktop plus worktop to sill, both readings kept in the text."""
        sill = next((i for i in self._items.values() if Role.SILL in i.roles), None)
        if sill is None or not _WORKTOP.search(self._text):
            return None
        if not any(sill.id in m.items for m in self._lexicon.mentions(self._text)) or is_question(self._text):
            return None
        values = [v.value_mm for v in lengths(self._text) if v.value_mm is not None]
        low, high = _WORKTOP_MM
        if COULD_NOT.search(self._text) or HEDGE.search(self._text) or not values:
            return None
        if len(values) == 2 and low <= values[0] <= high and values[1] < 500:
            return Statement(sill.id, StatementKind.VALUE, self._text, values[0] + values[1])
        if re.search(
            r"\bwork\w*(?: ?tops?)? (?:up )?to\b|\b(?:above|from|over) (?:the )?(?:work|counter)",
            self._text,
            re.I,
        ):
            return Statement(
                sill.id,
                StatementKind.DOUBTFUL,
                self._text,
                values[-1],
                doubt="it may be measured from the worktop, not the floor",
            )
        return None

    def _listed(self) -> list[Statement] | None:
        """ "Ceiling and sill are 236 and 103.5": as many lengths as names, all names first."""
        mentions = [
            m for m in self._lexicon.mentions(self._text) if not m.absent and self._items[m.items[0]].range_mm
        ]
        values = lengths(self._text)
        if len(mentions) < 2 or len(mentions) != len(values) or mentions[-1].end > values[0].start:
            return None
        if HEDGE.search(self._text) or COULD_NOT.search(self._text) or is_question(self._text):
            return None
        for mention, value in zip(mentions, values, strict=True):
            self._value(mention.items[0], self._text, value)
        return self._found

    def _add(self, item: str, kind: StatementKind, value_mm: int | None = None, doubt: str = "") -> None:
        self._found.append(Statement(item, kind, self._text, value_mm, doubt=doubt))

    def _weaken(self, doubt: str) -> None:
        self._found = [
            replace(s, kind=StatementKind.DOUBTFUL, doubt=doubt) if s.kind is StatementKind.VALUE else s
            for s in self._found
        ]


def _cue(clause: str, mentions: Iterable[Mention]) -> re.Match[str] | None:
    """The words that say "could not" or "later", unless they are those of an absence ("haven't got gas") or of having
    forgotten to say what follows."""
    cue = COULD_NOT.search(clause)
    if cue and cue[0].lower().startswith("forgot") and lengths(clause[cue.end() :]):
        return None
    if cue and any(NONE_BEFORE.search(clause[: m.start]) for m in mentions):
        return None
    return cue
