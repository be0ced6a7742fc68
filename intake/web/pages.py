"""One context a page: what its template may use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.checklist import RoomKind
from intake.model.job import JobState
from intake.web.overlay import Overlay
from intake.work.accounts import Account, AuditLine
from intake.work.by_hand import Customer
from intake.work.desk import Front, JobRow, KeptMessage, Wanted
from intake.work.health import Trouble
from intake.work.job_view import JobView, NumberView


@dataclass(frozen=True)
class FrontPage:
    front: Front
    troubles: Sequence[Trouble] = ()
    """What is wrong with the installation."""


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


@dataclass(frozen=True)
class NewJobPage:
    """A job about to be opened by hand; `refused` says why it was not."""

    customer: Customer
    room: str
    words: str = ""
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
