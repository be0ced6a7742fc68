"""What a sentence says of things in words: that there is none, where it is, or anything at all of what words answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import PREPOSITION, in_another_room
from intake.domain.words.lexicon import (
    ARE,
    BARE_NAME,
    IT_IS,
    NONE_BEFORE,
    PLACE_AFTER,
    PLACE_BEFORE,
    ROOM_ONLY,
    SPOTS,
    UNSURE,
    Mention,
    none_after,
    says_none,
)
from intake.domain.words.weighing import NOT_ALL_KNOWN, in_doubt
from intake.model.checklist import ChecklistItem, EvidenceKind
from intake.model.word import Statement, StatementKind

_STANDS = re.compile(
    r"^\W*(?:stands?|hangs?|sits?|lives?|is|are|ist|steht|hängt|sitzt|(?:is )?(?:located|situated))\s+", re.I
)
_NAME_AND_SPOT = re.compile(
    rf"\s{{1,4}}(?:(?:in\s)?(?:the\s)?\w+\s)?(?!cupboard\b|outside\b|stairs\b){SPOTS}(?:\s\w+)?\W*", re.I
)
""" "Fuse box hall cupboard"."""
_SPOT = re.compile(rf"^\W*(?:in\s)?(?:the\s|our\s)?(?:\w+\s){{0,2}}{SPOTS}\b", re.I)
_OR = re.compile(r"\s{0,4},?\s{0,4}(?:or|nor|oder|noch)\s{1,4}(?:an?\s|any\s|the\s|eine[nr]?\s)?", re.I)
_OR_ELSE = re.compile(
    r"\b(?:or|oder)\s(?:(?:else|maybe|perhaps|it's|vielleicht)\s)?(?:" + PREPOSITION.pattern + ")", re.I
)
""" "Under the stairs or in the garage"."""
_WAS = re.compile(r"^\s{0,4}(?:was|were|used to|war|waren)\b", re.I)
_THERE_WAS = re.compile(
    r"\b(?:was|were|used to be|used to have|(?<!we've )had|war|hatten)\b(?:\s\w+){0,2}\s*\Z", re.I
)
_LISTED = re.compile(r"^\s{0,4}[:=]")
_TOO = re.compile(r"^\s{0,4}(?:too|also|as well|likewise|ebenfalls|auch)\W{0,9}$", re.I)
_TO_SAY = re.compile(r"\s{1,4}to\s{1,4}(?:say|mention|tell|add|write|put|include|note|give)\b", re.I)
_THERE = re.compile(r"\b(?:that|this|there)(?:'s| is)? where\s*(?:the|our|my)?\s*$", re.I)
_NEITHER_NOR = re.compile(r"\b(?:neither|nor|weder|noch)\b", re.I)


EXCEPT = re.compile(r"\b(?:apart from|except(?: for)?|other than|bar|außer|bis auf)\b[^.]{0,12}\Z", re.I)
""" "Everything is under the stairs apart from the boiler": all the others are."""
NEEDS_WORK = re.compile(
    r"\b(?:needs?|wants?|could do with|requires?) (?:an? )?(?:\w+ing|fix|repair|replacement|new \w+)\b"
    r"|\bmuss (?:\w+ )?(?:repariert|gemacht|erneuert|gestrichen)\b",
    re.I,
)
""" "Gas meter: front step needs mending": what is said of another thing is no place."""
_LOOKED_FOR = re.compile(
    r"\b(?:look(?:ed|ing)?|search(?:ed|ing)?|hunt(?:ed|ing)?) (?:\w+ )?for\b|\bgesucht\b|\bsuch(?:e|en|te|ten)\b",
    re.I,
)
_FINDS_IT = re.compile(
    r"\b(?:find|see|locate|spot|trace)(?: (?:it|them|one|any|either|that|anywhere|at all))*\W*\Z"
    r"|\b(?:nicht|nirgends|nie)\s(?:gefunden|entdeckt|gesehen)\b",
    re.I,
)
_A_WINDOW = re.compile(r"window|fenster", re.I)
_AT_A_PLACE = re.compile(
    r"\W{0,3}(?:over|above|behind|under|beside|next to|near|opposite|in|on|at|über|hinter|neben|unter|an|am|im)\b",
    re.I,
)
_IN_THE_ROOM = re.compile(
    r"\W{0,3}(?:in|im) (?:(?:the|this|that|our|my|der|dem|dieser|diesem|unserer) )?"
    r"(?:kitchen|bedroom|bathroom|room|here|there|küche|bad|badezimmer|schlafzimmer|raum|zimmer)\b(?! off)",
    re.I,
)


class Things:
    """The things that one sentence names, clause by clause; statements are added to `found`, with the words `text`."""

    def __init__(
        self,
        items: Mapping[str, ChecklistItem],
        clauses: Sequence[Clause],
        text: str,
        found: Callable[[], list[Statement]],
        room: str,
    ) -> None:
        self._items, self._clauses, self._text, self._found = items, clauses, text, found
        self._room = room
        self._last: list[str] = []
        """The thing named last, whose place may be told next."""
        self._unplaced: list[str] = []
        self._alone = ""
        """The item that the clause before named, and nothing else."""
        self._named_as_none: dict[str, str] = {}

    def tell(self, clause: Clause) -> None:
        """Take what a clause says of the things that it names."""
        mentions = clause.mentions
        for at, mention in enumerate(mentions):
            before = len(self._found())
            for item in mention.items:
                self._in_words(item, clause, mention, self._or_before(clause, mentions[:at], mention))
            if any(s.kind is StatementKind.PLACE for s in self._found()[before:]):
                break  # what is named after a place is part of the place
        self.name(mentions)
        bare = BARE_NAME.fullmatch(clause.text)
        alone = bare and len(mentions) == 1 and not clause.has(C.NEGATION)
        self._alone = self._last[0] if alone and self._last else ""
        if bare and self._last not in ([s.item] for s in self._found()):
            self._unplaced += self._last

    def name(self, mentions: Sequence[Mention]) -> None:
        """Keep the last of them whose place the customer may go on to tell ("... but it is under the stairs")."""
        named = [i for m in mentions if not m.absent for i in m.items if not self._items[i].range_mm]
        self._last = [i for i in named if EvidenceKind.PICTURE in self._items[i].evidence][-1:]
        self._alone = ""

    def go_on(self, clause: Clause) -> bool:
        """Take a place that a clause without a name tells of the thing named before; returns whether that is all."""
        if self._placed_next(clause):
            return True
        if it := IT_IS.match(clause.text):
            for item in self._last:
                self._where(item, clause, "", clause.text[it.end() :])
        return False

    def _or_before(self, clause: Clause, earlier: Sequence[Mention], mention: Mention) -> bool:
        """ "No gas or a boiler": what was denied of the name before is denied of this one."""
        if not earlier or not _OR.fullmatch(clause.text[earlier[-1].end : mention.start]):
            return False
        return any(s.kind is StatementKind.ABSENCE and s.item in earlier[-1].items for s in self._found())

    def _in_words(self, item_id: str, clause: Clause, mention: Mention, denied: bool = False) -> None:
        """Absence and place, and for items that words alone answer, anything said."""
        item, text = self._items[item_id], clause.text
        before, after = text[: mention.start], text[mention.end :]
        hedged = clause.has(C.HEDGE)
        if item.may_be_absent and (denied or says_none(mention, before, after)):
            self._named_as_none[item_id] = text[mention.start : mention.end].lower()
            # "No boiler in the kitchen" leaves the rest of the house; a window's sill is of this room alone.
            other = (
                _somewhere_else(text, mention.end, self._room) if item.range_mm else ROOM_ONLY.match(after)
            )
            unsure = hedged or bool(UNSURE.search(after) or other)
            doubt = "doubt-not-the-whole-house" if unsure else NOT_ALL_KNOWN if clause.unknown else ""
            if item.range_mm and not mention.absent:
                doubt = "doubt-perhaps-not-measured"
            if len(clause.where(C.NEGATION)) > 1 and not _NEITHER_NOR.search(text):
                doubt = "doubt-perhaps-denied"
            self._add(item_id, StatementKind.ABSENCE, doubt)
        elif (
            mention.absent
            or self._another_name(item_id, text[mention.start : mention.end])
            or self._where(item_id, clause, before, after)
        ):
            return
        elif item.evidence == (EvidenceKind.WORDS,) and not item.range_mm and not clause.has(C.NEGATION):
            self._add(item_id, StatementKind.SAID, "doubt-guess" if hedged else "")

    def _placed(self) -> bool:
        """Whether the sentence told last where a thing is: "fuses in the garage, boiler too"."""
        return bool(self._found()) and self._found()[-1].kind is StatementKind.PLACE

    def _another_name(self, item_id: str, name: str) -> bool:
        """ "No boiler, the heat pump is outside": another name of what there is none of is another thing."""
        return self._named_as_none.get(item_id, name.lower()) != name.lower()

    def _where(self, item_id: str, clause: Clause, before: str, after: str) -> bool:
        """A place, where the words round a name give one."""
        item = self._items[item_id]
        after_it = PLACE_AFTER.match(after)
        if EXCEPT.search(self._text[: clause.start] + before):
            # "Everything apart from the meter is under the stairs": the place is that of all the others.
            return False
        if _THERE.search(before) and any(
            PREPOSITION.search(c.text) for c in self._clauses if c.start < clause.start
        ):
            self._add(item_id, StatementKind.PLACE)
            return True
        if _TOO.match(after) and EvidenceKind.PICTURE in item.evidence and self._placed():
            self._add(item_id, StatementKind.PLACE)
            return True
        if NEEDS_WORK.search(after) and not PREPOSITION.search(after):
            return False
        spot = _NAME_AND_SPOT.fullmatch(after) and not before.strip(" -*")
        if (
            item.range_mm
            or EvidenceKind.PICTURE not in item.evidence
            or not (spot or after_it or PLACE_BEFORE.search(before))
        ):
            return False
        was = bool(_WAS.match(after) or _THERE_WAS.search(before))
        unsure = clause.has(C.HEDGE, C.NEGATION) or was or bool(after_it and after_it["not"])
        unsure = unsure or bool(_OR_ELSE.search(after))
        for named in (*(self._unplaced if ARE.match(after) or _LISTED.match(after) else ()), item_id):
            self._add(named, StatementKind.PLACE, "doubt-not-certain-where" if unsure else "")
        self._unplaced = []
        return True

    def _placed_next(self, clause: Clause) -> bool:
        """ "Boiler - kitchen, behind the door": a name alone, then a place alone."""
        place = PREPOSITION.match(_STANDS.sub("", clause.text)) or _SPOT.match(clause.text)
        plain = not (
            clause.mentions or clause.lengths or clause.has(C.HEDGE, C.NEGATION, C.PICTURE, C.CHANGE)
        )
        if not (self._alone and place and plain):
            return False
        self._add(self._alone, StatementKind.PLACE)
        self._alone = ""
        return True

    def looked_for(self, clause: Clause) -> list[str]:
        """What was named last before the clause: "I have looked for the meter and cannot find it"."""
        if not _FINDS_IT.search(clause.text):
            return []
        told = {s.item for s in self._found()}
        before = [c for c in self._clauses if c.start < clause.start]
        sought = [c for c in before if _LOOKED_FOR.search(c.text)] or before
        earlier = (m for c in sought for m in c.mentions if not m.absent)
        return [i for m in earlier for i in m.items if i not in told and not self._items[i].range_mm][-1:]

    def _add(self, item: str, kind: StatementKind, doubt: str = "") -> None:
        said = Statement(item, kind, self._text)
        self._found().append(in_doubt(said, doubt) if doubt else said)


def could_not(clause: Clause) -> tuple[int, int] | None:
    """The words that say "could not" or "later", unless they are those of an absence ("haven't got gas"), of having
    forgotten to say what follows, or of where we shall find a thing."""
    for cue in clause.where(C.COULD_NOT):
        words = clause.text[cue.start : cue.end].lower()
        after = clause.text[cue.end :]
        if words.startswith(("forgot", "vergessen")) and (
            _TO_SAY.match(after) or any(v.start >= cue.end for v in clause.lengths)
        ):
            continue
        if any(
            NONE_BEFORE.search(before := clause.text[: m.start])
            or (words.startswith("have") and none_after(m, before, clause.text[m.end :]))  # "gas we have not"
            for m in clause.mentions
        ):
            continue
        return cue.start, cue.end
    return None


def _somewhere_else(text: str, end: int, room: str) -> bool:
    """Whether what is denied up to `end` is of another room, or a window of one place ("over the sink")."""
    place = _AT_A_PLACE.match(text[end:]) and not _IN_THE_ROOM.match(text[end:])
    return in_another_room(text, room) or bool(place and _A_WINDOW.search(text[:end]))
