"""A job that a fault of ours keeps from being examined is seen on the desk until it is examined, never complete."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from intake.mailbox.folder import FolderMailbox
from intake.model.job import JobState
from intake.work.collect import collect
from intake.work.handover import doubts
from intake.work.job_view import job_view
from tests.web.conftest import Place
from tests.web.world import NOW

SENTENCE = "A fault of the program has kept this job from being examined"


def a_pass(place: Place, folder: Path) -> None:
    folder.mkdir(exist_ok=True)
    collect(FolderMailbox(folder), place.services)


def state_of(place: Place, job: str) -> JobState:
    with place.services.store.reading() as tables:
        found = tables.jobs.get(job)
    assert found is not None
    return found.state


def test_it_says_so_until_the_fault_is_gone(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    job, client = place.job("Wren"), place.client()
    a_pass(place, tmp_path / "mail")
    before = state_of(place, job)
    assert SENTENCE not in client.get(f"/jobs/{job}").text
    with place.services.store.transaction() as tables:
        tables.jobs.change(job, state=JobState.COMPLETE)
        tables.jobs.touch(job)
    with monkeypatch.context() as faulty:
        faulty.setattr("intake.domain.survey.fold.assess", lambda *_: 1 / 0)
        a_pass(place, tmp_path / "mail")
    with place.services.store.transaction() as tables:
        tables.jobs.note_failed(job, NOW + timedelta(hours=1))
    assert "ZeroDivisionError" in caplog.text
    view = job_view(place.services, job)
    assert view.row.failed_at == NOW  # not since the latest attempt
    assert view.file.job.state is JobState.TO_CHECK
    page, rows = (" ".join(client.get(path).text.split()) for path in (f"/jobs/{job}", "/"))
    assert f"{SENTENCE} since Tue 3 Mar" in page and "tell whoever runs the program" in page
    assert "Not examined since Tue 3 Mar" in rows and "the job could not be examined" in rows
    assert SENTENCE in doubts(view)[0]
    assert job not in client.get("/jobs?need=complete").text

    a_pass(place, tmp_path / "mail")
    assert job_view(place.services, job).row.failed_at is None
    assert state_of(place, job) is before
    assert SENTENCE not in client.get(f"/jobs/{job}").text and "Not examined" not in client.get("/").text


def test_a_job_that_was_stopped_stays_stopped(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its letters must not start again because of a fault."""
    job = place.job("Tomas")
    with place.services.store.transaction() as tables:
        before = tables.jobs.get(job)
        tables.jobs.change(job, state=JobState.STOPPED)
        tables.jobs.touch(job)
    with monkeypatch.context() as faulty:
        faulty.setattr("intake.domain.survey.fold.assess", lambda *_: 1 / 0)
        a_pass(place, tmp_path / "mail")
    assert state_of(place, job) is JobState.STOPPED
    assert job_view(place.services, job).row.failed_at is not None
    a_pass(place, tmp_path / "mail")
    assert before is not None and state_of(place, job) is before.state
