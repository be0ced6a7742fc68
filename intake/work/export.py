"""Everything that is held of one customer, in one zip that the customer can read."""

from __future__ import annotations

import json
import os
import zipfile
from pathlib import Path

from intake.model.errors import StoreFull
from intake.store.forget import Holdings
from intake.work import report
from intake.work.erase import holdings_of
from intake.work.services import Services

READ_ME = """\
What {showroom} holds of {who}, as of {day}.

job-*.txt      what was found and decided, in words; job-*.json the same, whole, for programs
messages/      every e-mail as it came (.eml opens in any mail program)
letters/       every letter that we wrote
pictures/      the pictures in the messages, as the designers see them

{counts}
"""


def export(services: Services, who: str, showroom: str, out: Path) -> Holdings:
    """Write the zip, for its owner alone to read. Raises NotFound, StoreFull."""
    with services.store.reading() as tables:
        held = holdings_of(tables, who, lambda _: b"")
    part = out.with_name(out.name + ".part")
    try:
        descriptor = os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w+b") as file, zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
            _write(archive, services, held, who, showroom)
        part.replace(out)
    except OSError as error:
        raise StoreFull(f"{out} could not be written: {error}", "Free disk space, or name another") from error
    finally:
        part.unlink(missing_ok=True)
    return held


def _write(archive: zipfile.ZipFile, services: Services, held: Holdings, who: str, showroom: str) -> None:
    counts = (
        f"{len(held.messages)} messages, {len(held.pictures)} pictures, {len(held.letters)} letters;"
        f" addresses: {', '.join(held.addresses)}"
    )
    day = f"{services.clock():%d %B %Y}"
    archive.writestr("READ ME.txt", READ_ME.format(showroom=showroom, who=who, day=day, counts=counts))
    for sha256 in held.messages:
        _add(archive, services.store.files.raw_path(sha256), f"messages/{sha256[:16]}.eml")
    for picture in held.pictures:
        name = f"{picture}-display.jpg"
        _add(archive, services.store.files.picture_path(name), f"pictures/{name}")
    for job in held.jobs:
        _write_job(archive, services, job)


def _write_job(archive: zipfile.ZipFile, services: Services, job: str) -> None:
    with services.store.reading() as tables:
        merged = tables.jobs.get(job)
        letters = tables.letters.of_job(job)
    for kept in letters:
        archive.writestr(f"letters/{job}-{kept.revision}-{kept.state.value}.eml", kept.raw)
    if merged is not None and merged.id == job:
        whole = report.job_whole(services, job)
        archive.writestr(f"job-{job}.json", json.dumps(whole, indent=1, ensure_ascii=False))
        archive.writestr(f"job-{job}.txt", report.job_text(whole))


def _add(archive: zipfile.ZipFile, path: Path, name: str) -> None:
    """An original whose time was over is gone."""
    if path.exists():
        archive.write(path, name)
