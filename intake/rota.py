"""Whose turn it is: every showroom has a round at each poll, and no worker waits for another showroom's."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from threading import Condition

from intake.domain.mail.rhythm import back_off
from intake.orders import Done, Known, Turn


class Rota:
    """Hands out the turns; each showroom's in one place at a time. Safe to share between threads."""

    def __init__(self, polls: Mapping[str, float], clock: Callable[[], float] = time.monotonic) -> None:
        """`polls`: the showrooms by name, each with the seconds from one round to the next."""
        self._polls, self._clock = dict(polls), clock
        self._due = dict.fromkeys(polls, clock())
        self._known = dict.fromkeys(polls, Known())
        self._deaths = dict.fromkeys(polls, 0)
        self._changed = Condition()

    def take(self, seconds: float) -> Turn | None:
        """The turn that has been due longest, now the caller's; None where none falls due within `seconds`."""
        until = self._clock() + seconds
        with self._changed:
            while True:
                name = min(self._due, key=lambda each: self._due[each], default=None)
                at = until if name is None else self._due[name]
                if name is not None and at <= self._clock():
                    del self._due[name]
                    return Turn(name, self._known[name])
                if self._clock() >= until:
                    return None
                self._changed.wait(max(min(at, until) - self._clock(), 0.0))

    def done(self, done: Done) -> None:
        """A round is over; the next is due at once where something was left."""
        self._deaths[done.showroom] = 0
        self._put_back(done.showroom, done.known, 0.0 if done.left else self._polls[done.showroom])

    def lost(self, turn: Turn) -> None:
        """A worker died in a round. It is gone again at once; where that ends a worker too, ever later, up to an hour,
        so that the other showrooms are looked after."""
        self._deaths[turn.showroom] += 1
        again = self._deaths[turn.showroom] - 1
        self._put_back(turn.showroom, turn.known, back_off(again).total_seconds() if again else 0.0)

    def _put_back(self, name: str, known: Known, in_seconds: float) -> None:
        with self._changed:
            self._known[name] = known
            self._due[name] = self._clock() + in_seconds
            self._changed.notify()
