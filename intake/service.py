"""The service: the desk in this process, and the workers that take the mail, each in one of its own."""

from __future__ import annotations

import signal
import threading
from dataclasses import replace
from functools import partial
from typing import Any

from intake import wiring
from intake.crew import Crew
from intake.desk import desk_app, desk_server
from intake.model.errors import SettingsError
from intake.round import note
from intake.settings import Settings
from intake.watchdog import Watchdog, tell_supervisor
from intake.work.services import Services

ONE = ""
"""The name of the only showroom."""


def serve(settings: Settings, port: int) -> None:
    """Poll the mailbox and send what is due every `poll_minutes`, and serve the desk, until stopped.

    Raises SettingsError where the port is taken.
    """
    with wiring.opened(settings) as services:
        crew = Crew({ONE: settings}, settings.processes, lost=lambda _, how: note_lost(services, how))
        run_desk(settings, services, port, crew)


def note_lost(services: Services, how: str) -> None:
    """A worker was lost: the health page says so until a round is whole again."""
    note(
        services, "worker", f"The process that takes the mail {how}. Another was started; the log says more."
    )


def run_desk(settings: Settings, services: Services, port: int, crew: Crew) -> None:
    """Serve the desk until stopped, with the crew at work. Raises SettingsError where the port is taken."""
    app = desk_app(settings, replace(services, later=partial(crew.later, ONE)), crew.times)
    run(app, settings, port, crew)


def run(app: Any, settings: Settings, port: int, crew: Crew, threads: int = 4) -> None:
    """Serve a WSGI application, with the crew at work, until stopped. Raises SettingsError where the port is taken."""
    try:
        server = desk_server(app, settings, port, threads)
    except OSError as error:
        raise SettingsError(
            f"Port {port} cannot be used: {error.strerror}", "Choose another with --port"
        ) from error
    if threading.current_thread() is threading.main_thread():
        signal.signal(
            signal.SIGTERM, signal.default_int_handler
        )  # systemd and containers stop us in good order
    watchdog = Watchdog(sign=partial(tell_supervisor, "WATCHDOG=1"))
    with crew:
        watchdog.start()
        tell_supervisor("READY=1")
        print(f"The desk: http://{settings.host}:{port}/", flush=True)
        try:
            server.run()
        finally:
            watchdog.stop()
