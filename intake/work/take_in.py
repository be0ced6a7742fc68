"""File one kept message: parse it, look at its pictures, and put it into a job with the reason."""

from __future__ import annotations

import logging
import re
import secrets
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.domain.mail.answering import is_automatic, standing_of, thread_of, vouched_for
from intake.domain.mail.crediting import card_of, credited_to, is_ours
from intake.domain.mail.grouping import place
from intake.domain.pictures import subject_of, verdicts
from intake.model.answering import Answering, AnsweringRule, Standing
from intake.model.card import Card
from intake.model.errors import IntakeError, Unreadable
from intake.model.finding import Finding
from intake.model.job import Event, EventKind, Job, JobState, Move, Placement, PlacementRule
from intake.model.message import Address, Message, MessageState
from intake.model.phrase import as_said, phrase
from intake.model.picture import Picture
from intake.store.database import Tables
from intake.store.letterhead import KeptLetterhead
from intake.store.letters import LostLetter
from intake.store.pictures import KeptPicture
from intake.wording.desk import worded
from intake.work.services import PicturePage, Services

log = logging.getLogger(__name__)

ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Letters and figures that are not mistaken for one another when read aloud."""

FAULT = "a fault of ours stopped its reading; see the log"
OUR_COPY = Placement(None, PlacementRule.OUR_COPY, phrase("our-copy"))
OUR_LETTER = re.compile(r"<intake\.(R(?:-[2-9A-Z]{5})+)\.[0-9a-f]{16}@")
"""How the Message-IDs of our own letters begin (intake.pen)."""
TO_FILE = (MessageState.KEPT, MessageState.SET_ASIDE)
"""A message in another state has been filed meanwhile, by a quicker worker."""


@dataclass(frozen=True)
class SetAside:
    """A message kept whole that could not be read: the mailbox's name for it, and why."""

    file: str
    why: str


@dataclass(frozen=True)
class TakenIn:
    """What one message led to: the jobs that it changed, or why it was set aside."""

    jobs: tuple[str, ...] = ()
    set_aside: SetAside | None = None


@dataclass(frozen=True)
class Kept:
    """A message that is kept and not filed: the SHA-256 of its bytes, the mailbox's name for it, and its arrival."""

    sha256: str
    file: str
    received_at: datetime


@dataclass(frozen=True)
class _Looked:
    """A message that was parsed and looked at, ready to be filed."""

    kept: Kept
    message: Message
    card: Card
    standing: Standing
    pictures: list[KeptPicture]
    findings: tuple[Finding, ...]


def take_in(services: Services, sha256: str) -> TakenIn:
    """File the kept message `sha256`. Repeating it is harmless. Raises StoreFull."""
    with services.store.reading() as tables:
        found = tables.messages.get(sha256)
    assert found is not None, f"message {sha256} was never kept"
    return take_in_all(services, [Kept(sha256, found.file, found.received_at)])[0]


def take_in_all(services: Services, messages: Sequence[Kept]) -> list[TakenIn]:
    """File kept messages, in their order. Repeating it is harmless. Raises StoreFull.

    What cannot be parsed is set aside with its reason; so is a message that a fault of ours trips over, so that the
    rest goes on. The raw message stays in both cases.
    """
    looked = [_look(services, kept) for kept in messages]
    filed = iter(_file_all(services, [each for each in looked if isinstance(each, _Looked)]))
    return [each if isinstance(each, TakenIn) else next(filed) for each in looked]


def take_in_by_hand(
    services: Services, kept: Kept, job: str, by: str, offers: tuple[str, ...] = ()
) -> TakenIn:
    """File what the desk itself wrote down into the job that it is for; the designer vouches for it."""
    looked = _look(services, kept)
    if isinstance(looked, TakenIn):
        return looked
    message = looked.message
    card = card_of(message, services.policy.addresses)
    placement = Placement(job, PlacementRule.PLACED, phrase("taken-in-at-the-desk", by=by), offers)
    with services.store.transaction() as tables:
        thread = thread_of(message, services.policy.addresses)
        reason, may = worded(placement.reason), Standing(Answering.MAY, rule=AnsweringRule.AT_THE_DESK)
        tables.messages.file_in(message, card, placement, may, thread, reason)
        tables.messages.move(message.sha256, job, placement.rule, reason, by)
        tables.pictures.keep(message.sha256, looked.pictures)
        tables.jobs.note_message(job, card.at)
        _note(tables, placement, message, card, looked.findings)
    return TakenIn((job,))


def _look(services: Services, kept: Kept) -> _Looked | TakenIn:
    """Parse a message and look at its pictures, outside any transaction."""
    try:
        message = services.parse(services.store.files.raw_path(kept.sha256), kept.received_at, kept.sha256)
        pages, findings = services.eyes.look(message)
        pictures = [_keep(services, message, page) for page in pages]
        ours, server = services.policy.addresses, services.policy.authserv_id
        standing = standing_of(message, ours, server)
        card = card_of(message, ours, vouched_for(message, ours, server), is_automatic(standing))
        notes = tuple(Finding("read-in-part", as_said(note)) for note in message.notes)
        return _Looked(kept, replace(message, parts=()), card, standing, pictures, (*notes, *findings))
    except Unreadable as why:
        return _set_aside(services, kept, str(why))
    except IntakeError:
        raise
    except Exception:
        log.exception("message %s could not be read", kept.sha256)
        return _set_aside(services, kept, FAULT)


