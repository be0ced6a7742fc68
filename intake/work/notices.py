"""Tells designers by mail that jobs need them: each job once for each time its customer writes, several in one mail."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import timedelta

from intake.model.checklist import RoomKind
from intake.model.errors import IntakeError
from intake.model.job import JobState
from intake.model.message import Address
from intake.store.accounts import Account, Accounts
from intake.store.notices import AND_NOBODYS, ASSIGNED, JobToTell, Notices
from intake.work.alarm import Tell
from intake.work.services import Services
from intake.work.showroom import rhythm

MOST_JOBS = 20
"""Jobs named in one mail."""
APART = timedelta(minutes=30)
"""At least so long between two mails to one person (common practice, no source)."""

Telling = Callable[[str], Tell]
"""How to tell somebody by mail, by the address."""


class NoNotices(IntakeError):
    """What was asked for cannot be; the sentence is for the person who asked."""


def set_notices(services: Services, account: Account, email: str, wanted: str) -> None:
    """Say where somebody is told by mail, and of which jobs. Raises NoNotices."""
    email = email.strip().lower()[:320]
    if wanted not in ("", ASSIGNED, AND_NOBODYS):
        raise NoNotices(f"There is no such choice as {wanted[:40]}")
    if (wanted or email) and not Address("", email).wire:
        raise NoNotices(f"“{email[:60]}” is no e-mail address", "Write it as name@example.org")
    now = services.clock()
    with services.store.transaction() as tables:
        accounts = Accounts(tables.db)
        accounts.change(account.id, email=email, notices=wanted)
        accounts.note(account.name, "account", account.name, f"is told by mail: {wanted or 'no'}", now)
        changed = accounts.get(account.id)
        if wanted and changed is not None:
            Notices(tables.db).skip(changed, now - services.policy.rhythm.quiet, now)


def tell_designers(services: Services, telling: Telling, desk_url: str = "") -> int:
    """Tell everybody who wants it of the jobs that need them, in working hours; returns how many mails went.

    Noted before it is sent: a mail that cannot be sent is not tried again and again; the desk shows the job anyway.
    """
    now, now_rhythm = services.clock(), rhythm(services)
    if now_rhythm.hours.opens(now) > now:
        return 0
    sent = 0
    with services.store.reading() as tables:
        readers = Notices(tables.db).readers()
    for account in readers:
        with services.store.transaction() as tables:
            notices = Notices(tables.db)
            last = notices.last_told(account)
            soon = last is not None and now - last < APART
            jobs = [] if soon else notices.untold(account, now - now_rhythm.quiet, MOST_JOBS)
            notices.note(account, jobs, now)
        if jobs:
            sent += telling(account.email)(subject(jobs), text(jobs, desk_url))
    return sent


def subject(jobs: Sequence[JobToTell]) -> str:
    return "A survey needs you" if len(jobs) == 1 else f"{len(jobs)} surveys need you"


def text(jobs: Sequence[JobToTell], desk_url: str) -> str:
    """A line a job. Nothing of the customer's stands in it: mail is read on telephones, and by others."""
    lines = [f"{job.id}, {_room(job)}: {_needs(job)}{_link(job, desk_url)}" for job in jobs]
    foot = (
        "You are told of each job once for each time its customer writes. Your own page of the desk ends it."
    )
    return "\n".join([*lines, "", foot, ""])


def _room(job: JobToTell) -> str:
    return "room not named" if job.room is RoomKind.UNKNOWN else job.room.value


def _needs(job: JobToTell) -> str:
    if job.state is JobState.COMPLETE:
        return "ready to design"
    if job.waits:
        return "something that the customer wrote waits for a person"
    return "something to check, decide or release"


def _link(job: JobToTell, desk_url: str) -> str:
    return f"\n  {desk_url.rstrip('/')}/jobs/{job.id}" if desk_url else ""
