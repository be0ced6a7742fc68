"""The life of an installation, with a real service: it is installed, mail comes in, the service is killed, an old
database is upgraded, a backup is taken while it runs and restored elsewhere, a customer is erased and another one gets
everything that is held.

`bash deploy/test -m long tests/running/test_a_day.py` does it from a fresh install; a small one runs with the tests.
"""

from __future__ import annotations

import gc
import io
import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from email import message_from_bytes
from pathlib import Path
from unittest import mock

import pytest

from intake.cli import main
from tests.running.test_install import installed  # noqa: F401
from tests.servers.ports import free_port
from tests.work.mail import OURS, SERVER, message, picture

HERE = (sys.executable, "-m", "intake.cli")
OLD = Path(__file__).with_name("old_database.sql")


class Place:
    """One installation: its program, its data, and the mailbox and the letters that the world has."""

    def __init__(self, data: Path, world: Path, program: Sequence[str] = HERE) -> None:
        self.program = program
        self.data, self.box, self.out = data, world / "mail", world / f"letters-of-{data.parent.name}"
        self.port = free_port()
        self.environ = {k: v for k, v in os.environ.items() if not k.startswith("INTAKE_")} | {
            "INTAKE_DATA": str(data), "INTAKE_MAIL_FOLDER": str(self.box), "INTAKE_LETTERS_FOLDER": str(self.out),
            "INTAKE_ADDRESS": OURS, "INTAKE_AUTHSERV_ID": SERVER, "INTAKE_MODE": "automatic",
            "INTAKE_QUIET_MINUTES": "0", "INTAKE_POLL_MINUTES": "1", "INTAKE_WORKING_HOURS": "00:00-24:00",
            "INTAKE_WORKING_DAYS": "Mon Tue Wed Thu Fri Sat Sun", "INTAKE_LETTERS_A_DAY": "10", "OMP_NUM_THREADS": "1",
        }  # fmt: skip

    def run(self, *arguments: str, code: int = 0) -> str:
        """What a command says: an installed program's, or this checkout's own, which this process has imported."""
        ended, said = self._within(arguments) if self.program is HERE else self._beside(arguments)
        assert ended == code, f"{arguments}: {said}"
        return said

    def _beside(self, arguments: Sequence[str]) -> tuple[int, str]:
        command = [*self.program, *arguments]
        done = subprocess.run(
            command, env=self.environ, capture_output=True, text=True, check=False, timeout=300
        )
        return done.returncode, done.stdout + done.stderr

    def _within(self, arguments: Sequence[str]) -> tuple[int, str]:
        said = io.StringIO()
        with (
            mock.patch.dict(os.environ, self.environ, clear=True),
            redirect_stdout(said),
            redirect_stderr(said),
        ):
            ended = main(arguments)
        gc.collect()  # what a command leaves open goes with its process
        return ended, said.getvalue()

    @contextmanager
    def serving(self) -> Iterator[subprocess.Popen[bytes]]:
        command = [*self.program, "serve", "--port", str(self.port)]
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
        time.sleep(0.2)


def write(box: Path, name: str, pictures: int = 0) -> str:
    """A customer writes; returns whom the answer goes to."""
    box.mkdir(parents=True, exist_ok=True)
    email = f"{name.lower()}@{name.lower()}.example"
    raw = message(
        f"{name} <{email}>", f"Kitchen of {name}", "No gas in the house.", message_id=f"<1@{name.lower()}.example>",
        files=tuple((f"{name}{n}.jpg", picture(len(name) + n)) for n in range(pictures)),
    )  # fmt: skip
    (box / f"{name}.eml").write_bytes(raw)
    return f"{name} <{email}>"


def in_time(place: Place, whom: str) -> None:
    """The service answers at its next poll."""
    until(lambda: whom in place.letters(), 180)


def at_once(place: Place, whom: str) -> None:
    """Nobody waits for the next poll: the commands do it beside the service, unless it has just begun to."""
    place.run("collect")
    place.run("send")
    in_time(place, whom)


@pytest.mark.long
def test_a_day_of_a_fresh_install(installed: Path, tmp_path: Path) -> None:  # noqa: F811
    """The program is the wheel's, in an environment of its own."""
    live(tmp_path, [str(installed)], ("Ada", "Bram", "Cleo", "Dov", "Edda"), 1, in_time)


def test_a_small_day(tmp_path: Path) -> None:
    live(tmp_path, HERE, ("Ada", "Bram"), 0, at_once)


def live(
    world: Path,
    program: Sequence[str],
    names: Sequence[str],
    pictures: int,
    answered: Callable[[Place, str], None],
) -> None:
    here = Place(world / "here" / "data", world, program)
    morning = {write(here.box, name, pictures) for name in names}
    with here.serving() as process:
        until(lambda: (here.data / "raw").exists() and len(list((here.data / "raw").rglob("*.eml"))) > 0, 60)
        process.kill()  # in the middle of its first round
        process.wait()
    with here.serving():
        until(lambda: set(here.letters()) == morning, 240)
        backup = world / "backup.zip"
        here.run("backup", "--out", str(backup))
        late = write(here.box, "Finn", pictures)
        answered(here, late)
        until(lambda: here.health() == "ok\n", 60)
    assert set(here.letters().values()) == {1}
    assert "good  database" in here.run("check")

    there = Place(world / "there" / "data", world, program)
    restore_elsewhere(there, backup, [*names, "Finn"])
    hand_out_and_erase(there, [*names, "Finn", "Gwen"], world / "bram.zip")
    upgrade_an_old_one(Place(world / "old" / "data", world, program))


def restore_elsewhere(there: Place, backup: Path, names: Sequence[str]) -> None:
    """Nothing goes twice, and who writes from then on is answered."""
    there.run("restore", str(backup))
    assert "restored from a backup" in there.run("send", code=1)
    assert "1 letters are held" in there.run("reconcile")
    with there.serving():
        new = write(there.box, "Gwen")
        at_once(there, new)
    assert there.letters() == {new: 1}
    assert there.customers() == {*names, "Gwen"}


def hand_out_and_erase(there: Place, names: Sequence[str], out: Path) -> None:
    there.run("export", "bram@bram.example", "--out", str(out))
    with zipfile.ZipFile(out) as archive:
        assert sum(name.startswith("messages/") for name in archive.namelist()) == 1
    there.run("erase", "ada@ada.example", "--sure")
    assert there.customers() == {*names} - {"Ada"}
    everything = b"".join(path.read_bytes() for path in there.data.rglob("*") if path.is_file())
    assert b"ada@ada.example" not in everything and b"bram@bram.example" in everything
    assert '"taken": 0' in there.run("collect", "--json")


def upgrade_an_old_one(old: Place) -> None:
    """A database of many steps ago (tests/running/old_database.sql)."""
    old.data.mkdir(parents=True)
    with sqlite3.connect(old.data / "intake.sqlite3") as database:
        database.executescript(OLD.read_text(encoding="utf-8"))
    assert "intake upgrade" in old.run("jobs", code=2)
    assert "2 jobs were read" in old.run("upgrade")
    assert old.customers() == {"Tom Brearley", "Wei Lindqvist"}
