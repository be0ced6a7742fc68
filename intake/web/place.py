"""What the desk works with, and where a request finds it."""

from __future__ import annotations

from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from flask import current_app

from intake.work.handover import Caption, Draughtsman
from intake.work.health import Watched, Watchman
from intake.work.job_file import JobFile
from intake.work.metrics import Meter, ReadingTimes
from intake.work.services import Services

LARGEST = (1 << 31) - 1
"""PostgreSQL's integer; an odd number in an address must be as if there were none."""


@dataclass(frozen=True)
class DeskSettings:
    """What the desk needs to know of its place. `behind_proxy`: TLS ends at a proxy on this machine (deploy/)."""

    session_key: str
    address: str = ""
    """The showroom's own e-mail address, the organiser of a design call."""
    timezone: str = "Europe/London"
    behind_proxy: bool = False
    warnings: tuple[str, ...] = ()
    """What the settings leave undone, in sentences for the front page."""
    watched: Watched = field(default_factory=Watched)
    times: ReadingTimes = field(default_factory=ReadingTimes)
    metrics_token: str = ""
    under: str = ""
    """The path that the desk lies under where it is one of several; its cookie has a name of its own and goes there
    alone."""

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.timezone)


@dataclass(frozen=True)
class Desk:
    """Everything a route works with."""

    services: Services
    draughtsman: Draughtsman
    settings: DeskSettings
    watchman: Watchman
    meter: Meter


def desk() -> Desk:
    """The desk that answers the present request."""
    found: Desk = current_app.extensions["desk"]
    return found


def small_number(text: str) -> int:
    """A number that a column can hold. Raises ValueError for any other, which a form then does not have."""
    number = int(text)
    if abs(number) > LARGEST:
        raise ValueError(text)
    return number


def caption(file: JobFile) -> Caption:
    """What stands under the drawings of a job, drawn today."""
    job = file.job
    today = desk().services.clock().astimezone(desk().settings.zone).date()
    return Caption(job.id, job.customer.name or job.customer.email, job.room.value, today)
