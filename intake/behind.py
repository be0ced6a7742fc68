"""What is done behind the desk's back: jobs whose pictures nobody has looked at yet, one at a time."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from types import TracebackType

from intake.work.collect import examine_safely
from intake.work.services import Services


class Behind:
    """Called with a job, it examines it with open eyes as soon as it may. What is still waiting when the desk stops is
    examined in the worker's next pass."""

    def __init__(self, services: Services) -> None:
        self._services = replace(services, later=None)
        self._pool = ThreadPoolExecutor(1, "behind")

    def __call__(self, job: str) -> None:
        self._pool.submit(examine_safely, self._services, job)

    def __enter__(self) -> Behind:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pool.shutdown(cancel_futures=True)
