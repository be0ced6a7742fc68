"""Tells a process that is stuck: whoever started it, systemd or the service, ends it and starts another."""

from __future__ import annotations

import faulthandler
import logging
import os
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from intake.model.errors import IntakeError

log = logging.getLogger(__name__)

LONGEST = 30 * 60.0
"""Seconds that any step may take: the longest first pass over a full mailbox comes in batches, each far shorter."""
HEARTBEAT, STILL = 30.0, 300.0
"""Seconds between signs of life, and seconds without one after which what every thread does is written to standard
error. A pattern that never ends stops all threads of Python; faulthandler's own thread needs none of them."""


class Watchdog:
    """Knows since when each named step has been running. Safe to share between threads."""

    def __init__(
        self,
        clock: Callable[[], float] = time.monotonic,
        longest: float = LONGEST,
        sign: Callable[[], None] = lambda: None,
    ) -> None:
        """`sign` gives a sign of life; it is called from time to time as long as no step is stuck."""
        self._clock = clock
        self._longest = longest
        self._sign = sign
        self._running: dict[str, float] = {}
        self._told: set[str] = set()
        self._stop = threading.Event()

    @contextmanager
    def watching(self, step: str) -> Iterator[None]:
        self._running[step] = self._clock()
        try:
            yield
        finally:
            del self._running[step]
            if step in self._told:
                self._told.discard(step)
                log.warning("%s has ended after all", step)

    def stuck(self) -> dict[str, int]:
        """The steps that have run too long, each with the minutes so far."""
        now = self._clock()
        return {
            step: int((now - since) // 60)
            for step, since in list(self._running.items())
            if now - since > self._longest
        }

    def look(self) -> None:
        """Log each stuck step once."""
        for step, minutes in self.stuck().items():
            if step not in self._told:
                self._told.add(step)
                log.error("%s has been running for %s minutes; it will be ended", step, minutes)

    def start(self) -> None:
        threading.Thread(target=self._keep_looking, name="watchdog", daemon=True).start()

    def stop(self) -> None:
        self._stop.set()

    def _keep_looking(self) -> None:
        faulthandler.dump_traceback_later(STILL)
        while not self._stop.wait(HEARTBEAT):
            faulthandler.dump_traceback_later(STILL)
            self.look()
            if not self.stuck():
                self._sign()
        faulthandler.cancel_dump_traceback_later()


def tell_supervisor(state: str) -> None:
    """Tell systemd, where it started us (sd_notify(3)): without a sign of life it starts us anew (WatchdogSec)."""
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address:
        return
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as notify:
        notify.sendto(state.encode(), "\0" + address[1:] if address.startswith("@") else address)


def missing_locks(without: Callable[[], tuple[str, ...]]) -> str:
    """The line at the start on what the processes that open mail and pictures must do without; "" for nothing."""
    try:
        missing = without()
    except IntakeError as error:
        return error.line()
    if not missing:
        return ""
    return (
        f"The processes that open mail and pictures run without {' and '.join(missing)}. They can open no file and no"
        " connection all the same. Use Linux with libseccomp (Debian: libseccomp2) to have it."
    )
