"""A small day of hostile mail; `python -m tests.mail_runs.hostile` is the large one."""

from __future__ import annotations

import json
import subprocess
import sys

from intake.settings import PROJECT


def test_hostile_mail_stops_nothing_and_loses_nothing() -> None:
    """In a process of its own: the memory of one that has run other tests says nothing."""
    command = [sys.executable, "-m", "tests.mail_runs.hostile", "60", "3", "--json"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=True, cwd=PROJECT)
    found = json.loads(run.stdout.splitlines()[-1])
    assert (found["lost"], found["answered_wrongly"], found["customers_without_a_letter"]) == (0, [], 0)
    assert found["longest_pass"] < 30 and found["desk_asked"]
    assert found["peak_mb"] < 600 and found["child_peak_mb"] < 1400
