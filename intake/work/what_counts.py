"""Which of a job's messages count, and what its pictures show once people and readers have had their say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from intake.domain.mail.whose import whose_job
from intake.domain.pictures import CERTAIN, label_subject, same_picture, verdicts
from intake.model.card import Card
from intake.model.job import Job
from intake.model.message import Address
from intake.model.phrase import Phrase, as_said, phrase
from intake.model.picture import Picture, Subject
from intake.model.reading import SketchReading
from intake.model.word import CustomerWord, ShownSubject, Vouched, Word
from intake.store.database import Tables
from intake.store.messages import KeptMessage, kept_message

NOT_COUNTED = (
    "Nobody vouches for who wrote it, so nothing in it counts until you say that it is the customer's."
)
NOT_BROUGHT_IN = (
    "The customer, who sent the plan or else wrote first, has not written to this address: nothing in it counts until "
    "you say that it belongs here."
)
BY_A_MACHINE = "A machine wrote it, so nothing in it counts."
WHOSE = "whose-job"
"""The reason for which a letter waits where several may be the customer."""
NO_VIEW = (Subject.LOGO, Subject.DOCUMENT, Subject.SCREENSHOT)


def bearing(messages: Sequence[KeptMessage]) -> tuple[KeptMessage, ...]:
    """The messages whose pictures count and which a letter may answer: those of writers that somebody vouches for; in
    a job that has none of these, where nothing can be overwritten, those of its one writer."""
    people = tuple(m for m in messages if not m.automatic)
    return tuple(m for m in people if m.counts) or people


def why_not(message: KeptMessage) -> str:
    """Why a message is no evidence, in a sentence; "" where it is."""
    if message.counts:
        return ""
    if message.automatic:
        return BY_A_MACHINE
    return NOT_COUNTED if message.heard else NOT_BROUGHT_IN


@dataclass(frozen=True)
class Heard:
    """A job's messages, each with whether its writer is heard; whose job it is, and who else it may be."""

    messages: tuple[KeptMessage, ...]
    customer: Address
    rivals: tuple[str, ...]


def heard_in(
    job: Job,
    messages: Sequence[KeptMessage],
    cards: Sequence[Card],
    pictures: Sequence[Picture],
    words: Sequence[Word],
    letters: Mapping[str, str],
) -> Heard:
    """Who is heard in a job. `pictures` are all of its, with what they show settled."""
    arrived = sorted((m for m in messages if m.counts), key=_arrival)
    by_key = {c.key: c for c in cards}
    said = next((w for w in reversed(words) if isinstance(w, CustomerWord)), None)
    put_here = {m.sha256 for m in arrived if m.put_here}
    told = whose_job(
        [by_key[m.sha256] for m in arrived if m.sha256 in by_key],
        plans={p.message for p in pictures if p.subject is Subject.SKETCH},
        pictures={p.message for p in pictures if p.subject not in NO_VIEW},
        let_in=put_here | {w.message for w in words if isinstance(w, Vouched)},
        chosen=said.email if said else "",
        letters=letters,
    )
    known = tuple(replace(m, heard=not m.counts or m.sha256 in told.heard) for m in messages)
    return Heard(known, _customer(said, told.customer, known, job.customer), told.rivals)


def _arrival(message: KeptMessage) -> tuple[object, ...]:
    """By the minute in which it was received; files that are copied into a folder all at once by their own dates."""
    return message.received_at.replace(second=0, microsecond=0), message.at, message.sha256


def _customer(
    said: CustomerWord | None, email: str, messages: Sequence[KeptMessage], first: Address
) -> Address:
    """As a designer said, else as the messages tell; `first` opened the job, and stays where nobody is told."""
    if said is not None:
        return Address(said.name or said.phone or _name(said.email, messages), said.email)
    if not email:
        return first
    return Address(_name(email, messages) or (first.name if first.email == email else ""), email)


def _name(email: str, messages: Sequence[KeptMessage]) -> str:
    """The name that somebody writes under, "" for none."""
    return next(
        (m.sender_name for m in messages if m.sender_email == email == m.credited and m.sender_name), ""
    )


@dataclass(frozen=True)
class Settled:
    """A job's messages and whose it is, with its pictures: those that count, and those of messages that do not."""

    heard: Heard
    pictures: tuple[Picture, ...]
    uncounted: tuple[Picture, ...]


COUNTED = frozenset(Subject) - {Subject.SKETCH, Subject.LOGO, Subject.DOCUMENT, Subject.SCREENSHOT}
"""Subjects that count as photographs."""


def counted(pictures: Sequence[Picture]) -> tuple[int, int]:
    """How many photographs and sketches there are, each once."""
    distinct = [p for p in pictures if not p.same_as]
    photographs = sum(p.subject in COUNTED and not p.facts.problem for p in distinct)
    return photographs, sum(p.subject is Subject.SKETCH for p in distinct)


