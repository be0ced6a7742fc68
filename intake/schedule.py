"""The worker on its schedule and the desk, in one process."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import UTC, datetime

from apscheduler.schedulers.background import BackgroundScheduler
from waitress import create_server

from intake import wiring
from intake.desk import desk_app
from intake.model.errors import IntakeError, SettingsError
from intake.settings import Settings
from intake.work.collect import collect
from intake.work.remind import remind
from intake.work.send import send_due
from intake.work.services import Services

log = logging.getLogger(__name__)


def serve(settings: Settings, port: int) -> None:
    """Poll the mailbox and send what is due every `poll_minutes`, and serve the desk, until stopped.

    Raises SettingsError where the port is taken.
    """
    with wiring.opened(settings) as services:
        ticker = BackgroundScheduler(timezone=UTC)
        # A ticker in memory only: what is due stands in our own tables, so a missed tick loses nothing.
        for step in (lambda: _poll(settings, services), lambda: _send(settings, services)):
            ticker.add_job(
                _guarded(step),
                "interval",
                minutes=settings.poll_minutes,
                next_run_time=datetime.now(UTC),
                coalesce=True,
                max_instances=1,
                misfire_grace_time=None,
            )
        ticker.start()
        try:
            run_desk(settings, services, port)
        finally:
            ticker.shutdown(wait=True)


def run_desk(settings: Settings, services: Services, port: int) -> None:
    """Serve the desk until stopped. Raises SettingsError where the port is taken."""
    try:
        server = create_server(desk_app(settings, services), host=settings.host, port=port, threads=4)
    except OSError as error:
        raise SettingsError(
            f"Port {port} cannot be used: {error.strerror}", "Choose another with --port"
        ) from error
    print(f"The desk: http://{settings.host}:{port}/", flush=True)
    server.run()


def _poll(settings: Settings, services: Services) -> None:
    if not (settings.imap_host or settings.mail_folder):
        return
    mailbox = wiring.mailbox(settings)
    try:
        collect(mailbox, services)
    finally:
        mailbox.close()


def _send(settings: Settings, services: Services) -> None:
    remind(services)
    if settings.smtp_host or settings.letters_folder:
        send_due(services, wiring.postbox(settings))


def _guarded(step: Callable[[], None]) -> Callable[[], None]:
    """One tick that fails must not end the ticker: it is logged with what to do, and the next tick tries again."""

    def tick() -> None:
        try:
            step()
        except IntakeError as error:
            log.warning("%s", error.line())
        except Exception:
            log.exception("a tick failed")

    return tick
