"""What the service and its workers say to each other: values only, so that either end can be read by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from intake.settings import Settings
from intake.work.health import Trouble


@dataclass(frozen=True)
class Pause:
    """A step that failed `failures` times in a row is left alone until then (`time.monotonic`, one clock for all
    processes of a machine)."""

    failures: int = 0
    until: float = float("-inf")


@dataclass(frozen=True)
class Known:
    """What one round of a showroom leaves to the next, whichever worker does it."""

    looked_through: bool = False
    """The mailbox was looked through to its end since the service began."""
    purged: float = float("-inf")
    """When what had been kept for its time was last deleted (`time.monotonic`)."""
    pauses: Mapping[str, Pause] = field(default_factory=dict)
    """The steps that failed last, by name."""


NO_PAUSE, NOTHING_KNOWN = Pause(), Known()


@dataclass(frozen=True)
class Begin:
    """The first order: the showrooms that may be worked for, by name, and whether to say what locks are missing."""

    showrooms: Mapping[str, Settings]
    tell_locks: bool


@dataclass(frozen=True)
class Duty:
    """Go one round of a showroom."""

    showroom: str
    known: Known
    seat: int = 0
    """Several workers may be at one showroom, each with a seat of its own."""


@dataclass(frozen=True)
class Enquiry:
    """Examine a job that somebody at the desk waits for."""

    showroom: str
    job: str


@dataclass(frozen=True)
class End:
    """Leave the rest and end."""


@dataclass(frozen=True)
class Alive:
    """A sign of life, with how many sketches were read since the last one, and the seconds that it took."""

    read: int
    seconds: float


@dataclass(frozen=True)
class Done:
    """The round of a duty is over. `left`: there is more to do at once. `wrong`: what is wrong with the showroom."""

    duty: Duty
    known: Known
    left: bool
    wrong: tuple[Trouble, ...] = ()
