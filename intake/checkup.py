"""`intake check`: tries out everything that the settings name; each good, or what to do, in one line."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

from intake import wiring
from intake.checklists import load_checklists
from intake.model.errors import IntakeError
from intake.pen import ShowroomPen
from intake.postbox.folder import FolderPostbox
from intake.postbox.smtp import SmtpPostbox
from intake.reading.session import opened
from intake.reading.tesseract import tesseract_missing
from intake.settings import Settings, is_loopback, warnings
from intake.showrooms import load_showrooms
from intake.store.database import Store
from intake.store.ticks import Ticks
from intake.work.health import GB, LEAST_FREE

AHEAD = timedelta(minutes=5)
"""Mail may arrive so far in this clock's future; servers' clocks differ by seconds. Common practice, no source."""


@dataclass(frozen=True)
class Checked:
    """One thing tried out."""

    what: str
    good: bool
    line: str
    showroom: str = ""
    """Whose, where there are several."""


class _Bad(Exception):
    """What is wrong and what to do, in one line."""


def checkup(settings: Settings) -> Iterator[Checked]:
    """Every check in turn; none of them sends or changes anything, but for one row that shows the database can be
    written."""
    checks: dict[str, Callable[[Settings], str]] = {
        "settings": _settings,
        "letters": _letters,
        "data": _data,
        "disk": _disk,
        "database": _database,
        "mailbox": _mailbox,
        "sending": _sending,
        "readers": _readers,
        "desk": _desk,
        "clock": _clock,
    }
    for what, check in checks.items():
        try:
            yield Checked(what, True, check(settings))
        except _Bad as bad:
            yield Checked(what, False, str(bad))
        except IntakeError as error:
            yield Checked(what, False, error.line())
        except Exception as error:
            yield Checked(what, False, f"{type(error).__name__}: {' '.join(str(error).split())[:200]}")


def checkup_of_all(environ: Mapping[str, str], data: str | None) -> Iterator[Checked]:
    """The same of each of several showrooms; one whose settings are wrong is one line. Raises SettingsError."""
    listed = load_showrooms(environ, data)
    for name, fault in listed.faults.items():
        yield Checked("settings", False, fault.line(), name)
    for name, settings in listed.found.items():
        for checked in checkup(settings):
            yield replace(checked, showroom=name)


def _settings(settings: Settings) -> str:
    if lacking := warnings(settings):
        raise _Bad(" ".join(lacking))
    return f"letters are signed {settings.showroom_name}, {settings.address[0]}; mode {settings.mode}"


def _letters(settings: Settings) -> str:
    load_checklists(settings.checklists)
    ShowroomPen(settings)
    return f"letters in {settings.language} and checklists are whole"


def _data(settings: Settings) -> str:
    folder = settings.data
    if not folder.is_dir():
        raise _Bad(f"There is no data folder {folder} yet. `intake serve` makes it, or correct `data`.")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise _Bad(f"{folder} cannot be written by this user. Run it as the user whose folder it is.")
    if open_to_all := [p for p in (folder, *folder.iterdir()) if p.stat().st_mode & stat.S_IRWXO]:
        raise _Bad(f"Everybody on this machine may look into {open_to_all[0]}. Run `chmod -R o= {folder}`.")
    foreign = [p for p in folder.iterdir() if p.stat().st_uid != folder.stat().st_uid]
    if foreign:
        raise _Bad(
            f"{foreign[0]} belongs to another user than {folder}. Run `chown -R` for the service's user."
        )
    return f"{folder} is writable, and closed to others"


def _disk(settings: Settings) -> str:
    there = next(p for p in (settings.data, *settings.data.parents) if p.exists())
    free = shutil.disk_usage(there).free
    if free < LEAST_FREE:
        raise _Bad(f"{free / GB:.1f} GB are left. Free some space: a message with pictures takes 12.6 MB.")
    return f"{free / GB:.0f} GB are left"


def _database(settings: Settings) -> str:
    if not settings.database_url and not (settings.data / "intake.sqlite3").exists():
        raise _Bad("There is no database yet. The first `intake serve` or `intake collect` makes it.")
    with wiring.opened_store(settings) as store:
        with store.transaction() as tables:
            Ticks(tables.db).note("health", wiring.now())
            if store.engine.dialect.name == "sqlite":
                _sound(store)
        if store.came_from_elsewhere():
            raise _Bad("The database does not belong to this data folder. Run `intake reconcile`.")
        return f"{store.engine.dialect.name} can be read and written"


def _sound(store: Store) -> None:
    with store.reading() as tables:
        said = tables.db.exec_driver_sql("PRAGMA quick_check(1)").scalar()
    if said != "ok":
        raise _Bad(f"The database is damaged ({said}). Restore the latest backup (docs/running.md).")


def _mailbox(settings: Settings) -> str:
    mailbox = wiring.mailbox(settings)
    try:
        count = sum(1 for _ in mailbox.deliveries())
    finally:
        mailbox.close()
    where = settings.mail_folder or f"{settings.imap_host}, folder {settings.imap_folder}"
    return f"{count} messages lie in {where}"


def _sending(settings: Settings) -> str:
    box = wiring.postbox(settings)
    if isinstance(box, SmtpPostbox):
        box.greet()
        return f"{settings.smtp_host} lets us in"
    if isinstance(box, FolderPostbox):
        there = next(p for p in (box.path, *box.path.absolute().parents) if p.exists())
        if not os.access(there, os.W_OK):
            raise _Bad(f"letters_folder {box.path} cannot be written. Correct its rights.")
    return f"letters are written to {settings.letters_folder}, not sent"


def _readers(settings: Settings) -> str:
    import intake.reading

    weights = sorted((Path(intake.reading.__file__).parent / "weights").glob("*.onnx"))
    for path in weights:
        opened(path)
    if not weights:
        raise _Bad("The weights of the readers are not there. Install the program again.")
    if missing := tesseract_missing():
        raise _Bad(missing)
    return f"{len(weights)} networks and Tesseract can be loaded"


def _desk(settings: Settings) -> str:
    if settings.behind_proxy == "no" and is_loopback(settings.host):
        return f"people on this machine alone reach it at http://{settings.host}:{settings.port}/"
    if settings.behind_proxy == "no":
        raise _Bad("The desk listens beyond this machine without TLS. Put a proxy before it (deploy/proxy).")
    return f"a proxy is to forward to {settings.host}:{settings.port} and to set X-Forwarded-For"


def _clock(settings: Settings) -> str:
    """The system says whether it is kept right; mail from the future says that it is not."""
    if shutil.which("timedatectl"):
        command = ["timedatectl", "show", "--property=NTPSynchronized", "--value"]
        said = subprocess.run(command, capture_output=True, text=True, timeout=10, check=False).stdout.strip()
        if said == "no":
            raise _Bad("The clock is kept right by nobody. Run `timedatectl set-ntp true`.")
    if settings.database_url or (settings.data / "intake.sqlite3").exists():
        with wiring.opened_store(settings) as store, store.reading() as tables:
            newest = tables.messages.newest()
        if newest is not None and newest > wiring.now() + AHEAD:
            raise _Bad(
                f"The latest mail came at {newest:%d %B %Y %H:%M} UTC, in this clock's future. Set the clock."
            )
    return f"{wiring.now():%d %B %Y %H:%M} UTC; letters go {settings.working_hours} {settings.timezone}"
