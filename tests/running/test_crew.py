"""The workers are processes of their own: one that is lost is noticed, told and replaced, and loses nothing; the desk
goes on meanwhile; and both end in good order."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import urllib.request
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from pathlib import Path

import pytest

from intake import crew as crews
from intake import round as rounds
from intake import wiring
from intake.crew import Crew, Hand, Lost
from intake.domain.mail.rhythm import back_off
from intake.mailbox.folder import FolderMailbox
from intake.orders import NOTHING_KNOWN, Begin, Done, Duty, Known
from intake.rota import Rota
from intake.round import Round
from intake.service import ONE, note_lost
from intake.settings import Settings, load_settings
from intake.work.collect import collect
from intake.work.health import Watched, troubles
from tests.servers.ports import free_port
from tests.work.mail import OURS, SERVER, folder, message, picture

SOON = 60.0


def until(true: Callable[[], bool], seconds: float = SOON) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.1)


@pytest.fixture(autouse=True)
def _quick_pulse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody waits for the next time that a crew listens."""
    monkeypatch.setattr(crews, "PULSE", 0.2)


@pytest.fixture
def environ(tmp_path: Path) -> dict[str, str]:
    """A showroom that answers at once, with mail of five customers."""
    names = ("Ada", "Bram", "Cleo", "Dov", "Edda")
    mails = (message(f"{n} <{n.lower()}@{n.lower()}.example>", "Kitchen", "Our plan.", message_id=f"<{n}@x.example>",
                     files=((f"{n}.jpg", picture(len(n))),)) for n in names)  # fmt: skip
    folder(tmp_path / "mail", *mails)
    return {
        "INTAKE_MAIL_FOLDER": str(tmp_path / "mail"), "INTAKE_LETTERS_FOLDER": str(tmp_path / "out"),
        "INTAKE_ADDRESS": OURS, "INTAKE_AUTHSERV_ID": SERVER, "INTAKE_MODE": "automatic", "INTAKE_QUIET_MINUTES": "0",
        "INTAKE_WORKING_HOURS": "00:00-24:00", "INTAKE_WORKING_DAYS": "Mon Tue Wed Thu Fri Sat Sun",
        "INTAKE_POLL_MINUTES": "1", "INTAKE_DATA": str(tmp_path / "data"),
    }  # fmt: skip


@pytest.fixture
def settings(environ: dict[str, str]) -> Settings:
    return load_settings(environ)


def letters(settings: Settings) -> Counter[str]:
    found = [message_from_bytes(path.read_bytes()) for path in Path(settings.letters_folder).glob("*.eml")]
    return Counter(str(mail["To"]) for mail in found)


def messages(settings: Settings) -> Counter[str]:
    """How many messages are in each state."""
    with wiring.opened_store(settings) as store, store.reading() as tables:
        return Counter(
            dict(tables.db.exec_driver_sql("SELECT state, count(*) FROM messages GROUP BY state").all())
        )


def wrong(settings: Settings) -> dict[str, str]:
    with wiring.opened(settings) as services:
        return {
            t.what: t.line
            for t in troubles(services, Watched(has_mailbox=True, sends=True))
            if t.what != "disk"
        }


def test_a_worker_that_is_killed_is_told_and_replaced_and_nothing_is_lost(settings: Settings) -> None:
    with wiring.opened(settings) as services:
        losses, done = list[tuple[str | None, str]](), list[Done]()

        def lost(showroom: str | None, how: str) -> None:
            note_lost(services, how)
            losses.append((showroom, how))

        with Crew({ONE: settings}, told=done.append, lost=lost) as crew:
            until(lambda: (settings.data / "raw").exists() and any((settings.data / "raw").rglob("*.eml")))
            os.kill(crew.processes()[0], signal.SIGKILL)  # in the middle of its first round
            until(lambda: bool(losses))
            assert losses[0][0] == ONE and "killed by signal 9" in losses[0][1]
            assert "was killed by signal 9" in wrong(settings)["worker-lost"]
            until(lambda: bool(done))
        assert wrong(settings) == {}
    assert messages(settings) == {"filed": 5}
    assert set(letters(settings).values()) == {1} and len(letters(settings)) == 5


def test_one_without_a_turn_is_replaced_as_well(settings: Settings) -> None:
    losses = list[tuple[str | None, str]]()
    with Crew({ONE: settings}, rounds=False, lost=lambda *told: losses.append(told)) as crew:
        until(lambda: bool(crew.processes()))
        first = crew.processes()
        os.kill(first[0], signal.SIGKILL)
        until(lambda: crew.processes() not in ([], first))
    assert [showroom for showroom, _ in losses] == [None]


