"""Nothing that a customer reads is worded in the rules or the templates: a letter in a language of capitals holds no
small word but the customer's own.

A made-up language in which every sentence bears a mark is common practice where programs are translated.
"""

from __future__ import annotations

import re

import pytest

from intake.domain.room.slip_words import slip_of
from intake.domain.survey.asking import letter_for, what_to_ask
from intake.domain.survey.standings import assess
from intake.domain.words.whole_message import statements
from intake.model.checklist import CAUTIONS
from intake.model.examination import NextMeasure, RoomExamination
from intake.model.letter import Ask, LetterKind
from intake.model.phrase import NOTHING
from intake.model.picture import Picture, Subject
from intake.model.reading import Role, SketchReading
from intake.model.room import RoomSurvey
from intake.model.wording import Wording
from tests.checklist.build import answered, job, number, picture, room_pictures, whole_room
from tests.checklist.test_asking import AGAIN, ENGLISH, KITCHEN, WITHOUT_SILL
from tests.letters.test_letters import LETTERS, SHOWROOM, Page
from tests.room.test_phrases import OF_A_READING, OF_A_WALL, WINDOW, W, room_of, suspect

ROOM = room_of(W, WINDOW, W)


def capitals(sentence: str) -> str:
    return "".join(
        part if part.startswith("{") else part.upper() for part in re.split(r"(\{[^{}]*\})", sentence)
    )


CAPITALS = Wording(
    "en",
    {key: capitals(text) for key, text in ENGLISH.sentences.items()},
    {key: capitals(text) for key, text in ENGLISH.cautions.items()},
    {(i.id, f): str(getattr(i, f)).upper() for i in KITCHEN.items for f in ("title", "ask", "how", "why")},
)


def small(text: str) -> list[str]:
    """Words in small letters; cm, mm, the showroom's name and what the customer wrote are none of ours."""
    ours = text.replace(SHOWROOM.name, "").replace(SHOWROOM.designer, "").replace("Anna", "")
    return [w for w in re.findall(r"[A-Za-z]*[a-z]{2}[A-Za-z]*", ours) if w not in ("cm", "mm")]


UNSURE = number("148.5", 1485, Role.SECTION, False, (("143.5", 0.2),))
SITUATIONS: dict[str, tuple[SketchReading | None, str, list[Picture]]] = {
    "nothing came": (None, "", []),
    "a plan without its sills": (WITHOUT_SILL, "", [picture("plan", Subject.SKETCH)]),
    "numbers in doubt": (whole_room(UNSURE), "", [picture("plan", Subject.SKETCH), *room_pictures(1)]),
    "an unusual length": (whole_room(number("9", 90, Role.CEILING)), "", [picture("plan", Subject.SKETCH)]),
    "a guess by mail": (None, "CEILING HEIGHT ABOUT 240. SILL MAYBE 104?", []),
}


def asked(situation: str, examination: RoomExamination | None = None) -> tuple[Ask, ...]:
    plan, said, pictures = SITUATIONS[situation]
    readings = {"plan": plan} if plan else {}
    standings = assess(KITCHEN, readings, pictures, statements(said, KITCHEN), (), ())
    return what_to_ask(standings, readings, pictures, CAPITALS, examination)


def all_of(ask: Ask) -> str:
    return " ".join((ask.question, ask.how, ask.why, ask.caution))


@pytest.mark.parametrize("kind", [LetterKind.FOLLOW_UP, LetterKind.REMINDER, LetterKind.COMPLETE])
@pytest.mark.parametrize("situation", SITUATIONS)
def test_a_letter_says_nothing_of_its_own(situation: str, kind: LetterKind) -> None:
    asks = asked(situation)
    assert asks and CAUTIONS
    letter = letter_for(job(), asks, SITUATIONS[situation][2], answered(), CAPITALS, kind)
    rendered = LETTERS.render(letter, SHOWROOM, CAPITALS)
    page = Page(re.sub(r"<style.*?</style>", "", rendered.html, flags=re.S))
    for text in (*map(all_of, asks), letter.thanks, rendered.text, page.text):
        assert small(text.replace(letter.subject, "")) == []
    assert [small(i.get("alt") or "") for i in page.all("img")] == [[] for _ in page.all("img")]


@pytest.mark.parametrize("kind", [*OF_A_READING, *OF_A_WALL])
def test_what_is_asked_of_a_slip_says_nothing_of_its_own(kind: str) -> None:
    slip = slip_of(ROOM, suspect(kind, "" if kind in OF_A_WALL else "A1"))
    assert small(CAPITALS.worded(slip.question)) == []
    asks = asked("a plan without its sills", RoomExamination(RoomSurvey(), False, slips=(slip,)))
    assert [small(all_of(a)) for a in asks] == [[] for _ in asks]


def test_what_is_to_be_measured_next_says_nothing_of_its_own() -> None:
    ask_next = NextMeasure(NOTHING, AGAIN, NOTHING, 0.5)
    found = RoomExamination(RoomSurvey(), False, none_probability=1.0, next_measures=(ask_next,))
    asks = asked("a plan without its sills", found)
    assert [small(all_of(a)) for a in asks] == [[] for _ in asks]


def test_a_sentence_of_the_rules_would_be_found() -> None:
    assert small("PLEASE MEASURE the SILL: 104 cm") == ["the"]
