"""One context a page: what its template may use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.checklist import RoomKind
from intake.model.examination import Closure
from intake.model.job import JobState
from intake.model.letterhead import Letterhead
from intake.web.overlay import Overlay
from intake.web.room_plan import RoomPlan
from intake.work.accounts import Account, AuditLine
from intake.work.blind import BlindLook, LastLook
from intake.work.by_hand import Customer
from intake.work.desk import Front, JobRow, KeptMessage, Wanted
from intake.work.edit_room import RoomEditing
from intake.work.health import Trouble
from intake.work.job_view import JobView
from intake.work.showroom import Said
from intake.work.sketch_view import NumberView


@dataclass(frozen=True)
class FrontPage:
    front: Front
    troubles: Sequence[Trouble] = ()
    """What is wrong with the installation."""
    whose: str | None = None
    """The account whose jobs are shown, "" for nobody's, None for all."""


@dataclass(frozen=True)
class ListPage:
    """A page of jobs. `items` are (id, title) to filter by; `further` is the link to the next page, "" on the last."""

    wanted: Wanted
    heading: str
    rows: Sequence[JobRow]
    counts: Mapping[JobState, int]
    items: Sequence[tuple[str, str]]
    rooms: Sequence[RoomKind]
    further: str
    beginning: bool
    designers: Sequence[str]


@dataclass(frozen=True)
class JobPage:
    """One job. `overlay` is the sketch shown, `number` the one selected, `numbers_json` all of them for the script."""

    view: JobView
    overlay: Overlay | None
    number: NumberView | None
    numbers_json: str
    stamp: str
    """Changes with every decision, so that the plan is fetched anew."""
    doubts: Sequence[str]
    """What must not be taken for certain, in sentences."""
    designers: Sequence[str]
    """Whom it may be assigned to."""
    blind: BlindLook | None = None
    """A number of another job, to be looked at without its reading."""
    last_look: LastLook | None = None
    """What was seen in one a moment ago, and can be taken back."""

    def numbers_of(self, closure: Closure) -> list[int]:
        """The numbers of the sketch that is shown that take part in a sum, by their index."""
        room = self.view.room
        if (
            room is None
            or self.overlay is None
            or self.overlay.sketch.picture.id != self.view.file.survey.sketch
        ):
            return []
        return [m.number for m in room.survey.lengths() if m.id in closure.readings and m.number is not None]


@dataclass(frozen=True)
class NewJobPage:
    """A job about to be opened by hand; `refused` says why it was not."""

    customer: Customer
    room: str
    words: str = ""
    refused: str = ""


@dataclass(frozen=True)
class RoomPage:
    """A room being corrected; `plan` is what is pointed at, None where there are no walls. `pointed` is how far from
    the left end of the piece of wall the pointer was, in centimetres."""

    editing: RoomEditing
    plan: RoomPlan | None
    refused: str = ""
    pointed: str = ""


@dataclass(frozen=True)
class ShowroomPage:
    """What the desk has set, what holds, and the usual sentences by their key."""

    said: Said
    head: Letterhead
    usual: Mapping[str, str]
    refused: str = ""


@dataclass(frozen=True)
class SetAsidePage:
    messages: Sequence[KeptMessage]


@dataclass(frozen=True)
class SignInPage:
    refused: str
    name: str
    back: str


@dataclass(frozen=True)
class PeoplePage:
    accounts: Sequence[Account]
    refused: str = ""
    said: str = ""


@dataclass(frozen=True)
class MyPage:
    refused: str = ""
    done: str = ""


@dataclass(frozen=True)
class AuditPage:
    lines: Sequence[tuple[int, AuditLine]]
    further: int | None
