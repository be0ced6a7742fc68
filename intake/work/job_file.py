"""Everything of one job, laid out for its examination."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from intake.domain.mail.rhythm import LONGEST_WISH, Situation, phone_asked, stop_asked
from intake.domain.pictures.coverage import Coverage, FieldOfView, Reach, coverage_of, field_of_view, reach_of
from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.domain.said.heights import Told, door_heights, told_in, with_told
from intake.domain.said.overrides import by_people, main_sketch
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.words.answers import apply_answers
from intake.domain.words.fates import Clause
from intake.domain.words.hazards import hazards
from intake.domain.words.ours import without_letters
from intake.domain.words.taken_together import taken_together
from intake.domain.words.understanding import Understood, understand
from intake.model.answering import AT_THE_DESK
from intake.model.checklist import Checklist, Confirmation, ItemState, RoomKind, Statement
from intake.model.errors import NotFound
from intake.model.job import Job
from intake.model.letter import Answer
from intake.model.need import Need, NeedKind
from intake.model.picture import Panorama, Picture, Subject
from intake.model.reading import SketchReading
from intake.model.room import RoomExamination, RoomSurvey
from intake.store.database import Tables
from intake.store.jobs import Decision
from intake.store.letters import OUT, KeptLetter
from intake.store.messages import KeptMessage
from intake.work.laid_over import NumberNames, laid_over, names_of, taken_by_people, typed_heights
from intake.work.settled import bearing, customer_of, settled
from intake.work.settled import may_bear_labels as may_bear_labels

NOBODY_VOUCHES = "Our mail server does not vouch for the sender, so these words count for nothing yet."
USUAL_FOCAL = 26.0
"""The main lens of most telephones, in 35 mm terms, where a picture does not tell (common practice, no source)."""


@dataclass(frozen=True)
class JobFile:
    """One job with people's decisions applied.

    `read` are the readings as the machine made them, `readings` the same with the customer's answers and the
    designer's overrides laid over them, both by picture id. `waiting` are sketches not read yet.
    """

    job: Job
    messages: tuple[KeptMessage, ...]
    pictures: tuple[Picture, ...]
    read: Mapping[str, SketchReading]
    readings: Mapping[str, SketchReading]
    statements: tuple[Statement, ...]
    told: tuple[Told, ...]
    """Heights that the customer's own words give, in the order written."""
    clauses: Mapping[str, tuple[Clause, ...]]
    """What became of each clause of the customer's words, by the key of the message."""
    needs: tuple[Need, ...]
    """What waits for a person, most urgent first; what a person has dealt with is not among it."""
    decisions: tuple[Decision, ...]
    """Those that stand, in order."""
    confirmations: tuple[Confirmation, ...]
    letters: tuple[KeptLetter, ...]
    stopped: str
    reminders: int
    waiting: tuple[str, ...]
    panorama: tuple[tuple[str, ...], Panorama] | None
    typed: Mapping[str, Any] | None
    """The room as a designer typed it, in the terms of docs/room-file.md; it then stands in place of the sketch's."""
    phone: str = ""
    """The customer's telephone number, where somebody at the desk wrote it down."""
    uncounted: tuple[Picture, ...] = ()
    """Pictures of messages that do not count: shown, and evidence of nothing."""

    @property
    def sketch(self) -> str:
        """The id of the picture that the room is drawn from; "" where there is none."""
        return main_sketch(self.readings, self.pictures)

    @property
    def answerable(self) -> tuple[KeptMessage, ...]:
        """The messages that a letter may answer, in order; a held one only by a person's release. What nobody vouches
        for is answered only in a job that has nothing else; what the desk wrote down, where an address is known."""
        found = (m for m in bearing(self.messages) if m.answering in ("may", "hold"))
        return tuple(m for m in found if m.answering_rule != AT_THE_DESK or self.job.customer.email)

    @property
    def answered(self) -> KeptMessage:
        """The message that a letter answers: the customer's own latest, else the latest of another whom the job knows,
        else what the desk wrote down of them. There must be one to answer."""
        mail = [m for m in self.answerable if m.answering_rule != AT_THE_DESK]
        own = [m for m in mail if m.credited == self.job.customer.email]
        return (own or mail or list(self.answerable))[-1]

    @property
    def last_message_at(self) -> datetime:
        return max((m.received_at for m in self.answerable), default=self.job.last_message_at)

    def situation(self, complete: bool, wanted: tuple[str, ...]) -> Situation:
        """Where the job stands with its customer, for the rhythm of letters."""
        gone = [k for k in self.letters if k.state in OUT]
        asking = [k for k in gone if k.kind != "reminder"]
        return Situation(
            last_message_at=self.last_message_at,
            complete=complete,
            wanted=wanted,
            stopped_because=self.stopped or self._to_be_phoned(),
            bounced=bool(gone) and gone[-1].bounced_at is not None,
            letter_at=max((k.sent_at or k.decided_at for k in asking), default=None),
            asked=asking[-1].letter.items if asking else (),
            reminders=self.reminders,
            thanked=any(k.kind == "complete" for k in gone),
        )

    @property
    def seen(self) -> frozenset[str]:
        """The keys of what waited for a person and was dealt with."""
        return frozenset(d.target for d in self.decisions if d.kind in ("seen", "taken"))

    @property
    def blocking(self) -> tuple[Need, ...]:
        """The needs that letters wait for: a stranger's mail in the customer's name is shown, and stops none."""
        return tuple(n for n in self.needs if not n.why.endswith(NOBODY_VOUCHES))

    def _to_be_phoned(self) -> str:
        """A customer who tells of a danger or asks to be phoned is not written to until somebody has phoned."""
        return next((n.why for n in self.blocking if n.kind in (NeedKind.HAZARD, NeedKind.PHONE)), "")

    @property
    def in_danger(self) -> bool:
        """Whether the customer tells of a danger and nobody has dealt with it, even where they want no more letters."""
        return any(n.kind is NeedKind.HAZARD for n in self.needs)

    @property
    def unthanked(self) -> tuple[Picture, ...]:
        """The pictures that came since the last letter went out."""
        gone = [k.sent_at or k.decided_at for k in self.letters if k.state in OUT]
        since = {m.sha256 for m in self.messages if not gone or m.received_at > gone[-1]}
        return tuple(p for p in self.pictures if p.message in since)

    @property
    def views(self) -> tuple[Picture, ...]:
        """The distinct photographs of the room itself."""
        return tuple(
            p for p in self.pictures if p.subject is Subject.ROOM and not (p.same_as or p.facts.problem)
        )

    def _compared(self) -> Panorama | None:
        """What comparing the views found; None until these very ones were compared."""
        ids, panorama = self.panorama or ((), None)
        return panorama if ids == tuple(p.id for p in self.views) else None

    def coverage(self) -> Coverage | None:
        """How the views lie round the room, counted as in `views`; None until they were compared."""
        compared = self._compared()
        return coverage_of([_field(p).across for p in self.views], compared.overlaps) if compared else None

    def reach(self) -> Mapping[str, Reach]:
        """Whether floor and ceiling are in view, by the id of the photograph; empty until they were compared."""
        compared = self._compared()
        pitches = compared.pitches if compared else ()
        return {p.id: reach_of(_field(p).up, pitch) for p, pitch in zip(self.views, pitches, strict=False)}

    def names(self, picture: str) -> NumberNames:
        """How the decisions call the numbers of one sketch."""
        return names_of(picture, self.read[picture], self.decisions)

    def examination(self) -> RoomExamination | None:
        """What the arithmetic says of the room; None where no sketch was read and none was typed."""
        if self.typed is not None:
            return _examined(with_told(room_from_dict(self.typed), self.told))
        if not self.sketch:
            return None
        reading = self.readings[self.sketch]
        title = f"{self.job.room.value.capitalize()}, {self.job.customer.name or self.job.customer.email}"
        survey = room_from_reading(reading, by_people(reading), self.job.room, title)
        return _examined(with_told(survey, (*self.told, *self.typed_heights())))

    def typed_heights(self) -> tuple[Told, ...]:
        """The heights that a designer typed for the openings of the sketch that the room is drawn from."""
        return typed_heights(self.names(self.sketch), self.decisions) if self.sketch else ()


