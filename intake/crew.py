"""The workers of the service, each a process of its own: mail, pictures and readers, which are hostile, large and
written in C, can hold up or end one of them, and never the desk."""

from __future__ import annotations

import contextlib
import logging
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping
from multiprocessing.connection import Connection
from pathlib import Path
from types import TracebackType

from intake.orders import Alive, Begin, Done, Duty, End, Enquiry
from intake.rota import Rota
from intake.settings import Settings
from intake.work.metrics import ReadingTimes

SILENT = 300.0
"""Seconds without a sign of life after which a worker is ended; it gives one every half minute, unless a step of its
is stuck (intake/watchdog.py)."""
PATIENCE = 90.0
"""Seconds that a worker has for ending: more than a mail server may keep it waiting."""
PULSE = 2.0
"""Seconds after which a worker without a duty is listened to again."""
LONGEST_WAIT = 60.0
"""Seconds at most before a worker is started that could not be started again and again."""
log = logging.getLogger(__name__)


class Lost(Exception):
    """A worker ended unasked, or was ended because it was silent; says how."""


class Hand:
    """One worker process, as the service sees it. Any thread may send, one hears."""

    def __init__(self, begin: Begin) -> None:
        ours, theirs = socket.socketpair()
        with theirs:
            self.process = subprocess.Popen(
                [sys.executable, "-P", "-m", "intake.worker", str(theirs.fileno())],
                stdin=subprocess.DEVNULL,
                pass_fds=[theirs.fileno()],
                env=_environment(),
                start_new_session=True,  # Ctrl-C is for the service: the worker ends in good order
            )
        self._way = Connection(ours.detach())
        self._lock = threading.Lock()
        self._heard = time.monotonic()
        self.at: Duty | None = None
        self.send(begin)

    def send(self, order: Begin | Duty | Enquiry | End) -> None:
        """Say it; whether anybody is there is found by hearing."""
        with self._lock, contextlib.suppress(OSError):
            self._way.send(order)

    def hear(self, seconds: float) -> Alive | Done | None:
        """What it says within `seconds`; None for nothing. Raises Lost."""
        try:
            if self._way.poll(seconds):
                self._heard = time.monotonic()
                said: Alive | Done = self._way.recv()
                return said
        except (EOFError, OSError):
            raise Lost(self._how_it_ended()) from None
        if time.monotonic() - self._heard > SILENT:
            self.process.kill()
            raise Lost(f"was silent for {SILENT / 60:.0f} minutes and was ended")
        return None

    def _how_it_ended(self) -> str:
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(PULSE)
        self.process.kill()
        code = self.process.wait()
        if code < 0:
            return f"was killed by signal {-code} ({signal.strsignal(-code)})"
        return f"ended by itself with exit code {code}"

    def __enter__(self) -> Hand:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.end()

    def end(self) -> None:
        """Let it end in good order, or at once where it does not."""
        self.send(End())
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(PATIENCE)
        self.process.kill()
        self.process.wait()
        self._way.close()


def _environment() -> dict[str, str]:
    """Ours, with the way to this code, and without systemd's: a worker's signs of life are for us."""
    root = str(Path(__file__).resolve().parents[1])
    found = {key: value for key, value in os.environ.items() if key != "NOTIFY_SOCKET"}
    return found | {"PYTHONPATH": os.pathsep.join([root, *filter(None, [found.get("PYTHONPATH")])])}


def _nobody(showroom: str | None, fault: str) -> None:
    """Tells nobody."""


class Crew:
    """Keeps `processes` workers at work for the showrooms, and starts another where one is lost."""

    def __init__(
        self,
        showrooms: Mapping[str, Settings],
        processes: int = 1,
        rounds: bool = True,
        told: Callable[[Done], None] = lambda done: None,
        lost: Callable[[str | None, str], None] = _nobody,
    ) -> None:
        """`told` hears of every round that is over, `lost` of every worker lost: over which showroom (None: over none),
        and how. Without `rounds` they look only at what the desk asks for."""
        self.times = ReadingTimes()
        self._showrooms, self._told, self._lost = showrooms, told, lost
        # Where there are more workers than showrooms, several share the mail of one (store/claims.py).
        seats = range(max(1, processes // max(len(showrooms), 1)) if rounds else 0)
        self._rota = Rota(
            {(name, seat): s.poll_minutes * 60.0 for name, s in showrooms.items() for seat in seats}
        )
        self._ending = threading.Event()
        self._hands: dict[int, Hand] = {}
        self._threads = [
            threading.Thread(target=self._keep, args=(place,), name=f"crew-{place}")
            for place in range(processes)
        ]

    def __enter__(self) -> Crew:
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Every worker leaves the rest to the next start and ends."""
        self._ending.set()
        for hand in list(self._hands.values()):
            hand.send(End())
        for thread in self._threads:
            thread.join()

    def processes(self) -> list[int]:
        """The ids of the workers' processes."""
        return [hand.process.pid for hand in list(self._hands.values())]

    def later(self, showroom: str, job: str) -> None:
        """Have a job examined as soon as a worker may. Where one is just being lost, the next round does it."""
        hands = sorted(self._hands.values(), key=lambda hand: _burden(hand, showroom))
        if hands:
            hands[0].send(Enquiry(showroom, job))

    def _keep(self, place: int) -> None:
        """Keep one worker at work until the service ends."""
        losses = 0
        while not self._ending.wait(min(2.0**losses - 1, LONGEST_WAIT)):
            began = time.monotonic()
            try:
                with Hand(Begin(self._showrooms, tell_locks=place == losses == 0)) as hand:
                    self._hands[place] = hand
                    try:
                        self._work_with(hand)
                    finally:
                        del self._hands[place]
            except Exception as fault:
                if self._ending.is_set():
                    return
                losses = 0 if time.monotonic() - began > LONGEST_WAIT else losses + 1
                how = str(fault) if isinstance(fault, Lost) else f"cannot be kept: {type(fault).__name__}"
                log.error("a worker %s; another is started", how, exc_info=not isinstance(fault, Lost))
                self._lost(None, how)

    def _work_with(self, hand: Hand) -> None:
        """Give it duty after duty. Raises Lost."""
        while not self._ending.is_set():
            self._hear(hand, 0.0)
            if (duty := self._rota.take(PULSE)) is not None:
                try:
                    self._go_round(hand, duty)
                except Exception as how:
                    self._rota.lost(duty)
                    self._lost(duty.showroom, str(how))
                    raise

    def _go_round(self, hand: Hand, duty: Duty) -> None:
        hand.at = duty
        hand.send(duty)
        while not self._ending.is_set():
            if (done := self._hear(hand, PULSE)) is not None:
                hand.at = None
                self._rota.done(done)
                self._told(done)
                return

    def _hear(self, hand: Hand, seconds: float) -> Done | None:
        said = hand.hear(seconds)
        if isinstance(said, Alive):
            self.times.count += said.read
            self.times.seconds += said.seconds
            return None
        return said


def _burden(hand: Hand, showroom: str) -> int:
    """How soon a worker may look: one without a duty at once, one with the same showroom has it open."""
    return 0 if hand.at is None else 1 if hand.at.showroom == showroom else 2
