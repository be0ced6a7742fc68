"""Where each item of a job's checklist stands, and why: missing, doubtful, present, confirmed, not applicable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.checklist import (
    Checklist,
    ChecklistItem,
    Confirmation,
    Evidence,
    ItemStanding,
    ItemState,
    Statement,
    StatementKind,
)
from intake.model.finding import Finding
from intake.model.picture import Picture, Subject
from intake.model.reading import ReadNumber, Role, SketchReading
from intake.rules.notation import format_cm

AGREE_MM = 25
"""Two readings of one length to half a centimetre agree within 3.29 x 5 mm x sqrt 2 = 23 mm (99.9 %), so say 25."""

UNREADABLE = frozenset({"shrunk", "too-small-to-read", "blurred", "dark", "damaged"})
"""Verdicts that make a plan no good to read from."""

Readings = Mapping[str, SketchReading]
"""The readings of a job's plans by the id of their picture."""


@dataclass(frozen=True)
class _Job:
    readings: Readings
    pictures: Sequence[Picture]
    statements: Sequence[Statement]
    findings: Sequence[Finding]

    def said(self, item: ChecklistItem, *kinds: StatementKind) -> list[Statement]:
        return [s for s in self.statements if s.item == item.id and s.kind in kinds]

    def numbers(self, item: ChecklistItem) -> list[tuple[str, int, ReadNumber]]:
        roles = set(item.roles)
        return [
            (p, i, n) for p, r in self.readings.items() for i, n in enumerate(r.numbers) if n.role in roles
        ]

    def shown(self, item: ChecklistItem) -> list[Picture]:
        """The pictures of this item's subjects, repeats left out."""
        return [p for p in self.pictures if p.subject in item.pictures and not p.same_as]


def assess(
    checklist: Checklist,
    readings: Readings,
    pictures: Sequence[Picture],
    statements: Sequence[Statement],
    findings: Sequence[Finding] = (),
    confirmations: Sequence[Confirmation] = (),
) -> tuple[ItemStanding, ...]:
    """One standing for each item of `checklist`, in its order.

    `readings` hold only the plans to rely on, by picture id; `findings` are the room's, from closing it; a later
    confirmation of an item replaces an earlier one.
    """
    job = _Job(readings, pictures, statements, findings)
    confirmed = {c.item: c for c in confirmations}
    return tuple(
        _by_designer(item, confirmed[item.id]) if item.id in confirmed else _standing(item, job)
        for item in checklist.items
    )


def complete(standings: Sequence[ItemStanding]) -> bool:
    """True where nothing that the design waits for is missing or doubtful."""
    return not any(s.item.blocking and s.state in (ItemState.MISSING, ItemState.DOUBTFUL) for s in standings)


def _by_designer(item: ChecklistItem, word: Confirmation) -> ItemStanding:
    said = f"{word.by} marked it {word.state}" + (f": {word.note}" if word.note else "")
    return ItemStanding(item, word.state, (Evidence("designer", said, value_mm=word.value_mm),), f"{said}.")


def _standing(item: ChecklistItem, job: _Job) -> ItemStanding:
    evidence = [*_absences(item, job), *_numbers(item, job), *_words(item, job), *_pictures(item, job)]
    absent = [e for e in evidence if e.kind == "absence"]
    present = [e for e in evidence if e.kind != "absence"]
    if absent and not present:
        shown = tuple(Evidence("words", e.text, e.message) for e in absent)
        return ItemStanding(item, ItemState.NOT_APPLICABLE, shown, f"The customer writes: “{absent[0].text}”")
    if absent:
        present = [
            *present,
            Evidence(
                "words", absent[0].text, absent[0].message, doubt="something else says that there is one"
            ),
        ]
    doubts = (
        [e.doubt for e in present if e.doubt]
        + _disagreements(item, present)
        + _of_the_whole(item, job, present)
    )
    if not present:
        return ItemStanding(item, ItemState.MISSING, (), _why_missing(item, job))
    # For an item that one thing settles, a sound piece of evidence is enough whatever else was unclear.
    one_is_enough = not item.roles and any(not e.doubt for e in present) and not absent
    if doubts and not (one_is_enough and item.count == 1):
        return ItemStanding(item, ItemState.DOUBTFUL, tuple(present), _sentence(doubts[0]))
    return ItemStanding(item, ItemState.PRESENT, tuple(present), _sentence(present[0].text))


def _absences(item: ChecklistItem, job: _Job) -> list[Evidence]:
    return [Evidence("absence", s.text, s.message) for s in job.said(item, StatementKind.ABSENCE)]


