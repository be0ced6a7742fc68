"""What can be counted, in Prometheus' text format (prometheus.io/docs/instrumenting/exposition_formats, version 0.0.4).

Numbers alone: no name, address or word of a customer.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from threading import Lock
from time import monotonic

from intake.model.reading import SketchReading
from intake.store import schema as t
from intake.store.ticks import Ticks
from intake.work.health import Trouble
from intake.work.measure import Measured, measured
from intake.work.services import Eyes, Services

TYPE = "text/plain; version=0.0.4; charset=utf-8"


class ReadingTimes:
    """How many sketches this process has read, and the seconds that it took."""

    count = 0
    seconds = 0.0


class TimedEyes:
    """Eyes whose reading is timed."""

    def __init__(self, eyes: Eyes, times: ReadingTimes) -> None:
        self._eyes, self._times = eyes, times

    def __getattr__(self, name: str) -> object:
        return getattr(self._eyes, name)

    def read(self, jpeg: bytes) -> SketchReading:
        began = monotonic()
        try:
            return self._eyes.read(jpeg)
        finally:
            self._times.count += 1
            self._times.seconds += monotonic() - began


def metrics(services: Services, wrong: list[Trouble], times: ReadingTimes, inspected: Measured) -> str:
    """The page for Prometheus."""
    return "".join(f"{line}\n" for line in _lines(services, wrong, times, inspected))


class Meter:
    """The figures, made anew at most every `EVERY`: Prometheus asks each quarter of a minute, and they take a while."""

    EVERY = timedelta(minutes=5)

    def __init__(self, services: Services) -> None:
        self._services = services
        self._made_at: datetime | None = None
        self._found: Measured | None = None
        self._lock = Lock()

    def found(self, fresh: bool = False) -> Measured:
        """The figures; `fresh` as of now."""
        with self._lock:
            now = self._services.clock()
            old = self._made_at is None or not timedelta(0) <= now - self._made_at < self.EVERY
            if fresh or old or self._found is None:
                self._found, self._made_at = measured(self._services), now
            return self._found


def _inspected(found: Measured) -> Iterator[str]:
    """The showroom's figures over all jobs; a share is left out where nothing was counted."""
    f = found.whole
    checks = {
        "checked": f.silent.checked,
        "wrong": f.silent.wrong,
        "untold": f.silent.untold,
        "slip": f.silent.slips,
        "waiting": found.waiting,
    }
    yield from _gauge("intake_spot_checks", "Accepted numbers looked at blind.", "what", checks)
    limits = {"lower": f.silent.lower, "upper": f.silent.upper}
    limits |= {"estimate": f.silent.estimate} if f.silent.estimate is not None else {}
    yield from _gauge(
        "intake_silent_error_ratio", "Share of accepted numbers that are wrong.", "limit", limits
    )
    rates = {
        "acceptance": f.acceptance,
        "recall": f.recall,
        "placed": f.placed,
        "understood": f.understood,
    }
    shares = {name: rate.estimate for name, rate in rates.items() if rate.estimate is not None}
    yield from _gauge(
        "intake_share_ratio", "Shares that the showroom's jobs give (docs/measuring.md).", "of", shares
    )
    amounts = {
        "days_to_complete": f.days,
        "asks_a_letter": f.asks_a_letter,
        "letters_a_job": f.letters_a_job,
        "desk_minutes_a_job": f.desk_minutes,
    }
    known = {name: value for name, value in amounts.items() if value is not None}
    yield from _gauge("intake_job_figures", "What a job takes (docs/measuring.md).", "what", known)


def _lines(
    services: Services, wrong: list[Trouble], times: ReadingTimes, inspected: Measured
) -> Iterator[str]:
    now = services.clock()
    with services.store.reading() as tables:
        ticks = Ticks(tables.db)
        messages, letters = ticks.counts(t.messages.c.state), ticks.counts(t.letters.c.state)
        jobs, steps = ticks.counts(t.jobs.c.state), ticks.all()
        oldest, failed = ticks.oldest_unread(), ticks.failed_sign_ins(now - timedelta(hours=1))
    yield from _gauge("intake_messages", "Messages by what became of them.", "state", messages)
    yield from _gauge("intake_jobs", "Jobs by state.", "state", jobs)
    yield from _gauge("intake_letters", "Letters by state.", "state", letters)
    yield from _gauge(
        "intake_oldest_unread_seconds",
        "Age of the oldest message taken and not looked into.",
        "",
        {"": _age(oldest, now)},
    )
    yield from _gauge("intake_failed_sign_ins", "Failed sign-ins in the last hour.", "", {"": failed})
    free = shutil.disk_usage(services.store.folder).free
    yield from _gauge("intake_disk_free_bytes", "Free space of the data folder's disk.", "", {"": free})
    good = {name: tick.good_at.timestamp() for name, tick in steps.items() if tick.good_at}
    yield from _gauge("intake_last_good_timestamp_seconds", "When each step last succeeded.", "step", good)
    yield from _gauge(
        "intake_trouble", "1 for each thing that is wrong now.", "what", {w.what: 1 for w in wrong}
    )
    yield from _inspected(inspected)
    yield "# HELP intake_reading_seconds Time that reading a sketch took, in this process."
    yield "# TYPE intake_reading_seconds summary"
    yield f"intake_reading_seconds_sum {times.seconds:.3f}"
    yield f"intake_reading_seconds_count {times.count}"


def _age(moment: datetime | None, now: datetime) -> float:
    return max(0.0, (now - moment).total_seconds()) if moment else 0.0


def _gauge(name: str, help_: str, label: str, values: Mapping[str, float]) -> Iterator[str]:
    yield f"# HELP {name} {help_}"
    yield f"# TYPE {name} gauge"
    for key, value in sorted(values.items()):
        at = f'{{{label}="{key}"}}' if label else ""
        yield f"{name}{at} {value:.15g}"
