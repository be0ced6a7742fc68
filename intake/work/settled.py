"""Which of a job's messages count, and what its pictures show once people and readers have had their say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from intake.domain.pictures import CERTAIN, label_subject, same_picture, verdicts
from intake.model.message import Address
from intake.model.picture import Picture, Subject
from intake.model.reading import SketchReading
from intake.store.database import Tables
from intake.store.jobs import Decision
from intake.store.messages import KeptMessage

NOT_COUNTED = (
    "Nobody vouches for who wrote it, so nothing in it counts until you say that it is the customer's."
)
BY_A_MACHINE = "A machine wrote it, so nothing in it counts."


def bearing(messages: Sequence[KeptMessage]) -> tuple[KeptMessage, ...]:
    """The messages whose pictures count and which a letter may answer: those of writers that somebody vouches for; in
    a job that has none of these, where nothing can be overwritten, those of its one writer."""
    people = tuple(m for m in messages if not m.automatic)
    return tuple(m for m in people if m.counts) or people


def why_not(message: KeptMessage) -> str:
    """Why a message is no evidence, in a sentence; "" where it is."""
    if message.counts:
        return ""
    return BY_A_MACHINE if message.automatic else NOT_COUNTED


def customer_of(messages: Sequence[KeptMessage], decisions: Sequence[Decision], first: Address) -> Address:
    """Whose job it is: as a designer said, else the writer of its earliest message that counts; `first` opened it where
    there is none."""
    said = [d.value for d in decisions if d.kind == "customer"]
    if said:
        return Address(said[-1]["name"] or said[-1]["phone"], said[-1]["email"])
    for message in (m for m in messages if m.counts and m.credited):
        name = message.sender_name if message.sender_email == message.credited else ""
        return Address(name or (first.name if first.email == message.credited else ""), message.credited)
    return first


def pictures_of(tables: Tables, job: str) -> tuple[tuple[Picture, ...], tuple[Picture, ...]]:
    """A job's pictures, settled: those that count, and those of messages that do not."""
    kept = [k.picture for k in tables.pictures.of_job(job)]
    found = {p.id: r for p in kept if (r := tables.pictures.reading(p.id)) is not None}
    return settled(kept, found, tables.jobs.decisions(job), tables.messages.of_job(job))


def settled(
    pictures: Sequence[Picture],
    found: Mapping[str, SketchReading],
    decisions: Sequence[Decision],
    messages: Sequence[KeptMessage],
) -> tuple[tuple[Picture, ...], tuple[Picture, ...]]:
    """The pictures with what they show settled and repeats marked with the first of their kind: those that count, and
    those of messages that do not."""
    count = {m.sha256 for m in bearing(messages)}
    ours = _pictures([p for p in pictures if p.message in count], found, decisions)
    others = [p for p in pictures if p.message not in count]
    return ours, tuple(replace(p, subject_why=NOT_COUNTED, same_as="") for p in others)


def _pictures(
    pictures: Sequence[Picture], found: Mapping[str, SketchReading], decisions: Sequence[Decision]
) -> tuple[Picture, ...]:
    """The pictures with what they show settled, and repeats marked with the first of their kind."""
    chosen = {d.target: Subject(d.value) for d in decisions if d.kind == "subject"}
    done: list[Picture] = []
    for picture in pictures:
        if picture.id in chosen:
            picture = _shown_as(picture, chosen[picture.id], 1.0, "designer", "A designer said so.")
        else:
            picture = _looked_into(picture, found.get(picture.id))
        done.append(replace(picture, same_as=_repeats(picture, done)))
    return tuple(done)


def _looked_into(picture: Picture, reading: SketchReading | None) -> Picture:
    """The picture with what the readers found in it: no plan after all, or a label that names a close-up."""
    if reading is not None and _no_plan(picture, reading):
        why = "No plan could be read in it, so it is taken for a view of the room."
        picture = _shown_as(picture, Subject.ROOM, 0.6, "rule", why)
    if may_bear_labels(picture) and (named := label_subject(picture.labels or ())) is not None:
        return _shown_as(picture, named.subject, named.probability, "rule", named.why)
    return picture


def may_bear_labels(picture: Picture) -> bool:
    """A photograph whose kind nothing beside it has told: a label in it may."""
    return picture.subject in (Subject.ROOM, Subject.OTHER) and not picture.facts.problem


def _no_plan(picture: Picture, reading: SketchReading) -> bool:
    """Taken for a sketch without certainty, and the reader found no sketch in it."""
    return picture.subject_confidence < CERTAIN and any(f.code == "no-sketch" for f in reading.findings)


def _shown_as(picture: Picture, subject: Subject, confidence: float, by: str, why: str) -> Picture:
    return replace(
        picture,
        subject=subject,
        subject_confidence=confidence,
        subject_by=by,
        subject_why=why,
        verdicts=tuple(verdicts(picture.facts, subject)),
    )


def _repeats(picture: Picture, earlier: Sequence[Picture]) -> str:
    """The id of the earlier picture that this one shows again, or ""."""
    for other in earlier:
        identical = other.sha256 == picture.sha256 and other.id == picture.id
        if not other.same_as and same_picture(other.facts, picture.facts, identical).same:
            return other.id
    return ""