def _file_all(services: Services, looked: Sequence[_Looked]) -> list[TakenIn]:
    """File messages in one transaction. Where a fault of ours trips over one of them, each gets a transaction of its
    own, and the one is set aside."""
    if not looked:
        return []
    try:
        # The raw messages are safe by now; after a power cut they would be filed once more.
        with services.store.transaction(durable=False) as tables:
            tables.place_alone()
            states = tables.messages.states([each.kept.sha256 for each in looked])
            copies = tables.index.letters({each.message.message_id for each in looked} - {""})
            return [
                TakenIn(_file(tables, services, each, copies) if states[each.kept.sha256] in TO_FILE else ())
                for each in looked
            ]
    except IntakeError:
        raise
    except Exception:
        if len(looked) > 1:
            return [outcome for each in looked for outcome in _file_all(services, [each])]
        log.exception("message %s could not be filed", looked[0].kept.sha256)
        return [_set_aside(services, looked[0].kept, FAULT)]


def _set_aside(services: Services, kept: Kept, why: str) -> TakenIn:
    with services.store.transaction() as tables:
        tables.messages.set_aside(kept.sha256, why)
    return TakenIn(set_aside=SetAside(kept.file, why))


def _file(tables: Tables, services: Services, looked: _Looked, copies: Collection[str]) -> tuple[str, ...]:
    """Place one message, with all that it changes; returns the jobs that changed. `copies` are the Message-IDs of our
    own letters, copies of which are no customer's."""
    message, card, standing = looked.message, looked.card, looked.standing
    is_copy = message.message_id in copies and is_ours(message.sender, services.policy.addresses)
    settled = _settle_letters(tables, services, message, standing, is_copy)
    if not is_copy:
        _note_lost(tables, services, message)
    placement, touched = (OUR_COPY, []) if is_copy else _placed(tables, services, message, card, standing)
    thread = thread_of(message, services.policy.addresses)
    reasons = worded(placement.reason), worded(standing.reason)
    tables.messages.file_in(message, card, placement, standing, thread, *reasons)
    tables.pictures.keep(message.sha256, _not_ours(tables, placement, looked.pictures))
    if placement.job:
        _note(tables, placement, message, card, looked.findings)
    return tuple(dict.fromkeys([*touched, *settled, *([placement.job] if placement.job else [])]))


def _placed(
    tables: Tables, services: Services, message: Message, card: Card, standing: Standing
) -> tuple[Placement, list[str]]:
    """Where a message lies now, with the other jobs that this changed."""
    placement = place(card, tables.index, services.policy.same_sender_days)
    if placement.job is None and _opens_no_job(card, standing):
        why = standing.reason or phrase("nobodys-job")
        return Placement(None, PlacementRule.APART, why), []
    return _carry_out(tables, services, message, card, placement)


def _not_ours(tables: Tables, placement: Placement, pictures: list[KeptPicture]) -> list[KeptPicture]:
    """Without the crops and the logo of our own letters, which mail programs send back within an answer."""
    crops = tables.letters.crops(placement.job) if placement.job and pictures else frozenset()
    ours = {*crops, *KeptLetterhead(tables.db).logos()} if pictures else crops
    return [kept for kept in pictures if kept.picture.sha256 not in ours]


def _settle_letters(
    tables: Tables, services: Services, message: Message, standing: Standing, is_copy: bool
) -> list[str]:
    """What a message says of our own letters: a copy settles a doubt, a delivery report stops the job's letters."""
    now = services.clock()
    settled = tables.letters.confirm(message.message_id, now) if is_copy else None
    if settled is not None:
        tables.messages.fix(settled)
        _note_event(tables, settled, now, EventKind.LETTER, "A copy of our letter came back: it was sent.")
        return [settled]
    if standing.rule is not AnsweringRule.BOUNCE:
        return []
    jobs = tables.letters.bounced(message.returned_ids, now)
    for job in jobs:
        _note_event(
            tables, job, now, EventKind.BOUNCED, "Our letter came back; no more are sent by themselves."
        )
    return jobs


def _note_lost(tables: Tables, services: Services, message: Message) -> None:
    """A copy of a letter of ours that the database does not hold, since it was restored from an older backup: what
    would answer the same message again is held back once. Forged, it holds one letter for a person, and no more."""
    ours = OUR_LETTER.match(message.message_id)
    if ours is None or message.sender.email not in services.policy.addresses or not message.to:
        return
    answered = message.in_reply_to[0] if message.in_reply_to else ""
    handed = message.sent_at or message.received_at
    tables.letters.lose(LostLetter(message.message_id, ours[1], message.to[0].email, answered, handed))