def _field(picture: Picture) -> FieldOfView:
    facts = picture.facts
    return field_of_view(facts.focal_length_35mm or USUAL_FOCAL, facts.width, facts.height)


@lru_cache(maxsize=128)
def _examined(survey: RoomSurvey) -> RoomExamination:
    """One search for slips serves a page, its plan and its letter."""
    return examine_room(survey)


def open_file(tables: Tables, job_id: str, checklists: Mapping[RoomKind, Checklist]) -> JobFile:
    """Lay out the job `job_id`, merges followed. Raises NotFound."""
    job = tables.jobs.get(job_id)
    if job is None:
        raise NotFound(f"There is no job {job_id}", "`intake jobs` lists them")
    messages = tuple(tables.messages.of_job(job.id))
    decisions = tables.jobs.decisions(job.id)
    job = replace(
        job, room=_room(messages, decisions), customer=customer_of(messages, decisions, job.customer)
    )
    kept = [kept.picture for kept in tables.pictures.of_job(job.id)]
    found = {p.id: r for p in kept if (r := tables.pictures.reading(p.id)) is not None}
    pictures, uncounted = settled(kept, found, decisions, messages)
    read = {p.id: found[p.id] for p in pictures if _to_read(p) and p.id in found}
    letters = tuple(tables.letters.of_job(job.id))
    checklist = checklists[job.room]
    messages = _in_own_words(messages, letters)
    words = _words(messages, letters, checklist)
    taken = taken_by_people(decisions)
    return JobFile(
        job=job,
        messages=messages,
        pictures=pictures,
        read=read,
        readings=laid_over(apply_answers(read, words.given), decisions),
        statements=(*words.said, *taken),
        told=(*words.told, *told_in(taken)),
        clauses=words.clauses,
        needs=_open_needs([*_wishes(messages), *words.needs], decisions),
        decisions=tuple(decisions),
        confirmations=tuple(_confirmation(d) for d in decisions if d.kind == "item"),
        letters=letters,
        stopped=_stopped(messages, decisions),
        reminders=tables.jobs.reminders(job.id),
        panorama=tables.pictures.panorama(job.id),
        typed=next((d.value["room"] for d in reversed(decisions) if d.kind == "room-file"), None),
        waiting=tuple(p.id for p in pictures if _to_read(p) and p.id not in read),
        phone=next((d.value["phone"] for d in reversed(decisions) if d.kind == "customer"), ""),
        uncounted=uncounted,
    )


