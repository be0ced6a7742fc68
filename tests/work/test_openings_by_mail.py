"""What nobody has told of a plan's openings, the whole way: the plan comes by mail, the letter asks, a designer says
what one is with one key or the customer does in their words, and the plan, the next letter and the job's state follow.
No outside source; the replies are of whoever wrote what reads them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from intake import wiring
from intake.mailbox.folder import FolderMailbox
from intake.model.job import JobState
from intake.model.letter import Ask, LetterState
from intake.model.need import Need, NeedKind
from intake.model.reading import OpeningKind, SketchReading
from intake.model.room import SectionKind
from intake.settings import Settings
from intake.work import decide
from intake.work.collect import collect
from intake.work.desk import front
from intake.work.handover import doubts
from intake.work.job_file import open_file
from intake.work.job_view import JobView, job_view
from intake.work.send import send_due
from intake.work.services import Services
from intake.work.write import release_letter
from tests.web import plans
from tests.web.plans import Plan, Side, door, wall, window
from tests.work.mail import OURS, SERVER, folder, message
from tests.work.test_numbers_by_mail import Reader

TOP, LEFT, BOTTOM = 0, 3, 2
A_TOSS_UP = ((OpeningKind.DOORWAY, 0.42), (OpeningKind.WINDOW, 0.34), (OpeningKind.DOOR, 0.24))
LIKE_A_WINDOW = ((OpeningKind.WINDOW, 0.75), (OpeningKind.DOOR, 0.14), (OpeningKind.DOORWAY, 0.11))
ALL_ELSE = (
    "Our kitchen plan is attached. The ceiling is 241. There is no gas. The consumer unit is in the hall. The boiler is"
    " in the loft. The stop tap is under the sink."
)
HEIGHTS = (
    " The sill of the window is 104, the top of the window is 210 from the floor, the recess is 12 deep."
)


def _plan(width: int, top: tuple[str, str], bottom: tuple[str, str], left: tuple[str, str]) -> Plan:
    sides = (
        Side("E", (wall("84.5"), top, wall("156")), "360.5"),
        Side("S", (wall("283.5"),)),
        Side("W", (wall("236.5"), bottom, wall("38")), "360.5"),
        Side("N", (wall("140"), left, wall("81"))),
    )
    return Plan(sides, width)


PLANS = {
    "toss-up": _plan(1660, window("120"), door("86"), door("62.5")),
    "taken": _plan(1662, window("120"), window("86"), window("62.5")),
    "no door": _plan(1664, window("120"), window("86"), wall("62.5")),
}


def _reading(name: str) -> SketchReading:
    unsure = {"toss-up": (LEFT, A_TOSS_UP), "taken": (BOTTOM, LIKE_A_WINDOW)}.get(name)
    reading = plans.reading_of(PLANS[name])
    sure = {TOP: OpeningKind.WINDOW, LEFT: OpeningKind.WINDOW}
    features = [
        replace(f, kinds=unsure[1], kind=unsure[1][0][0])
        if unsure and f.wall == unsure[0]
        else replace(f, kinds=((sure[f.wall], 0.99), (OpeningKind.DOOR, 0.01)) if f.wall in sure else ())
        for f in reading.outline.features
    ]
    return replace(reading, outline=replace(reading.outline, features=tuple(features)))


class Showroom:
    """A showroom whose reader knows the plans, and a customer who sends one."""

    def __init__(self, services: Services, settings: Settings, home: Path) -> None:
        self.services, self._settings, self._home = services, settings, home
        self._count = 0

    def job(self, plan: str, words: str) -> str:
        self._count += 1
        files = (("plan of the room.jpg", plans.picture_of(PLANS[plan])),)
        self._take(message(self._sender, "Our kitchen", words, 0, self._key("0"), files))
        with self.services.store.reading() as tables:
            job = next(j.id for j in tables.jobs.all() if j.customer.email in self._sender)
        decide.set_item(self.services, job, "room-photographs", "confirmed", "", "ines")
        return job

    @property
    def _sender(self) -> str:
        return f"Pat <pat@opening{self._count}.example>"

    def _key(self, turn: str) -> str:
        return f"<{turn}@opening{self._count}.example>"

    def _take(self, *mails: bytes) -> None:
        collect(
            FolderMailbox(folder(self._home / f"mail {self._key('x')} {len(mails[0])}", *mails)),
            self.services,
        )

    def answer(self, job: str, words: str) -> None:
        """Let the letter go that waits, and the customer of the job made last answer it."""
        release_letter(self.services, job, self._letters(job)[-1].id, "ines")
        send_due(self.services, wiring.postbox(self._settings))
        sent = [k for k in self._letters(job) if k.state is LetterState.SENT][-1]
        said = {"In_Reply_To": sent.message_id}
        self._take(message(self._sender, sent.subject, words, 1, self._key("1"), (), **said))

    def _letters(self, job: str) -> Sequence:  # type: ignore[type-arg]
        with self.services.store.reading() as tables:
            return tables.letters.of_job(job)

    def asks(self, job: str) -> list[Ask]:
        """What the letter that waits asks for, but for what would only help."""
        view = self.view(job)
        return [a for a in view.letter.letter.asks if not a.optional] if view.letter else []

    def view(self, job: str) -> JobView:
        return job_view(self.services, job)

    def needs(self, job: str) -> list[Need]:
        return [n.need for n in self.view(job).needs]

    def press(self, job: str, label: str) -> None:
        """The key of that label, which stands with what waits for a person."""
        (need,) = (n for n in self.view(job).needs if n.openings)
        (key,) = (k for k in need.openings if k.label == label)
        picture = need.need.message.partition("#")[0]
        decide.replace_role(self.services, job, picture, key.number, key.role, None, "ines")

    def kinds(self, job: str) -> list[str]:
        """What stands in the room beside plain wall, clockwise."""
        room = self.view(job).room
        assert room is not None
        return [s.kind.value for w in room.survey.walls for s in w.sections if s.kind is not SectionKind.WALL]

    def state(self, job: str) -> JobState:
        with self.services.store.reading() as tables:
            return open_file(tables, job, self.services.checklists).job.state


@pytest.fixture(scope="module")
def showroom(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Showroom]:
    home = tmp_path_factory.mktemp("openings")
    settings = Settings(
        data=home / "data", address=(OURS,), authserv_id=SERVER, letters_folder=str(home / "out")
    )
    known = {(r.width, r.height): r for r in map(_reading, PLANS)}
    with wiring.opened(settings) as real:
        always = replace(real.letterhead(), hours="00:00-24:00", days="Mon Tue Wed Thu Fri Sat Sun")
        eyes = Reader(real.eyes, known)
        yield Showroom(replace(real, eyes=eyes, letterhead=lambda: always), settings, home)


def test_a_toss_up_is_never_ready_and_its_letter_waits_for_a_look(showroom: Showroom) -> None:
    """All else is told: without the opening the job would be ready, with an opening of which nobody knows whether
    furniture may stand in front of it."""
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    assert showroom.state(job) is JobState.TO_CHECK
    assert showroom.kinds(job) == ["window", "door", "opening"]
    assert [n.kind for n in showroom.needs(job)] == [NeedKind.OPENING]
    (ask,) = showroom.asks(job)
    assert ask.opening is not None and ask.crop and "62.5 cm wide" in ask.question
    row = next(r for g in front(showroom.services).groups for r in g.rows if r.id == job)
    assert row.next.startswith("Say what the openings are")
    assert any("Opening 1 on wall D" in line for line in doubts(showroom.view(job)))


@pytest.mark.parametrize(
    ("label", "kinds", "state"),
    [
        ("Opening 1 is a door", ["window", "door", "door"], JobState.COMPLETE),
        ("Opening 1 is an open doorway", ["window", "door", "doorway"], JobState.COMPLETE),
        ("Opening 1 is a window", ["window", "door", "window"], JobState.TO_CHECK),
        ("Opening 1 is plain wall", ["window", "door"], JobState.COMPLETE),
    ],
)
def test_one_key_settles_it_and_the_letter_asks_what_is_then_wanted(
    showroom: Showroom, label: str, kinds: list[str], state: JobState
) -> None:
    """A second window wants heights of its own; a door does not."""
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    showroom.press(job, label)
    assert showroom.kinds(job) == kinds
    assert not any(n.kind is NeedKind.OPENING for n in showroom.needs(job))
    assert not any(a.opening is not None for a in showroom.asks(job))
    assert showroom.state(job) is state
    assert any("sill-height" in a.items for a in showroom.asks(job)) is (state is JobState.TO_CHECK)


def test_a_key_taken_back_leaves_it_open_again(showroom: Showroom) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    showroom.press(job, "Opening 1 is plain wall")
    last = showroom.view(job).last
    assert last is not None
    decide.undo(showroom.services, job, last.id, "ines")
    assert showroom.kinds(job) == ["window", "door", "opening"]
    assert [n.kind for n in showroom.needs(job)] == [NeedKind.OPENING]


def test_who_cannot_tell_lets_the_customer_be_asked(showroom: Showroom) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    before = showroom.view(job).letter
    decide.see(showroom.services, job, showroom.needs(job)[0].key, "", "ines")
    after = showroom.view(job).letter
    assert showroom.needs(job) == [] and before and after
    assert [a.opening is not None for a in showroom.asks(job)] == [True]
    assert showroom.state(job) is not JobState.COMPLETE


TOLD: list[tuple[str, str, bool]] = [
    ("1: It's a window.", "window", False),
    ("1. window", "window", False),
    ("1) Ein Fenster", "window", False),
    ("1: The opening is a window.", "opening", True),
    ("1: Door", "door", False),
    ("1: it's the back door", "door", False),
    ("1: Das ist die Tür zum Garten", "door", False),
    ("1: an open archway into the dining room", "doorway", False),
    ("1: just an open doorway", "doorway", False),
    ("1: Door. It opens into the room and is hung on the left.", "door", True),
    ("1: I think it's a door", "opening", True),
    ("1: it is a door, not a window", "opening", True),
    ("1: no window, that", "opening", True),
    ("1: it was a door once, bricked up now", "opening", True),
    ("1: door or doorway, whatever you call it", "opening", True),
    ("1: hier war mal eine Tür", "opening", True),
    ("1: ein zugemauertes Fenster", "opening", True),
    ("1: isn't that the window?", "opening", True),
    ("1: It's going to be a window", "opening", True),
    ("1: sorry, I don't know", "opening", True),
    ("1: it's neither, just a hatch", "opening", True),
    ("1: that's a french window", "opening", True),
    ("1: a window above a door", "opening", True),
    ("1: it's a radiator recess", "opening", True),
    ("1: Hi, it's the back door to the garden, thanks", "door", False),
    ("1: Das ist ein Durchgang zum Flur", "doorway", False),
    ("1: It is opposite the door", "opening", True),
    ("1: the door is on the other side of the room", "opening", True),
    ("1: please see the photo of the door", "opening", True),
    ("1: It's next to the window.", "opening", True),
    ("1: same as the other window", "opening", True),
    ("1: glass bricks, lets light in like a window", "opening", True),
    ("1: It's wall. The window is on the other side.", "opening", True),
    ("1: that's the fridge door", "opening", True),
    ("1: a serving hatch with a small door", "opening", True),
    ("1: we are making it a door", "opening", True),
    ("1: a recess where a door would go", "opening", True),
    ("1: an open fireplace", "opening", True),
    ("1: offenes Regal", "opening", True),
    ("1: leave it open for now", "opening", True),
    ("1: an opening for the fridge", "opening", True),
    ("1: a window, a door or an open doorway", "opening", True),
    ("a window, a door or an open doorway?", "opening", True),
    ("It's the back door", "opening", True),
]
"""What a customer answers, what the opening then is, and whether a person must look."""


@pytest.mark.parametrize(("words", "kind", "person"), TOLD, ids=[t[0] for t in TOLD])
def test_one_word_of_the_customers_settles_it_and_no_guess_does(
    showroom: Showroom, words: str, kind: str, person: bool
) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    showroom.answer(job, words)
    assert showroom.kinds(job) == ["window", "door", kind]
    assert bool(showroom.needs(job)) is person
    assert (showroom.state(job) is JobState.COMPLETE) is (kind in ("door", "doorway") and not person)
    asked = any("sill-height" in a.items for a in showroom.asks(job))
    assert asked is (kind == "window")


@pytest.mark.parametrize("words", ["1: it's a serving hatch", "1: opposite the door"])
@pytest.mark.parametrize("looked", [True, False], ids=["a designer could not tell", "nobody looked"])
def test_an_answer_that_settles_nothing_is_looked_at_until_somebody_knows(
    showroom: Showroom, words: str, looked: bool
) -> None:
    """Whoever reads it may tell now, with the keys; put aside it does not leave the customer waited for."""
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    if looked:
        decide.see(showroom.services, job, showroom.needs(job)[0].key, "", "ines")
        assert showroom.needs(job) == []
    showroom.answer(job, words)
    for need in showroom.needs(job):
        if need.kind is not NeedKind.OPENING:
            decide.see(showroom.services, job, need.key, "", "ines")
    assert [n.kind for n in showroom.needs(job)] == [NeedKind.OPENING]
    assert showroom.state(job) is JobState.TO_CHECK
    showroom.press(job, "Opening 1 is plain wall")
    assert showroom.kinds(job) == ["window", "door"] and showroom.state(job) is JobState.COMPLETE


def test_what_it_is_is_asked_alone_and_its_heights_once_it_is_a_window(
    showroom: Showroom,
) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    (ask,) = showroom.asks(job)
    assert ask.how == "One word is enough."
    showroom.answer(job, "1: a window")
    (ask,) = showroom.asks(job)
    assert ask.items == ("sill-height", "head-height", "reveal-depth")
    assert "each of the 2 windows" in ask.how, "of which one those told before are, nobody knows now"


def test_heights_in_the_answers_own_sentence_are_the_openings_and_the_others_the_other_windows(
    showroom: Showroom,
) -> None:
    """What was told of "the window" before is then the other's, in doubt."""
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    showroom.answer(job, "1: a window, sill 96, top 205 from the floor, recess 18")
    room = showroom.view(job).room
    assert room is not None
    new, old = room.survey.walls[LEFT].sections[1], room.survey.walls[TOP].sections[1]
    told = [(s.sill, s.top_above_floor, s.reveal) for s in (new, old)]
    assert [[m and (m.value_mm, m.accepted) for m in each] for each in told] == [
        [(960, True), (2050, True), (180, True)],
        [(1040, False), (2100, False), (120, False)],
    ]


