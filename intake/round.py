"""One round: all that is done for one showroom at each poll, one step after another. What fails is told, and tried
again later; the other steps go on."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from intake import wiring
from intake.domain.mail.rhythm import back_off
from intake.model.errors import IntakeError
from intake.orders import NO_PAUSE, NOTHING_KNOWN, Known, Pause
from intake.settings import Settings
from intake.store.ticks import Ticks
from intake.watchdog import Watchdog
from intake.work.alarm import by_mail, watch
from intake.work.collect import collect
from intake.work.health import Trouble, troubles
from intake.work.notices import tell_designers
from intake.work.purge import purge_all
from intake.work.remind import remind
from intake.work.send import send_due
from intake.work.services import Services

A_DAY = 24 * 60 * 60.0
SHARE = 60.0
"""Seconds after which a round leaves the rest of the mail for the next one, which follows at once: letters wait to be
sent, and other showrooms for their turn."""
log = logging.getLogger(__name__)

Clock = Callable[[], float]


class Round:
    """One round of a showroom.

    `between` is called before each piece of work; True: the service ends, the rest is left.
    """

    def __init__(
        self,
        settings: Settings,
        services: Services,
        known: Known = NOTHING_KNOWN,
        between: Callable[[], bool] = lambda: False,
        watchdog: Watchdog | None = None,
        clock: Clock = time.monotonic,
    ) -> None:
        self.known, self.left = known, False
        self._settings, self._services = settings, services
        self._between, self._clock = between, clock
        self._watchdog = watchdog or Watchdog()
        self._until = clock() + SHARE

    def go(self) -> list[Trouble]:
        """All steps in turn; returns what is wrong afterwards."""
        # First what is wrong: where a round ends the program again and again, its owner is told all the same.
        steps: dict[str, tuple[str, Callable[[], None]]] = {
            "watch": ("looking after itself", self._watch),
            "poll": ("taking mail", self._poll),
            "send": ("sending letters", self._send),
            "tell": ("telling designers", self._tell),
            "purge": ("deleting originals", self._purge),
        }
        for key, (name, step) in steps.items():
            if self._between():
                break
            self._try(key, name, step)
        else:
            note(self._services, "worker", "")
        return troubles(self._services, wiring.watched(self._settings))

    def _try(self, key: str, name: str, step: Callable[[], None]) -> None:
        pause = attempt(
            step, name, self.known.pauses.get(key, NO_PAUSE), self._watchdog, self._clock, self._noter(key)
        )
        others = {k: p for k, p in self.known.pauses.items() if k != key}
        self.known = replace(self.known, pauses=others | ({} if pause == NO_PAUSE else {key: pause}))

    def _noter(self, key: str) -> Callable[[str], None]:
        return lambda fault: note(self._services, key, fault)

    def _poll(self) -> None:
        if not (self._settings.imap_host or self._settings.mail_folder):
            self.known = replace(self.known, looked_through=True)
            return
        mailbox = wiring.mailbox(self._settings)
        try:
            done = collect(mailbox, self._services, enough=self._enough)
        finally:
            mailbox.close()
        if done.looked_through:
            note(self._services, "stuck", "; ".join(done.stuck))
        self.left = done.left
        self.known = replace(self.known, looked_through=self.known.looked_through or done.looked_through)

    def _enough(self) -> bool:
        return self._between() or self._clock() > self._until

    def _send(self) -> None:
        """Nothing goes before the mailbox was looked through once: on a machine that was set back, copies of letters
        that it knows nothing of lie there."""
        if not self.known.looked_through:
            return
        remind(self._services)
        if self._settings.smtp_host or self._settings.letters_folder:
            send_due(self._services, wiring.postbox(self._settings))

    def _tell(self) -> None:
        """Tell designers of the jobs that need them, where mail can be sent at all."""
        settings, services = self._settings, self._services
        if self.known.looked_through and settings.address and (settings.smtp_host or settings.letters_folder):
            box, sender = wiring.postbox(settings, copy=False), settings.address[0]
            tell_designers(services, lambda to: by_mail(box, sender, to, services.clock), settings.desk_url)

    def _purge(self) -> None:
        """Once a day: delete what has been kept for its time, and here what lies on a store elsewhere. What ended
        workers is tried again."""
        if self._clock() - self.known.purged < A_DAY:
            return
        with self._services.store.transaction() as tables:
            tables.jobs.try_deadly_again()
        purge_all(self._services)
        self._services.store.files.trim(self._services.clock().timestamp())
        self.known = replace(self.known, purged=self._clock())

    def _watch(self) -> None:
        """Tell the owner of what is wrong, where the settings say whom."""
        settings, services = self._settings, self._services
        if settings.alarm_address and settings.address:
            box, wrong = wiring.postbox(settings, copy=False), troubles(services, wiring.watched(settings))
            watch(services, wrong, by_mail(box, settings.address[0], settings.alarm_address, services.clock))


def note(services: Services, name: str, fault: str) -> None:
    """What the health page knows of a step. That the database cannot be written is found there too."""
    with suppress(Exception), services.store.transaction(durable=False) as tables:
        Ticks(tables.db).note(name, services.clock(), fault)


def _nobody(fault: str) -> None:
    """Notes nothing."""


def attempt(
    step: Callable[[], object],
    name: str = "a step",
    pause: Pause = NO_PAUSE,
    watchdog: Watchdog | None = None,
    clock: Clock = time.monotonic,
    note: Callable[[str], None] = _nobody,
) -> Pause:
    """Do a step, unless it is to be left alone still. One that fails must not end the round: it is logged with what to
    do, and tried again later.

    A server that fails again and again is left alone twice as long each time, up to an hour: one that refuses our
    login would else lock the account.
    """
    if clock() < pause.until:
        return pause
    try:
        with (watchdog or Watchdog()).watching(name):
            step()
        note("")
    except IntakeError as error:
        note(error.line())
        failures = pause.failures + 1
        left_alone = back_off(failures)
        minutes = int(left_alone.total_seconds() // 60)
        if error.again:
            log.warning("%s: %s (tried again in %s minutes)", name, error.line(), minutes)
        else:
            log.error(
                "%s: %s (this does not pass by itself; looked at again in %s minutes)",
                name,
                error.line(),
                minutes,
            )
        return Pause(failures, clock() + left_alone.total_seconds())
    except Exception as error:
        note(f"a fault of the program ({type(error).__name__}); the log says where")
        log.exception("%s failed", name)
    return NO_PAUSE