def _stopped(messages: Sequence[KeptMessage], decisions: Sequence[Decision]) -> str:
    """Why no more letters go: a designer's word, else the customer's own."""
    decided = [str(d.value) for d in decisions if d.kind == "stop"]
    asked = [why for m in messages if m.counts and (why := stop_asked(m.own_words))]
    return (decided[-1:] or asked[-1:] or [""])[0]


def _wishes(messages: Sequence[KeptMessage]) -> list[Need]:
    """What customers ask of us beside the survey: to be phoned, to be left in peace; and what nobody vouches for, which
    counts only once a designer has looked."""
    strange = [m for m in messages if not (m.counts or m.automatic) and m.own_words.strip()]
    found = [
        Need(NeedKind.UNREAD, m.own_words.strip()[:LONGEST_WISH], NOBODY_VOUCHES, m.key) for m in strange
    ]
    for message in strange:
        for need in hazards(message.own_words, message.key):
            found.append(replace(need, why=f"{need.why} {NOBODY_VOUCHES}"))
    for message in (m for m in messages if m.counts):
        if words := phone_asked(message.own_words):
            found.append(Need(NeedKind.PHONE, words, "The customer asks to be phoned.", message.key))
        if stop_asked(message.own_words):
            why = "The customer asks us to write no more."
            found.append(Need(NeedKind.STOP, message.own_words.strip()[:LONGEST_WISH], why, message.key))
    return found


