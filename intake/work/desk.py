"""What the screens show: lists of jobs by what they need next, and one job whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from intake.domain.lengths.notation import format_cm as format_cm
from intake.model.checklist import SETTLED, ItemState, RoomKind
from intake.model.errors import NotFound
from intake.model.job import JobState
from intake.model.letter import LetterState
from intake.model.message import MessageState
from intake.model.need import AT_ONE_LOOK, NeedKind
from intake.store.database import Store
from intake.store.lists import JobLine, Lists, Outline
from intake.store.lists import Place as Place
from intake.store.lists import Wanted as Wanted
from intake.store.messages import KeptMessage as KeptMessage
from intake.work.services import Services
from intake.work.what_counts import WHOSE

ROWS = 25
"""Jobs on one page of a list."""
FRONT_ROWS = 6
"""Jobs of each need on the front page; three times as many of those that wait for the designer."""

LONGEST_WORDS = 90
"""Signs of what a customer wrote that a row of the list shows (by eye)."""
NEEDS: tuple[JobState, ...] = (
    JobState.TO_CHECK,
    JobState.COMPLETE,
    JobState.ASKED,
    JobState.ARRIVING,
    JobState.STOPPED,
)
"""The order in which a designer's time is best spent."""


@dataclass(frozen=True)
class ItemMark:
    """One item of a job's checklist at a glance."""

    item: str
    title: str
    state: ItemState
    needed: bool = True
    """The design cannot start without it."""


@dataclass(frozen=True)
class JobRow:
    """A job in a list. `next` says what it needs next; `waiting_since` is how long somebody has been waiting for it."""

    id: str
    room: RoomKind
    state: JobState
    who: str
    email: str
    next: str
    marks: tuple[ItemMark, ...]
    waiting_since: datetime
    outline: Outline
    failed_at: datetime | None = None
    """Since when it could not be examined for a fault of ours; None where it could."""
    designer: str = ""

    @property
    def needed(self) -> tuple[ItemMark, ...]:
        return tuple(m for m in self.marks if m.needed)

    @property
    def useful(self) -> tuple[ItemMark, ...]:
        return tuple(m for m in self.marks if not m.needed)

    @property
    def settled(self) -> int:
        """How many of the items that the design needs are settled."""
        return sum(m.state in SETTLED for m in self.needed)

    def lacking(self, state: ItemState) -> tuple[str, ...]:
        """Titles of what the design needs and that is in this state, missing or doubtful."""
        return tuple(m.title for m in self.needed if m.state == state)


@dataclass(frozen=True)
class Group:
    """The jobs of one need: how many there are and the first few."""

    state: JobState
    count: int
    rows: tuple[JobRow, ...]


@dataclass(frozen=True)
class Front:
    groups: tuple[Group, ...]
    set_aside: int

    @property
    def total(self) -> int:
        return sum(g.count for g in self.groups)


@dataclass(frozen=True)
class Listing:
    """One page of a list; `further` is where the next page goes on, None on the last."""

    rows: tuple[JobRow, ...]
    further: Place | None
    counts: Mapping[JobState, int]


def front(services: Services, designer: str | None = None) -> Front:
    """The front page: every need with the jobs (of one designer, or "" nobody's) that have waited longest."""
    with services.store.reading() as tables:
        lists = Lists(tables.db)
        counts = lists.counts(designer)
        groups = [
            Group(
                state,
                counts[state],
                tuple(
                    job_row(services, line) for line in _front_lines(lists, Wanted(state, designer=designer))
                ),
            )
            for state in NEEDS
            if counts[state]
        ]
        return Front(tuple(groups), lists.set_aside_count())


def _front_lines(lists: Lists, wanted: Wanted) -> list[JobLine]:
    """The first few of a need: those first whose customers tell of a danger, then those in which something waits for a
    person, then those where one look may settle what a letter would ask."""
    if wanted.state is not JobState.TO_CHECK:
        return list(lists.page(wanted, FRONT_ROWS))
    most = 3 * FRONT_ROWS
    in_turn = (
        replace(wanted, need=NeedKind.HAZARD),
        replace(wanted, waiting=True),
        *(replace(wanted, waiting=False, need=kind) for kind in AT_ONE_LOOK),
        replace(wanted, waiting=False),
    )
    return list({line.id: line for each in in_turn for line in lists.page(each, most)}.values())[:most]


def listing(services: Services, wanted: Wanted, after: Place | None = None) -> Listing:
    """One page of the jobs wanted, the longest waiting first."""
    with services.store.reading() as tables:
        lists = Lists(tables.db)
        lines = lists.page(wanted, ROWS + 1, after)
        last = lines[ROWS - 1] if len(lines) > ROWS else None
        further = Place(last.last_message_at, last.id) if last else None
        return Listing(
            tuple(job_row(services, line) for line in lines[:ROWS]), further, lists.counts(wanted.designer)
        )


