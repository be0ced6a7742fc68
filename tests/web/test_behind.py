"""Nobody waits at the desk while a picture is read: it is done behind the desk's back, and no letter goes meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from intake.work import decide, job_file
from intake.work import examine as examining
from intake.work.collect import examine_safely
from intake.work.job_view import job_view
from intake.work.services import Services
from tests.web.conftest import Place


class Watched:
    """Eyes that count what they read."""

    def __init__(self, real: Any) -> None:
        self.real, self.read_ = real, list[int]()

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def read(self, jpeg: bytes) -> Any:
        self.read_.append(len(jpeg))
        return self.real.read(jpeg)


def watched(place: Place) -> tuple[Services, Watched]:
    eyes = Watched(place.services.eyes)
    return replace(place.services, eyes=eyes), eyes


def is_examined(services: Services, job: str) -> bool:
    with services.store.reading() as tables:
        return tables.jobs.is_examined(job)


def a_photograph(services: Services, job: str) -> str:
    view = job_view(services, job)
    return next(k.picture.id for k in view.pictures if k.picture.id not in view.file.survey.read)


def test_a_picture_said_to_be_a_plan_is_read_behind_the_desk(place: Place) -> None:
    services, eyes = watched(place)
    job, asked = place.job("Ada"), list[str]()
    picture = a_photograph(services, job)
    key = decide.set_subject(replace(services, later=asked.append), job, picture, "sketch", "maya")
    assert (eyes.read_, asked) == ([], [job])
    assert not is_examined(services, job), "no letter goes of what nobody has looked at"
    assert job_view(services, job).file.waiting == (picture,)
    examine_safely(services, job)  # as a worker does (tests/running/test_crew.py)
    assert len(eyes.read_) == 1
    assert is_examined(services, job) and job_view(services, job).file.waiting == ()
    decide.undo(services, job, key, "maya")


def test_what_was_looked_at_is_examined_at_once(place: Place) -> None:
    services, eyes = watched(place)
    job, asked = place.job("Tomas"), list[str]()
    key = decide.set_item(replace(services, later=asked.append), job, "overall", "confirmed", "", "maya")
    assert (eyes.read_, asked) == ([], []) and is_examined(services, job)
    decide.undo(services, job, key, "maya")


def test_a_job_is_opened_and_its_mail_read_once(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    opened, read = list[str](), list[int]()
    load, heard = examining.load, job_file.heard
    monkeypatch.setattr(examining, "load", lambda tables, job: (opened.append(job), load(tables, job))[1])

    def counted(messages: Sequence[Any], checklist: Any) -> Any:
        read.append(len(messages))
        return heard(messages, checklist)

    monkeypatch.setattr(job_file, "heard", counted)
    job = place.job("Wren")
    examining.examine(place.services, job)
    assert opened == [job] and read == [1]


def test_heights_typed_together_are_one_examination(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    job, runs = place.job("Ines"), list[str]()
    view = job_view(place.services, job)
    typed = {h.place: "101" for row in view.heights for h in row.heights}
    monkeypatch.setattr(decide, "examine", lambda services, job: runs.append(job))
    keys = decide.type_heights(place.services, job, view.file.survey.sketch, typed, "maya")
    assert len(keys) == len(typed) > 1 and runs == [job]
    monkeypatch.undo()
    for key in keys:
        decide.undo(place.services, job, key, "maya")