def _open_needs(needs: Sequence[Need], decisions: Sequence[Decision]) -> tuple[Need, ...]:
    """The needs that nobody has dealt with yet, most urgent first, each once."""
    dealt_with = {d.target for d in decisions if d.kind in ("seen", "taken")}
    urgency = list(NeedKind)
    wishes = [n for n in needs if n.kind in (NeedKind.HAZARD, NeedKind.PHONE, NeedKind.STOP)]
    said = [n for n in needs if n.kind is not NeedKind.UNREAD or not any(_within(w, n) for w in wishes)]
    left = {n.key: n for n in said if n.key not in dealt_with}
    return tuple(sorted(left.values(), key=lambda n: urgency.index(n.kind)))


def _within(wish: Need, unread: Need) -> bool:
    """Whether the words that nobody understood are those of a wish that was."""
    return wish.message == unread.message and wish.text in unread.text


def _to_read(picture: Picture) -> bool:
    return picture.subject is Subject.SKETCH and not picture.same_as and not picture.facts.problem


def _room(messages: Sequence[KeptMessage], decisions: Sequence[Decision]) -> RoomKind:
    """The designer's word, else the first room that the customer named."""
    decided = [RoomKind(d.value) for d in decisions if d.kind == "room"]
    named = [m.room for m in bearing(messages) if m.room is not RoomKind.UNKNOWN]
    return (decided[-1:] or named[:1] or [RoomKind.UNKNOWN])[0]


def _in_own_words(messages: Sequence[KeptMessage], letters: Sequence[KeptLetter]) -> tuple[KeptMessage, ...]:
    """The messages without what stands in a letter of ours that had gone out."""
    texts = [k.text for k in letters if k.state in OUT]
    return (
        tuple(replace(m, own_words=without_letters(m.own_words, texts)) for m in messages)
        if texts
        else tuple(messages)
    )


@dataclass(frozen=True)
class _Words:
    """What the customer's own words give, message by message."""

    given: tuple[Answer, ...]
    said: tuple[Statement, ...]
    told: tuple[Told, ...]
    clauses: Mapping[str, tuple[Clause, ...]]
    needs: tuple[Need, ...]


def _words(messages: Sequence[KeptMessage], letters: Sequence[KeptLetter], checklist: Checklist) -> _Words:
    """What the customer's own words answer and state, message by message, with the heights among it; what a machine
    wrote never counts, nor what nobody vouches for.

    A message answers the latest letter that had gone out before it.
    """
    found: list[Understood] = []
    doors: list[Told] = []
    for message in (m for m in messages if m.counts):
        gone = [k for k in letters if k.state in OUT and (k.sent_at or k.decided_at) <= message.received_at]
        asks = gone[-1].letter.asks if gone else ()
        found.append(understand(message.own_words, asks, checklist, message.key))
        doors += door_heights(message.own_words, checklist.room.value)
    given, said = taken_together(found)
    # An answer about one number of the plan is laid over that number.
    numbered = {a.statement for a in given if a.number is not None}
    told = told_in([s for s in said if s not in numbered])
    clauses = {u.message: u.clauses for u in found}
    return _Words(given, said, (*told, *doors), clauses, tuple(n for u in found for n in u.needs))


def _confirmation(decision: Decision) -> Confirmation:
    value = decision.value
    return Confirmation(
        item=decision.target,
        state=ItemState(value["state"]),
        by=decision.by,
        note=value.get("note", ""),
        value_mm=value.get("value_mm"),
    )