def job_row(services: Services, line: JobLine) -> JobRow:
    checklist = services.checklists.get(line.room)
    known = {item.id: item for item in checklist.items} if checklist else {}
    marks = tuple(
        ItemMark(key, known[key].title, state, known[key].blocking)
        if key in known
        else ItemMark(key, key, state)
        for key, state in line.items
    )
    with_customer = line.state is JobState.ASKED and line.asked_at is not None
    return JobRow(
        id=line.id,
        room=line.room,
        state=line.state,
        who=line.customer_name or line.customer_email,
        email=line.customer_email,
        next=next_step(line, marks),
        marks=marks,
        waiting_since=line.asked_at if with_customer and line.asked_at else line.last_message_at,
        outline=line.outline,
        failed_at=line.failed_at,
        designer=line.designer,
    )


def next_step(line: JobLine, marks: Sequence[ItemMark]) -> str:
    """What a job needs next, in one sentence for the designer."""
    if line.failed_at:
        return "Tell whoever runs this program: the job could not be examined."
    if line.letter is LetterState.IN_DOUBT:
        return "Find out whether the last letter arrived."
    if line.letter is LetterState.FAILED:
        return "The last letter could not be sent."
    if line.offers:
        return f"Decide whether it belongs with {' or '.join(line.offers)}."
    if line.state is JobState.ARCHIVED:
        return "Archived; it comes back when the customer writes."
    if line.letter is LetterState.HELD and line.held_because and line.held_because.key == WHOSE:
        return "Say whose job it is."
    looks = [kind for kind, _ in line.needs if kind in AT_ONE_LOOK]
    if len(line.needs) > len(looks) and line.state is not JobState.STOPPED:
        return _for_a_person(*next(n for n in line.needs if n[0] not in AT_ONE_LOOK))
    steps = _checks(marks, looks) if line.state is JobState.TO_CHECK else []
    if line.letter is LetterState.HELD:
        steps.append("decide on the letter that is held back")
    elif line.letter is LetterState.DRAFT and line.state is not JobState.STOPPED:
        steps.append("release the letter")
    elif line.letter is LetterState.DUE and steps:
        steps[-1] += "; the letter waits for that"
    if steps and line.state is JobState.COMPLETE and not line.handed_at:
        steps.append("hand it over for design")
    if steps:
        sentence = ", then ".join(steps)
        return f"{sentence[0].upper()}{sentence[1:]}."
    return _waiting(line)


def _for_a_person(kind: str, words: str) -> str:
    """What a person is to do about a customer's words, with their beginning."""
    said = " ".join(words.split())
    said = said if len(said) <= LONGEST_WORDS else f"{said[:LONGEST_WORDS].rstrip()}..."
    steps = {
        "hazard": "Danger, phone now",
        "phone": "Phone this customer",
        "question": "Answer this question",
        "dispute": "Look into this",
    }
    return f"{steps.get(kind, 'Read this')}: “{said}”"


def _checks(marks: Sequence[ItemMark], looks: Sequence[str]) -> list[str]:
    """What to look at; with one look at the ink some of a letter's questions may be settled. `looks` are the kinds of
    what waits for that."""
    if looks:
        numbers = looks.count(NeedKind.LOOK)
        steps = [f"look at {numbers} doubtful number{'s' if numbers != 1 else ''}"] if numbers else []
        return [*steps, "say what the openings are"] if len(looks) > numbers else steps
    doubtful = sum(m.state is ItemState.DOUBTFUL and m.needed for m in marks)
    if not doubtful:
        return []
    return [f"check {doubtful} doubtful item{'s' if doubtful != 1 else ''}"]


def _waiting(line: JobLine) -> str:
    if line.state is JobState.TO_CHECK and not line.customer_email:
        return "Ask by telephone: there is no e-mail address."
    if line.state is JobState.COMPLETE and line.handed_at:
        changed = line.examined_at is not None and line.examined_at > line.handed_at
        return "Changed since it was handed over: hand it over again." if changed else "Handed over."
    return {
        JobState.ARRIVING: "Messages are still coming in.",
        JobState.TO_CHECK: "Look through the survey.",
        JobState.ASKED: "The customer is to answer our letter.",
        JobState.COMPLETE: "Hand it over for design.",
        JobState.STOPPED: "No more letters go out.",
        JobState.ARCHIVED: "Archived.",
    }[line.state]


def set_aside(store: Store) -> tuple[KeptMessage, ...]:
    """Every message that is in no job, the latest first: set aside unread, or apart."""
    with store.reading() as tables:
        found = [
            *tables.messages.in_state(MessageState.SET_ASIDE),
            *tables.messages.in_state(MessageState.APART),
        ]
    return tuple(sorted(found, key=lambda m: m.received_at, reverse=True))


def raw_message(store: Store, sha256: str) -> bytes:
    """A message as it arrived. Raises NotFound."""
    with store.reading() as tables:
        known = tables.messages.get(sha256)
    if known is None:
        raise NotFound("There is no such message")
    path = store.files.raw_path(sha256)
    if not path.exists():
        raise NotFound("The message as it came is no longer kept", "Its words and pictures are with the job")
    return path.read_bytes()


def picture_file(store: Store, picture_id: str) -> Path:
    """The file of a picture to show. Raises NotFound."""
    with store.reading() as tables:
        found = Lists(tables.db).picture(picture_id)
    if found is None or not found[1]:
        raise NotFound("There is no such picture")
    return store.files.picture_path(found[1])
