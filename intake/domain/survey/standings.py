"""Where each item of a job's checklist stands, and why: missing, doubtful, present, confirmed, not applicable."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from intake.domain.lengths.notation import AGREE_MM, format_cm
from intake.domain.sketch.drawn_openings import WAY_IN_TAKEN
from intake.domain.words.spelling import one_slip
from intake.model.checklist import (
    Checklist,
    ChecklistItem,
    EvidenceKind,
    ItemEvidence,
    ItemStanding,
    ItemState,
)
from intake.model.finding import Finding
from intake.model.phrase import Phrase, as_said, phrase
from intake.model.picture import Picture, Subject
from intake.model.reading import ReadNumber, Role, SketchReading
from intake.model.word import Confirmation, Statement, StatementKind

UNREADABLE = frozenset({"shrunk", "too-small-to-read", "blurred", "dark", "damaged"})
"""Verdicts that make a plan no good to read from."""

NO_FAULT = frozenset({"out-of-square", WAY_IN_TAKEN})
"""Findings that describe a room without casting doubt on its measurements."""

_WHICH_ONE = re.compile(
    r"\b(?:left|right|first|second|third|other|front|back|rear|side|middle|big|small|bigger|smaller|larger|wide|narrow"
    r"|long|short|over|above|by|near|beside|behind|opposite|next|north|south|east|west|street|garden|door|[1-9](?:st|nd|rd|th))\b",
    re.IGNORECASE,
)
"""Words by which a sentence says which window or door it is about."""

_WINDOW = re.compile(r"window|fenster", re.I)

LONG_NAME = 7
"""Names of so many letters are told from one another with one letter wrong (set by hand)."""
HEIGHT_FINDINGS = ("height", "head", "sill", "ceiling", "slope")

_TOLD = (StatementKind.VALUE, StatementKind.PLACE, StatementKind.SAID, StatementKind.DOUBTFUL)

Readings = Mapping[str, SketchReading]
"""The readings of a job's plans by the id of their picture."""


@dataclass(frozen=True)
class _Job:
    readings: Readings
    pictures: Sequence[Picture]
    statements: Sequence[Statement]
    findings: Sequence[Finding]
    typed: Mapping[str, Sequence[ItemEvidence]]
    whole: bool
    window: bool = False

    def denied_windows(self, absent: Sequence[Statement]) -> list[Statement]:
        """What of the words says that there is no window, though the plan shows one; no sill is told without words of a
        window ("no recess at the window" is of the recess alone)."""
        sills = {
            s.text for s in self.statements if s.item == "sill-height" and s.kind is StatementKind.ABSENCE
        }
        return [s for s in absent if self.window and s.text in sills and _WINDOW.search(s.text)]

    def said(self, item: ChecklistItem, *kinds: StatementKind) -> list[Statement]:
        return [s for s in self.statements if s.item == item.id and s.kind in kinds]

    def numbers(self, item: ChecklistItem) -> list[tuple[str, int, ReadNumber]]:
        roles = set(item.roles)
        return [
            (p, i, n) for p, r in self.readings.items() for i, n in enumerate(r.numbers) if n.role in roles
        ]

    def shown(self, item: ChecklistItem) -> list[Picture]:
        """The pictures of this item's subjects; of a picture that came several times the best one."""
        best: dict[str, Picture] = {}
        for picture in (p for p in self.pictures if p.subject in item.pictures):
            first = picture.same_as or picture.id
            if first not in best or len(picture.verdicts) < len(best[first].verdicts):
                best[first] = picture
        return list(best.values())


