"""Stored originals read by the present readers: what would change, job by job. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.domain.inspection.bar import with_bar
from intake.domain.inspection.looks import agrees
from intake.model.reading import PEOPLE, Point, ReadNumber, SketchReading
from intake.store.bars import Bars
from intake.work.examine import wanting
from intake.work.job_file import JobRows, lay_out, load
from intake.work.look import full_picture
from intake.work.services import Services

NEAR = 0.6
"""Numbers are the same where their middles lie closer than this many heights of the box."""


@dataclass(frozen=True)
class ReadingChange:
    """One number that would be read otherwise: `before` and `after` are its texts, "" where it is not read at all;
    `settled` is what a person said of it, "" for nothing; `unit` how lengths are written there."""

    picture: str
    before: str
    after: str
    accepted_before: bool
    accepted_after: bool
    settled: str = ""
    unit: str = "cm"

    @property
    def grave(self) -> bool:
        """An accepted length would give way to another accepted one, or one would be accepted against a person's
        word."""
        other = self.accepted_before and not agrees(self.before, self.after, self.unit)
        return self.accepted_after and (other or (bool(self.settled) and not self._right(self.after)))

    @property
    def mended(self) -> int:
        """1 where a number that a person settled would be read as they said and was not, -1 the other way, else 0."""
        return (self._right(self.after) - self._right(self.before)) if self.settled else 0

    def _right(self, text: str) -> bool:
        return agrees(text, self.settled, self.unit)


@dataclass(frozen=True)
class Replayed:
    """What would change in one job; `unread` sketches whose originals are not kept any more. `ready_before` and
    `ready_after`: nothing would keep it from being designed on."""

    job: str
    changes: tuple[ReadingChange, ...]
    accepted_before: int
    accepted_after: int
    ready_before: bool
    ready_after: bool
    unread: int


def replay(services: Services, jobs: Sequence[str] = ()) -> Iterator[Replayed]:
    """The jobs named, or all, in the order in which they were opened; those without a sketch are left out."""
    with services.store.reading() as tables:
        every = [job.id for job in tables.jobs.all()]
        bars = Bars(tables.db).bars()
    for job in jobs or every:
        with services.store.reading() as tables:
            rows = load(tables, job)
        if rows.readings:
            yield _job(services, rows, bars)


def _job(services: Services, rows: JobRows, bars: Mapping[str, float]) -> Replayed:
    now, unread = dict(rows.readings), 0
    messages = {k.picture.id: k.picture.message for k in rows.pictures}
    for picture in rows.readings:
        jpeg = full_picture(services, messages[picture], picture)
        if jpeg is None:
            unread += 1
            continue
        reading = services.eyes.read(jpeg)
        now[picture] = with_bar(reading, bars.get(reading.version))
    before, after = (
        lay_out(rows, services.checklists),
        lay_out(replace(rows, readings=now), services.checklists),
    )
    said = before.survey.readings
    changes = [c for p, was in rows.readings.items() for c in changed(p, was, now[p], said.get(p))]
    return Replayed(
        rows.job.id,
        tuple(changes),
        sum(n.accepted for reading in rows.readings.values() for n in reading.numbers),
        sum(n.accepted for reading in now.values() for n in reading.numbers),
        not wanting(before, before.survey.standings()),
        not wanting(after, after.survey.standings()),
        unread,
    )


def changed(
    picture: str, was: SketchReading, now: SketchReading, said: SketchReading | None = None
) -> list[ReadingChange]:
    """The numbers whose text or acceptance differs between two readings of one sketch, matched by their place; `said`
    is the earlier reading with people's words laid over it."""
    left = list(range(len(now.numbers)))
    found = []
    for i, number in enumerate(was.numbers):
        match = min(left, key=lambda j: _apart(number, now.numbers[j]), default=None)
        after = (
            now.numbers[match] if match is not None and _apart(number, now.numbers[match]) < NEAR else None
        )
        if after is not None and match is not None:
            left.remove(match)
        word = said.numbers[i] if said and i < len(said.numbers) else None
        settled = word.text if word and word.reader in PEOPLE else ""
        if after is None or (after.text, after.accepted) != (number.text, number.accepted):
            text, taken = (after.text, after.accepted) if after else ("", False)
            found.append(ReadingChange(picture, number.text, text, number.accepted, taken, settled, was.unit))
    found += [ReadingChange(picture, "", now.numbers[j].text, False, now.numbers[j].accepted) for j in left]
    return found


def _apart(one: ReadNumber, other: ReadNumber) -> float:
    """How far apart the middles lie, in heights of the first."""
    (ax, ay), (bx, by) = _middle(one), _middle(other)
    (x0, y0), (x1, y1) = one.box[0], one.box[3]
    height = max(((x0 - x1) ** 2 + (y0 - y1) ** 2) ** 0.5, 1.0)
    return float(((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5 / height)


def _middle(number: ReadNumber) -> Point:
    return sum(x for x, _ in number.box) / 4, sum(y for _, y in number.box) / 4


def as_row(found: Replayed) -> dict[str, object]:
    """One job as `intake replay --json` prints it."""
    return {
        "job": found.job,
        "accepted": [found.accepted_before, found.accepted_after],
        "ready": [found.ready_before, found.ready_after],
        "unread": found.unread,
        "changes": [
            {
                "picture": c.picture,
                "before": c.before,
                "after": c.after,
                "accepted": [c.accepted_before, c.accepted_after],
                "settled": c.settled,
                "mended": c.mended,
                "grave": c.grave,
            }
            for c in found.changes
        ],
    }


def as_line(found: Replayed, every: bool = False) -> str:
    """One job in a line, and its grave changes, or `every` one."""
    count = len(found.changes)
    what = f"{count} number{'s' if count > 1 else ''} otherwise" if count else "nothing changes"
    line = f"{found.job}: {what}; accepted {found.accepted_before} -> {found.accepted_after}"
    if found.ready_before != found.ready_after:
        line += ", ready -> not ready" if found.ready_before else ", not ready -> ready"
    if found.unread:
        line += f"; {found.unread} originals are not kept any more"
    return "\n".join([line, *(_change_line(c) for c in found.changes if every or c.grave)])


def in_words(found: Sequence[Replayed]) -> str:
    """All jobs in a few sentences."""
    changes = [c for each in found for c in each.changes]
    moved, grave = sum(bool(each.changes) for each in found), sum(c.grave for c in changes)
    better, worse = sum(c.mended > 0 for c in changes), sum(c.mended < 0 for c in changes)
    return (
        f"{len(found)} jobs with a sketch, {moved} would change; {grave} numbers gravely."
        f" Of the numbers that people settled, {better} would be read as they said that were not, {worse} no more."
        " Nothing was written."
    )


def _change_line(change: ReadingChange) -> str:
    settled = f" (settled: {change.settled})" if change.settled else ""
    before, after = (
        f"{text or '-'}{' accepted' if taken else ''}"
        for text, taken in (
            (change.before, change.accepted_before),
            (change.after, change.accepted_after),
        )
    )
    return f"  {before} -> {after}{settled}"
