"""A few random faults in the rules are noticed by the rules' own tests; the whole sample is `python -m tests.mutants`.

They run in a process of their own, into which no rule has been loaded yet.
"""

from __future__ import annotations

import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

SEED, COUNT, ROOM = 20261129, 4, "mail"
"""The room whose tests take least time."""


@pytest.mark.skipif(find_spec("cosmic_ray") is None, reason="cosmic-ray is not installed")
def test_random_faults_are_noticed() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.mutants", "--seed", str(SEED), "--count", str(COUNT), "--room", ROOM],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    found = re.search(rf"^(\d+) of {COUNT} faults noticed", done.stdout, re.M)
    assert found is not None and int(found[1]) >= COUNT - 1, done.stdout