def settled_job(tables: Tables, job: Job) -> Settled:
    """The same of a job in the tables."""
    rows = tables.messages.rows_of_job(job.id)
    messages, cards = [kept_message(row) for row in rows], tables.index.cards_of(rows)
    pictures = [k.picture for k in tables.pictures.of_job(job.id)]
    found = {p.id: r for p in pictures if (r := tables.pictures.reading(p.id)) is not None}
    words, letters = tables.jobs.words(job.id), tables.letters.recipients(job.id)
    return settled(job, messages, cards, pictures, found, words, letters)


def settled(
    job: Job,
    messages: Sequence[KeptMessage],
    cards: Sequence[Card],
    pictures: Sequence[Picture],
    found: Mapping[str, SketchReading],
    words: Sequence[Word],
    letters: Mapping[str, str],
) -> Settled:
    """What a job's messages and pictures come to once people and readers have had their say: repeats are marked with
    the first of their kind. `cards` are the messages' own, `found` what was read by picture id, `letters` to whom our
    letters went, by their Message-IDs."""
    shown = _shown(pictures, found, words)
    heard = heard_in(job, messages, cards, shown, words, letters)
    count = {m.sha256 for m in bearing(heard.messages)}
    others = [
        replace(p, subject_why=as_said(NOT_COUNTED), same_as="") for p in pictures if p.message not in count
    ]
    return Settled(heard, _once([p for p in shown if p.message in count], found), tuple(others))


def _shown(
    pictures: Sequence[Picture], found: Mapping[str, SketchReading], words: Sequence[Word]
) -> list[Picture]:
    """The pictures with what they show settled."""
    chosen = {w.shown_on: w.subject for w in words if isinstance(w, ShownSubject)}
    return [
        _shown_as(p, chosen[p.id], 1.0, phrase("designer-said-so"))
        if p.id in chosen
        else _looked_into(p, found.get(p.id))
        for p in pictures
    ]


def _once(pictures: Sequence[Picture], found: Mapping[str, SketchReading]) -> tuple[Picture, ...]:
    """The pictures with repeats marked with the first of their kind, or with a later one that is larger where the first
    was of no use: that is what we ask for when a plan came too small."""
    done: list[Picture] = []
    for picture in pictures:
        first = _repeats(picture, done)
        earlier = next((p for p in done if p.id == first), None)
        if earlier is not None and first != picture.id and _serves_better(picture, earlier, found):
            same = (first, picture.id)
            done = [replace(p, same_as=picture.id) if p.id == first or p.same_as in same else p for p in done]
            first = ""
        done.append(replace(picture, same_as=first))
    return tuple(done)


LARGER = 1.25
"""So many times as many pixels along its long side make a copy a larger one."""


def _serves_better(copy: Picture, first: Picture, found: Mapping[str, SketchReading]) -> bool:
    sides = [max(p.facts.width, p.facts.height, 1) for p in (copy, first)]
    read = found.get(first.id)
    useless = read is not None and not read.numbers
    return sides[0] >= LARGER * sides[1] and (useless or len(copy.verdicts) < len(first.verdicts))


_NO_PLAN_SO_ROOM = 0.6
"""How surely a picture taken for a plan, in which none could be read, is a view of the room (set by hand)."""


def _looked_into(picture: Picture, reading: SketchReading | None) -> Picture:
    """The picture with what the readers found in it: no plan after all, or a label that names a close-up."""
    if reading is not None and _no_plan(picture, reading):
        why = phrase("no-plan-read")
        picture = _shown_as(picture, Subject.ROOM, _NO_PLAN_SO_ROOM, why)
    if may_bear_labels(picture) and (named := label_subject(picture.labels or ())) is not None:
        return _shown_as(picture, named.subject, named.probability, named.why)
    return picture


def may_bear_labels(picture: Picture) -> bool:
    """A photograph whose kind nothing beside it has told: a label in it may."""
    return picture.subject in (Subject.ROOM, Subject.OTHER) and not picture.facts.problem


def _no_plan(picture: Picture, reading: SketchReading) -> bool:
    """Taken for a sketch without certainty, and the reader found no sketch in it."""
    return picture.subject_confidence < CERTAIN and any(f.code == "no-sketch" for f in reading.findings)


def _shown_as(picture: Picture, subject: Subject, confidence: float, why: Phrase) -> Picture:
    return replace(
        picture,
        subject=subject,
        subject_confidence=confidence,
        subject_why=why,
        verdicts=tuple(verdicts(picture.facts, subject)),
    )


def _repeats(picture: Picture, earlier: Sequence[Picture]) -> str:
    """The id of the earlier picture that this one shows again, or ""."""
    for other in earlier:
        identical = other.sha256 == picture.sha256 and other.id == picture.id
        if not other.same_as and same_picture(other.facts, picture.facts, identical):
            return other.id
    return ""
