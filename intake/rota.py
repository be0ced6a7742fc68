"""Who is looked after next: every showroom has a round at each poll, and no worker waits for another's."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from threading import Condition

from intake.domain.mail.rhythm import back_off
from intake.orders import NOTHING_KNOWN, Done, Duty, Known

Seat = tuple[str, int]
"""A showroom, and which of the workers that may be at it at a time."""


class Rota:
    """Hands out the duties; each seat's is in one place at a time. Safe to share between threads."""

    def __init__(self, polls: Mapping[Seat, float], clock: Callable[[], float] = time.monotonic) -> None:
        """`polls`: the seconds from one round to the next."""
        self._polls, self._clock = dict(polls), clock
        self._due = dict.fromkeys(polls, clock())
        self._known = dict.fromkeys(polls, NOTHING_KNOWN)
        self._deaths = dict.fromkeys(polls, 0)
        self._changed = Condition()

    def take(self, seconds: float) -> Duty | None:
        """The duty that has been due longest, now the caller's; None where none falls due within `seconds`."""
        until = self._clock() + seconds
        with self._changed:
            while True:
                seat = min(self._due, key=lambda each: self._due[each], default=None)
                at = until if seat is None else self._due[seat]
                if seat is not None and at <= self._clock():
                    del self._due[seat]
                    return Duty(seat[0], self._known[seat], seat[1])
                if self._clock() >= until:
                    return None
                self._changed.wait(max(min(at, until) - self._clock(), 0.0))

    def done(self, done: Done) -> None:
        """A round is over; the next is due at once where something was left."""
        seat = _seat(done.duty)
        self._deaths[seat] = 0
        self._put_back(seat, done.known, 0.0 if done.left else self._polls[seat])

    def lost(self, duty: Duty) -> None:
        """A worker died in a round. It is gone again at once; where that ends a worker too, ever later, up to an hour,
        so that the other showrooms are looked after."""
        seat = _seat(duty)
        again = self._deaths[seat]
        self._deaths[seat] += 1
        self._put_back(seat, duty.known, back_off(again).total_seconds() if again else 0.0)

    def _put_back(self, seat: Seat, known: Known, in_seconds: float) -> None:
        with self._changed:
            self._known[seat] = known
            self._due[seat] = self._clock() + in_seconds
            self._changed.notify()


def _seat(duty: Duty) -> Seat:
    return duty.showroom, duty.seat