def test_a_designers_key_stands_above_the_customers_word(showroom: Showroom) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    showroom.answer(job, "1: a window")
    picture = showroom.view(job).file.survey.sketch
    number = next(n.index for s in showroom.view(job).sketches for n in s.numbers if n.text == "62.5")
    decide.replace_role(showroom.services, job, picture, number, "door", None, "ines")
    assert showroom.kinds(job) == ["window", "door", "door"]


SETTLED: list[tuple[str, list[str], Callable[[list[Need]], bool]]] = [
    ("Door 1 is a door", ["window", "door", "window"], lambda needs: not needs),
    ("Door 1 is a window", ["window", "window", "window"], lambda needs: bool(needs)),
]


@pytest.mark.parametrize(("label", "kinds", "then"), SETTLED, ids=[s[0] for s in SETTLED])
def test_a_window_taken_for_the_only_door_waits_for_a_look(
    showroom: Showroom, label: str, kinds: list[str], then: Callable[[list[Need]], bool]
) -> None:
    """Where it is a window after all, the door is nowhere, and that waits in turn."""
    job = showroom.job("taken", ALL_ELSE + HEIGHTS.replace("the window", "both windows"))
    assert showroom.kinds(job) == ["window", "door", "window"]
    assert showroom.state(job) is JobState.TO_CHECK
    showroom.press(job, label)
    assert showroom.kinds(job) == kinds
    assert then([n for n in showroom.needs(job) if n.kind is NeedKind.OPENING])


def test_a_kitchen_without_a_door_is_asked_for_it_until_somebody_knows(showroom: Showroom) -> None:
    job = showroom.job("no door", ALL_ELSE + HEIGHTS.replace("the window", "both windows"))
    assert showroom.state(job) is JobState.TO_CHECK
    assert any("Where does one come into the room?" in a.question for a in showroom.asks(job))
    assert any("No door or doorway is known" in line for line in doubts(showroom.view(job)))
    decide.set_item(showroom.services, job, "openings", "confirmed", "open to the hall", "ines")
    assert showroom.state(job) is JobState.COMPLETE
