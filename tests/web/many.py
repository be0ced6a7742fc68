"""How the desk fares with many jobs: python -m tests.web.many [JOBS]. Prints processor time and weight of each page."""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

from flask.testing import FlaskClient

from intake.work.accounts import sign_in_link
from tests.web import world
from tests.web.test_lists import fill

PATHS = (
    "/",
    "/jobs",
    "/jobs?need=to-check",
    "/jobs?need=complete&room=kitchen",
    "/jobs?find=marsh",
    "/jobs?find=ines+marlow",
    "/jobs?find=nobody+here",
    "/jobs?find=cleo+post.example&need=asked",
    "/jobs?lacking=ceiling-height",
    "/jobs?need=arriving&room=bedroom&lacking=sketch&find=stone",
    "/set-aside",
)
TIMES = 7


def measure(client: FlaskClient, path: str) -> tuple[float, float]:
    """Median processor time in milliseconds, and kilobytes."""
    taken, weight = [], 0
    for _ in range(TIMES):
        start = time.process_time()
        answer = client.get(path)
        taken.append(1000 * (time.process_time() - start))
        weight = len(answer.data)
    return statistics.median(taken), weight / 1000


def main(jobs: int) -> None:
    with tempfile.TemporaryDirectory() as folder, world.desk(Path(folder)) as (app, services):
        fill(services.store, jobs)
        with services.store.reading() as tables:
            survey = next(j.id for j in tables.jobs.all() if j.customer.name == "Ines Marlow")
        client = app.test_client()
        client.get(sign_in_link(services.store, "maya", services.clock()))
        for path in (*PATHS, f"/jobs/{survey}"):
            milliseconds, weight = measure(client, path)
            print(f"{path:64s} {milliseconds:7.1f} ms {weight:7.0f} KB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50_000)
