"""A day in the life of an installation, with real processes: mail comes in, the service is killed, a backup is
taken while it runs, it is restored elsewhere, a customer is erased and another one gets everything that is held."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from email import message_from_bytes
from pathlib import Path

import pytest

from tests.servers.dovecot import free_port
from tests.work.mail import OURS, SERVER, message, picture

pytestmark = pytest.mark.long
INTAKE = (sys.executable, "-m", "intake.cli")


class Place:
    """One installation: its data, and the mailbox and the letters that the world has."""

    def __init__(self, data: Path, world: Path) -> None:
        self.data, self.box, self.out = data, world / "mail", world / f"letters-of-{data.parent.name}"
        self.port = free_port()
        self.environ = {k: v for k, v in os.environ.items() if not k.startswith("INTAKE_")} | {
            "INTAKE_DATA": str(data), "INTAKE_MAIL_FOLDER": str(self.box), "INTAKE_LETTERS_FOLDER": str(self.out),
            "INTAKE_ADDRESS": OURS, "INTAKE_AUTHSERV_ID": SERVER, "INTAKE_MODE": "automatic",
            "INTAKE_QUIET_MINUTES": "0", "INTAKE_POLL_MINUTES": "1", "INTAKE_WORKING_HOURS": "00:00-23:59",
            "INTAKE_WORKING_DAYS": "Mon Tue Wed Thu Fri Sat Sun", "INTAKE_LETTERS_A_DAY": "10", "OMP_NUM_THREADS": "1",
        }  # fmt: skip

    def run(self, *arguments: str, code: int = 0) -> str:
        done = subprocess.run(
            [*INTAKE, *arguments], env=self.environ, capture_output=True, text=True, check=False, timeout=300
        )
        assert done.returncode == code, f"{arguments}: {done.stdout}{done.stderr}"
        return done.stdout + done.stderr

    @contextmanager
    def serving(self) -> Iterator[subprocess.Popen[bytes]]:
        command = [*INTAKE, "serve", "--port", str(self.port)]
        process = subprocess.Popen(
            command, env=self.environ, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        try:
            until(lambda: self.health() is not None, 90)
            yield process
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(60)

    def health(self) -> str | None:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{self.port}/health", timeout=5) as answer:
                return str(answer.read().decode())
        except urllib.error.HTTPError as error:
            return error.read().decode()
        except OSError:
            return None

    def letters(self) -> Counter[str]:
        """How many letters went to each."""
        found = [message_from_bytes(path.read_bytes()) for path in self.out.glob("*.eml")]
        return Counter(str(mail["To"]) for mail in found)

    def customers(self) -> set[str]:
        return {row["customer"]["name"] for row in json.loads(self.run("jobs", "--json"))}


def until(true: Callable[[], bool], seconds: float) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(1)


def write(box: Path, name: str) -> str:
    """A customer writes; returns whom the answer goes to."""
    box.mkdir(parents=True, exist_ok=True)
    email = f"{name.lower()}@{name.lower()}.example"
    raw = message(
        f"{name} <{email}>", f"Kitchen of {name}", "No gas in the house.", message_id=f"<1@{name.lower()}.example>",
        files=((f"{name}.jpg", picture(len(name))),),
    )  # fmt: skip
    (box / f"{name}.eml").write_bytes(raw)
    return f"{name} <{email}>"


def test_a_day(tmp_path: Path) -> None:
    here = Place(tmp_path / "here" / "data", tmp_path)
    morning = {write(here.box, name) for name in ("Ada", "Bram", "Cleo", "Dov", "Edda")}
    with here.serving() as process:
        until(lambda: (here.data / "raw").exists() and len(list((here.data / "raw").rglob("*.eml"))) > 0, 60)
        process.kill()  # in the middle of its first pass
        process.wait()
    with here.serving():
        until(lambda: set(here.letters()) == morning, 240)
        backup = tmp_path / "backup.zip"
        here.run("backup", "--out", str(backup))
        late = write(here.box, "Finn")
        until(lambda: late in here.letters(), 180)
        assert here.health() == "ok\n"
    assert set(here.letters().values()) == {1}
    assert "good  database" in here.run("check")

    there = Place(tmp_path / "there" / "data", tmp_path)
    there.run("restore", str(backup))
    assert "restored from a backup" in there.run("send", code=1)
    assert "1 letters are held" in there.run("reconcile")
    with there.serving():
        new = write(there.box, "Gwen")
        until(lambda: new in there.letters(), 240)
    assert there.letters() == {new: 1}
    assert there.customers() == {"Ada", "Bram", "Cleo", "Dov", "Edda", "Finn", "Gwen"}

    out = tmp_path / "bram.zip"
    there.run("export", "bram@bram.example", "--out", str(out))
    with zipfile.ZipFile(out) as archive:
        assert sum(name.startswith("messages/") for name in archive.namelist()) == 1
    there.run("erase", "ada@ada.example", "--sure")
    assert there.customers() == {"Bram", "Cleo", "Dov", "Edda", "Finn", "Gwen"}
    everything = b"".join(path.read_bytes() for path in there.data.rglob("*") if path.is_file())
    assert b"ada@ada.example" not in everything and b"bram@bram.example" in everything
    assert '"taken": 0' in there.run("collect", "--json")
