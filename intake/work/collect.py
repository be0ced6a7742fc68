"""One pass over the mailbox: keep what lies there, file it into jobs, and decide the follow-ups. Sends nothing."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass

from intake.mailbox.protocol import Delivery, Mailbox
from intake.model.errors import IntakeError, MessageGone
from intake.work.examine import examine
from intake.work.services import Services
from intake.work.take_in import SetAside, take_in

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Collected:
    """What one pass did: messages taken and already taken, what could not be read, and the jobs that changed."""

    taken: int
    already_taken: int
    set_aside: tuple[SetAside, ...]
    jobs: tuple[str, ...]


Progress = Callable[[str, int, int, str], None]
"""Told of each step: the stage, how many are done, of how many, and what is at hand."""


def _silent(stage: str, done: int, of: int, what: str) -> None:
    """Tells nobody."""


def collect(mailbox: Mailbox, services: Services, progress: Progress = _silent) -> Collected:
    """Take every delivery once, in the mailbox's order; then examine the jobs that changed.

    Raises MailboxUnreachable and StoreFull; what was kept by then stays kept.
    """
    services.store.files.clear_spool()
    taken, already = 0, 0
    outcomes = [take_in(services, sha256) for sha256 in _unfinished(services)]
    deliveries = list(mailbox.deliveries())
    for number, delivery in enumerate(deliveries, 1):
        sha256 = _keep(services, delivery)
        if sha256 is None:
            already += 1
        else:
            taken += 1
            outcomes.append(take_in(services, sha256))
        delivery.mark()
        progress("Taking mail", number, len(deliveries), delivery.locator.uid)
    jobs = _unmerged(services, {job for o in outcomes for job in o.jobs})
    for number, job in enumerate(jobs):
        progress("Reading and checking", number, len(jobs), job)
        _examine_safely(services, job)
    progress("Reading and checking", len(jobs), len(jobs), "")
    return Collected(taken, already, tuple(o.set_aside for o in outcomes if o.set_aside), tuple(jobs))


def _unfinished(services: Services) -> list[str]:
    with services.store.reading() as tables:
        return tables.messages.unfinished()


def _keep(services: Services, delivery: Delivery) -> str | None:
    """Keep one delivery's bytes and commit; its SHA-256, or None where there is nothing new in it."""
    with services.store.reading() as tables:
        if tables.messages.knows_delivery(delivery.locator):
            return None
    try:
        sha256, arrived = services.store.files.keep_raw(delivery.fetch)
    except MessageGone as gone:
        log.info("%s", gone)
        return None
    with services.store.transaction() as tables:
        new = tables.messages.add_delivery(delivery.locator, sha256, arrived, services.clock())
    return sha256 if new else None


def _unmerged(services: Services, jobs: set[str]) -> list[str]:
    """The jobs by the references they bear now, once merges are followed."""
    with services.store.reading() as tables:
        found = (tables.jobs.get(job) for job in sorted(jobs))
        return list(dict.fromkeys(job.id for job in found if job is not None))


def _examine_safely(services: Services, job: str) -> None:
    """A fault of ours in one job must not stop the others; the job says so, and is examined again next time."""
    try:
        examine(services, job)
    except IntakeError:
        raise
    except Exception:
        log.exception("job %s could not be examined", job)
        with services.store.transaction() as tables:
            tables.jobs.change(job, examined_at=None)