def _note_event(tables: Tables, job: str, now: datetime, kind: EventKind, text: str) -> None:
    tables.jobs.add_event(job, Event(now, kind, text))
    tables.jobs.touch(job)


def _opens_no_job(card: Card, standing: Standing) -> bool:
    """Reports, automatic replies, list mail and our own letters open no job; nor does mail of nobody's. That of
    somebody to whom no letter can be sent does: a designer may telephone."""
    return is_automatic(standing) or not card.sender


def _keep(services: Services, message: Message, page: PicturePage) -> KeptPicture:
    guess = subject_of(page.facts, page.name, message.own_words, page.inline)
    display = f"{page.id}-display.jpg" if page.display else ""
    if page.display:
        services.store.files.keep_picture(display, page.display)
    picture = Picture(
        id=page.id,
        sha256=page.sha256,
        message=message.sha256,
        name=page.name,
        facts=page.facts,
        subject=guess.subject,
        subject_confidence=guess.probability,
        subject_why=guess.why,
        verdicts=tuple(verdicts(page.facts, guess.subject)),
    )
    return KeptPicture(picture, display, "")


def _carry_out(
    tables: Tables, services: Services, message: Message, card: Card, placement: Placement
) -> tuple[Placement, list[str]]:
    """Open the job where it is new, then do the merges and moves that this message showed to be right."""
    customer = credited_to(message, services.policy.addresses)
    home = placement.job
    if home is None:
        home = _open(tables, card, customer, services.clock())
    else:
        if not card.automatic:
            tables.jobs.add_address(home, _address(card))
            tables.jobs.note_message(home, card.at)
        tables.jobs.touch(home)
    for other in placement.merges:
        merge(tables, other, home, worded(placement.reason), services.clock())
    touched = [job for move in placement.moves for job in _move(tables, services, move, home)]
    return replace(placement, job=home), touched


def _address(card: Card) -> str:
    """The address that a job learns from a message; whom a forward names only where its sender is vouched for."""
    return card.sender if card.sound else card.author


def _open(tables: Tables, card: Card, customer: Address, now: datetime) -> str:
    name = customer if customer.email == card.sender else Address("", card.sender)
    job = Job("", card.room, JobState.ARRIVING, name, (_address(card),), card.at, card.at)
    while not tables.jobs.open(replace(job, id=(job_id := new_reference()))):
        continue
    tables.jobs.add_event(job_id, Event(now, EventKind.OPENED, f"Opened for {name.name or name.email}."))
    return job_id


def new_reference() -> str:
    """Ten signs of thirty: among a hundred thousand jobs, one guess in six thousand million meets one."""
    first, second = ("".join(secrets.choice(ALPHABET) for _ in range(5)) for _ in range(2))
    return f"R-{first}-{second}"


def merge(tables: Tables, other: str, home: str, reason: str, now: datetime, by: str = "intake") -> None:
    """Move everything of the job `other` into `home`, which it stands for from now on."""
    gone = tables.jobs.get(other)
    if gone is None or gone.id == home:
        return
    for kept in tables.messages.of_job(gone.id):
        tables.messages.move(kept.sha256, home, PlacementRule.MERGED, reason, by)
    for email in gone.addresses:
        tables.jobs.add_address(home, email)
    tables.jobs.note_message(home, gone.last_message_at)
    tables.letters.withdraw(gone.id)
    tables.jobs.change(gone.id, merged_into=home)
    tables.jobs.add_event(
        home, Event(now, EventKind.MERGED, f"Job {gone.id} was merged into this one: {reason}", by)
    )


def _move(tables: Tables, services: Services, move: Move, home: str) -> list[str]:
    """Move messages that a late one showed to be misplaced; returns the jobs that lost or gained."""
    movers = [m for m in (tables.messages.get(sha) for sha in move.messages) if m is not None]
    target = home if move.job == "" else move.job
    if target is None:
        customer = Address(movers[0].sender_name, movers[0].sender_email)
        target = _open(tables, tables.index.cards(move.messages)[0], customer, services.clock())
    left = [m.job for m in movers if m.job]
    for kept in movers:
        tables.messages.move(kept.sha256, target, PlacementRule.MOVED, worded(move.reason), "intake")
        if not kept.automatic:
            tables.jobs.add_address(target, kept.credited if kept.counts else kept.via or kept.credited)
            tables.jobs.note_message(target, kept.at)
    for job in {*left} - {home, target}:
        if not tables.messages.of_job(job):
            tables.letters.withdraw(job)
            tables.jobs.change(job, merged_into=target)
    return [*left, target]


def _note(
    tables: Tables, placement: Placement, message: Message, card: Card, findings: Sequence[Finding]
) -> None:
    """The timeline's lines for one message, at the time it was sent."""
    job = placement.job or ""
    who = message.sender.name or message.sender.email or "somebody without an address"
    tables.jobs.add_event(
        job, Event(card.at, EventKind.MESSAGE, f"From {who}: “{message.subject}”. {worded(placement.reason)}")
    )
    for finding in findings:
        tables.jobs.add_event(job, Event(card.at, EventKind.ATTACHMENT, worded(finding.text)))
