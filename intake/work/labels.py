"""What people said that numbers say and measure, as labels to teach the readers: crops, and nothing else of a
customer."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import SystemRandom

from intake.domain.inspection.looks import agrees, settled_as, verdict
from intake.domain.lengths.notation import parse_length
from intake.domain.sketch.written_slips import kind_of
from intake.model.errors import IntakeError
from intake.model.inspection import Verdict
from intake.model.reading import ReadNumber, Role
from intake.model.word import NumberWord, Way
from intake.store.inspection import Inspection
from intake.store.tallies import Tallies
from intake.work.job_file import JobFile, open_file
from intake.work.look import full_picture
from intake.work.services import Services

LEAST = 150
"""Fewer labels than this teach nothing that could be told from chance."""


class NotAllowed(IntakeError):
    """The settings do not allow it."""


@dataclass(frozen=True)
class Label:
    """One number with what designers said that its ink says. `text` "" is no length. `role` is None where nobody said
    what it measures; `right`: whether the reading was. `sketch` is the picture it is on: it never leaves the program.
    """

    sketch: str
    number: ReadNumber
    text: str
    role: Role | None
    right: bool
    blind: bool
    crop: bytes
    version: str
    among: int
    """How many numbers were read on that picture."""


@dataclass(frozen=True)
class PlacedLabel:
    """One number of a complete job with what it measures: a designer said so, or left it as it was read. `slip` is the
    kind of slip that it is, "" for none, None where that is not known; `version` that of the readers."""

    sketch: str
    number: ReadNumber
    role: Role
    version: str
    slip: str | None = None


def labels(services: Services) -> Iterator[Label]:
    """Every number that a designer confirmed, corrected or struck, or that blind looks have settled. Raises NotAllowed
    where the settings do not say `labels: yes`."""
    for file in _files(services):
        with services.store.reading() as tables:
            looked = _looked(Inspection(tables.db), list(file.survey.read), services)
        yield from _of_job(services, file, looked)


def placed(services: Services) -> Iterator[PlacedLabel]:
    """Every number of the sketches of complete jobs that is a length. Raises NotAllowed as `labels` does."""
    for file in _files(services):
        with services.store.reading() as tables:
            complete = Tallies(tables.db).complete_at(file.job.id)
        for picture, read in file.survey.read.items() if complete else ():
            words = [w for w in file.words if isinstance(w, NumberWord) and w.picture == picture]
            struck = {w.number.read for w in words if w.not_a_number}
            folded = file.survey.readings[picture].numbers
            for n, number in enumerate(read.numbers):
                if n not in struck and number.value_mm is not None:
                    role = folded[n].role
                    slip = slip_of(number, [w for w in words if w.number.read == n], read.unit)
                    yield PlacedLabel(picture, number, role, read.version, slip if role in _SLIP else None)


_SLIP = frozenset({Role.SECTION, Role.OPENING, Role.OVERALL})
"""What has its sums, by which slips come out."""


def slip_of(number: ReadNumber, words: Sequence[NumberWord], unit: str) -> str | None:
    """The kind of slip that a length of a complete job is: where its customer, asked, meant another one than stands
    there. None where nobody said what stands there: neither was it accepted nor settled by a designer, or that came
    after the customer's answer."""
    said = next((w for w in reversed(words) if w.way is Way.DESK and w.says), None)
    meant = next((w for w in reversed(words) if w.way is Way.MAIL and w.value_mm is not None), None)
    if (said is None and not number.accepted) or (
        said is not None and meant is not None and _later(said, meant)
    ):
        return None
    text = said.text or number.text if said is not None else number.text
    value = parse_length(text, unit)
    if value is None:
        return None
    return kind_of(text, value, meant.value_mm if meant is not None and meant.value_mm is not None else value)


def _later(one: NumberWord, other: NumberWord) -> bool:
    return one.at is not None and other.at is not None and one.at > other.at


def _files(services: Services) -> Iterator[JobFile]:
    if not services.policy.inspection.labels:
        raise NotAllowed("The settings do not allow labels to be taken", "Set labels: yes (docs/privacy.md)")
    with services.store.reading() as tables:
        jobs = [job.id for job in tables.jobs.all()]
    for job in jobs:
        with services.store.reading() as tables:
            file = open_file(tables, job, services.checklists)
        yield file


def _looked(rows: Inspection, pictures: Sequence[str], services: Services) -> dict[tuple[str, int], str]:
    """What blind looks have settled, by picture and number."""
    found = {}
    for check in rows.checks_on(pictures) if pictures else ():
        lot = rows.lot(check.picture)
        said = verdict(check, lot.unit, lot.at, services.clock()) if lot else Verdict.WAITING
        if said in (Verdict.RIGHT, Verdict.WRONG):
            found[check.picture, check.number] = check.read if said is Verdict.RIGHT else settled_as(check)
    return found


def _of_job(services: Services, file: JobFile, looked: dict[tuple[str, int], str]) -> Iterator[Label]:
    # What a customer answers is the length that was meant, and not what the ink says.
    said = {
        (w.picture, w.number.read): w for w in file.words if isinstance(w, NumberWord) and w.way is Way.DESK
    }
    for picture, reading in file.survey.read.items():
        told = {n for p, n in (*looked, *said) if p == picture and n is not None}
        jpeg = full_picture(services, _message(file, picture), picture) if told else None
        if jpeg is None:
            continue
        for n in sorted(n for n in told if n < len(reading.numbers)):
            number, word = reading.numbers[n], said.get((picture, n))
            text = _text(number, word, looked.get((picture, n)))
            if text is None:
                continue
            role = word.role if word is not None else None
            right = agrees(number.text, text, reading.unit)
            yield Label(
                picture,
                number,
                text,
                role,
                right,
                (picture, n) in looked,
                services.eyes.crop(jpeg, number.box),
                reading.version,
                len(reading.numbers),
            )


def _text(number: ReadNumber, word: NumberWord | None, looked: str | None) -> str | None:
    """What a number says by a designer's word, else by blind looks; None where nobody said."""
    if word is not None and word.not_a_number:
        return ""
    if word is not None and word.says:
        return word.text or number.text
    return looked


def _message(file: JobFile, picture: str) -> str:
    return next(p.message for p in file.pictures if p.id == picture)


COLUMNS = ("file", "text", "role", "blind")


def write_labels(services: Services, out: Path) -> int:
    """Write every label to a folder: PNGs of the crops in an order drawn by lot, and labels.csv. Nothing in it tells
    which crops are of one customer. Returns how many."""
    found = list(labels(services))
    SystemRandom().shuffle(found)
    out.mkdir(parents=True, exist_ok=True)
    with (out / "labels.csv").open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file)
        table.writerow(COLUMNS)
        for n, label in enumerate(found, 1):
            name = f"{n:06d}.png"
            (out / name).write_bytes(label.crop)
            role = label.role.value if label.role else ""
            table.writerow([name, label.text, role, "yes" if label.blind else "no"])
    return len(found)
