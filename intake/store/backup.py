"""Backups: one zip file with the database of one moment, the originals and pictures that it names, the journal, and
what the readers learned here.

The database is copied first and the journal after it, so the journal knows every letter that the copy knows. Files
never change once they are written: those that the copy names are there as they were at its moment, whatever came
since.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import zipfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO, Any

from sqlalchemy import delete, text

from intake.model.errors import IntakeError, NotFound, StoreFull
from intake.model.message import MessageState
from intake.store import schema as t
from intake.store.as_json import rfc3339
from intake.store.copying import copy_in, copy_out, is_empty, sqlite_file
from intake.store.database import Store, make_private, open_engine
from intake.store.home import Home, bear_mark
from intake.store.journal import merge
from intake.store.migrate import HEAD, OtherVersion, migrate

CONTENTS, DATABASE = "backup.json", "intake.sqlite3"
BESIDE = ("handed-over.jsonl", "erased")
"""Lists beside the database that go on growing after a backup: what stands in them already stays when it is
restored."""
FORMAT = 1
CHUNK = 1 << 20
LEARNED = "adapted"
"""What the readers learned here (intake/adaptations.py): a folder a version, and a file that says which is used."""
_FILE = re.compile(
    r"(adapted/(in-use|[\w-]{1,80}/(heads\.npz|told\.json))|"
    r"raw/(?P<cut>[0-9a-f]{2})/(?P<sha256>[0-9a-f]{64})\.eml|pictures/[\w-]{2}/[\w-]{1,80}\.\w{1,5})"
)
"""The only names of files that a restore writes."""


class NotRestorable(IntakeError):
    """The backup, or the place that it is to be restored to, is not fit for it."""


@dataclass(frozen=True)
class BackupContents:
    """What a backup holds. `missing`: files that the database names and that were not there."""

    format: int
    step: str
    taken_at: datetime
    messages: int
    files: int
    missing: int
    pictures_elsewhere: bool
    """The pictures lie in the store that `pictures_url` names, which needs a backup of its own."""
    originals_elsewhere: bool = False
    """The same of the originals and `originals_url`."""


def write_backup(store: Store, out: Path, now: datetime, with_files: bool = True) -> BackupContents:
    """Write a backup to `out`, whole or not at all, for its owner alone to read. Raises StoreFull."""
    part = out.with_name(out.name + ".part")
    try:
        if not out.parent.exists():
            make_private(out.parent)
        with TemporaryDirectory(prefix="backup-", dir=store.folder) as scratch:
            copied = Path(scratch) / DATABASE
            step = copy_out(store.engine, copied)
            with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "w+b") as file:
                contents = _write(file, store, copied, step, now, with_files)
                file.flush()
                os.fsync(file.fileno())
        part.replace(out)
    except OSError as error:
        raise StoreFull(f"The backup {out} could not be written: {error}", "Free disk space") from error
    finally:
        part.unlink(missing_ok=True)
    return contents


def _write(
    file: IO[bytes], store: Store, copied: Path, step: str, now: datetime, with_files: bool
) -> BackupContents:
    """Pictures are compressed already, and the rest is small beside them: nothing is compressed."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED, allowZip64=True) as archive:
        archive.write(copied, DATABASE)
        for beside in BESIDE:
            if (store.folder / beside).exists():
                archive.write(store.folder / beside, beside)
        named = [*_named(copied, store), *_learned(store.folder)] if with_files else []
        missing = 0
        for path in named:
            try:
                archive.write(path, path.relative_to(store.folder).as_posix())
            except FileNotFoundError:
                missing += 1
        elsewhere = store.files.elsewhere, store.files.originals_elsewhere
        contents = BackupContents(
            FORMAT, step, now, _count(copied), len(named) - missing, missing, *elsewhere
        )
        plain = asdict(contents) | {"taken_at": rfc3339(now)}
        archive.writestr(CONTENTS, json.dumps(plain, indent=1))
    return contents


def _named(copied: Path, store: Store) -> Iterator[Path]:
    """The files that the copied database names, but for those on a shelf: originals that were not deleted, and every
    file of a picture."""
    with sqlite_file(copied).connect() as db:
        rows = db.execute(text("SELECT * FROM messages")).mappings()
        kept = [
            row["sha256"] for row in rows if not row.get("purged_at") and row["state"] != MessageState.ERASED
        ]
        pictures = {row.id for row in db.execute(text("SELECT id FROM pictures"))}
    if not store.files.originals_elsewhere:
        yield from (store.files.raw_path(sha256) for sha256 in sorted(kept))
    if not store.files.elsewhere:
        yield from (path for path in store.files.pictures_here() if path.name.rpartition("-")[0] in pictures)


