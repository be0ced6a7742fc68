"""Labels out of the desk's decisions, and stored originals read anew: nothing is written."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PIL import Image

from intake.model.reading import SketchReading
from intake.model.word import NumberWord, PlanNumber, Way
from intake.work import decide
from intake.work.decide import add_number, confirm, correct, drop, replace_role
from intake.work.labels import NotAllowed, labels, slip_of, write_labels
from intake.work.measure import learning_sentences, measured
from intake.work.replay import ReadingChange, Replayed, as_line, as_row, changed, in_words, replay
from intake.work.services import Services
from tests.inspection.build import reading
from tests.web import world
from tests.web.conftest import Place


@pytest.fixture
def own(desks: world.Desks) -> Iterator[Place]:
    with desks.copy(world.PEOPLE[:2]) as opened:
        yield Place(*opened)


def allowed(services: Services) -> Services:
    """With `labels: yes` in the settings."""
    inspection = replace(services.policy.inspection, labels=True)
    return replace(services, policy=replace(services.policy, inspection=inspection))


def sketch_of(services: Services, job: str) -> str:
    with services.store.reading() as tables:
        return next(
            k.picture.id for k in tables.pictures.of_job(job) if tables.pictures.reading(k.picture.id)
        )


def _readings(services: Services) -> list[tuple[object, ...]]:
    with services.store.engine.connect() as connection:
        return [
            tuple(row)
            for row in connection.exec_driver_sql("SELECT count(*), max(read_at) FROM readings").all()
        ]


class Misreading:
    """The eyes of the world, but the first number is read as 999.5, surely."""

    def __init__(self, real: object) -> None:
        self.real = real

    def __getattr__(self, name: str) -> object:
        return getattr(self.real, name)

    def read(self, jpeg: bytes) -> SketchReading:
        read: SketchReading = self.real.read(jpeg)  # type: ignore[attr-defined]
        first = replace(read.numbers[0], text="999.5", value_mm=9995, accepted=True, confidence=0.99)
        return replace(read, numbers=(first, *read.numbers[1:]))


def test_the_same_readers_change_nothing_and_others_are_told_job_by_job(own: Place) -> None:
    services, job = own.services, own.job("Ines")
    before = _readings(services)
    assert all(not each.changes for each in replay(services))
    confirm(services, job, sketch_of(services, job), 0, "maya")
    found = {each.job: each for each in replay(replace(services, eyes=Misreading(services.eyes)))}
    assert len(found) == 2
    (change,) = found[job].changes
    assert (change.after, change.grave) == ("999.5", True)
    assert change.settled == change.before
    assert "999.5" in as_line(found[job])
    assert as_row(found[job])["changes"][0]["grave"]  # type: ignore[index]
    assert _readings(services) == before


def test_what_people_settled_says_whether_others_read_better(own: Place) -> None:
    services, job = own.services, own.job("Ines")
    correct(services, job, sketch_of(services, job), 0, "999,5", "maya")
    found = list(replay(replace(services, eyes=Misreading(services.eyes))))
    (change,) = next(each for each in found if each.job == job).changes
    # As a person said, however each writes it.
    assert (change.mended, change.grave) == (1, False)
    assert "2 jobs with a sketch, 2 would change" in in_words(found)
    assert "1 would be read as they said that were not, 0 no more" in in_words(found)


def test_another_way_to_write_a_length_is_no_grave_change_and_another_length_is() -> None:
    def change(before: str, after: str, settled: str = "") -> ReadingChange:
        return ReadingChange("p", before, after, True, True, settled)

    assert not change("386.5", "386,5").grave
    assert change("386.5", "380.5").grave
    assert change("386.5", "386,5", "388").grave
    assert change("388", "386.5", "388").mended == -1


def test_one_job_alone_may_be_replayed(own: Place) -> None:
    assert [each.job for each in replay(own.services, [own.job("Tomas")])] == [own.job("Tomas")]


def test_of_a_job_that_is_named_every_change_is_told_and_else_the_grave_ones() -> None:
    changes = (
        ReadingChange("p", "386.5", "380.5", True, True),
        ReadingChange("p", "24", "241", False, False, "241"),
        ReadingChange("p", "", "97", False, True),
    )
    found = Replayed("R-1", changes, 1, 2, False, False, 0)
    grave = "  386.5 accepted -> 380.5 accepted"
    assert as_line(found).splitlines()[1:] == [grave]
    assert as_line(found, every=True).splitlines()[1:] == [
        grave,
        "  24 -> 241 (settled: 241)",
        "  - -> 97 accepted",
    ]


def test_numbers_are_matched_by_their_place() -> None:
    was = reading(("100", 0.95, True))
    moved = replace(was.numbers[0], box=tuple((x + 500, y) for x, y in was.numbers[0].box))  # type: ignore[arg-type]
    now = replace(was, numbers=(moved,))
    assert [(c.before, c.after) for c in changed("a", was, now)] == [("100", ""), ("", "100")]
    assert changed("a", was, was) == []


def test_what_a_customer_meant_beside_what_stands_there_is_a_slip_by_its_kind() -> None:
    number = reading(("368", 0.95, True)).numbers[0]
    meant = NumberWord(number=PlanNumber("p", 0), text="386", value_mm=3860, way=Way.MAIL, at=world.NOW)
    confirmed = NumberWord(number=PlanNumber("p", 0), confirmed=True, at=world.NOW - timedelta(days=1))
    assert slip_of(number, [], "cm") == ""
    assert slip_of(number, [meant], "cm") == "swapped-digits"
    unsure = replace(number, accepted=False)
    assert slip_of(unsure, [meant], "cm") is None  # a misreading, it may be
    assert slip_of(unsure, [confirmed, meant], "cm") == "swapped-digits"
    # What a designer types after the answer may be the answer.
    assert slip_of(number, [meant, replace(confirmed, at=world.NOW + timedelta(days=1))], "cm") is None


def test_labels_are_crops_and_what_they_say_and_nothing_else(own: Place, tmp_path: Path) -> None:
    services, job = own.services, own.job("Ines")
    picture = sketch_of(services, job)
    confirm(services, job, picture, 1, "maya")
    correct(services, job, picture, 2, "123.5", "maya")
    drop(services, job, picture, 3, "maya")
    with pytest.raises(NotAllowed):
        write_labels(services, tmp_path / "no")
    assert not (tmp_path / "no").exists()
    assert write_labels(allowed(services), tmp_path / "out") == 3
    with (tmp_path / "out" / "labels.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert {"123.5", ""} < {row["text"] for row in rows}
    for row in rows:
        crop = Image.open(io.BytesIO((tmp_path / "out" / row["file"]).read_bytes()))
        assert crop.height == 120
    whole = (tmp_path / "out" / "labels.csv").read_text()
    assert job not in whole and picture not in whole and "ines" not in whole.lower()
    assert {p.name for p in (tmp_path / "out").iterdir()} == {"labels.csv", *(row["file"] for row in rows)}


def test_how_many_numbers_there_are_to_teach_with_is_said_and_how_many_are_missing(own: Place) -> None:
    services, job = own.services, own.job("Ines")
    assert "the setting labels is no" in learning_sentences(measured(services))[1]
    services, picture = allowed(services), sketch_of(services, job)
    assert "0 are there, 150 are missing" in learning_sentences(measured(services))[1]
    confirm(services, job, picture, 1, "maya")
    word = correct(services, job, picture, 2, "123.5", "maya")
    drop(services, job, picture, 3, "maya")
    replace_role(services, job, picture, 4, "fixture", None, "maya")  # says nothing of the ink
    add_number(services, job, picture, "50", (100.0, 100.0), "", None, "maya")  # has no ink to show
    there = [label for label in labels(services) if label.text]
    assert measured(services).labels == len(there) == 2
    assert "2 are there, 148 are missing" in learning_sentences(measured(services))[1]
    decide.undo(services, job, word, "maya")
    assert measured(services).labels == 1
    enough = replace(measured(services), labels=150, version="v-1+a-1")
    assert learning_sentences(enough)[0] == "The readers read with what they learned here (a-1)."
    assert "missing" not in learning_sentences(enough)[1]
