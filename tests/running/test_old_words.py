"""What people said while an older version ran still stands, word for word, whatever the words became since."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from intake import wiring
from intake.checklists import load_checklists
from intake.model.word import Statement, Way, Word
from intake.settings import Settings
from intake.store import words
from intake.work import job_list, report
from intake.work.examine import examine
from intake.work.job_view import job_view
from intake.work.services import Services
from intake.work.upgrade import upgrade

HERE = Path(__file__).parent
TOLD: dict[str, Any] = json.loads((HERE / "old_words.json").read_text(encoding="utf-8"))
"""What the older version itself said of its database: each job's row, its checklist, its numbers, its decisions."""
TRAIL = {"by": "maya", "at": datetime(2026, 3, 3, tzinfo=UTC), "way": Way.DESK, "id": 7}


@pytest.fixture
def old(settings: Settings) -> Iterator[Services]:
    """A desk on the older version's database, upgraded."""
    settings.data.mkdir()
    with sqlite3.connect(settings.data / "intake.sqlite3") as database:
        database.executescript((HERE / "old_words.sql").read_text(encoding="utf-8"))
    url = f"sqlite:///{settings.data / 'intake.sqlite3'}"
    upgrade(url, settings.data, load_checklists(settings.checklists), datetime.now(UTC))
    with wiring.opened(settings) as services:
        yield services


def checklist(services: Services, job: str) -> dict[str, list[Any]]:
    found = report.job_whole(services, job)["checklist"]
    return {c["item"]: [c["state"], c["reason"], [e["text"] for e in c["evidence"]]] for c in found}


def test_every_word_and_what_follows_from_it_is_as_it_was(old: Services) -> None:
    rows = job_list.jobs(old.store)
    assert rows == TOLD["jobs"]
    for job in (row["job"] for row in rows):
        assert checklist(old, job) == TOLD["checklist"][job]
        assert [d.text for d in job_view(old, job).decisions] == TOLD["said"][job]


SETTLED = {
    "Ines Marlow": ("gas-meter", "ceiling-height", "sill-height", "boiler"),
    "Wren Castle": ("wall-sections", "overall", "openings", "sill-height"),
}
"""Items that designers settled; what the rules make of the rest may get better."""


def test_examined_anew_what_people_settled_stays(old: Services) -> None:
    jobs = {row["customer"]["name"]: row["job"] for row in TOLD["jobs"]}
    for name, items in SETTLED.items():
        examine(old, jobs[name])
        after = checklist(old, jobs[name])
        assert {i: after[i] for i in items} == {i: TOLD["checklist"][jobs[name]][i] for i in items}
        numbers = [n for s in job_view(old, jobs[name]).sketches for n in s.numbers if not n.added]
        assert len(numbers) == len(TOLD["readings"][jobs[name]])


def rows_of(path: Path) -> list[words.WordRow]:
    with sqlite3.connect(":memory:") as database:
        database.executescript(path.read_text(encoding="utf-8"))
        found = database.execute("SELECT kind, target, value FROM decisions ORDER BY id").fetchall()
    return [words.WordRow(kind, target, json.loads(value)) for kind, target, value in found]


def test_a_word_comes_back_from_its_row_as_it_was() -> None:
    """The older version wrote most kinds; a round trip through today's classes loses nothing."""
    who = {"name": "Ann", "email": "ann@y.example", "phone": "01632 960111"}
    rows = rows_of(HERE / "old_words.sql")
    rows += [
        words.WordRow("apart", "R-2", {"messages": ["a"]}),
        words.WordRow("vouch", "a", {"from": "x@y.example"}),
    ]
    rows += [words.WordRow("place", "a", {"from": "", "by_hand": 2}), words.WordRow("customer", "", who)]
    rows += [words.WordRow("assigned", "jon", {}), words.WordRow("archived", "", {"messages": ["a"]})]
    assert {r.kind for r in rows} == set(words.KINDS)
    for row in rows:
        word = words.from_row(row, TRAIL)
        assert (word.by, word.id, word.way) == ("maya", 7, Way.DESK)
        assert words.from_row(words.to_row(word), TRAIL) == word


def test_every_word_of_the_desk_can_be_kept() -> None:
    def below(kind: type[Word]) -> set[type[Word]]:
        return {s for sub in kind.__subclasses__() for s in (sub, *below(sub))}

    assert below(Word) - {Statement} == set(words.WRITTEN)


def test_a_key_that_an_old_row_lacks_is_as_it_was_before_there_was_one() -> None:
    row = words.WordRow("reading", "3fa#3", {"confirmed": True, "a key of a later version": 1})
    word = words.from_row(row, TRAIL)
    assert (word.picture, getattr(word, "role", 0), getattr(word, "wall", 0)) == ("3fa", None, None)
