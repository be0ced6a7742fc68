"""The worker on its schedule and the desk, in one process."""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from threading import Event
from typing import cast

from apscheduler.schedulers.background import BackgroundScheduler

from intake import wiring
from intake.behind import Behind
from intake.desk import desk_server, watched
from intake.domain.mail.rhythm import back_off
from intake.model.errors import IntakeError, SettingsError
from intake.settings import Settings
from intake.store.ticks import Ticks
from intake.watchdog import Watchdog, missing_locks
from intake.work.alarm import by_mail, watch
from intake.work.collect import collect
from intake.work.health import troubles
from intake.work.metrics import ReadingTimes, TimedEyes
from intake.work.notices import tell_designers
from intake.work.purge import purge_all
from intake.work.remind import remind
from intake.work.send import send_due
from intake.work.services import Eyes, Services

A_DAY = 24 * 60
"""Minutes."""
log = logging.getLogger(__name__)


def serve(settings: Settings, port: int) -> None:
    """Poll the mailbox and send what is due every `poll_minutes`, and serve the desk, until stopped.

    Raises SettingsError where the port is taken.
    """
    times = ReadingTimes()
    with wiring.opened(settings) as opened:
        services = replace(opened, eyes=cast(Eyes, TimedEyes(opened.eyes, times)))
        ticker = BackgroundScheduler(timezone=UTC)
        # A ticker in memory only: what is due stands in our own tables, so a missed tick loses nothing.
        polled, watchdog = Event(), Watchdog()
        poll = settings.poll_minutes
        steps: tuple[tuple[str, str, Callable[[], object], int], ...] = (
            ("poll", "taking mail", lambda: _poll(settings, services, polled), poll),
            ("send", "sending letters", lambda: _send(settings, services, polled), poll),
            ("tell", "telling designers", lambda: _tell(settings, services, polled), poll),
            ("purge", "deleting originals", lambda: _purge(services), A_DAY),
            ("watch", "looking after itself", lambda: _watch(settings, services), poll),
        )
        if line := missing_locks(services.without):
            print(f"Note: {line}", file=sys.stderr)
        for key, name, step, minutes in steps:
            ticker.add_job(
                _Guarded(step, name, watchdog, note=partial(_note, services, key)),
                "interval",
                minutes=minutes,
                next_run_time=datetime.now(UTC),
                coalesce=True,
                max_instances=1,
                misfire_grace_time=None,
            )
        ticker.start()
        watchdog.start()
        try:
            run_desk(settings, services, port, times)
        finally:
            watchdog.stop()
            ticker.shutdown(wait=True)


def run_desk(settings: Settings, services: Services, port: int, times: ReadingTimes | None = None) -> None:
    """Serve the desk until stopped. Raises SettingsError where the port is taken."""
    with Behind(services) as behind:
        try:
            server = desk_server(settings, replace(services, later=behind), port, times)
        except OSError as error:
            raise SettingsError(
                f"Port {port} cannot be used: {error.strerror}", "Choose another with --port"
            ) from error
        print(f"The desk: http://{settings.host}:{port}/", flush=True)
        server.run()


def _poll(settings: Settings, services: Services, polled: Event) -> None:
    if settings.imap_host or settings.mail_folder:
        mailbox = wiring.mailbox(settings)
        try:
            collect(mailbox, services)
        finally:
            mailbox.close()
    polled.set()


def _send(settings: Settings, services: Services, polled: Event) -> None:
    """Nothing goes before the mailbox was looked through once: on a machine that was set back, copies of letters that
    it knows nothing of lie there."""
    if not polled.is_set():
        return
    remind(services)
    if settings.smtp_host or settings.letters_folder:
        send_due(services, wiring.postbox(settings))


def _tell(settings: Settings, services: Services, polled: Event) -> None:
    """Tell designers of the jobs that need them, where mail can be sent at all."""
    if polled.is_set() and settings.address and (settings.smtp_host or settings.letters_folder):
        box, sender = wiring.postbox(settings, copy=False), settings.address[0]
        tell_designers(services, lambda to: by_mail(box, sender, to, services.clock), settings.desk_url)


def _purge(services: Services) -> None:
    purge_all(services)
    services.store.files.trim(services.clock().timestamp())


def _watch(settings: Settings, services: Services) -> None:
    """Tell the owner of what is wrong, where the settings say whom."""
    wrong = troubles(services, watched(settings))
    if not (settings.alarm_address and settings.address):
        return
    box = wiring.postbox(settings, copy=False)
    watch(services, wrong, by_mail(box, settings.address[0], settings.alarm_address, services.clock))


def _note(services: Services, name: str, fault: str) -> None:
    """What the health page knows of a step. That the database cannot be written is found there too."""
    with suppress(Exception), services.store.transaction(durable=False) as tables:
        Ticks(tables.db).note(name, services.clock(), fault)


def _nobody(fault: str) -> None:
    """Notes nothing."""


class _Guarded:
    """One tick that fails must not end the ticker: it is logged with what to do, and tried again later.

    A server that fails again and again is left alone twice as long each time, up to an hour: one that refuses our
    login would else lock the account.
    """

    def __init__(
        self,
        step: Callable[[], object],
        name: str = "a step",
        watchdog: Watchdog | None = None,
        clock: Callable[[], float] = time.monotonic,
        note: Callable[[str], None] = _nobody,
    ) -> None:
        self._step = step
        self._name = name
        self._watchdog = watchdog or Watchdog()
        self._clock = clock
        self._note = note
        self._failures = 0
        self._not_before = 0.0

    def __call__(self) -> None:
        if self._clock() < self._not_before:
            return
        try:
            with self._watchdog.watching(self._name):
                self._step()
            self._failures = 0
            self._note("")
        except IntakeError as error:
            self._note(error.line())
            self._failures += 1
            pause = back_off(self._failures)
            self._not_before = self._clock() + pause.total_seconds()
            minutes = int(pause.total_seconds() // 60)
            if error.again:
                log.warning("%s (tried again in %s minutes)", error.line(), minutes)
            else:
                log.error(
                    "%s (this does not pass by itself; looked at again in %s minutes)", error.line(), minutes
                )
        except Exception as error:
            self._note(f"a fault of the program ({type(error).__name__}); the log says where")
            log.exception("a tick failed")
