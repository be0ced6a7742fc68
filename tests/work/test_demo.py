"""The demo's e-mails through the whole job: five jobs, told apart as their senders would tell them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from email.parser import BytesHeaderParser
from email.utils import parsedate_to_datetime
from pathlib import Path

import pytest

from intake import wiring
from intake.demo import MAIL, _deliver, _showroom
from intake.model.job import JobState
from intake.settings import Settings
from intake.store.database import Tables
from intake.work.collect import collect


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tables]:
    settings = _showroom(Settings(data=tmp_path_factory.mktemp("demo")))
    with wiring.opened(settings) as services:
        done = collect(wiring.mailbox(settings, Path(MAIL)), services)
        assert (done.taken, len(done.jobs)) == (12, 5)
        assert [a.file for a in done.set_aside] == ["12-damaged.eml"]
        with services.store.reading() as tables:
            yield tables


def job_of(tables: Tables, sender: str) -> str:
    return next(job.id for job in tables.jobs.all() if sender in job.addresses)


def states(tables: Tables, sender: str) -> dict[str, str]:
    return {item: state.value for item, state in tables.jobs.item_states(job_of(tables, sender)).items()}


def test_two_customers_under_one_subject_are_two_jobs(tables: Tables) -> None:
    assert job_of(tables, "marta.quill@example.com") != job_of(tables, "ruben@castell.example")


def test_a_partner_joins_by_the_thread(tables: Tables) -> None:
    assert job_of(tables, "jo.b@example.org") == job_of(tables, "tom.brearley@example.net")


def test_the_first_kitchen_is_complete(tables: Tables) -> None:
    job = tables.jobs.get(job_of(tables, "ada.okonjo@example.com"))
    assert job is not None
    assert job.state is JobState.COMPLETE


def test_what_the_second_kitchen_lacks_is_asked_for(tables: Tables) -> None:
    found = states(tables, "jo.b@example.org")
    assert (found["ceiling-height"], found["consumer-unit"], found["gas-meter"]) == (
        "missing",
        "missing",
        "not-applicable",
    )
    asks = tables.letters.of_job(job_of(tables, "jo.b@example.org"))[-1].asks
    assert {"ceiling-height", "consumer-unit"} <= set(asks)


def test_shrunk_pictures_are_asked_for_again_at_their_own_size(tables: Tables) -> None:
    assert states(tables, "wei@lindqvist.example")["sketch"] == "doubtful"
    assert "actual size" in tables.letters.of_job(job_of(tables, "wei@lindqvist.example"))[-1].text.lower()


def test_a_length_in_millimetres_is_never_taken_silently(tables: Tables) -> None:
    assert states(tables, "marta.quill@example.com")["wall-sections"] == "doubtful"


def test_machines_are_not_answered(tables: Tables) -> None:
    # RFC 3834 2: neither the automatic reply nor the delivery report leads to a letter
    (report,) = tables.messages.in_state("apart")
    assert report.answering_rule == "bounce"
    answered = {k.in_reply_to for k in tables.letters.all()}
    assert "<10-brearley-away@mail.example.com>" not in answered
    assert len(answered) == 5


def test_the_last_of_the_demo_s_e_mails_came_yesterday(tmp_path: Path) -> None:
    now = datetime(2031, 5, 20, 8, 30, tzinfo=UTC)
    _deliver(tmp_path / "mail", now)
    _deliver(tmp_path / "mail", now + timedelta(days=9))  # once
    dates = {}
    for path in (tmp_path / "mail").glob("*.eml"):
        message = BytesHeaderParser().parsebytes(path.read_bytes())
        if message["Date"]:
            dates[path.name] = parsedate_to_datetime(message["Date"])
        kept = BytesHeaderParser().parsebytes((MAIL / path.name).read_bytes())
        assert [v for k, v in message.items() if k != "Date"] == [v for k, v in kept.items() if k != "Date"]
    assert len(dates) == 11 and max(dates.values()).date() == date(2031, 5, 19)
    assert dates["02-okonjo.eml"] - dates["01-okonjo.eml"] == timedelta(minutes=3)
