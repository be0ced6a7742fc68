"""What comes to the showroom another way than by mail: a customer at the counter or on the telephone, pictures on a
card, and what is known of a customer. It is kept as a message that the desk writes, so that the same cells open it,
the same rules look after it, and it is exported, purged and erased like any other."""

from __future__ import annotations

import mimetypes
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, formataddr
from pathlib import Path
from typing import Any

from intake.model.checklist import RoomKind
from intake.model.errors import IntakeError, NotFound
from intake.model.job import Job, JobState
from intake.model.message import Address, Locator
from intake.model.word import Brought, CustomerWord, RoomWord
from intake.store.accounts import Accounts
from intake.work.collect import LEASE
from intake.work.examine import examine
from intake.work.services import Services
from intake.work.take_in import Kept, new_reference, take_in_by_hand
from intake.work.workers import new_worker

LONGEST_NAME, LONGEST_EMAIL, LONGEST_PHONE, LONGEST_WORDS = 120, 320, 40, 6000
MOST_FILES = 20
LARGEST_IN_ALL = 60 << 20
"""Bytes of one upload: twenty photographs of a telephone at full size."""


class NotTakenIn(IntakeError):
    """What was typed or uploaded cannot be taken in; the sentence is for the person who did."""


@dataclass(frozen=True)
class Customer:
    """What is known of a customer; each may be empty, but not all."""

    name: str = ""
    email: str = ""
    phone: str = ""


@dataclass(frozen=True)
class File:
    """One uploaded file; `name` is the sender's own, for showing only."""

    name: str
    content: bytes


def open_job(
    services: Services, customer: Customer, room: str, words: str, files: Sequence[File], by: str
) -> str:
    """Open a job for somebody who did not write; returns its reference. `words` are the customer's own, as written
    down at the desk, and count as such. Raises NotTakenIn."""
    who, kind, now = _checked(services, customer), _room(room), services.clock()
    _check_files(files)
    with services.store.transaction() as tables:
        address = Address(who.name or who.phone, who.email)
        job = _opened(tables.jobs, kind, address, now)
        tables.jobs.decide(job, _word(who, by, now))
        if kind is not RoomKind.UNKNOWN:
            tables.jobs.decide(job, RoomWord(kind, by=by, at=now))
        others = {c.job for c in tables.index.of_sender(who.email, 20) if c.job} if who.email else set()
        Accounts(tables.db).note(by, "open", job, "opened by hand", now)
    subject = f"Your {kind.value}" if kind is not RoomKind.UNKNOWN else "Your room"
    _keep(services, job, who, subject, words, files, by, tuple(sorted(others)))
    examine(services, job)
    return job


def _opened(jobs: Any, room: RoomKind, customer: Address, now: datetime) -> str:
    addresses = (customer.email,) if customer.email else ()
    while not jobs.open(Job(job := new_reference(), room, JobState.ARRIVING, customer, addresses, now, now)):
        continue
    return job


def add_pictures(services: Services, job: str, files: Sequence[File], words: str, by: str) -> int:
    """Add pictures, and words, that a job's customer sent or told another way; returns the decision's id, by which it
    is undone. Raises NotFound and NotTakenIn."""
    _check_files(files)
    if not files and not words.strip():
        raise NotTakenIn("There is nothing to add", "Choose pictures, or write down what the customer told")
    who = _customer_known(services, job)
    sha256 = _keep(services, job, who, "Brought to the desk", words, files, by)
    with services.store.transaction() as tables:
        key = tables.jobs.decide(job, Brought(sha256, len(files), by=by, at=services.clock()))
        what = f"added {len(files)} pictures" if files else "wrote down the customer's words"
        Accounts(tables.db).note(by, "add", job, what, services.clock())
    examine(services, job)
    return key


def _customer_known(services: Services, job: str) -> Customer:
    with services.store.reading() as tables:
        found = tables.jobs.get(job)
    if found is None or found.id != job:
        raise NotFound(f"There is no job {job[:16]}")
    return Customer(found.customer.name, found.customer.email)