def assess(
    checklist: Checklist,
    readings: Readings,
    pictures: Sequence[Picture],
    statements: Sequence[Statement],
    findings: Sequence[Finding] = (),
    confirmations: Sequence[Confirmation] = (),
    typed: Mapping[str, Sequence[ItemEvidence]] | None = None,
    whole: bool = False,
    window: bool = False,
) -> tuple[ItemStanding, ...]:
    """One standing for each item of `checklist`, in its order.

    `readings` hold only the plans to rely on, by picture id; `statements` are in the order in which they were written;
    `findings` are the room's, from closing it; a later confirmation of an item replaces an earlier one. `typed` is what
    a designer typed, by item (domain/said/typed_room.py); `whole`: it is the whole room and stands in place of the
    numbers on the plan. `window`: the room has one for certain.
    """
    job = _Job(readings, pictures, statements, findings, typed or {}, whole, window)
    confirmed = {c.item: c for c in confirmations}
    return tuple(
        _by_designer(item, confirmed[item.id]) if item.id in confirmed else _standing(item, job)
        for item in checklist.items
    )


def _by_designer(item: ChecklistItem, word: Confirmation) -> ItemStanding:
    note = phrase("noting", note=word.note) if word.note else ""
    said = phrase("marked", by=word.by, state=word.state.value, note=note)
    return ItemStanding(
        item, word.state, (ItemEvidence(EvidenceKind.DESIGNER, said, value_mm=word.value_mm),), said
    )


def _standing(item: ChecklistItem, job: _Job) -> ItemStanding:
    absent = job.said(item, StatementKind.ABSENCE)
    present = [*_numbers(item, job), *_typed(item, job), *_words(item, job), *_pictures(item, job)]
    if absent and not present:
        shown = tuple(ItemEvidence(EvidenceKind.WORDS, as_said(s.text), s.message) for s in absent)
        if denied := job.denied_windows(absent):
            why = phrase("absent-and-there", words=denied[0].text)
            return ItemStanding(item, ItemState.DOUBTFUL, shown, why)
        return ItemStanding(item, ItemState.NOT_APPLICABLE, shown, _written(absent[0]))
    if not present:
        return ItemStanding(item, ItemState.MISSING, (), _why_missing(item, job))
    against = [phrase("absent-and-there", words=s.text) for s in absent]
    counted = _since_settled(item, job, present)
    doubts = (
        against + _doubts(item, counted) + _disagreements(item, counted) + _of_the_whole(item, job, present)
    )
    if doubts:
        return ItemStanding(item, ItemState.DOUBTFUL, tuple(present), doubts[0])
    sound = next((e for e in (*counted, *present) if not e.doubt), present[0])
    return ItemStanding(item, ItemState.PRESENT, tuple(present), sound.text)


def _since_settled(item: ChecklistItem, job: _Job, present: Sequence[ItemEvidence]) -> Sequence[ItemEvidence]:
    """The evidence that still counts once the customer has answered our question about a length, or a designer has
    typed it: that, what the customer wrote after it and, where there may be several such lengths, the doubtful ones on
    the plan."""
    by_designer = [e for e in present if e.kind is EvidenceKind.DESIGNER]
    if by_designer and item.range_mm and not job.whole:
        on_plan = [e for e in present if e.kind is EvidenceKind.NUMBER and e.doubt and not item.one_value]
        return [*on_plan, *by_designer]
    if EvidenceKind.WORDS not in item.evidence:
        return present
    said = job.said(item, *_TOLD)
    settled = max((n for n, s in enumerate(said) if s.settles), default=None)
    if settled is None or not item.range_mm:
        return present
    told = [e for e in present if e.kind is EvidenceKind.WORDS]
    others = [e for e in present if e.kind is EvidenceKind.NUMBER and e.doubt and not item.one_value]
    return [*others, *by_designer, *told[settled:]]


def _doubts(item: ChecklistItem, present: Sequence[ItemEvidence]) -> list[Phrase]:
    """The doubts that count: none where one sound thing is enough, or where a sound length bears the doubtful out."""
    sound = [e for e in present if not e.doubt]
    if sound and not item.range_mm:
        return []
    borne_out = [
        e
        for e in present
        if e.doubt
        and sound
        and (e.kind is EvidenceKind.WORDS or item.one_value)
        and (e.value_mm is None or any(_apart(e, s) <= AGREE_MM for s in sound))
    ]
    return [e.doubt for e in present if e.doubt and e not in borne_out]


