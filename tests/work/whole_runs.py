"""How long mail takes from the folder to a decided letter, whole and on real pictures: python -m tests.work.whole_runs

Prints processor time and time by the clock: the start, a letter of text, an answer of text, a letter with three
photographs (the first ever, another, one more to the first), and `intake jobs --json` of many jobs, start and all.
`[MAILS] [JOBS]`: how many.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

from sqlalchemy import insert, update

from fixtures.photographs import as_jpeg
from fixtures.photographs.room import room_ring
from intake import wiring
from intake.settings import Settings
from intake.store import schema as t
from intake.store.database import Store
from intake.work.collect import collect
from intake.work.services import Services
from tests.web.test_lists import NOW, fill
from tests.work.mail import OURS, SERVER, folder, message

MESSAGES_A_JOB = 3


def _worked() -> float:
    """Seconds that this process has worked, and those that it started and saw end."""
    ended = getrusage(RUSAGE_CHILDREN)
    return time.process_time() + ended.ru_utime + ended.ru_stime


def timed(what: str, do: Callable[[], object], count: int = 1) -> None:
    """Print what one of `count` takes."""
    clock, worked = time.perf_counter(), _worked()
    do()
    clock, worked = time.perf_counter() - clock, _worked() - worked
    print(f"{what:44s} {1000 * worked / count:9.1f} ms of work {1000 * clock / count:9.1f} ms by the clock")


def photographs(seed: int) -> tuple[tuple[str, bytes], ...]:
    """Three neighbouring views of one room, as a telephone saves them."""
    shots = room_ring(seed, 3, size=(1600, 1200), circle=105)
    return tuple((f"IMG_{seed}{n}.jpg", as_jpeg(shot)) for n, shot in enumerate(shots))


def mails(services: Services, home: Path, count: int) -> None:
    def taken(name: str, *messages: bytes) -> Callable[[], object]:
        where = folder(home / name, *messages)
        return lambda: collect(wiring.mailbox(Settings(), where), services)

    people = [f"Tom {n} <tom{n}@hale.example>" for n in range(count)]
    first, answers = [], []
    for n, person in enumerate(people):  # no two say the same, so that nothing is read that was read before
        hello = f"Hello, Tom {n} here, we should like a new kitchen."
        text = f"{hello} The ceiling is {230 + n}. No gas in the house in lane {n}."
        first.append(message(person, "Our kitchen", text, 0, f"<a{n}@hale.example>"))
        answer = f"The boiler is in the loft of {n}."
        answers.append(message(person, "Re: Our kitchen", answer, 1, In_Reply_To=f"<a{n}@hale.example>"))
    timed("a letter of text", taken("text", *first), count)
    timed("an answer of text", taken("answers", *answers), count)
    who = "Jo <jo@other.example>"
    three = message(who, "Our kitchen", "The room.", 0, "<p1@other.example>", photographs(4))
    timed("a letter with three photographs, the first", taken("three", three))
    other = message(
        "Max <max@third.example>", "Kitchen", "The room.", 0, "<p2@third.example>", photographs(5)
    )
    timed("another with three photographs", taken("other", other))
    again = message(who, "Re: Our kitchen", "One more.", 2, "<p3@other.example>", photographs(6)[:1])
    timed("one more photograph to the first", taken("again", again))


def many(store: Store, count: int) -> None:
    """Jobs with three messages each, all examined."""
    fill(store, count)
    rows = [
        {
            "sha256": f"{n:064x}",
            "state": "filed",
            "job": f"R-{n // MESSAGES_A_JOB:05d}",
            "key": f"<{n}@m.example>",
        }
        | {"at": NOW, "received_at": NOW}
        for n in range(count * MESSAGES_A_JOB)
    ]
    with store.transaction() as tables:
        tables.db.execute(insert(t.messages), rows)
        tables.db.execute(update(t.jobs).values(photographs=4, sketches=1, examined=1, changed=1))
    asked = [sys.executable, "-m", "intake.cli", "jobs", "--json", "--data", str(store.folder)]
    timed(
        f"intake jobs --json of {count}", lambda: subprocess.run(asked, stdout=subprocess.DEVNULL, check=True)
    )


def main(count: int, most: int) -> None:
    with tempfile.TemporaryDirectory() as temporary, ExitStack() as closing:
        home, opened = Path(temporary), []
        settings = Settings(data=home / "data", address=(OURS,), authserv_id=SERVER)
        timed("the start", lambda: opened.append(closing.enter_context(wiring.opened(settings))))
        mails(opened[0], home, count)
        other = replace(settings, data=home / "many")
        many(closing.enter_context(wiring.opened(other)).store, most)


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:3]]
    main(*(given + [50, 20_000][len(given) :]))