def set_customer(services: Services, job: str, customer: Customer, by: str) -> int:
    """Say who a job's customer is: name, address and telephone number; returns the decision's id."""
    who = _checked(services, customer)
    _customer_known(services, job)
    with services.store.transaction() as tables:
        tables.jobs.add_address(job, who.email)
        key = tables.jobs.decide(job, _word(who, by, services.clock()))
        Accounts(tables.db).note(by, "customer", job, "said who the customer is", services.clock())
    examine(services, job)
    return key


def _word(who: Customer, by: str, now: datetime) -> CustomerWord:
    return CustomerWord(who.name, who.email, who.phone, by=by, at=now)


def _checked(services: Services, given: Customer) -> Customer:
    """One line each, and an address that a letter can be sent to. Raises NotTakenIn."""
    name, email, phone = (" ".join(t.split()) for t in (given.name, given.email, given.phone))
    who = Customer(name[:LONGEST_NAME], email.lower()[:LONGEST_EMAIL], phone[:LONGEST_PHONE])
    if not (who.name or who.email or who.phone):
        raise NotTakenIn("Nobody is named", "Give a name, an e-mail address or a telephone number")
    if who.email and not Address("", who.email).wire:
        raise NotTakenIn(f"“{who.email[:60]}” is no e-mail address", "Write it as name@example.org")
    if who.email in services.policy.addresses:
        raise NotTakenIn("That is the showroom's own address", "Give the customer's")
    return who


def _room(room: str) -> RoomKind:
    if room not in set(RoomKind):
        raise NotTakenIn(f"There is no room {room[:40]}")
    return RoomKind(room)


def _check_files(files: Sequence[File]) -> None:
    if len(files) > MOST_FILES:
        raise NotTakenIn(f"{len(files)} files are more than go at once", f"Send {MOST_FILES} at a time")
    if sum(len(f.content) for f in files) > LARGEST_IN_ALL:
        raise NotTakenIn(f"These files have more than {LARGEST_IN_ALL >> 20} MB", "Send fewer at a time")


def _keep(
    services: Services,
    job: str,
    who: Customer,
    subject: str,
    words: str,
    files: Sequence[File],
    by: str,
    offers: tuple[str, ...] = (),
) -> str:
    """Keep what came as a message of the desk's own and file it in its job; returns the SHA-256 of its bytes."""
    now = services.clock()
    raw = _message(services, who, f"{subject} [{job}]", words, files, by, now)

    def write(path: Path) -> datetime:
        path.write_bytes(raw)
        return now

    spooled = services.store.files.spool(write)
    services.store.files.settle([spooled])
    place = Locator("desk", job, 0, secrets.token_hex(8))
    with services.store.transaction() as tables:
        tables.messages.add_deliveries([(place, spooled.sha256, now)], now, new_worker(), LEASE)
    taken = take_in_by_hand(services, Kept(spooled.sha256, place.uid, now), job, by, offers)
    if taken.set_aside is not None:
        raise NotTakenIn(f"It could not be read: {taken.set_aside.why}", "It is kept under Set aside")
    return spooled.sha256


def _message(
    services: Services, who: Customer, subject: str, words: str, files: Sequence[File], by: str, now: datetime
) -> bytes:
    """An RFC 5322 message without a Message-ID: nobody has it, so no letter can answer it in a thread."""
    mail = EmailMessage(policy=SMTP)
    if who.email:
        mail["From"] = formataddr((who.name, Address("", who.email).wire))
    if services.policy.addresses:
        mail["To"] = min(services.policy.addresses)
    mail["Subject"], mail["Date"] = subject, format_datetime(now)
    mail["Comments"] = f"Written at the desk by {by}, not by the customer"
    mail.set_content(words.strip()[:LONGEST_WORDS] + "\n")
    for file in files:
        kind = (mimetypes.guess_type(file.name)[0] or "application/octet-stream").partition("/")
        if kind[0] not in ("image", "application"):
            kind = ("application", "/", "octet-stream")
        mail.add_attachment(file.content, kind[0], kind[2], filename=_shown(file.name))
    return mail.as_bytes()


def _shown(name: str) -> str:
    """A file's name as one printable line."""
    return "".join(c if c.isprintable() else " " for c in name).strip()[-100:] or "picture"
