"""One pass over the mailbox: keep what lies there, file it into jobs, and decide the follow-ups. Sends nothing.

Several workers may do this at once: each message is filed and each job examined by the one that holds its claim.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta

from intake.mailbox.protocol import Delivery, Mailbox
from intake.model.errors import IntakeError, MessageGone, MessageStuck
from intake.model.message import MessageState
from intake.store.files import Spooled
from intake.work.examine import examine
from intake.work.services import Services
from intake.work.settle import look_for_copies
from intake.work.take_in import Kept, SetAside, TakenIn, take_in, take_in_all
from intake.work.workers import is_gone, new_worker

log = logging.getLogger(__name__)

LEASE = timedelta(minutes=30)
"""Longer than any message takes to file or any job to examine. Both may safely be done twice."""
TOGETHER, TOGETHER_BYTES = 50, 1 << 20
"""Messages, and bytes of them, that are kept in one commit and filed in another; a larger one by itself."""

DEADLY = "reading it ended the program again and again"


@dataclass(frozen=True)
class Collected:
    """What one pass did: messages taken and already taken, what could not be read, and the jobs that changed.

    `looked_through`: it came to the mailbox's end. `left`: it was told to leave the rest to the next one. `stuck`: what
    the mailbox does not hand out, a line for each."""

    taken: int
    already_taken: int
    set_aside: tuple[SetAside, ...]
    jobs: tuple[str, ...]
    looked_through: bool = True
    left: bool = False
    stuck: tuple[str, ...] = ()


Progress = Callable[[str, int, int, str], None]
"""Told of each step: the stage, how many are done, of how many, and what is at hand."""


def _silent(stage: str, done: int, of: int, what: str) -> None:
    """Tells nobody."""


def _never() -> bool:
    return False


def collect(
    mailbox: Mailbox,
    services: Services,
    progress: Progress = _silent,
    enough: Callable[[], bool] = _never,
) -> Collected:
    """Take every delivery once, in the mailbox's order; examine the jobs that changed; look for the letters in doubt.

    Asked before each message and each job, `enough` may leave the rest for the next pass: others wait as well.
    Raises MailboxUnreachable and StoreFull; what was kept by then stays kept, and the next pass goes on from there.
    """
    work = _Pass(services, new_worker(), progress, enough)
    work.tidy()
    try:
        work.take(mailbox)
        work.file_what_was_left()
        work.examine_what_changed()
        look_for_copies(services, mailbox)
    finally:
        work.release()
    aside = tuple(o.set_aside for o in work.outcomes if o.set_aside)
    return Collected(
        work.taken,
        work.already,
        aside,
        work.changed_jobs(),
        work.looked_through,
        work.has_enough,
        tuple(work.stuck),
    )


@dataclass
class _Pass:
    """One pass of one worker."""

    services: Services
    worker: str
    progress: Progress
    enough: Callable[[], bool] = _never
    has_enough: bool = False
    looked_through: bool = False
    taken: int = 0
    already: int = 0
    fetched: list[tuple[Delivery, Spooled]] = field(default_factory=list)
    outcomes: list[TakenIn] = field(default_factory=list)
    examined: list[str] = field(default_factory=list)
    stuck: list[str] = field(default_factory=list)

    def tidy(self) -> None:
        """Drop what a crash left in the spool, and give back what processes that have ended still hold."""
        self.services.store.files.clear_spool(self.services.clock().timestamp())
        with self.services.store.transaction() as tables:
            tables.release_claims(is_gone)

    def take(self, mailbox: Mailbox) -> None:
        """Keep and file the deliveries, a few at a time, and mark each once it is filed."""
        deliveries = list(mailbox.deliveries())
        known = self._taken_before(deliveries)
        try:
            for number, delivery in enumerate(deliveries, 1):
                if self._is_enough():
                    return
                sha256 = known.get((delivery.locator.uidvalidity, delivery.locator.uid))
                if sha256 is None:
                    self._fetch(delivery)
                else:
                    self.already += 1
                    self._mark(delivery, sha256)
                self.progress("Taking mail", number, len(deliveries), delivery.locator.uid)
            self.looked_through = True
        finally:
            self._keep_and_file()  # what was fetched before a fault, too

    def _is_enough(self) -> bool:
        self.has_enough = self.has_enough or self.enough()
        return self.has_enough

    def _taken_before(self, deliveries: list[Delivery]) -> dict[tuple[int, str], str]:
        """The deliveries of this folder that were taken before, but for those that are not filed yet."""
        if not deliveries:
            return {}
        locator = deliveries[0].locator
        with self.services.store.reading() as tables:
            return tables.messages.known_in(locator.account, locator.folder)

    def _fetch(self, delivery: Delivery) -> None:
        try:
            spooled = self.services.store.files.spool(delivery.fetch)
        except MessageGone as gone:
            log.info("%s", gone)
            return
        except MessageStuck as stuck:
            log.warning("%s", stuck.line())
            self.stuck.append(str(stuck))
            self.outcomes.append(TakenIn(set_aside=SetAside(delivery.locator.uid, str(stuck))))
            return
        if sum(each.size for _, each in self.fetched) + spooled.size > TOGETHER_BYTES:
            self._keep_and_file()
        self.fetched.append((delivery, spooled))
        if len(self.fetched) >= TOGETHER:
            self._keep_and_file()

    def _keep_and_file(self) -> None:
        """Keep what was fetched: flush it, commit its rows, and only then look into it and file it."""
        fetched, self.fetched = self.fetched, []
        if not fetched:
            return
        self.services.store.files.settle([spooled for _, spooled in fetched])
        arrived = [(delivery.locator, s.sha256, s.arrived) for delivery, s in fetched]
        with self.services.store.transaction() as tables:
            new = tables.messages.add_deliveries(arrived, self.services.clock(), self.worker, LEASE)
            states = tables.messages.states([sha256 for _, sha256, _ in arrived])
        for sha256 in (sha256 for sha256, state in states.items() if state is MessageState.ERASED):
            self.services.store.files.drop_raw(sha256)  # it lies in the mailbox still; here it was erased
        self.taken += len(new)
        self.already += len(fetched) - len(new)
        first = {sha256: Kept(sha256, at.uid, received) for at, sha256, received in reversed(arrived)}
        kept = [first[sha256] for sha256 in dict.fromkeys(sha for _, sha, _ in arrived) if sha256 in new]
        self.outcomes += take_in_all(self.services, kept)
        for delivery, spooled in fetched:
            self._mark(delivery, spooled.sha256)

    def _mark(self, delivery: Delivery, sha256: str) -> None:
        """Only what is filed or set aside is marked; what another worker is filing is marked in a later pass."""
        if not delivery.wants_mark:
            return
        with self.services.store.reading() as tables:
            if tables.messages.state(sha256) in (None, MessageState.KEPT):
                return
        try:
            delivery.mark()
        except MessageGone as gone:
            log.info("%s", gone)

    def file_what_was_left(self) -> None:
        """Messages that a crash left kept but not filed."""
        while not self._is_enough() and (sha256 := self._claim_message()) is not None:
            self.outcomes.append(take_in(self.services, sha256))
        with self.services.store.transaction() as tables:
            for file in tables.messages.set_aside_deadly(DEADLY):
                self.outcomes.append(TakenIn(set_aside=SetAside(file, DEADLY)))

    def _claim_message(self) -> str | None:
        with self.services.store.transaction(durable=False) as tables:
            return tables.messages.claim(self.worker, self.services.clock(), LEASE)

    def examine_what_changed(self) -> None:
        """Each job once a pass: what fails for a fault of ours is tried again in the next one."""
        with self.services.store.reading() as tables:
            waiting = tables.jobs.waiting()
        while not self._is_enough() and (job := self._claim_job()) is not None:
            if job in self.examined:
                continue
            self.progress(
                "Reading and checking", len(self.examined), max(waiting, len(self.examined) + 1), job
            )
            self.examined.append(job)
            examine_safely(self.services, job)
        with self.services.store.transaction(durable=False) as tables:
            tables.jobs.note_deadly(self.services.clock())
        self.progress("Reading and checking", len(self.examined), len(self.examined), "")

    def _claim_job(self) -> str | None:
        with self.services.store.transaction(durable=False) as tables:
            return tables.jobs.claim(self.worker, self.services.clock(), LEASE)

    def release(self) -> None:
        with self.services.store.transaction() as tables:
            tables.jobs.note_survived(self.worker)
            tables.release_claims(lambda worker: worker == self.worker)

    def changed_jobs(self) -> tuple[str, ...]:
        """The jobs by the references they bear now, once merges are followed."""
        named = {job for outcome in self.outcomes for job in outcome.jobs} | {*self.examined}
        with self.services.store.reading() as tables:
            return tuple(tables.jobs.now(sorted(named)))


def examine_safely(services: Services, job: str) -> None:
    """A fault of ours in one job must not stop the others: it is examined again in the next pass, and until that
    succeeds the desk says so."""
    try:
        examine(services, job)
    except IntakeError:
        raise
    except Exception:
        log.exception("job %s could not be examined", job)
        with services.store.transaction() as tables:
            tables.jobs.note_failed(job, services.clock())
