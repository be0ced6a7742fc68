"""What a number of the plan measures, the whole way by mail: the letter asks, the customer answers in their words, and
the job waits for a designer, whose key settles it. No outside source; the replies are of whoever wrote what reads
them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from intake import wiring
from intake.model.job import JobState
from intake.model.need import NeedKind
from intake.model.reading import Measures, OpeningKind, Role, SketchReading
from intake.settings import Settings
from intake.work import decide
from intake.work.needs_view import NeedView
from intake.work.sketch_view import NumberView, Trust
from tests.web import plans
from tests.work.mail import OURS, SERVER
from tests.work.test_numbers_by_mail import Reader
from tests.work.test_openings_by_mail import ALL_ELSE, HEIGHTS, LEFT, PLANS, TOP, Showroom

BOTTOM = 2
ITS_OWN = Measures(Role.SECTION, (BOTTOM,), (0.0, 0.1), 0.6)
ANOTHERS = Measures(Role.SECTION, (1,), (0.0, 0.1), 0.4)


def _unsure_of_38() -> SketchReading:
    """Everything is told but of which wall the 38 is."""
    reading = plans.reading_of(PLANS["toss-up"])
    told = {TOP: OpeningKind.WINDOW, LEFT: OpeningKind.DOOR, BOTTOM: OpeningKind.DOOR}
    features = tuple(replace(f, kind=told[f.wall], kinds=()) for f in reading.outline.features)
    numbers = tuple(
        replace(n, accepted=False, confidence=0.7, measures=ITS_OWN, may_measure=(ANOTHERS,))
        if n.text == "38"
        else n
        for n in reading.numbers
    )
    return replace(reading, numbers=numbers, outline=replace(reading.outline, features=features))


@pytest.fixture(scope="module")
def showroom(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Showroom]:
    home = tmp_path_factory.mktemp("measures")
    settings = Settings(
        data=home / "data", address=(OURS,), authserv_id=SERVER, letters_folder=str(home / "out")
    )
    reading = _unsure_of_38()
    with wiring.opened(settings) as real:
        always = replace(real.letterhead(), hours="00:00-24:00", days="Mon Tue Wed Thu Fri Sat Sun")
        eyes = Reader(real.eyes, {(reading.width, reading.height): reading})
        yield Showroom(replace(real, eyes=eyes, letterhead=lambda: always), settings, home)


def _the_38(showroom: Showroom, job: str) -> NumberView:
    return next(n for s in showroom.view(job).sketches for n in s.numbers if n.text == "38")


def _looks(showroom: Showroom, job: str) -> list[NeedView]:
    return [n for n in showroom.view(job).needs if n.need.kind is NeedKind.MEASURES]


ANSWERS = (
    "38",
    "38 cm",
    "yes",
    "it's the depth of the alcove",
    "a piece of the wall beside the door",
    "the gas meter box",
    "die Tiefe der Nische",
)


@pytest.mark.parametrize("words", ANSWERS)
def test_whatever_is_answered_waits_for_a_designer_with_its_keys(showroom: Showroom, words: str) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    (ask,) = showroom.asks(job)
    assert "What does the number 38" in ask.question
    assert not _looks(showroom, job), "before the letter is answered nothing waits for its answer"
    showroom.answer(job, f"1: {words}")
    (look,) = _looks(showroom, job)
    assert look.need.text == words and look.number
    assert look.number.meanings == (ITS_OWN, ANOTHERS)
    assert _the_38(showroom, job).standing is Trust.DOUBTFUL
    assert showroom.state(job) is JobState.TO_CHECK


def test_only_what_settles_it_does_away_with_the_look(showroom: Showroom) -> None:
    job = showroom.job("toss-up", ALL_ELSE + HEIGHTS)
    showroom.answer(job, "1: 38. What do you need that for?")
    for need in showroom.needs(job):
        decide.see(showroom.services, job, need.key, "", "ines")
    assert [n.kind for n in showroom.needs(job)] == [NeedKind.MEASURES]
    assert showroom.state(job) is JobState.TO_CHECK
    picture, number = showroom.view(job).file.survey.sketch, _the_38(showroom, job).index
    decide.correct(showroom.services, job, picture, number, "38", "ines", Role.SECTION, BOTTOM)
    assert showroom.needs(job) == []
    assert _the_38(showroom, job).standing is Trust.CONFIRMED
    assert showroom.state(job) is JobState.COMPLETE
