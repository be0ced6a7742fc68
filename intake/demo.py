"""The main job on the demo's messages, in plain words; then the desk."""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime, parsedate_to_datetime
from pathlib import Path
from typing import Any

from tqdm import tqdm

from intake import wiring
from intake.crew import Crew
from intake.model.checklist import Checklist, ItemState
from intake.model.errors import NotFound, SettingsError
from intake.model.job import Job
from intake.model.letter import LetterState
from intake.model.message import MessageState
from intake.service import ONE, run_desk
from intake.settings import PROJECT, Settings, in_checkout
from intake.store.database import Tables
from intake.wording.desk import worded
from intake.work.accounts import demo_account
from intake.work.collect import Progress, collect

MAIL = Path(__file__).resolve().parent / "demo_mail"
"""fixtures/demo/mail of the checkout, inside the package once installed."""


def demo(settings: Settings, port: int, serve: bool) -> None:
    """Collect the demo's e-mails, tell what came of each job, and serve the desk until stopped.

    The embedded default: SQLite, a folder as the mailbox, letters written to a folder. Raises NotFound where the
    demo's e-mails are not there.
    """
    if not MAIL.is_dir():
        raise NotFound(f"The demo's e-mails are not in {MAIL}", "Install the program again")
    settings = _showroom(settings)
    _check_version(settings)
    _deliver(Path(settings.mail_folder), datetime.now(UTC))
    with wiring.opened(settings) as services:
        mailbox = wiring.mailbox(settings)
        with _bars() as progress:
            collected = collect(mailbox, services, progress)
        with services.store.reading() as tables:
            for job in tables.jobs.all():
                print(_job_in_words(tables, job, services.checklists[job.room]))
            print(_told_apart(tables, collected.already_taken))
        if serve:
            name, password, path = demo_account(services.store, services.clock())
            print(f"\nSign in as {name} with {password}, or open http://{settings.host}:{port}{path} once.")
            run_desk(settings, services, port, Crew({ONE: settings}, rounds=False))


def _check_version(settings: Settings) -> None:
    """The demo's data of an older version is not worth an upgrade."""
    try:
        with wiring.opened_store(settings):
            return
    except SettingsError as error:
        if "version" not in str(error):
            raise
        raise SettingsError(
            str(error), f"Delete the folder {settings.data} to start the demo afresh"
        ) from error


def _showroom(settings: Settings) -> Settings:
    """The invented showroom, whatever the settings say; only the data folder, the host and the port are taken over."""
    home = PROJECT if in_checkout() else Path.cwd()
    data = settings.data if settings.data != Settings.data.absolute() else home / "demo-data"
    return Settings(
        data=data,
        host=settings.host,
        port=settings.port,
        mail_folder=str(data / "mail"),
        letters_folder=str(data / "letters"),
        address=("survey@copperbeck.example",),
        authserv_id="mail.copperbeck.example",
        showroom_name="Copperbeck Interiors",
        showroom_phone="01632 960 417",
        designer="Ines Albury",
        labels="yes",
    )


def _deliver(folder: Path, now: datetime) -> None:
    """Put the demo's e-mails into a folder, once, dated so that the last of them came yesterday."""
    if folder.is_dir():
        return
    mails = {path.name: path.read_bytes() for path in sorted(MAIL.glob("*.eml"))}
    dates = [
        parsedate_to_datetime(found[1].decode()) for mail in mails.values() if (found := _DATE.search(mail))
    ]
    later = timedelta(days=(now.date() - max(dates).date()).days - 1)
    folder.mkdir(parents=True)
    for name, mail in mails.items():
        (folder / name).write_bytes(_DATE.sub(lambda found: _later(found, later), mail, count=1))


TO_RELEASE = (LetterState.DRAFT, LetterState.HELD)
"""Letters that wait for a designer."""
_DATE = re.compile(rb"^Date: ([^\r\n]+)", re.MULTILINE)


def _later(found: re.Match[bytes], later: timedelta) -> bytes:
    return b"Date: " + format_datetime(parsedate_to_datetime(found[1].decode()) + later).encode()


@contextmanager
def _bars() -> Iterator[Progress]:
    """A progress bar for each stage, on standard error, where it does not mix with what is told."""
    bars: dict[str, Any] = {}

    def progress(stage: str, done: int, of: int, what: str) -> None:
        if stage not in bars:
            look = "{desc} {bar} {n}/{total} {postfix}"
            bars[stage] = tqdm(total=of, desc=stage, file=sys.stderr, bar_format=look)
        bars[stage].set_postfix_str(what[:40])
        bars[stage].update(done - bars[stage].n)

    try:
        yield progress
    finally:
        for bar in bars.values():
            bar.close()


def _job_in_words(tables: Tables, job: Job, checklist: Checklist) -> str:
    """One job in plain words."""
    messages = tables.messages.of_job(job.id)
    pictures = [k.picture for k in tables.pictures.of_job(job.id)]
    standings = tables.jobs.standings(job.id, checklist)
    wanting = [s.item.title.lower() for s in standings if s.item.blocking and s.state is ItemState.MISSING]
    doubtful = [s.item.title.lower() for s in standings if s.item.blocking and s.state is ItemState.DOUBTFUL]
    letters = tables.letters.of_job(job.id)
    lines = [
        f"\nJob {job.id}: {job.customer.name or job.customer.email}, {job.room.value} ({job.state.value})",
        f"{len(messages)} e-mails with {len(pictures)} pictures: " + _reasons([m.reason for m in messages]),
        "Missing: "
        + (", ".join(wanting) or "nothing")
        + ". Doubtful: "
        + (", ".join(doubtful) or "nothing")
        + ".",
    ]
    if letters:
        last = letters[-1]
        what = f"asks for {len(last.letter.asks)} things" if last.letter.asks else "asks for nothing more"
        held = (
            f", held because: {worded(last.held_because)}"
            if last.held_because
            else " and waits for a designer's release"
        )
        lines.append(f"Letter to {', '.join(last.to)} {what}{held if last.state in TO_RELEASE else ''}.")
        lines += [f"  {n}. {ask.question}" for n, ask in enumerate(last.letter.asks, 1)]
    return "\n".join(textwrap.fill(line, 100, subsequent_indent="   ") for line in lines)


def _reasons(reasons: list[str]) -> str:
    return " ".join(dict.fromkeys(reasons))


def _told_apart(tables: Tables, already: int) -> str:
    lines = [f"\nKept apart: {m.file}. {m.reason}" for m in tables.messages.in_state(MessageState.APART)]
    lines += [
        f"\nSet aside: {m.file}, because {m.why}." for m in tables.messages.in_state(MessageState.SET_ASIDE)
    ]
    if already:
        lines.append(f"\n{already} messages had been taken before; nothing was done twice.")
    return "".join(lines).lstrip("\n")
