"""Erase one customer everywhere: tables, originals, pictures, letters, journal, and copies of the database.

What stays is that it happened and how much it was, and the hashes of the messages: by them a message that still
lies in the mailbox is not taken again, and a backup from before is erased again when it is restored. A hash tells
nobody anything.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from intake.model.errors import IntakeError, NotFound
from intake.store.database import Store, Tables
from intake.store.forget import Holdings
from intake.work.services import Services
from intake.work.what_counts import settled_job

LIST = "erased"
"""The file of the data folder with the hashes."""
HEADER = 1 << 16
"""Bytes of a message nobody could read in which an address is looked for."""


class BeingSent(IntakeError):
    """A letter to the customer is just being handed over."""

    again = True


@dataclass(frozen=True)
class Erased:
    """How much was, or would be, erased, and the Message-IDs of the letters (for copies of them elsewhere)."""

    jobs: tuple[str, ...]
    addresses: tuple[str, ...]
    messages: int
    pictures: int
    letters: tuple[str, ...]


def what_would_go(services: Services, who: str) -> Erased:
    """What `erase` would delete of the customer with an e-mail address, or of a job. Raises NotFound."""
    return _erased(_held(services.store, who))


def erase(services: Services, who: str, by: str) -> Erased:
    """Delete all that is held of a customer. Repeating it is harmless. Raises NotFound, BeingSent."""
    held = _held(services.store, who)
    if ours := services.policy.addresses & {who.strip().lower()}:
        raise NotFound(f"{', '.join(ours)} is the showroom's own address", "Name a customer's")
    _erase(services, held, by)
    services.store.scrub()
    return _erased(held)


def erase_again(services: Services, by: str) -> int:
    """After a restore: erase whoever had been erased since the backup; returns how many jobs that were."""
    listed = _listed(services.store.folder)
    with services.store.reading() as tables:
        jobs = {j for job in tables.forget.jobs_of_messages(listed) for j in tables.forget.jobs_of(job)}
        of_jobs = tables.forget.holdings(sorted(jobs))
        messages = {*of_jobs.messages, *tables.forget.still_there(listed)}
        held = replace(of_jobs, messages=tuple(sorted(messages)))
    if held:
        _erase(services, held, by)
        services.store.scrub()
    return len(held.jobs)


def _erased(held: Holdings) -> Erased:
    return Erased(held.jobs, held.addresses, len(held.messages), len(held.pictures), held.letters)


def _held(store: Store, who: str) -> Holdings:
    with store.reading() as tables:
        return holdings_of(tables, who, lambda sha256: _header(store.files.raw_path(sha256)))


def holdings_of(tables: Tables, who: str, header: Callable[[str], bytes]) -> Holdings:
    """What is held of a customer: of an address that writes in another's job, its own messages. Raises NotFound."""
    email = who.strip().lower() if "@" in who else ""
    jobs = [job for job in tables.forget.jobs_of(who) if not (email and _is_another_s(tables, job, email))]
    held = tables.forget.holdings(jobs, email)
    names = re.compile("|".join(rf"(?<![\w.+-]){re.escape(a)}(?![\w.-])" for a in held.addresses).encode())
    unread = [
        sha256
        for sha256 in tables.forget.set_aside()
        if held.addresses and sha256 not in held.messages and names.search(header(sha256))
    ]
    held = replace(held, messages=(*held.messages, *unread))
    if not held:
        raise NotFound(
            f"Nothing is held of {who}", "Give an e-mail address or a job, as `intake jobs` lists them"
        )
    return held


def _is_another_s(tables: Tables, job_id: str, email: str) -> bool:
    """Whether a job is somebody else's, in whose correspondence this address only writes: what it holds of the customer
    is not for a stranger to have or to delete. Where it is not clear whose it is, only its reference tells."""
    job = tables.jobs.get(job_id)
    if job is None:
        return False
    told = settled_job(tables, job).heard
    if told.rivals or email == told.customer.email:
        return bool(told.rivals)
    return not any(m.credited == email and m.counts for m in told.messages)


def _header(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(HEADER).lower()
    except FileNotFoundError:
        return b""


def _erase(services: Services, held: Holdings, by: str) -> None:
    """The rows first, in one transaction: from then on nothing names the files, whenever this is broken off. The list
    comes before, so that it can be repeated."""
    store = services.store
    _list(store.folder, held.messages)
    with store.transaction() as tables:
        if tables.forget.being_sent(held.jobs):
            raise BeingSent("A letter to this customer is just being sent", "Run it again in a minute")
        tables.forget.erase(held, by, services.clock())
    for sha256 in held.messages:
        store.files.drop_raw(sha256)
    for picture in held.pictures:
        store.files.drop_pictures_of(picture)
    store.journal.forget(held.addresses)
    for copy in (store.folder / "before-upgrade").glob("*"):
        copy.unlink()


def _list(folder: Path, sha256s: Sequence[str]) -> None:
    with (folder / LIST).open("a", encoding="ascii") as file:
        file.writelines(f"{sha256}\n" for sha256 in sha256s)
        file.flush()
        os.fsync(file.fileno())


def _listed(folder: Path) -> list[str]:
    try:
        return (folder / LIST).read_text(encoding="ascii").split()
    except FileNotFoundError:
        return []
