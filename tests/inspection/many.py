"""How long the figures take with many jobs: python -m tests.inspection.many [JOBS] [--database URL].

Fills a database with invented jobs, each with a sketch, two letters, three acts at the desk, and its lot, of which a
number or two were looked at. Prints the processor time (the best of five) and the memory that figures and a lot take,
and what the page takes at the desk.
"""

from __future__ import annotations

import argparse
import hashlib
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
from flask import Flask
from sqlalchemy import insert

from intake.domain.inspection.evidence import accepted
from intake.domain.inspection.packing import packed, with_verdicts
from intake.model.inspection import Verdict, Weighed
from intake.store import schema as t
from intake.store.database import Store
from intake.work.lots import known_of
from intake.work.services import InspectionPolicy, Services
from tests.web import world
from tests.web.conftest import Place

VERSION = "v-1"
LETTER = {"kind": "follow-up", "state": "sent", "to": [], "recipient": "", "subject": "", "in_reply_to": ""}
LETTER |= {"asks": ["sill-height"] * 3, "asked": 3, "body": {}, "text": "", "html": "", "raw": b"-" * 4000}


def fill(store: Store, jobs: int) -> None:
    """So many jobs over ten years up to now."""
    rng = np.random.default_rng(1)
    for first in range(0, jobs, 2000):
        some = [_job(n, jobs, rng) for n in range(first, min(first + 2000, jobs))]
        with store.engine.begin() as db:
            for k, table in enumerate((t.jobs, t.tallies, t.lots, t.spot_checks, t.letters, t.audit)):
                db.execute(insert(table), [row for each in some for row in each[k]])


def _job(n: int, of: int, rng: np.random.Generator) -> tuple[list[dict[str, object]], ...]:
    job, picture, at = f"J{n:06d}", f"p{n:030d}", world.NOW - timedelta(days=3650 * (of - n) / of + 1)
    accepted_ = rng.integers(7, 13)
    numbers = {
        i: Weighed(round(float(1 - rng.exponential(0.02) % 0.25), 4), i < accepted_, True) for i in range(13)
    }
    drawn = np.flatnonzero(rng.random(13) < 0.12).tolist()
    told = {i: (Verdict.WRONG if rng.random() < 0.01 else Verdict.RIGHT, False) for i in drawn}
    letters = [
        LETTER | {"job": job, "revision": k, "message_id": f"<{n}.{k}>", "decided_at": at} for k in (1, 2)
    ]
    acts = [
        {
            "at": at + timedelta(minutes=k),
            "by": f"d{n % 9}",
            "what": "number",
            "about": job,
            "text": "",
            "address": "",
        }
        for k in range(3)
    ]
    return (
        [
            {"id": job, "state": "complete", "room": "kitchen", "customer_email": "", "opened_at": at,
             "last_message_at": at}
        ],
        [
            {"job": job, "complete_at": at, "version": VERSION, "paper": "own-paper", "lengths": 13,
             "accepted": int(accepted_), "added": int(n % 30 == 0), "misplaced": n % 3,
             "clauses": 6, "unread": n % 2, "month": f"{at:%Y-%m}",
             "days": round(float(rng.gamma(3, 2)), 1), "letters": 2, "asks": 6, "desk_seconds": float(rng.gamma(3, 60))}
        ],
        [
            {"picture": picture, "at": at, "version": VERSION, "paper": "own-paper", "hand": "clear", "unit": "cm",
             "share": 0.12, "month": f"{at:%Y-%m}", "packed": with_verdicts(packed(numbers, drawn), told),
             "open": False}
        ],
        [
            {"picture": picture, "number": i, "read": "386.5", "confidence": numbers[i].confidence,
             "accepted": numbers[i].accepted, "eligible": True}
            for i in drawn
        ],
        letters,
        acts,
    )  # fmt: skip


def timed(name: str, work: Callable[[], object]) -> None:
    taken = []
    for _ in range(5):
        began = time.process_time()
        work()
        taken.append(time.process_time() - began)
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    print(f"{name:36s} {1000 * min(taken):7.0f} ms {peak / 1e6:7.0f} MB", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("jobs", type=int, nargs="?", default=50_000)
    parser.add_argument("--database", default="", help="an empty one; SQLite where not given")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        store = Store(asked.database, Path(folder) / "other") if asked.database else None

        def elsewhere(services: Services) -> Services:
            policy = replace(services.policy, inspection=InspectionPolicy(version=VERSION))
            return replace(services, store=store or services.store, policy=policy)

        with world.desk(Path(folder), (), services_change=elsewhere) as (app, here):
            fill(here.store, asked.jobs)
            measure_all(app, here, asked.jobs)
        if store is not None:
            store.close()


def measure_all(app: Flask, here: Services, jobs: int) -> None:
    def one_lot() -> None:
        with here.store.reading() as tables:
            known_of(tables, VERSION, here.clock()).seen(accepted)

    block, owner = bytes(64_000_000), Place(app, here).client()
    print(f"{jobs} jobs, {here.store.engine.dialect.name}")
    timed("to compare with: SHA-256 of 64 MB", lambda: hashlib.sha256(block).digest())
    timed("what a lot is drawn by", one_lot)
    timed("the page of figures", lambda: owner.get("/figures"))
    timed("the same, one paper's months", lambda: owner.get("/figures?by=paper&of=own-paper"))


if __name__ == "__main__":
    main()