def _typed(item: ChecklistItem, job: _Job) -> list[ItemEvidence]:
    return [
        e if e.doubt or e.value_mm is None else replace(e, doubt=_range_doubt(item, e.value_mm, e.text))
        for e in job.typed.get(item.id, ())
    ]


def _numbers(item: ChecklistItem, job: _Job) -> list[ItemEvidence]:
    if EvidenceKind.NUMBER not in item.evidence or (job.whole and item.id in job.typed):
        return []
    return [
        ItemEvidence(
            EvidenceKind.NUMBER,
            phrase("on-the-plan", text=n.text),
            picture=picture,
            number=index,
            value_mm=n.value_mm,
            doubt=_number_doubt(item, n),
        )
        for picture, index, n in job.numbers(item)
    ]


def _number_doubt(item: ChecklistItem, number: ReadNumber) -> Phrase | None:
    if number.value_mm is None:
        return phrase("means-no-length", text=number.text)
    if not number.accepted:
        return phrase("not-certain", text=number.text)
    return _range_doubt(item, number.value_mm, phrase("on-the-plan", text=number.text))


def _range_doubt(item: ChecklistItem, value_mm: int, named: Phrase) -> Phrase | None:
    if item.range_mm is None or item.range_mm[0] <= value_mm <= item.range_mm[1]:
        return None
    low, high = item.range_mm
    return phrase("not-usual", what=named, low=format_cm(low), high=format_cm(high))


def _words(item: ChecklistItem, job: _Job) -> list[ItemEvidence]:
    if EvidenceKind.WORDS not in item.evidence:
        return []
    labels = [
        ItemEvidence(EvidenceKind.WORDS, phrase("stands-on-the-plan", text=word), picture=picture)
        for picture, reading in job.readings.items()
        for word, _ in reading.words
        if _names(word, item)
    ]
    return labels + [
        ItemEvidence(
            EvidenceKind.WORDS,
            _written(s),
            s.message,
            value_mm=s.value_mm,
            doubt=_words_doubt(item, s),
        )
        for s in job.said(item, *_TOLD)
    ]


def _names(label: str, item: ChecklistItem) -> bool:
    """A label on the plan shows where a thing is that can be photographed. Short words are too easily misread to count;
    a long name counts with one letter of its ink misread ("gasneter")."""
    if not item.pictures:
        return False
    plain = "".join(c for c in label.lower() if c.isalpha())
    names = ["".join(c for c in word if c.isalpha()) for word in item.words]
    return len(plain) > 4 and any(
        plain == name or (len(name) >= LONG_NAME and one_slip(plain, name)) for name in names
    )


def _written(said: Statement) -> Phrase:
    return phrase("customer-writes", words=said.text)


def _words_doubt(item: ChecklistItem, said: Statement) -> Phrase | None:
    if said.kind is StatementKind.DOUBTFUL:
        return (
            phrase("customer-writes-but", words=said.text, doubt=phrase(said.doubt))
            if said.doubt
            else _written(said)
        )
    if said.kind is StatementKind.VALUE and said.value_mm is not None:
        return _range_doubt(item, said.value_mm, phrase("quoted", words=said.text))
    return None


def _pictures(item: ChecklistItem, job: _Job) -> list[ItemEvidence]:
    if EvidenceKind.PICTURE not in item.evidence:
        return []
    return [
        ItemEvidence(
            EvidenceKind.PICTURE,
            phrase("picture-shows", name=p.name or phrase("a-picture"), why=p.subject_why),
            p.message,
            p.id,
            doubt=_picture_doubt(item, p),
        )
        for p in job.shown(item)
    ]


