"""File one kept message: parse it, look at its pictures, and put it into a job with the reason."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.model.answering import Standing
from intake.model.card import Card
from intake.model.errors import IntakeError, Unreadable
from intake.model.finding import Finding
from intake.model.job import Event, Job, JobState, Move, Placement
from intake.model.message import Address, Message
from intake.model.picture import Picture
from intake.rules.answering import standing_of
from intake.rules.crediting import card_of, credited_to
from intake.rules.grouping import place
from intake.rules.pictures import subject_of, verdicts
from intake.store.database import Tables
from intake.store.pictures import KeptPicture
from intake.work.services import Page, Services

log = logging.getLogger(__name__)

ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Letters and figures that are not mistaken for one another when read aloud."""


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


def take_in(services: Services, sha256: str) -> TakenIn:
    """File the kept message `sha256`. Repeating it is harmless. Raises StoreFull.

    What cannot be parsed is set aside with its reason; so is a message that a fault of ours trips over, so that the
    rest goes on. The raw message stays in both cases.
    """
    with services.store.reading() as tables:
        kept = tables.messages.get(sha256)
    assert kept is not None, f"message {sha256} was never kept"
    try:
        message = services.parse(services.store.files.raw_path(sha256), kept.received_at, sha256)
        return TakenIn(_file(services, message))
    except Unreadable as why:
        return _set_aside(services, sha256, kept.file, str(why))
    except IntakeError:
        raise
    except Exception:
        log.exception("message %s could not be filed", sha256)
        return _set_aside(services, sha256, kept.file, "a fault of ours stopped its reading; see the log")


def _set_aside(services: Services, sha256: str, file: str, why: str) -> TakenIn:
    with services.store.transaction() as tables:
        tables.messages.set_aside(sha256, why)
    return TakenIn(set_aside=SetAside(file, why))


def _file(services: Services, message: Message) -> tuple[str, ...]:
    """Look at the pictures outside any transaction, then place the message within one."""
    pages, findings = services.eyes.look(message)
    pictures = [_keep(services, message, page) for page in pages]
    card = card_of(message, services.policy.addresses)
    standing = standing_of(message, services.policy.addresses, services.policy.authserv_id)
    # The raw message is safe by now; after a power cut it would be filed once more.
    with services.store.transaction(durable=False) as tables:
        tables.place_alone()
        if tables.messages.state(message.sha256) not in ("kept", "set-aside"):
            return ()  # another worker was quicker
        settled = _settle_letters(tables, services, message, standing)
        placement, touched = _placed(tables, services, message, card, standing)
        tables.messages.file_in(message, card, placement, standing)
        tables.pictures.keep(message.sha256, _not_ours(tables, placement, pictures))
        if placement.job:
            _note(tables, placement, message, card, findings)
    return tuple(dict.fromkeys([*touched, *settled, *([placement.job] if placement.job else [])]))


def _placed(
    tables: Tables, services: Services, message: Message, card: Card, standing: Standing
) -> tuple[Placement, list[str]]:
    """Where a message lies now, with the other jobs that this changed."""
    if tables.index.letters([message.message_id]):
        return Placement(None, "our-copy", "It is a copy of our own letter."), []
    placement = place(card, tables.index, services.policy.same_sender_days)
    if placement.job is None and _opens_no_job(card, standing):
        why = standing.reason or "It names no sender whose job it could be."
        return Placement(None, "apart", why), []
    return _carry_out(tables, services, message, card, placement)


def _not_ours(tables: Tables, placement: Placement, pictures: list[KeptPicture]) -> list[KeptPicture]:
    """Without the crops of our own letters, which mail programs send back within an answer."""
    ours = tables.letters.crops(placement.job) if placement.job and pictures else frozenset()
    return [kept for kept in pictures if kept.picture.sha256 not in ours]


def _settle_letters(tables: Tables, services: Services, message: Message, standing: Standing) -> list[str]:
    """What a message says of our own letters: a copy settles a doubt, a delivery report stops the job's letters."""
    now = services.clock()
    settled = tables.letters.confirm(message.message_id, now) if message.message_id else None
    if settled is not None:
        tables.messages.fix(settled)
        _say(tables, settled, now, "letter", "A copy of our letter came back: it was sent.")
        return [settled]
    if standing.rule != "bounce":
        return []
    jobs = tables.letters.bounced(message.returned_ids, now)
    for job in jobs:
        _say(tables, job, now, "bounced", "Our letter came back; no more are sent by themselves.")
    return jobs


def _say(tables: Tables, job: str, now: datetime, kind: str, text: str) -> None:
    tables.jobs.add_event(job, Event(now, kind, text))
    tables.jobs.touch(job)


def _opens_no_job(card: Card, standing: Standing) -> bool:
    """Reports, automatic replies, list mail and our own letters open no job; nor does mail of nobody's."""
    return standing.verdict == "never" or not card.sender


def _keep(services: Services, message: Message, page: Page) -> KeptPicture:
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
    home = placement.job or _open(tables, card, customer, services.clock())
    tables.jobs.add_address(home, card.sender)
    tables.jobs.note_message(home, card.at)
    for other in placement.merges:
        merge(tables, other, home, placement.reason, services.clock())
    touched = [job for move in placement.moves for job in _move(tables, services, move, home)]
    return replace(placement, job=home), touched


def _open(tables: Tables, card: Card, customer: Address, now: datetime) -> str:
    while tables.jobs.get(job_id := f"R-{''.join(secrets.choice(ALPHABET) for _ in range(5))}") is not None:
        continue
    name = customer if customer.email == card.sender else Address("", card.sender)
    tables.jobs.open(Job(job_id, card.room, JobState.ARRIVING, name, (card.sender,), card.at, card.at))
    tables.jobs.add_event(job_id, Event(now, "opened", f"Opened for {name.name or name.email}."))
    return job_id


def merge(tables: Tables, other: str, home: str, reason: str, now: datetime, by: str = "intake") -> None:
    """Move everything of the job `other` into `home`, which it stands for from now on."""
    gone = tables.jobs.get(other)
    if gone is None or gone.id == home:
        return
    for kept in tables.messages.of_job(gone.id):
        tables.messages.move(kept.sha256, home, "merged", reason, by)
    for email in gone.addresses:
        tables.jobs.add_address(home, email)
    tables.jobs.note_message(home, gone.last_message_at)
    tables.letters.withdraw(gone.id)
    tables.jobs.change(gone.id, merged_into=home)
    tables.jobs.add_event(home, Event(now, "merged", f"Job {gone.id} was merged into this one: {reason}", by))


def _move(tables: Tables, services: Services, move: Move, home: str) -> list[str]:
    """Move messages that a late one showed to be misplaced; returns the jobs that lost or gained."""
    movers = [m for m in (tables.messages.get(sha) for sha in move.messages) if m is not None]
    target = move.job
    if target is None:
        cards = [c for m in movers for c in tables.index.of_job(m.job or "", 300) if c.key in move.messages]
        target = _open(
            tables, cards[0], Address(movers[0].sender_name, movers[0].sender_email), services.clock()
        )
    left = [m.job for m in movers if m.job]
    for kept in movers:
        tables.messages.move(kept.sha256, target, "moved", move.reason, "intake")
        tables.jobs.add_address(target, kept.sender_email)
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
    who = message.sender.name or message.sender.email
    tables.jobs.add_event(
        job, Event(card.at, "message", f"From {who}: “{message.subject}”. {placement.reason}")
    )
    for finding in findings:
        tables.jobs.add_event(job, Event(card.at, "attachment", finding.text))
