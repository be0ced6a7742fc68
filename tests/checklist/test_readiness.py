"""No job is ready while a doubt is open, whatever came in whichever order: mails, answers, corrections, undos."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from intake.checklists import load_checklists
from intake.domain.room.closing import examine_room
from intake.domain.said.by_mail import number_words
from intake.domain.said.plan_numbers import Numbering, by_people, overridden
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.survey.readiness import not_ready
from intake.domain.survey.standings import assess
from intake.domain.words.contradictions import TWO_HEIGHTS
from intake.domain.words.fates import Fate
from intake.domain.words.whole_message import understand
from intake.model.checklist import ItemState, RoomKind
from intake.model.examination import RoomExamination
from intake.model.letter import Ask
from intake.model.need import Need, NeedKind
from intake.model.phrase import as_said, phrase
from intake.model.reading import (
    SUM_MISSES,
    Direction,
    Feature,
    OpeningKind,
    OutlineWall,
    Role,
    SketchOutline,
    SketchReading,
)
from intake.model.word import Confirmation, NumberWord, PlanNumber
from intake.work.sketch_view import what_sums_say
from tests.checklist.build import number
from tests.checklist.test_standings import EVERYTHING

KITCHEN = load_checklists(Path(__file__).parents[2] / "config" / "checklists")[RoomKind.KITCHEN]
SIDES = (400.0, 300.0, 400.0, 300.0)
"""A room of 4 by 3 metres: it closes by plain arithmetic, and with 38 in place of 83 it does not."""


def plan() -> SketchReading:
    """Wall 0 in two sections of which the second, 83, is doubtful: only 83 makes the room close."""
    corners = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)]
    ways = (Direction("E"), Direction("S"), Direction("W"), Direction("N"))
    walls = tuple(OutlineWall(i, corners[i], corners[(i + 1) % 4], ways[i]) for i in range(4))
    on_walls = [
        replace(number("317", 3170, Role.SECTION), wall=0, span=(0.0, 0.8)),
        replace(number("83", 830, Role.SECTION, False), wall=0, span=(0.8, 1.0)),
        *(replace(number(f"{SIDES[i]:g}", int(SIDES[i] * 10), Role.OVERALL), wall=i) for i in range(4)),
        replace(number("300", 3000, Role.SECTION), wall=1, span=(0.0, 1.0)),
        replace(number("320", 3200, Role.SECTION), wall=2, span=(0.0, 0.8)),
        replace(number("120", 1200, Role.OPENING), wall=3, span=(0.0, 0.4)),
        replace(number("180", 1800, Role.SECTION), wall=3, span=(0.4, 1.0)),
        number("236", 2360, Role.CEILING),
        number("103.5", 1035, Role.SILL),
        number("108", 1080, Role.HEAD),
        number("12", 120, Role.REVEAL),
        replace(number("80", 800, Role.OPENING), wall=2, span=(0.8, 1.0)),
    ]
    door = Feature(OpeningKind.DOOR, 2, (0.8, 1.0), on_walls[-1].box)
    return SketchReading(1000, 800, "cm", tuple(on_walls), SketchOutline(walls, True, (door,)))


ASKS = (
    Ask("wall-sections", "Is this 83 or 38?", choices=("83", "38"), picture="plan", number=1),
    Ask("ceiling-height", "Please measure the ceiling.", picture="", number=None),
)


@dataclass(frozen=True)
class Job:
    """What happened to a job so far, in order; decisions can be undone."""

    mails: tuple[str, ...] = ()
    said: tuple[NumberWord, ...] = ()
    confirmed: tuple[str, ...] = ()
    seen: tuple[str, ...] = ()

    def state(self) -> tuple[SketchReading, RoomExamination, tuple[Need, ...], Sequence[str]]:
        found = [understand(m, ASKS, KITCHEN, f"<{n}>") for n, m in enumerate(self.mails)]
        answers = [a for f in found for a in f.answers]
        reading = overridden(plan(), NUMBERING, [*number_words(answers), *self.said])
        examination = examine_room(room_from_reading(reading, by_people(reading), RoomKind.KITCHEN, "A room"))
        said = [s for f in found for s in (*f.statements, *(a.statement for a in f.answers))]
        words = [Confirmation(i, ItemState.CONFIRMED, by="Maya") for i in self.confirmed]
        standings = assess(KITCHEN, {"plan": reading}, EVERYTHING, said, examination.findings, words)
        needs = tuple(n for f in found for n in f.needs if n.key not in self.seen)
        reasons = [f.code for f in not_ready(standings, examination, reading, needs)]
        return reading, examination, needs, reasons

    def contradicted(self) -> set[str]:
        """The items of which the last mail that tells anything tells two lengths of one spot."""
        told: dict[str, bool] = {}
        for n, mail in enumerate(self.mails):
            said = understand(mail, ASKS, KITCHEN, f"<{n}>").answers
            for item in {a.statement.item for a in said if a.number is None}:
                own = [a.statement for a in said if a.statement.item == item]
                told[item] = any(s.doubt == TWO_HEIGHTS for s in own)
        return {item for item, open_ in told.items() if open_}


NUMBERING = Numbering("plan", len(plan().numbers))


def word(number: int, text: str = "", value_mm: int | None = None, **more: Any) -> NumberWord:
    return NumberWord(PlanNumber("plan", number), text, value_mm, **more)


MAILS = ["1: 83", "1: 38", "1: 83?", "1: not sure", "2: 236", "2: 24", "the ceiling is 260", "1: the second",
         "Thank you", "1: 83, 2: 236", "ceiling about 236", "no gas here", "38", "2: 236. My husband says 241",
         "Scrap the ceiling, I measured the wrong room", "2: Decki isch 236", "The door is on the other wall",
         "1: not 83 but 38", "2: 236 by the door, 238 by the window, 241 by the window"]  # fmt: skip
WORDS = [
    word(1, "83", 830),
    word(1, "38", 380),
    word(1, confirmed=True),
    word(1, role=Role.OPENING),
    word(0, "371", 3710),
    word(0, "317", 3170),
    word(10, "236", 2360),
]
ITEMS = ["wall-sections", "ceiling-height", "openings", "gas-meter"]
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("mail"), st.sampled_from(MAILS)),
        st.tuples(st.just("word"), st.sampled_from(WORDS)),
        st.tuples(st.just("confirm"), st.sampled_from(ITEMS)),
        st.tuples(st.just("read"), st.integers(0, 5)),
        st.tuples(st.just("undo mail"), st.integers(0, 5)),
        st.tuples(st.just("undo read"), st.integers(0, 5)),
        st.tuples(st.just("undo word"), st.integers(0, 5)),
        st.tuples(st.just("undo confirm"), st.integers(0, 5)),
    ),
    max_size=8,
)


UNDONE = {"undo word": "said", "undo confirm": "confirmed", "undo mail": "mails", "undo read": "seen"}


def _after(steps: Sequence[tuple[str, object]]) -> Job:
    job = Job()
    for kind, what in steps:
        if kind == "mail":
            job = replace(job, mails=(*job.mails, str(what)))
        elif isinstance(what, NumberWord):
            job = replace(job, said=(*job.said, what))
        elif kind == "confirm":
            job = replace(job, confirmed=(*job.confirmed, str(what)))
        elif kind == "read" and isinstance(what, int):
            waiting = job.state()[2]
            job = replace(job, seen=(*job.seen, *(n.key for n in waiting[what : what + 1])))
        elif isinstance(what, int):
            name = UNDONE[kind]
            given = list(getattr(job, name))
            del given[what : what + 1]
            job = replace(job, **{name: tuple(given)})
    return job


@settings(max_examples=150, deadline=None)
@given(STEPS)
def test_never_ready_with_an_open_doubt_in_any_order(steps: Sequence[tuple[str, object]]) -> None:
    job = _after(steps)
    reading, examination, needs, reasons = job.state()
    if reasons:
        return
    assert examination.closes is not False
    assert all(n.accepted for n in reading.numbers if n.role in (Role.SECTION, Role.OVERALL, Role.OPENING))
    assert not needs
    assert not [c for c in job.contradicted() if c not in job.confirmed]
    settled = any(w.number.read == 1 and w.says for w in job.said)
    assert settled or any("83" in m or "38" in m for m in job.mails)
    assert (
        not any(m == "the ceiling is 260" for m in job.mails)
        or "ceiling-height" in job.confirmed
        or "2:" in " ".join(job.mails)
    )


def test_the_right_answer_makes_it_ready_and_the_wrong_one_does_not() -> None:
    assert Job().state()[3][0] == "number-in-doubt"
    assert Job(mails=("1: 83",)).state()[3] == []
    assert "does-not-close" in Job(mails=("1: 38",)).state()[3]
    assert "does-not-close" in Job(mails=("1: 38",), confirmed=("wall-sections",)).state()[3]


def test_a_doubt_goes_only_by_what_settles_it() -> None:
    assert Job(mails=("2: 236",), confirmed=("wall-sections", "openings")).state()[3] == ["number-in-doubt"]
    said = (word(1, confirmed=True),)
    assert Job(said=said).state()[3] == []


def test_a_second_teller_keeps_a_job_from_being_ready_until_somebody_settles_it() -> None:
    two = Job(mails=("1: 83", "2: 236. My husband says 241"))
    assert two.contradicted() == {"ceiling-height"}
    assert two.state()[3] != []


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(MAILS), min_size=1, max_size=6))
def test_every_unread_clause_has_somebody_waiting_for_it_in_whatever_order_mails_come(
    mails: list[str],
) -> None:
    for n, mail in enumerate(mails):
        found = understand(mail, ASKS, KITCHEN, f"<{n}>")
        unread = [c for c in found.clauses if c.fate is Fate.UNREAD]
        assert not unread or found.needs
    _, _, needs, reasons = Job(mails=tuple(mails)).state()
    assert not needs or reasons


def test_words_that_wait_for_a_person_keep_a_job_from_being_ready() -> None:
    need = Need(NeedKind.UNREAD, "something", as_said("Nobody has read it."))
    assert [f.code for f in not_ready((), None, None, (need,))] == ["waits-unread"]


MISSES = "Read as 317; a sum that it is part of does not come out."


def test_a_sum_that_an_answer_mends_is_no_longer_said_to_miss() -> None:
    for answer, says in (
        ("1: 83", "With what was said since, the sums that it is part of fit."),
        ("1: 38", MISSES),
    ):
        reading, examination, _, _ = Job(mails=(answer,)).state()
        neighbour = replace(reading.numbers[0], arithmetic=phrase(SUM_MISSES, read="317"))
        assert examination.closes == (answer == "1: 83")
        assert what_sums_say(neighbour, examination) == says
