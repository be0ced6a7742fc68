"""What leaves with a job: the drawings, and the pack for whoever designs the room."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from intake.domain.survey.openings import OpeningDoubtKind, openings_in_doubt, said_of
from intake.model.chances import chance
from intake.model.checklist import ItemStanding, ItemState, RoomKind
from intake.model.examination import RoomExamination
from intake.model.job import Event, EventKind
from intake.model.picture import Picture, Subject
from intake.model.room import SectionKind
from intake.store.accounts import Accounts
from intake.wording.desk import sentence, worded
from intake.work.job_view import JobView, job_view
from intake.work.report import job_whole
from intake.work.services import Services

BEFORE_AN_ORDER = (
    "Measure again on site before anything is ordered: walls plumb, corners square, floor level, strength of walls.",
    "Gas: a Gas Safe registered engineer confirms the meter, the boiler, the flue and the hob's supply.",
    "Electricity: a registered electrician confirms the consumer unit, the circuits and the earthing.",
    "Live pipes and cables may lie in any wall; waste pipes need their fall; hob and flue have clearances to keep.",
    "In a house built before 2000 boards, tiles and coatings may hold asbestos: have them looked at before drilling.",
)
"""Common practice in the United Kingdom, no source; local codes and licensed people come first."""
MOST_PICTURES = 60
"""Pictures in a handover pack at most (set by hand)."""
NOT_EXAMINED = (
    "A fault of the program has kept this job from being examined since {since}: the checklist leaves out what came or"
    " was decided since then."
)


@dataclass(frozen=True)
class Caption:
    """What stands under a drawing."""

    job: str
    customer: str
    room: str
    drawn_on: date


@dataclass(frozen=True)
class Contents:
    """What the pack's PDF says beside the drawings; `pictures` with the JPEG of each."""

    caption: Caption
    contact: str
    doubts: Sequence[str]
    decisions: Sequence[str]
    cautions: Sequence[str]
    standings: Sequence[ItemStanding]
    pictures: Sequence[tuple[Picture, bytes]]


class Draughtsman(Protocol):
    """Draws a room."""

    def plan(self, examination: RoomExamination) -> str:
        """The plan alone as an SVG document, for a page."""
        ...

    def sheets(self, examination: RoomExamination, caption: Caption, ending: str) -> bytes:
        """All drawings as a file of that ending: .svg, .pdf, .dxf or .json."""
        ...

    def guide(self, room: RoomKind) -> bytes:
        """The measuring guide for a room, to send at first contact: a PDF."""
        ...

    def blank_sheet(self) -> bytes:
        """The measuring sheet to print: a PDF."""
        ...

    def parse(self, text: str) -> dict[str, Any]:
        """A room file as plain data. Raises IntakeError with one plain line where it is none."""
        ...

    def handover(self, contents: Contents, examination: RoomExamination | None) -> bytes:
        """The pack's PDF."""
        ...


def handover_pdf(services: Services, draughtsman: Draughtsman, job_id: str, today: date) -> bytes:
    """The pack's PDF of one job. Raises NotFound."""
    view = job_view(services, job_id)
    return draughtsman.handover(contents(services, view, today), _drawable(view))


def handover_zip(services: Services, draughtsman: Draughtsman, job_id: str, by: str, today: date) -> bytes:
    """The whole pack: the PDF, the drawings as DXF, and everything as JSON. Raises NotFound."""
    view = job_view(services, job_id)
    said, room = contents(services, view, today), _drawable(view)
    name, out = view.file.job.id, io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr(f"{name}/{name}-survey.pdf", draughtsman.handover(said, room))
        if room is not None:
            pack.writestr(f"{name}/{name}-drawings.dxf", draughtsman.sheets(room, said.caption, ".dxf"))
            pack.writestr(f"{name}/{name}-room.json", draughtsman.sheets(room, said.caption, ".json"))
        whole = json.dumps(job_whole(services, name), indent=1, ensure_ascii=False)
        pack.writestr(f"{name}/{name}-job.json", whole + "\n")
    with services.store.transaction() as tables:
        now = services.clock()
        Accounts(tables.db).note(by, "handover", name, "took the handover pack", now)
        tables.jobs.add_event(name, Event(now, EventKind.HANDOVER, "The handover pack was taken.", by))
    return out.getvalue()


