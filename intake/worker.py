"""A worker: a process of its own that goes the rounds and looks at what the desk waits for, one thing at a time.

The service starts it as `python -m intake.worker FD` (intake/crew.py) and speaks to it over a socket. It ends when it
is told to, and when the service at the other end has gone.
"""

from __future__ import annotations

import contextlib
import logging
import os
import signal
import sys
from dataclasses import replace
from multiprocessing.connection import Connection
from threading import Lock
from typing import cast

from intake import logs, wiring
from intake.eyes import SharedEyes
from intake.mailbox.reader import MailReader
from intake.model.errors import IntakeError
from intake.orders import Alive, Begin, Done, Duty, End, Enquiry
from intake.round import Round
from intake.watchdog import Watchdog, missing_locks
from intake.work.collect import examine_safely
from intake.work.health import Trouble
from intake.work.metrics import ReadingTimes, TimedEyes
from intake.work.services import Eyes, Services

log = logging.getLogger(__name__)


class Worker:
    """Does what comes over the way from the service; each order in its turn, the desk's between two pieces of work."""

    def __init__(self, way: Connection, begin: Begin) -> None:
        self._way, self._settings = way, begin.showrooms
        self._eyes, self._reader = SharedEyes(), MailReader()
        self._times, self._told, self._lock = ReadingTimes(), (0, 0.0), Lock()
        self._opened: dict[str, Services] = {}
        self._ending = False
        self._watchdog = Watchdog(sign=self._tell_alive)
        if begin.tell_locks and (line := missing_locks(self._without)):
            print(f"Note: {line}", file=sys.stderr)

    def work(self) -> None:
        """Until told to end, or nobody is there to tell."""
        self._watchdog.start()
        try:
            while not self._ending:
                self._take_order()
        finally:
            self._watchdog.stop()
            self.close()

    def close(self) -> None:
        self._reader.close()
        self._eyes.close()
        for services in self._opened.values():
            services.store.close()

    def end(self) -> None:
        self._ending = True

    def _take_order(self) -> None:
        try:
            order = self._way.recv()
        except (EOFError, OSError):
            self._ending = True
            return
        if isinstance(order, End):
            self._ending = True
        elif isinstance(order, Enquiry):
            self._look(order)
        elif isinstance(order, Duty):
            self._send(self.round(order))

    def _between(self) -> bool:
        """What the desk waits for is done between two pieces of a round; True where the service ends."""
        while not self._ending and self._way.poll():
            self._take_order()
        return self._ending

    def _look(self, order: Enquiry) -> None:
        try:
            with self._watchdog.watching("looking at what the desk asked for"):
                examine_safely(self._services(order.showroom), order.job)
        except IntakeError as error:
            log.warning("job %s is examined later: %s", order.job, error.line())

    def round(self, duty: Duty) -> Done:
        """Go one round of a showroom. What is wrong with it is no other's."""
        name = duty.showroom
        try:
            services = self._services(name)
            a_round = Round(self._settings[name], services, duty.known, self._between, self._watchdog)
            try:
                wrong = a_round.go()
            finally:
                services.store.close()  # no connection waits idle for the next round: a database server has few
            return Done(duty, a_round.known, a_round.left and not self._ending, tuple(wrong))
        except IntakeError as error:
            log.warning("%s cannot be looked after: %s", name or "the showroom", error.line())
            return Done(duty, duty.known, False, (Trouble("showroom", error.line()),))
        except Exception as error:
            log.exception("%s cannot be looked after", name or "the showroom")
            fault = f"It cannot be looked after: a fault of the program ({type(error).__name__})."
            return Done(duty, duty.known, False, (Trouble("showroom", fault),))

    def _services(self, name: str) -> Services:
        """A showroom's services. Raises SettingsError where it cannot be opened."""
        if name not in self._opened:
            services = wiring.assembled(self._settings[name], self._eyes, self._reader)
            eyes = cast(Eyes, TimedEyes(services.eyes, self._times))
            self._opened[name] = replace(services, eyes=eyes)
        return self._opened[name]

    def _without(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*self._reader.without(), *self._eyes.without())))

    def _tell_alive(self) -> None:
        (read, seconds), self._told = self._told, (self._times.count, self._times.seconds)
        self._send(Alive(self._told[0] - read, self._told[1] - seconds))

    def _send(self, said: Alive | Done) -> None:
        with self._lock, contextlib.suppress(OSError):  # nobody there to hear: the next order says so
            self._way.send(said)


def main() -> None:
    way = Connection(int(sys.argv[1]))
    signal.signal(
        signal.SIGINT, signal.SIG_IGN
    )  # a person's Ctrl-C is for the service, which tells us to end
    os.umask(0o077)
    try:
        begin = way.recv()
    except (EOFError, OSError):
        return
    logs.begin(next(iter(begin.showrooms.values())).log_format)
    worker = Worker(way, begin)
    signal.signal(signal.SIGTERM, lambda *_: worker.end())
    worker.work()


if __name__ == "__main__":
    main()