def _learned(folder: Path) -> list[Path]:
    found = (path for path in sorted((folder / LEARNED).rglob("*")) if path.is_file())
    return [path for path in found if _FILE.fullmatch(path.relative_to(folder).as_posix())]


def _count(copied: Path) -> int:
    with sqlite_file(copied).connect() as db:
        return int(db.execute(text("SELECT count(*) FROM messages")).scalar_one())


def read_contents(backup: Path) -> BackupContents:
    """What a backup says it holds. Raises NotFound, and NotRestorable where it is none or not whole."""
    try:
        with zipfile.ZipFile(backup) as archive:
            said: dict[str, Any] = json.loads(archive.read(CONTENTS))
        contents = BackupContents(**said | {"taken_at": datetime.fromisoformat(said["taken_at"])})
    except OSError as error:
        raise NotFound(f"{backup} cannot be opened: {error.strerror}", "Name a backup file") from error
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError) as error:
        raise NotRestorable(f"{backup} is no whole backup: {error}", "Take another one") from error
    if contents.format != FORMAT or contents.step > HEAD:
        raise NotRestorable(f"{backup} is of a newer version of the program", "Install that version")
    return contents


def restore(backup: Path, url: str, folder: Path, now: datetime) -> BackupContents:
    """Put a backup into a place that has no database yet. The database comes last, already marked as restored: from its
    first moment it sends nothing until somebody reconciles it. Broken off at any point, it can be repeated.

    Raises NotFound, NotRestorable, StoreFull.
    """
    contents = read_contents(backup)
    make_private(folder)
    engine = open_engine(url)
    if not is_empty(url):
        raise NotRestorable(
            "There is a database already where the backup is to go", "Move it away, or name another place"
        )
    try:
        with TemporaryDirectory(prefix="restore-", dir=folder) as scratch, zipfile.ZipFile(backup) as archive:
            copied = Path(archive.extract(DATABASE, scratch))
            _take_files(archive, folder)
            for beside in BESIDE:
                if beside in archive.namelist():
                    merge(folder / beside, archive.read(beside))
            mark = _made_ready(copied, contents.taken_at, now)
            bear_mark(folder, mark)
            _put(copied, url, engine.dialect.name)
    except zipfile.BadZipFile as error:
        raise NotRestorable(f"{backup} is damaged: {error}", "Take another one") from error
    except OSError as error:
        raise StoreFull(f"The backup could not be restored: {error}", "Free disk space") from error
    return contents


def _take_files(archive: zipfile.ZipFile, folder: Path) -> None:
    for info in archive.infolist():
        named = _FILE.fullmatch(info.filename)
        if named is None:
            continue
        target = folder / info.filename
        target.parent.mkdir(parents=True, exist_ok=True)
        part = target.with_suffix(".part")
        with archive.open(info) as source, part.open("wb") as file:
            shutil.copyfileobj(source, file, CHUNK)  # zipfile checks the CRC-32 at the end
        if named["sha256"] and _sha256(part) != named["sha256"]:
            part.unlink()
            raise zipfile.BadZipFile(f"{info.filename} is not what its name says")
        part.replace(target)


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _made_ready(copied: Path, taken_at: datetime, now: datetime) -> str:
    """Bring the copied database to this program's step, note the restore in it, and end every session: one that was
    ended since the backup would live again. Returns the mark that the data folder is to bear."""
    with open_engine(f"sqlite:///{copied}").begin() as db:
        try:
            migrate(db)
        except OtherVersion as error:
            raise NotRestorable("The backup is of a newer version of the program", "Install it") from error
        home = Home(db)
        home.note_restored(taken_at, now)
        for table in (t.sessions, t.sign_in_links):
            db.execute(delete(table))
        return home.take_mark()


def _put(copied: Path, url: str, dialect: str) -> None:
    source = open_engine(f"sqlite:///{copied}")
    if dialect == "sqlite":
        with source.connect() as db:
            db.connection.driver_connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # type: ignore[union-attr]
        source.dispose()
        target = Path(str(open_engine(url).url.database))
        target.parent.mkdir(parents=True, exist_ok=True)
        copied.replace(target)
        return
    with source.connect() as here, open_engine(url).begin() as there:
        copy_in(here, there)