def contents(services: Services, view: JobView, today: date) -> Contents:
    """What the pack says of a job."""
    job = view.file.job
    caption = Caption(job.id, job.customer.name or job.customer.email, job.room.value, today)
    return Contents(
        caption=caption,
        contact=", ".join(job.addresses),
        doubts=doubts(view),
        decisions=[f"{d.text} ({d.by}, {d.at:%d.%m.%Y})" for d in view.holds],
        cautions=BEFORE_AN_ORDER,
        standings=view.standings,
        pictures=_pictures(services, view),
    )


def doubts(view: JobView) -> list[str]:
    """Everything that a designer must not take for certain."""
    unsettled = (ItemState.MISSING, ItemState.DOUBTFUL)
    since = view.row.failed_at
    stale = [NOT_EXAMINED.format(since=f"{since:%d.%m.%Y %H:%M} UTC")] if since else []
    said = stale + [
        f"{s.item.title}: {s.state.value}. {sentence(s.reason)}"
        for s in view.standings
        if s.state in unsettled and s.item.blocking
    ]
    room = view.room
    if room is None:
        return ["No sketch has been read: there is no plan.", *said]
    if room.closes is None:
        said.append("Nothing checks the measurements of the room against one another.")
    said += [worded(f.text) for f in room.findings]
    said += _undrawn(view, room)
    said += [
        f"{chance(slip.probability).capitalize()}: {worded(slip.explanation)}" for slip in room.slips[:3]
    ]
    return list(dict.fromkeys(said))


_SERVICES = ("consumer-unit", "gas-meter", "boiler", "water-main")


def _undrawn(view: JobView, room: RoomExamination) -> Iterator[str]:
    """What is known and stands on no drawing, what openings are of which nobody told, and how doors swing."""
    tags = room.survey.opening_tags()
    for wall in room.survey.walls:
        for n, section in enumerate(wall.sections):
            where = f"{tags.get((wall.index, n))} on wall {wall.letter}"
            if section.kind is SectionKind.DOOR and not section.swing.hinge:
                yield f"{where}: how it swings is not told."
    for one in openings_in_doubt(room, view.file.survey.plan, view.standings):
        if one.kind is not OpeningDoubtKind.WAY_IN:  # that is among the room's findings
            yield worded(said_of(room.survey, one))
    drawn = {" ".join(f.name.lower().split()) for f in room.survey.fixed if f.wall is not None}
    for s in view.standings:
        there = s.state in (ItemState.PRESENT, ItemState.CONFIRMED)
        if s.item.id in _SERVICES and there and not drawn & {s.item.title.lower(), *s.item.words}:
            yield f"{s.item.title}: it stands on no drawing. {sentence(s.reason)}"


def _drawable(view: JobView) -> RoomExamination | None:
    return view.room if view.room is not None and view.room.survey.walls else None


def _pictures(services: Services, view: JobView) -> list[tuple[Picture, bytes]]:
    """The sketches first, then what else was sent, each once; what is no photograph of the room is left out."""
    left_out = {Subject.LOGO, Subject.SCREENSHOT}
    found = [
        (kept.picture, services.store.files.picture_path(kept.display_file))
        for kept in view.pictures
        if kept.display_file and not kept.picture.same_as and kept.picture.subject not in left_out
    ]
    found.sort(key=lambda pair: pair[0].subject is not Subject.SKETCH)
    return [(picture, path.read_bytes()) for picture, path in found[:MOST_PICTURES] if path.is_file()]