def _picture_doubt(item: ChecklistItem, picture: Picture) -> Phrase | None:
    """A plan must be legible; any other picture must only be there, unless it is damaged."""
    bad = UNREADABLE if Subject.SKETCH in item.pictures else {"damaged"}
    return next((v.text for v in picture.verdicts if v.code in bad), None)


def clash_of(
    item: ChecklistItem, evidence: Sequence[ItemEvidence]
) -> tuple[ItemEvidence, ItemEvidence] | None:
    """Two sound lengths of one thing that differ by more than the tape: a typed one and the nearest on the plan, else
    the smallest and the largest of a thing that the room has only once."""
    sound = [e for e in evidence if e.value_mm is not None and not e.doubt and item.range_mm]
    drawn = [e for e in sound if e.kind in (EvidenceKind.NUMBER, EvidenceKind.DESIGNER)]
    for typed in (e for e in sound if e.kind is EvidenceKind.WORDS and drawn):
        nearest = min(drawn, key=lambda d: _apart(d, typed))
        if _apart(typed, nearest) > AGREE_MM:
            return typed, nearest
    if item.one_value and len(sound) > 1:
        low, high = min(sound, key=_mm), max(sound, key=_mm)
        return (low, high) if _apart(low, high) > AGREE_MM else None
    return None if drawn else _contradiction([e for e in sound if e.kind is EvidenceKind.WORDS])


def _contradiction(told: Sequence[ItemEvidence]) -> tuple[ItemEvidence, ItemEvidence] | None:
    """Two lengths told in different sentences, unless each sentence says which of several things it is about."""
    for at, later in enumerate(told):
        for earlier in told[:at]:
            apart = _apart(earlier, later) > AGREE_MM and earlier.text != later.text
            if apart and not all(_WHICH_ONE.search(e.words) for e in (earlier, later)):
                return earlier, later
    return None


def _disagreements(item: ChecklistItem, evidence: Sequence[ItemEvidence]) -> list[Phrase]:
    clash = clash_of(item, evidence)
    return [phrase("do-not-agree", one=_named(clash[0]), other=_named(clash[1]))] if clash else []


def _mm(evidence: ItemEvidence) -> int:
    return evidence.value_mm or 0


def _apart(a: ItemEvidence, b: ItemEvidence) -> int:
    return abs(_mm(a) - _mm(b))


def _named(evidence: ItemEvidence) -> Phrase:
    return phrase(f"length-by-{evidence.kind}", length=format_cm(_mm(evidence)))


def _of_the_whole(item: ChecklistItem, job: _Job, present: Sequence[ItemEvidence]) -> list[Phrase]:
    """Doubts that no single piece of evidence carries."""
    if not present:
        return []
    doubts = [f.text for f in job.findings if _concerns(f, item, job)]
    sound = sum(not e.doubt for e in present)
    if (
        Subject.SKETCH in item.pictures
        and sound
        and job.readings
        and not any(r.numbers for r in job.readings.values())
    ):
        doubts.append(phrase("no-length-read"))
    if sound < item.count:
        doubts.append(phrase("some-came", came=sound, least=item.count))
    return doubts


def _concerns(finding: Finding, item: ChecklistItem, job: _Job) -> bool:
    """A finding of the room's arithmetic is about the heights whose numbers it names, else about the walls."""
    if finding.code in NO_FAULT or not item.roles:
        return False
    if finding.code.startswith(HEIGHT_FINDINGS):
        roles = {
            r.numbers[n].role for r in job.readings.values() for n in finding.numbers if n < len(r.numbers)
        }
        return bool(roles.intersection(item.roles)) and Role.SECTION not in item.roles
    return Role.SECTION in item.roles


def _why_missing(item: ChecklistItem, job: _Job) -> Phrase:
    if later := job.said(item, StatementKind.COULD_NOT):
        return _written(later[0])
    title = item.title if item.title[:2].isupper() else f"{item.title[0].lower()}{item.title[1:]}"
    return phrase("nothing-came", what=title)
