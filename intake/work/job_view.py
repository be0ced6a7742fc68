"""One job whole: its sketches with every number as it stands, its pictures, letters, decisions and history."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from intake.domain.pictures.coverage import Reach
from intake.domain.room.fit import with_allowances
from intake.domain.sketch.drawn_openings import box_of_opening
from intake.model.checklist import ItemStanding
from intake.model.errors import NotFound
from intake.model.examination import RoomExamination
from intake.model.job import Event
from intake.model.letter import Ask
from intake.model.reading import Box as Box
from intake.store.letters import KeptLetter
from intake.store.lists import LetterLine, Lists
from intake.store.pictures import KeptPicture
from intake.work.contact import contact_sheet, covered_in_words
from intake.work.desk import JobRow, job_row
from intake.work.examine import asks_of
from intake.work.heights_view import HeightsRow, heights_rows
from intake.work.history_view import Trace, standing_decisions, traces
from intake.work.job_file import JobFile, open_file
from intake.work.look import full_picture
from intake.work.needs_view import NeedView, needs_view
from intake.work.room_text import room_text
from intake.work.services import Services
from intake.work.sketch_view import SketchView, sketches_of


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
    desk_letters: tuple[KeptLetter, ...]
    """Those of the desk's own that have not gone out."""
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
        return tuple(d for d in self.decisions if d.is_note and not d.undone)

    @property
    def main(self) -> SketchView | None:
        found = [s for s in self.sketches if s.picture.id == self.file.survey.sketch]
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
        typed = file.survey.typed
        room = _room(services, file)
        checklist = services.checklists[file.job.room]
        standings = tables.jobs.standings(job, checklist)
        return JobView(
            file=file,
            row=job_row(services, line),
            standings=standings,
            pictures=tuple(KeptPicture(p, files.get(p.id, ""), "") for p in contact_sheet(file)),
            sketches=sketches,
            room=room,
            room_text=typed.text if typed else room_text(room.survey if room else None, file.job.room.value),
            typed_by=typed.by if typed else "",
            letter=tables.letters.get(letter) if letter is not None else None,
            desk_letters=tuple(k for key in lists.letters_of_desk(job) if (k := tables.letters.get(key))),
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
            needs=needs_view(file, tables.jobs.needs(job), standings, checklist, sketches),
        )


def room_of(services: Services, job_id: str) -> tuple[JobFile, RoomExamination | None]:
    """A job and its room as the numbers stand now. Raises NotFound."""
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
    return file, _room(services, file)


def _room(services: Services, file: JobFile) -> RoomExamination | None:
    room = file.survey.examination()
    return with_allowances(room, services.policy.allowances) if room else None


def crop(services: Services, picture_id: str, number: int, opening: bool = False) -> bytes:
    """A PNG of one number's ink, upright, or of the opening whose width it is. Raises NotFound."""
    with services.store.reading() as tables:
        reading = tables.pictures.reading(picture_id)
        found = Lists(tables.db).picture(picture_id)
    if found is None or reading is None or not 0 <= number < len(reading.numbers):
        raise NotFound("There is no such number")
    jpeg = full_picture(services, found[0], picture_id)
    if jpeg is None:
        raise NotFound("The picture cannot be decoded")
    if opening:
        return services.eyes.piece(jpeg, box_of_opening(reading, number))
    return services.eyes.crop(jpeg, reading.numbers[number].box)
