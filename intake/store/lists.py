"""Lists for the screens: pages of jobs and what each row shows, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    Select,
    Text,
    and_,
    cast,
    exists,
    func,
    not_,
    or_,
    select,
)

from intake.model.checklist import ItemState, RoomKind
from intake.model.job import JobState
from intake.model.letter import OF_THE_DESK, LetterState
from intake.model.message import MessageState
from intake.model.need import AT_ONE_LOOK, NeedKind
from intake.model.phrase import Phrase
from intake.store import schema as t
from intake.store.folding import folded
from intake.store.letters import WAITING

FEW = 1000
"""Jobs that a search may find before they are gone through in their order instead."""
MOST_WORDS = 6
"""Words of a search that count (a guard, set by hand)."""

Outline = tuple[tuple[tuple[float, float], tuple[float, float]], ...]
"""Walls as (start, end) in the pixels of the sketch."""


@dataclass(frozen=True)
class Wanted:
    """Which jobs to list: `lacking` is the id of an item that is missing or doubtful, `words` a search."""

    state: JobState | None = None
    room: RoomKind | None = None
    lacking: str = ""
    words: str = ""
    designer: str | None = None
    """The account that they are assigned to, "" for nobody; None: whoever."""
    unarchived: bool = False
    """Without those that are done with."""
    waiting: bool | None = None
    """Whether more than a number to look at waits for a person in it; None: either."""
    need: str = ""
    """A kind of what waits for a person (model/need.py)."""


@dataclass(frozen=True)
class JobLine:
    """One row of a list of jobs. `items` are (item id, state) in the checklist's order."""

    id: str
    room: RoomKind
    state: JobState
    customer_name: str
    customer_email: str
    last_message_at: datetime
    items: tuple[tuple[str, ItemState], ...] = ()
    outline: Outline = ()
    letter: LetterState | None = None
    held_because: Phrase | None = None
    asked_at: datetime | None = None
    offers: tuple[str, ...] = ()
    examined_at: datetime | None = None
    handed_at: datetime | None = None
    """When somebody last took the handover pack."""
    failed_at: datetime | None = None
    """Since when it could not be examined for a fault of ours."""
    needs: tuple[tuple[str, str], ...] = ()
    """What waits for a person: (kind, the customer's words)."""
    designer: str = ""


@dataclass(frozen=True)
class Place:
    """Where a page of jobs ends, to go on from."""

    at: datetime
    id: str


@dataclass(frozen=True)
class LetterLine:
    """One letter of a job without its words."""

    id: int
    revision: int
    kind: str
    state: LetterState
    subject: str
    held_because: Phrase | None
    decided_at: datetime
    sent_at: datetime | None
    answer: str
    edited: bool


@dataclass
class _Found:
    items: dict[str, list[tuple[str, ItemState]]] = field(default_factory=lambda: defaultdict(list))
    outlines: dict[str, Outline] = field(default_factory=dict)
    letters: dict[str, Any] = field(default_factory=dict)
    asked: dict[str, datetime] = field(default_factory=dict)
    offers: dict[str, tuple[str, ...]] = field(default_factory=dict)
    handed: dict[str, datetime] = field(default_factory=dict)


