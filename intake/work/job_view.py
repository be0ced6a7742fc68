"""One job whole: its sketches with every number as it stands, its pictures, letters, decisions and history."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from intake.domain.lengths.notation import parse_length
from intake.domain.pictures.coverage import Reach
from intake.domain.room.fit import with_allowances
from intake.domain.said.overrides import PEOPLE
from intake.model.checklist import ItemStanding
from intake.model.errors import NotFound
from intake.model.job import Event
from intake.model.letter import Ask
from intake.model.picture import Picture
from intake.model.reading import Alternative, Measures, OutlineWall, Point, ReadNumber, Role
from intake.model.reading import Box as Box
from intake.model.room import RoomExamination
from intake.store.jobs import Decision
from intake.store.letters import KeptLetter
from intake.store.lists import LetterLine, Lists
from intake.store.pictures import KeptPicture
from intake.work.contact import contact_sheet, covered_in_words
from intake.work.desk import JobRow, job_row
from intake.work.examine import asks_of, full_picture
from intake.work.heights_view import HeightsRow, heights_rows
from intake.work.job_file import JobFile, open_file
from intake.work.laid_over import OPENING_KINDS, NumberNames, opening_kinds, with_missed
from intake.work.needs_view import NeedView, needs_view
from intake.work.room_text import room_text
from intake.work.services import Services


class Standing(StrEnum):
    """How far a number on the sketch can be trusted."""

    ACCEPTED = "accepted"
    DOUBTFUL = "doubtful"
    CONFIRMED = "confirmed"
    """A designer or the customer said what it is."""
    DROPPED = "dropped"
    """A designer said that it is no length."""


@dataclass(frozen=True)
class NumberView:
    """One number on the sketch as it stands now. `text` is what counts, `read_as` what the reader read; `name` is what
    decisions call it."""

    index: int
    name: str
    text: str
    value_mm: int | None
    read_as: str
    box: Box
    standing: Standing
    confidence: float
    alternatives: tuple[Alternative, ...]
    role: Role
    wall: int | None
    reader: str
    arithmetic: str
    by: str = ""
    """Who said what it says, or what it measures."""
    opening: str = ""
    """What the opening is, window, door or doorway, where a person said so or the drawing shows it."""
    at: datetime | None = None
    added: bool = False
    """A person saw it on the sketch; no reader did."""
    measures: Measures | None = None
    may_measure: tuple[Measures, ...] = ()
    stretch: tuple[Point, Point] | None = None
    """The ends of what it measures on the picture: of its stretch of wall, or of the whole wall."""


@dataclass(frozen=True)
class SketchView:
    """One sketch with its numbers."""

    picture: Picture
    width: int
    height: int
    unit: str
    numbers: tuple[NumberView, ...]
    corners: tuple[Point, ...] = ()
    """Where the walls read off it start and end."""
    findings: tuple[str, ...] = ()
    """What the reader says is wrong with it, in sentences."""

    @property
    def doubtful(self) -> int:
        return sum(n.standing is Standing.DOUBTFUL for n in self.numbers)


@dataclass(frozen=True)
class Trace:
    """One decision with its sentence, for the history; `undone` says by whom, "" where it stands."""

    id: int
    kind: str
    text: str
    by: str
    at: datetime
    undone: str


@dataclass(frozen=True)
class JobView:
    """One job whole, as its page shows it. `main` is the sketch that the room is drawn from."""

    file: JobFile
    row: JobRow
    standings: tuple[ItemStanding, ...]
    pictures: tuple[KeptPicture, ...]
    sketches: tuple[SketchView, ...]
    room: RoomExamination | None
    letter: KeptLetter | None
    letters: tuple[LetterLine, ...]
    events: tuple[Event, ...]
    decisions: tuple[Trace, ...]
    holds: tuple[Trace, ...]
    """What holds of the decisions, one sentence a number, picture or item."""
    offers: tuple[str, ...]
    merged: tuple[str, ...]
    room_text: str
    """The room as a room file, to be corrected by hand; `typed_by` says who did, "" for nobody."""
    typed_by: str
    coverage: str
    """How the photographs lie round the room and how far up and down they reach; "" where they were not compared."""
    reach: Mapping[str, Reach]
    """Whether floor and ceiling are in view, by the id of the photograph."""
    heights: tuple[HeightsRow, ...]
    to_ask: tuple[Ask, ...]
    """What the customer would be asked for, where there is no address to write to."""
    needs: tuple[NeedView, ...]
    """What waits for a person, most urgent first."""

    @property
    def notes(self) -> tuple[Trace, ...]:
        """The notes that designers kept with the job, the latest first."""
        return tuple(d for d in self.decisions if d.kind == "note" and not d.undone)

    @property
    def main(self) -> SketchView | None:
        found = [s for s in self.sketches if s.picture.id == self.file.sketch]
        return next(iter([*found, *self.sketches]), None)

    @property
    def last(self) -> Trace | None:
        """The latest decision that stands, for undoing."""
        return next((d for d in self.decisions if not d.undone), None)


def job_view(services: Services, job_id: str) -> JobView:
    """One job whole. Raises NotFound."""
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
        job = file.job.id
        lists = Lists(tables.db)
        line = lists.line(job)
        letter = lists.waiting_letter(job)
        decisions = tables.jobs.decisions(job, undone=True)
        files = {kept.picture.id: kept.display_file for kept in tables.pictures.of_job(job)}
        sketches = sketches_of(file)
        typed = [d for d in decisions if d.kind == "room-file" and d.undone_at is None]
        room = _room(services, file)
        checklist = services.checklists[file.job.room]
        standings = tables.jobs.standings(job)
        return JobView(
            file=file,
            row=job_row(services, line),
            standings=standings,
            pictures=tuple(KeptPicture(p, files.get(p.id, ""), "") for p in contact_sheet(file)),
            sketches=sketches,
            room=room,
            room_text=typed[-1].value["text"] if typed else _as_text(room, file),
            typed_by=typed[-1].by if typed else "",
            letter=tables.letters.get(letter) if letter is not None else None,
            letters=lists.letter_lines(job),
            events=tables.jobs.events(job),
            decisions=traces(decisions, sketches, services),
            holds=traces(standing_decisions(decisions), sketches, services),
            offers=line.offers,
            merged=lists.merged_into(job),
            coverage=covered_in_words(file),
            reach=file.reach(),
            heights=heights_rows(file, room.survey if room else None),
            to_ask=() if file.answerable else asks_of(services, file, standings),
            needs=needs_view(file, tables.jobs.needs(job), standings, checklist),
        )


def _as_text(room: RoomExamination | None, file: JobFile) -> str:
    return room_text(room.survey if room else None, file.job.room.value)


def room_of(services: Services, job_id: str) -> tuple[JobFile, RoomExamination | None]:
    """A job and its room as the numbers stand now. Raises NotFound."""
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
    return file, _room(services, file)


def _room(services: Services, file: JobFile) -> RoomExamination | None:
    room = file.examination()
    return with_allowances(room, services.policy.allowances) if room else None


def sketches_of(file: JobFile) -> tuple[SketchView, ...]:
    """The sketches of a job with their numbers as they stand now."""
    # Where a number was added, the decision that added it is the first word on it.
    added = {f"{d.target}#+{d.id}": d for d in file.decisions if d.kind == "added"}
    decided = added | {d.target: d for d in file.decisions if d.kind == "reading"}
    return tuple(_sketch(file, picture, decided) for picture in file.pictures if picture.id in file.read)


def _sketch(file: JobFile, picture: Picture, decided: Mapping[str, Decision]) -> SketchView:
    names, now = file.names(picture.id), file.readings[picture.id]
    kinds = _drawn_openings(file, picture) | opening_kinds(names, file.decisions)
    read = with_missed(picture.id, file.read[picture.id], file.decisions)
    numbers = tuple(
        replace(
            number_view(n, was, number, names, decided.get(names.name(n)), read.unit),
            stretch=_stretch(number, now.outline.walls),
            opening=kinds.get(n, "") if number.role is Role.OPENING else "",
        )
        for n, (was, number) in enumerate(zip(read.numbers, now.numbers, strict=True))
    )
    corners = tuple(point for wall in read.outline.walls for point in (wall.start, wall.end))
    findings = tuple(f.text for f in read.findings)
    return SketchView(picture, read.width, read.height, read.unit, numbers, corners, findings)


def _drawn_openings(file: JobFile, picture: Picture) -> dict[int, str]:
    """What the openings of the sketch that the room is drawn from are, by the index of the number that is the width."""
    room = file.examination() if picture.id == file.sketch and file.typed is None else None
    sections = [s for w in room.survey.walls for s in w.sections] if room else []
    return {
        s.length.number: s.kind.value
        for s in sections
        if s.length.number is not None and s.kind.value in OPENING_KINDS
    }


MEANINGS = 3
"""So many other meanings of a number are offered."""
LIKELY = 0.02
"""Other readings less likely than this are not offered."""


def number_view(
    index: int, read: ReadNumber, now: ReadNumber, names: NumberNames, decision: Decision | None, unit: str
) -> NumberView:
    """A number as it was read, or added, and as it stands `now`, with the decision that changed it last."""
    dropped = decision is not None and bool(decision.value.get("not_a_number"))
    return NumberView(
        index=index,
        name=names.name(index),
        text=now.text,
        value_mm=now.value_mm,
        read_as=read.text,
        box=read.box,
        standing=_standing(now, dropped),
        confidence=read.confidence,
        alternatives=_others(read, unit),
        role=now.role,
        wall=now.wall,
        reader=read.reader,
        arithmetic=now.arithmetic,
        by=decision.by if decision else f"the {now.reader}" if now.reader in PEOPLE else "",
        at=decision.at if decision else None,
        added=index >= names.read,
        measures=now.measures,
        may_measure=tuple(m for m in now.may_measure if m.chance >= LIKELY and len(m.walls) < 2)[:MEANINGS],
    )


def _stretch(number: ReadNumber, walls: Sequence[OutlineWall]) -> tuple[Point, Point] | None:
    wall = next((w for w in walls if w.wall == number.wall), None)
    if wall is None or number.role not in (Role.SECTION, Role.OPENING, Role.OVERALL):
        return None
    low, high = number.span or (0.0, 1.0)
    (xa, ya), (xb, yb) = wall.start, wall.end
    return (xa + (xb - xa) * low, ya + (yb - ya) * low), (xa + (xb - xa) * high, ya + (yb - ya) * high)


def _others(read: ReadNumber, unit: str) -> tuple[Alternative, ...]:
    """What else the ink may say, likeliest first; one text a length, however it is written."""
    by_length: dict[int, Alternative] = {}
    for other in sorted(read.alternatives, key=lambda a: -a.confidence):
        value = parse_length(other.text, unit)
        if value is not None and value != read.value_mm and other.confidence >= LIKELY:
            by_length.setdefault(value, other)
    return tuple(by_length.values())


def _standing(now: ReadNumber, dropped: bool) -> Standing:
    if dropped:
        return Standing.DROPPED
    if now.reader in PEOPLE:
        return Standing.CONFIRMED
    return Standing.ACCEPTED if now.accepted else Standing.DOUBTFUL


def standing_decisions(decisions: Sequence[Decision]) -> list[Decision]:
    """What holds of the decisions of a job: those undone left out, and all about one number joined in its last."""
    holds: dict[object, Decision] = {}
    for decision in (d for d in decisions if d.undone_at is None):
        earlier = holds.pop((decision.kind, decision.target), None)
        if decision.kind == "reading" and earlier is not None and "not_a_number" not in decision.value:
            decision = replace(decision, value=earlier.value | decision.value)
        holds[decision.kind, decision.target if decision.kind != "added" else decision.id] = decision
    return list(holds.values())


def traces(
    decisions: Sequence[Decision], sketches: Sequence[SketchView], services: Services
) -> tuple[Trace, ...]:
    """Every decision with its sentence, the latest first."""
    read_as = {n.name: n.read_as for s in sketches for n in s.numbers}
    titles = {i.id: i.title for c in services.checklists.values() for i in c.items}
    return tuple(
        Trace(d.id, d.kind, _sentence(d, read_as, titles), d.by, d.at, d.undone_by or "")
        for d in reversed(decisions)
    )


def _sentence(decision: Decision, read_as: Mapping[str, str], titles: Mapping[str, str]) -> str:
    value, target = decision.value, decision.target
    if decision.kind == "reading":
        return _reading_sentence(value, read_as.get(target, "a number"))
    if decision.kind == "item":
        note = f" ({value['note']})" if value.get("note") else ""
        return f"{titles.get(target, target)}: {_plain(value['state'])}{note}"
    if decision.kind == "added":
        return f"{value['text']} added: it is on the sketch and was not read"
    if decision.kind == "room-file":
        return "The room typed by hand"
    if decision.kind == "apart":
        return f"{target} is another room"
    if decision.kind == "subject":
        return f"A picture shows: {_plain(value)}"
    if decision.kind == "height":
        return f"{_plain(target.partition(' ')[0]).capitalize()}: {value['text']}"
    if decision.kind == "room":
        return f"The room is a {value}"
    if decision.kind == "note":
        return str(value)
    if decision.kind == "seen":
        return f"Dealt with: “{_words_of(target)}”" + (f" ({value})" if value else "")
    if decision.kind == "taken":
        return f"{titles.get(value['item'], value['item'])} taken from “{value['text']}”"
    if decision.kind == "vouch":
        return f"A message from {value['from']} is the customer's"
    if decision.kind == "customer":
        return f"The customer is {', '.join(filter(None, value.values()))}"
    if decision.kind == "stop":
        return f"No more letters: {value}"
    if decision.kind == "merge":
        return f"Merged {target} into this job"
    if decision.kind == "split":
        return f"Moved {_messages(value['messages'])} to a new job, {target}"
    if "by_hand" in value:
        return (
            f"Added {value['by_hand']} files at the desk"
            if value["by_hand"]
            else "Wrote down the customer's words"
        )
    return f"Moved a message here from {value.get('from') or 'outside any job'}"


def _words_of(need: str) -> str:
    """The customer's words in the key of a need (model/need.py)."""
    return need.split(" ", 2)[-1]


def _reading_sentence(value: Mapping[str, object], read: str) -> str:
    if value.get("not_a_number"):
        return f"“{read}” is no length"
    what = f" ({_plain(value.get('kind') or value['role'])})" if value.get("role") else ""
    if "text" in value:
        return f"“{read}” is {value['text']}{what}"
    if "confirmed" in value:
        return f"“{read}” confirmed as read{what}"
    return f"“{read}” measures something else{what}"


def _plain(word: object) -> str:
    return str(word).replace("-", " ")


def _messages(found: Sequence[str]) -> str:
    return f"{len(found)} message{'s' if len(found) != 1 else ''}"


def crop(services: Services, picture_id: str, number: int) -> bytes:
    """A PNG of one number's ink, upright. Raises NotFound."""
    with services.store.reading() as tables:
        reading = tables.pictures.reading(picture_id)
        found = Lists(tables.db).picture(picture_id)
    if found is None or reading is None or not 0 <= number < len(reading.numbers):
        raise NotFound("There is no such number")
    jpeg = full_picture(services, found[0], picture_id)
    if jpeg is None:
        raise NotFound("The picture cannot be decoded")
    return services.eyes.crop(jpeg, reading.numbers[number].box)