def test_a_silent_worker_is_ended(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    """As one would be that a pattern without end holds: it answers nothing and does not die."""
    with Hand(Begin({ONE: settings}, False)) as hand:
        os.kill(hand.process.pid, signal.SIGSTOP)
        assert hand.hear(0.1) is None
        monkeypatch.setattr(crews, "SILENT", 0.0)
        with pytest.raises(Lost, match="silent"):
            hand.hear(0.1)
        assert hand.process.wait(10) == -signal.SIGKILL


def test_what_the_desk_asks_for_is_examined_by_a_worker(settings: Settings) -> None:
    with wiring.opened(settings) as services:
        collect(FolderMailbox(Path(settings.mail_folder)), services)
        with services.store.transaction() as tables:
            job = tables.jobs.all()[0].id
            tables.jobs.touch(job)

        def is_examined() -> bool:
            with services.store.reading() as tables:
                return tables.jobs.is_examined(job)

        assert not is_examined()
        with Crew({ONE: settings}, rounds=False) as crew:
            until(lambda: bool(crew.processes()))
            crew.later(ONE, job)
            until(is_examined)


def test_a_job_that_ends_workers_is_left_alone_and_the_others_go_on(settings: Settings) -> None:
    """Three workers die over one; it stands as not examined, and is tried again when something of it changes."""
    now, lease = datetime(2026, 3, 2, 9, tzinfo=UTC), timedelta(minutes=30)
    with wiring.opened(replace(settings, mail_folder="")) as services:
        collect(FolderMailbox(Path(settings.mail_folder)), services)
        store = services.store
        with store.transaction() as tables:
            deadly, other = (job.id for job in tables.jobs.all()[:2])
            tables.jobs.touch(deadly)
        for _ in range(3):
            with store.transaction() as tables:
                assert tables.jobs.claim("dead", now, lease) == deadly
                tables.release_claims(lambda worker: worker == "dead")
        with store.transaction() as tables:
            tables.jobs.touch(other)
            assert tables.jobs.claim("alive", now, lease) == other
            assert tables.jobs.claim("alive", now, lease) is None
            tables.jobs.note_deadly(now)
            failed = (
                tables.db.exec_driver_sql("SELECT id FROM jobs WHERE failed_at IS NOT NULL").scalars().all()
            )
            assert failed == [deadly]
            tables.jobs.touch(deadly)
            assert tables.jobs.claim("alive", now, lease) == deadly


def test_a_round_that_took_its_share_goes_on_at_once(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rounds, "SHARE", -1.0)
    with wiring.opened(settings) as services:
        cut = Round(settings, services)
        cut.go()
        assert cut.left and not cut.known.looked_through and not letters(settings)
        monkeypatch.setattr(rounds, "SHARE", 60.0)
        whole = Round(settings, services, cut.known)
        whole.go()
        assert not whole.left and whole.known.looked_through and len(letters(settings)) == 5


def test_the_rota_gives_each_its_turn_and_leaves_a_deadly_one_alone_ever_longer() -> None:
    now = [0.0]
    rota = Rota({("elm", 0): 300.0, ("oak", 0): 300.0}, lambda: now[0])
    elm, oak = rota.take(0), rota.take(0)
    assert (elm, oak) == (Duty("elm", NOTHING_KNOWN), Duty("oak", NOTHING_KNOWN))
    assert rota.take(0) is None, "each is in one place at a time"
    known = Known(looked_through=True)
    rota.done(Done(Duty("oak", known), known, left=True))
    assert rota.take(0) == Duty("oak", known)
    rota.done(Done(Duty("oak", known), known, left=False))
    assert elm is not None
    rota.lost(elm)
    assert rota.take(0) == elm, "once is an accident"
    waits = []
    for deaths in range(1, 9):
        rota.lost(elm)
        assert rota.take(0) is None or deaths > 3
        now[0] += back_off(deaths).total_seconds()
        waits.append(back_off(deaths).total_seconds())
        while (duty := rota.take(0)) != elm:
            assert duty == Duty("oak", known), "the other has its turn meanwhile"
            rota.done(Done(Duty("oak", known), known, left=False))
    assert waits == [60, 120, 240, 480, 960, 1920, 3600, 3600]


@contextmanager
def serving(environ: dict[str, str]) -> Iterator[tuple[subprocess.Popen[bytes], str]]:
    port = free_port()
    others = {k: v for k, v in os.environ.items() if not k.startswith("INTAKE_")}
    command = [sys.executable, "-m", "intake.cli", "serve", "--port", str(port)]
    process = subprocess.Popen(command, env=others | environ)
    try:
        until(lambda: alive(port))
        yield process, f"http://127.0.0.1:{port}"
    finally:
        process.kill()
        process.wait()


def alive(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/alive", timeout=5) as answer:
            return bool(answer.status == 200)
    except OSError:
        return False


def descendants(process: int) -> set[int]:
    """The processes that a process started, and theirs."""
    found = set[int]()
    for path in Path(f"/proc/{process}/task").glob("*/children"):
        for child in map(int, path.read_text().split()):
            found |= {child, *descendants(child)}
    return found


def gone(processes: set[int]) -> bool:
    def runs(process: int) -> bool:
        try:
            return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
        except OSError:
            return False

    return not any(runs(process) for process in processes)


def test_stopping_ends_everything_in_good_order(environ: dict[str, str], settings: Settings) -> None:
    with serving(environ) as (service, _):
        until(lambda: len(letters(settings)) == 5)
        below = descendants(service.pid)
        assert below
        service.send_signal(signal.SIGTERM)
        assert service.wait(SOON) == 0
    assert gone(below)


def test_a_service_that_is_killed_takes_its_workers_along_and_loses_nothing(
    environ: dict[str, str], settings: Settings
) -> None:
    with serving(environ) as (service, _):
        until(lambda: (settings.data / "raw").exists() and any((settings.data / "raw").rglob("*.eml")))
        below = descendants(service.pid)
        service.kill()
        service.wait()
        until(lambda: gone(below))
    with serving(environ):
        until(lambda: len(letters(settings)) == 5)
    assert messages(settings) == {"filed": 5}
    assert set(letters(settings).values()) == {1}
