"""Designers' blind looks: a number of another job, its ink without its reading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from intake.domain.inspection.looks import IN_TIME, verdict
from intake.domain.inspection.offered import offered
from intake.domain.lengths.notation import parse_length
from intake.model.errors import NotFound
from intake.model.inspection import Look, Lot, SpotCheck, Verdict
from intake.store.accounts import Accounts
from intake.store.database import Tables
from intake.store.inspection import Inspection
from intake.store.lists import Lists
from intake.work.decide import NotPossible
from intake.work.look import full_picture
from intake.work.lots import settle_looks
from intake.work.services import Services

LOOKS_A_JOB = 2
"""So many numbers at most are put before a designer on the page of one job in a day: a few seconds."""
A_DAY = timedelta(days=1)
APART = timedelta(minutes=10)
"""Nobody looks at the same number twice within this time, and so long a look can be taken back."""
LONGEST = 40
MOST = 60
"""So many that may wait are gone through to find one; some are of the page's own job."""


@dataclass(frozen=True)
class BlindLook:
    """A number to be looked at without its reading. `unit` is how lengths are written on its sketch; `offered` are
    texts that it may say."""

    check: int
    unit: str
    offered: tuple[str, ...]


def to_look_at(services: Services, job: str, by: str) -> BlindLook | None:
    """The number that a designer is to look at while on a job's page; None where there is none now.

    It is never one of the page's own job, whose readings stand there to be seen; nobody repeats a look at once. Where
    somebody has looked before, nothing is offered: that the reading is wrong is said by two who saw it, at least once
    without any text before their eyes.
    """
    if not services.policy.inspection.first:
        return None
    now = services.clock()
    with services.store.reading() as tables:
        rows = Inspection(tables.db)
        if rows.looks_during(job, by, now - A_DAY) >= LOOKS_A_JOB:
            return None
        own = {kept.picture.id for kept in tables.pictures.of_job(job)}
        for check in rows.open_checks(now - IN_TIME, MOST):
            lot = rows.lot(check.picture)
            if lot is None or check.picture in own or _looked_lately(check, by, now):
                continue
            if verdict(check, lot.unit, lot.at, now) is Verdict.WAITING:
                return BlindLook(check.id, lot.unit, () if check.looks else offered(check.read, check.id))
    return None


@dataclass(frozen=True)
class LastLook:
    """A look that can still be taken back; `told` "" where it could not be told."""

    check: int
    told: str


def last_look(services: Services, job: str, by: str) -> LastLook | None:
    """What a designer saw last on the page of a job, lately."""
    with services.store.reading() as tables:
        found = Inspection(tables.db).last_during(job, by, services.clock() - APART)
    return LastLook(*found) if found else None


def _looked_lately(check: SpotCheck, by: str, now: datetime) -> bool:
    return any(look.by == by and now - look.at < APART for look in check.looks)


def look(services: Services, job: str, check_id: int, told: str, by: str) -> str:
    """Keep what a designer saw, "" where they could not tell, while on the page of `job`. Returns the job whose
    number two looks have now shown to be misread, "" otherwise. Raises NotPossible where it is no length."""
    now = services.clock()
    with services.store.transaction() as tables:
        rows = Inspection(tables.db)
        check = rows.check(check_id)
        lot = rows.lot(check.picture) if check else None
        if check is None or lot is None or tables.jobs.get(job) is None:
            raise NotFound("There is no such number to look at")
        told = " ".join(told.split())[:LONGEST]
        if told and parse_length(told, lot.unit) is None:
            raise NotPossible(f"“{told}” is no length in {lot.unit}", "Write it as it stands there")
        if verdict(check, lot.unit, lot.at, now) is not Verdict.WAITING:
            return ""
        rows.look(check_id, Look(by, now, told), job)
        settle_looks(tables, lot, now)
        home = _misread(tables, check_id, lot, now)
        if home:
            tables.jobs.touch(home)
            Accounts(tables.db).note(by, "misread", home, f"{check.picture}#{check.number}", now)
    return home


def take_back(services: Services, job: str, check_id: int, by: str) -> None:
    """Forget the look that a designer just gave while on the page of `job`, as if it had not been given. Raises
    NotPossible where it is not their last one there, or some time ago."""
    now = services.clock()
    with services.store.transaction() as tables:
        rows = Inspection(tables.db)
        last, check = rows.last_during(job, by, now - APART), rows.check(check_id)
        lot = rows.lot(check.picture) if check else None
        if check is None or lot is None or last is None or last[0] != check_id:
            raise NotPossible("That look can no longer be taken back", "Look at the job that it is of")
        home = _misread(tables, check_id, lot, now)
        rows.forget_last(check_id, by)
        settle_looks(tables, lot, now)
        if home:
            tables.jobs.touch(home)
            Accounts(tables.db).note(by, "misread-taken-back", home, f"{check.picture}#{check.number}", now)


def _misread(tables: Tables, check_id: int, lot: Lot, now: datetime) -> str:
    """The job of a number that was accepted and that looks have shown to be wrong; "" where they have not."""
    check = Inspection(tables.db).check(check_id)
    wrong = check is not None and verdict(check, lot.unit, lot.at, now) is Verdict.WRONG
    return _job_of(tables, check.picture) if check is not None and wrong and check.weighed.accepted else ""


def _job_of(tables: Tables, picture: str) -> str:
    found = Lists(tables.db).picture(picture)
    message = tables.messages.get(found[0]) if found else None
    job = tables.jobs.get(message.job) if message is not None and message.job else None
    return job.id if job is not None else ""


def ink(services: Services, check_id: int) -> bytes:
    """A PNG of the ink to look at. Raises NotFound."""
    with services.store.reading() as tables:
        check = Inspection(tables.db).check(check_id)
        found = Lists(tables.db).picture(check.picture) if check else None
        reading = tables.pictures.reading(check.picture) if check else None
    if check is None or found is None or reading is None or check.number >= len(reading.numbers):
        raise NotFound("There is no such number to look at")
    jpeg = full_picture(services, found[0], check.picture)
    if jpeg is None:
        raise NotFound("The picture cannot be decoded")
    return services.eyes.crop(jpeg, reading.numbers[check.number].box)