def _numbers(item: ChecklistItem, job: _Job) -> list[Evidence]:
    if "number" not in item.evidence:
        return []
    return [
        Evidence(
            "number",
            f"“{n.text}” on the plan",
            picture=picture,
            number=index,
            value_mm=n.value_mm,
            doubt=_number_doubt(item, n),
        )
        for picture, index, n in job.numbers(item)
    ]


def _number_doubt(item: ChecklistItem, number: ReadNumber) -> str:
    if number.value_mm is None:
        return f"“{number.text}” on the plan means no length"
    if not number.accepted:
        return f"“{number.text}” on the plan is not certain"
    return _range_doubt(item, number.value_mm, f"“{number.text}” on the plan")


def _range_doubt(item: ChecklistItem, value_mm: int, named: str) -> str:
    if item.range_mm is None or item.range_mm[0] <= value_mm <= item.range_mm[1]:
        return ""
    low, high = item.range_mm
    return f"{named} is outside what is usual, {format_cm(low)} to {format_cm(high)} cm"


def _words(item: ChecklistItem, job: _Job) -> list[Evidence]:
    told = job.said(
        item, StatementKind.VALUE, StatementKind.PLACE, StatementKind.SAID, StatementKind.DOUBTFUL
    )
    return [
        Evidence(
            "words",
            f"the customer writes “{s.text}”",
            s.message,
            value_mm=s.value_mm,
            doubt=_words_doubt(item, s),
        )
        for s in told
        if "words" in item.evidence
    ]


def _words_doubt(item: ChecklistItem, said: Statement) -> str:
    if said.kind is StatementKind.DOUBTFUL:
        return f"the customer writes “{said.text}”" + (f", but {said.doubt}" if said.doubt else "")
    if said.kind is StatementKind.VALUE and said.value_mm is not None:
        return _range_doubt(item, said.value_mm, f"“{said.text}”")
    return ""


def _pictures(item: ChecklistItem, job: _Job) -> list[Evidence]:
    if "picture" not in item.evidence:
        return []
    return [
        Evidence(
            "picture",
            f"{p.name or 'a picture'}: {p.subject_why}",
            p.message,
            p.id,
            doubt=_picture_doubt(item, p),
        )
        for p in job.shown(item)
    ]


def _picture_doubt(item: ChecklistItem, picture: Picture) -> str:
    """A plan must be legible; any other picture must only be there, unless it is damaged."""
    bad = UNREADABLE if Subject.SKETCH in item.pictures else {"damaged"}
    return next((v.text for v in picture.verdicts if v.code in bad), "")


def _disagreements(item: ChecklistItem, evidence: Sequence[Evidence]) -> list[str]:
    """Lengths of one thing that differ by more than the tape; typed words against the plan, both named."""
    sound = [e for e in evidence if e.value_mm is not None and not e.doubt and item.range_mm]
    typed = [e for e in sound if e.kind == "words"]
    drawn = [e for e in sound if e.kind == "number"]
    clashes = [
        (t, nearest)
        for t in typed
        if drawn and _apart(t, nearest := min(drawn, key=lambda d: abs(_mm(d) - _mm(t)))) > AGREE_MM
    ]
    if not clashes and item.one_value and len(sound) > 1:
        low, high = min(sound, key=_mm), max(sound, key=_mm)
        clashes = [(low, high)] if _apart(low, high) > AGREE_MM else []
    return [f"{_named(a)} and {_named(b)} do not agree" for a, b in clashes]


def _mm(evidence: Evidence) -> int:
    return evidence.value_mm or 0


def _apart(a: Evidence, b: Evidence) -> int:
    return abs(_mm(a) - _mm(b))


def _named(evidence: Evidence) -> str:
    where = "on the plan" if evidence.kind == "number" else "in the customer's words"
    return f"{format_cm(_mm(evidence))} cm {where}"


def _of_the_whole(item: ChecklistItem, job: _Job, present: Sequence[Evidence]) -> list[str]:
    """Doubts that no single piece of evidence carries."""
    if Role.SECTION in item.roles:
        return [f.text for f in job.findings]
    if Role.OPENING in item.roles and not present:
        return []
    if Subject.SKETCH in item.pictures and present and all(not e.doubt for e in present):
        empty = [p for p, r in job.readings.items() if not r.numbers]
        return ["no length could be read on the plan"] if empty and len(empty) == len(job.readings) else []
    if item.count > 1 and 0 < sum(not e.doubt for e in present) < item.count:
        sound = sum(not e.doubt for e in present)
        return [f"{sound} of at least {item.count} came"]
    return []


def _why_missing(item: ChecklistItem, job: _Job) -> str:
    if later := job.said(item, StatementKind.COULD_NOT):
        return f"The customer writes: “{later[0].text}”"
    return f"Nothing has come for it yet: {item.title[0].lower()}{item.title[1:]}."


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "”", "!", "?")) else ".")
