"""Bring a database of an older version to this one: copy it, change it in one transaction, read all that matters,
or leave everything as it was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from intake.model.checklist import Checklist, RoomKind
from intake.model.errors import IntakeError, SettingsError
from intake.store.copying import copy_out
from intake.store.database import Tables, make_private, open_engine
from intake.store.home import bear_mark
from intake.store.migrate import HEAD, OtherVersion, migrate, step_of
from intake.work.job_file import open_file

LOOKED_AT = 500
"""Of so many jobs, the latest, everything is read after the change."""


class UpgradeFailed(IntakeError):
    """The upgrade was undone; the database is as it was."""


@dataclass(frozen=True)
class Upgraded:
    """The step before, the copy that was taken of the database (None where nothing was to be done), and how many
    jobs were read afterwards."""

    before: str
    copy: Path | None
    jobs: int


def upgrade(url: str, folder: Path, checklists: Mapping[RoomKind, Checklist], now: datetime) -> Upgraded:
    """Raises UpgradeFailed where this version cannot read what the older one wrote, and SettingsError for a
    database that is not there or is of a newer version."""
    engine = open_engine(url)
    try:
        database = engine.url.database or ""
        if engine.dialect.name == "sqlite" and not Path(database).exists():
            raise SettingsError(f"There is no database {database} yet", "Nothing is to be upgraded")
        with engine.connect() as connection:
            before = step_of(connection)
        if before is None:
            raise SettingsError("The database holds no tables yet", "Nothing is to be upgraded")
        if before == HEAD:
            return Upgraded(before, None, 0)
        copies = folder / "before-upgrade"
        make_private(copies)
        copy = copies / f"{before}-{now:%Y%m%dT%H%M%S}.sqlite3"
        copy_out(engine, copy)
        with engine.begin() as connection:
            migrate(connection)
            tables = Tables(connection)
            jobs = _read_all(tables, checklists)
            bear_mark(folder, tables.home.take_mark())
        return Upgraded(before, copy, jobs)
    except OtherVersion as error:
        raise SettingsError(
            f"The database is of a newer version of the program (step {error}, this one knows {HEAD})",
            "Install that version or a later one",
        ) from error
    except IntakeError:
        raise
    except Exception as error:
        what = f"{type(error).__name__}: {' '.join(str(error).split())[:300]}"
        raise UpgradeFailed(
            f"The upgrade failed and was undone ({what})", "Keep running the older version"
        ) from error
    finally:
        engine.dispose()


def _read_all(tables: Tables, checklists: Mapping[RoomKind, Checklist]) -> int:
    """Read everything of the latest jobs, so that what this version cannot read is found before it is in use."""
    latest = sorted(tables.jobs.all(), key=lambda job: job.last_message_at)[-LOOKED_AT:]
    for job in latest:
        file = open_file(tables, job.id, checklists)
        tables.jobs.standings(job.id, file.survey.checklist)
        tables.jobs.events(job.id)
        tables.letters.of_job(job.id)
    return len(latest)
