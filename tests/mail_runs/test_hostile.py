"""A small day of hostile mail; `python -m tests.mail_runs.hostile` is the large one."""

from __future__ import annotations

import hashlib
import json
import random
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from intake.mailbox.folder import FolderMailbox
from intake.settings import PROJECT
from intake.work.collect import collect
from tests.mail_runs.hostile import compose
from tests.mail_runs.zygote import open_services


def test_hostile_mail_stops_nothing_and_loses_nothing() -> None:
    """In a process of its own: the memory of one that has run other tests says nothing."""
    command = [sys.executable, "-m", "tests.mail_runs.hostile", "60", "3", "--json"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=True, cwd=PROJECT)
    found = json.loads(run.stdout.splitlines()[-1])
    assert (found["lost"], found["answered_wrongly"], found["customers_without_a_letter"]) == (0, [], 0)
    assert found["longest_pass"] < 30 and found["desk_asked"]
    assert found["peak_mb"] < 600 and found["child_peak_mb"] < 1400


def test_the_same_mail_in_any_order_gives_the_same_jobs(tmp_path: Path) -> None:
    """Hostile mail among customers', in the order composed, backwards, and shuffled; in several passes."""
    chance = random.Random(8)
    raws = list({compose(n, chance).raw: None for n in range(90)})
    orders = [raws, raws[::-1], random.Random(1).sample(raws, len(raws))]
    found = [_jobs(tmp_path / str(number), order) for number, order in enumerate(orders)]
    assert all(jobs == found[0] for jobs in found[1:])
    together = [job for job in found[0] if len(job) > 1]
    assert len(found[0]) > 20 and together, "a partition into single messages would say nothing"


def _jobs(folder: Path, raws: Sequence[bytes]) -> set[frozenset[str]]:
    """The messages of each job, and each that is in none, by their SHA-256, once they have come in this order."""
    services, box = open_services(str(folder / "data")), folder / "mail"
    box.mkdir()
    for first in range(0, len(raws), 30):
        for n, raw in enumerate(raws[first : first + 30], first):
            (box / f"{n:03d}.eml").write_bytes(raw)
        collect(FolderMailbox(box), services)
    with services.store.reading() as tables:
        jobs = {frozenset(m.sha256 for m in tables.messages.of_job(job.id)) for job in tables.jobs.all()}
    services.store.close()
    others = {hashlib.sha256(raw).hexdigest() for raw in raws} - {sha for job in jobs for sha in job}
    return jobs | {frozenset({sha}) for sha in others}