class Lists:
    """Read-only queries, within one view of the database."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def counts(self, designer: str | None = None) -> Mapping[JobState, int]:
        """How many jobs (of one designer, or "" nobody's) are in each state; those merged away do not count."""
        query = (
            select(t.jobs.c.state, func.count())
            .where(t.jobs.c.merged_into.is_(None), *_conditions(Wanted(designer=designer)))
            .group_by(t.jobs.c.state)
        )
        found = {JobState(state): n for state, n in self.db.execute(query)}
        return {state: found.get(state, 0) for state in JobState}

    def set_aside_count(self) -> int:
        query = (
            select(func.count())
            .select_from(t.messages)
            .where(t.messages.c.state.in_((MessageState.SET_ASIDE, MessageState.APART)))
        )
        return self.db.execute(query).scalar_one()

    def page(
        self, wanted: Wanted, limit: int, after: Place | None = None, latest_first: bool = False
    ) -> tuple[JobLine, ...]:
        """At most `limit` jobs, the longest waiting first, going on after `after`."""
        at, key = t.jobs.c.last_message_at, t.jobs.c.id
        query = select(t.jobs).where(t.jobs.c.merged_into.is_(None), *_conditions(wanted))
        if wanted.words:
            found = self._holding_every_word(wanted.words.split()[:MOST_WORDS])
            if found is None:
                return ()
            query = query.where(found)
        if after is not None:
            beyond = at < after.at if latest_first else at > after.at
            query = query.where(or_(beyond, and_(at == after.at, key > after.id)))
        query = query.order_by(at.desc() if latest_first else at, key).limit(limit)
        return self._lines(query)

    def _holding_every_word(self, words: Sequence[str]) -> ColumnElement[bool] | None:
        """The jobs that hold every word; None where none does.

        A rare word is looked up first by reading the table through once as it lies, which is ten times faster than
        in the order of a list; where many match, the jobs in their order yield a page soon enough.
        """
        says = and_(*(_says(word) for word in words))
        few = select(t.jobs.c.id).where(says).limit(FEW)
        ids = {key for (key,) in self.db.execute(few)}
        if len(ids) == FEW:
            return says
        ids |= self._by_address(words)
        return t.jobs.c.id.in_(ids) if ids else None

    def _by_address(self, words: Sequence[str]) -> set[str]:
        """Jobs that another address of the customer's, starting with the only word, belongs to."""
        email, word = t.job_addresses.c.email, words[0].lower()
        if len(words) > 1:
            return set()
        query = select(t.job_addresses.c.job).where(email >= word, email < word + "\uffff").limit(FEW)
        return {key for (key,) in self.db.execute(query)}

    def line(self, job: str) -> JobLine:
        """The row of one job that is there."""
        return self._lines(select(t.jobs).filter_by(id=job))[0]

    def _lines(self, query: Select[Any]) -> tuple[JobLine, ...]:
        rows = self.db.execute(query).all()
        found = self._beside([row.id for row in rows])
        return tuple(_line(row, found) for row in rows)

    def _beside(self, ids: Sequence[str]) -> _Found:
        """What the rows of a page show beside the job's own columns."""
        found = _Found()
        if ids:
            self._items(ids, found)
            self._outlines(ids, found)
            self._letters(ids, found)
            self._offers(ids, found)
            self._handed(ids, found)
        return found

    def _items(self, ids: Sequence[str], found: _Found) -> None:
        i = t.items.c
        query = select(i.job, i.item, i.state).where(i.job.in_(ids)).order_by(i.job, i.position)
        for job, item, state in self.db.execute(query):
            found.items[job].append((item, ItemState(state)))

    def _outlines(self, ids: Sequence[str], found: _Found) -> None:
        query = (
            select(t.messages.c.job, t.readings.c.body["outline"]["walls"])
            .join(t.pictures, t.pictures.c.message == t.messages.c.sha256)
            .join(t.readings, t.readings.c.picture == t.pictures.c.id)
            .where(t.messages.c.job.in_(ids))
            .order_by(t.messages.c.received_at)
        )
        for job, walls in self.db.execute(query):
            if walls:
                found.outlines[job] = tuple((tuple(w["start"]), tuple(w["end"])) for w in walls)

    def _letters(self, ids: Sequence[str], found: _Found) -> None:
        c = t.letters.c
        query = (
            select(c.job, c.state, c.held_because, c.sent_at, c.decided_at)
            .where(c.job.in_(ids), c.state != LetterState.SUPERSEDED)
            .where(c.kind.not_in(OF_THE_DESK) | c.state.in_((*WAITING, LetterState.FAILED)))
            .order_by(c.job, c.id)
        )
        row: Any
        for row in self.db.execute(query):
            found.letters[row.job] = row
            if row.state == LetterState.SENT:
                found.asked[row.job] = row.sent_at or row.decided_at

    def _offers(self, ids: Sequence[str], found: _Found) -> None:
        """The jobs that a job may belong with, by the names they bear now; one merged into it is no offer any more."""
        query = select(t.messages.c.job, t.messages.c.offers).where(t.messages.c.job.in_(ids))
        for job, offers in self.db.execute(query):
            now = [name for name in map(self.stands_in, offers) if name and name != job]
            if now:
                found.offers[job] = tuple(dict.fromkeys((*found.offers.get(job, ()), *now)))

    def _handed(self, ids: Sequence[str], found: _Found) -> None:
        c = t.audit.c
        query = (
            select(c.about, func.max(c.at)).where(c.about.in_(ids), c.what == "handover").group_by(c.about)
        )
        found.handed.update((job, at) for job, at in self.db.execute(query))

    def stands_in(self, job: str) -> str:
        """The job that a job is part of now, merges followed; "" where there is none."""
        into: str | None = job
        while into is not None:
            row = self.db.execute(select(t.jobs.c.id, t.jobs.c.merged_into).filter_by(id=into)).first()
            if row is None:
                return ""
            job, into = row.id, row.merged_into
        return job

    def letter_lines(self, job: str) -> tuple[LetterLine, ...]:
        """A job's letters, the latest first."""
        c = t.letters.c
        columns = [getattr(c, name) for name in LetterLine.__dataclass_fields__]
        query = select(*columns).where(c.job == job).order_by(c.id.desc())
        return tuple(
            LetterLine(**dict(row._mapping) | {"state": LetterState(row.state)})
            for row in self.db.execute(query)
        )

    def waiting_letter(self, job: str) -> int | None:
        """The follow-up of a job that has not gone out, if there is one."""
        query = (
            select(t.letters.c.id)
            .where(t.letters.c.job == job, t.letters.c.state.in_(WAITING))
            .where(t.letters.c.kind.not_in(OF_THE_DESK))
            .order_by(t.letters.c.id.desc())
            .limit(1)
        )
        return self.db.execute(query).scalar()

    def letters_of_desk(self, job: str) -> list[int]:
        """The letters of the desk's own that have not gone out, in order."""
        c = t.letters.c
        query = select(c.id).where(c.job == job, c.state.in_(WAITING), c.kind.in_(OF_THE_DESK))
        return [key for (key,) in self.db.execute(query.order_by(c.id))]

    def merged_into(self, job: str) -> tuple[str, ...]:
        """The jobs that were merged into this one."""
        query = select(t.jobs.c.id).filter_by(merged_into=job).order_by(t.jobs.c.id)
        return tuple(key for (key,) in self.db.execute(query))

    def picture(self, picture_id: str) -> tuple[str, str] | None:
        """The message and the display file of a picture; None where there is none."""
        query = select(t.pictures.c.message, t.pictures.c.display_file).filter_by(id=picture_id).limit(1)
        row = self.db.execute(query).first()
        return (row.message, row.display_file) if row is not None else None


def _conditions(wanted: Wanted) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = []
    if wanted.state is not None:
        found.append(t.jobs.c.state == wanted.state)
    elif wanted.unarchived:
        found.append(t.jobs.c.state != JobState.ARCHIVED)
    if wanted.room is not None:
        found.append(t.jobs.c.room == wanted.room)
    if wanted.designer is not None:
        found.append(t.jobs.c.designer == wanted.designer)
    if wanted.waiting is not None:
        waits = or_(*(_needs(kind) for kind in NeedKind if kind not in AT_ONE_LOOK))
        # Most jobs need nobody: that is told by one comparison.
        waits = and_(cast(t.jobs.c.needs, Text) != "[]", waits)
        found.append(waits if wanted.waiting else not_(waits))
    if wanted.need:
        found.append(_needs(wanted.need))
    if wanted.lacking:
        found.append(_lacks(wanted.lacking))
    return found


def _needs(kind: str) -> ColumnElement[bool]:
    # In JSON a quotation mark of the customer's own has a backslash before it.
    return cast(t.jobs.c.needs, Text).like(f'%"kind": "{kind}"%')


def _lacks(item: str) -> ColumnElement[bool]:
    unsettled = (ItemState.MISSING, ItemState.DOUBTFUL)
    i = t.items.c
    return exists().where(i.job == t.jobs.c.id, i.item == item, i.state.in_(unsettled))


def _says(word: str) -> ColumnElement[bool]:
    """A word of the search stands in the customer's name or address, or in the job's reference, whatever its case."""
    plain = folded(word).replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return t.jobs.c.search.like(f"%{plain}%", escape="\\")


def _line(row: Row[Any], found: _Found) -> JobLine:
    letter = found.letters.get(row.id)
    return JobLine(
        id=row.id,
        room=RoomKind(row.room),
        state=JobState(row.state),
        customer_name=row.customer_name,
        customer_email=row.customer_email,
        last_message_at=row.last_message_at,
        items=tuple(found.items.get(row.id, ())),
        outline=found.outlines.get(row.id, ()),
        letter=LetterState(letter.state) if letter is not None else None,
        held_because=letter.held_because if letter is not None else None,
        asked_at=found.asked.get(row.id),
        offers=found.offers.get(row.id, ()),
        examined_at=row.examined_at,
        handed_at=found.handed.get(row.id),
        failed_at=row.failed_at,
        needs=tuple((need["kind"], need["text"]) for need in row.needs),
        designer=row.designer,
    )
