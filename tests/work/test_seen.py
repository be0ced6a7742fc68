"""Nothing that a customer writes ends in silence: from the reply to what scripts and the desk see."""

from __future__ import annotations

from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest

from intake import wiring
from intake.model.checklist import ItemState
from intake.settings import Settings
from intake.work.collect import collect
from intake.work.decide import take
from intake.work.job_list import jobs
from intake.work.job_view import job_view
from intake.work.remind import remind
from intake.work.send import send_due
from intake.work.services import Services
from intake.work.write import release_letter
from tests.work.mail import folder, message

TOM = "Tom Hale <tom@hale.example>"


def after_our_letter(services: Services, settings: Settings, path: Path, reply: str) -> dict[str, object]:
    """The row of a job in which our letter went out and the customer wrote `reply`."""
    box = folder(path / "first", message(TOM, "Our kitchen", "Hello", 0, "<1@hale.example>"))
    (job,) = collect(wiring.mailbox(Settings(), box), services).jobs
    with services.store.reading() as tables:
        (draft,) = tables.letters.of_job(job)
    release_letter(services, job, draft.id, "maya")
    send_due(services, wiring.postbox(settings))
    (file,) = (path / "out").glob("*.eml")
    letter = message_from_bytes(file.read_bytes(), policy=default)
    sent = letter.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    raw = message(
        TOM, f"Re: {letter['Subject']}", reply.replace("LETTER", sent), 3, "<2@hale.example>",
        In_Reply_To=letter["Message-ID"],
    )  # fmt: skip
    collect(wiring.mailbox(Settings(), folder(path / "second", raw)), services)
    (row,) = jobs(services.store)
    return row


@pytest.mark.parametrize(
    ("reply", "kinds"),
    [
        ("The grobnitz is definitely a wall of sorts, flubbed at 77", ["unread"]),
        ("Please ring me on 01632 960222", ["phone"]),
        ("Do we have to empty the cupboards first?", ["question"]),
        ("Your drawing is the wrong way round", ["dispute"]),
        ("The ceiling is about 240", ["unsettled"]),
        ("LETTER", []),
        ("Thank you, we will measure at the weekend.\n\nLETTER", []),
    ],
)
def test_what_needs_a_person_is_seen_and_gets_no_reminder(
    services: Services, settings: Settings, tmp_path: Path, reply: str, kinds: list[str]
) -> None:
    row = after_our_letter(services, settings, tmp_path, reply)
    needs = row["needs_person"]
    assert isinstance(needs, list)
    assert [n["kind"] for n in needs] == kinds
    if kinds:
        assert row["state"] == "to-check"
        assert remind(services) == []


def test_one_length_with_two_meanings_is_one_need(
    services: Services, settings: Settings, tmp_path: Path
) -> None:
    """ "6 in" is six inches or six centimetres inwards: both are offered, and taking one settles it."""
    row = after_our_letter(services, settings, tmp_path, "The window recess is 6 in")
    job = str(row["job"])
    (shown,) = job_view(services, job).needs
    assert [t.value_mm for t in shown.takes] == [60, 152]
    first = shown.takes[1]
    take(services, job, shown.need.key, first.item, first.kind, first.value_mm, "maya")
    assert job_view(services, job).needs == ()


def test_each_guess_is_taken_with_one_key(services: Services, settings: Settings, tmp_path: Path) -> None:
    """Two guesses of one sentence: each is offered with its length, and taking one leaves the other open."""
    row = after_our_letter(services, settings, tmp_path, "The ceiling is about 240 and the sill is about 103")
    job = str(row["job"])
    needs = job_view(services, job).needs
    assert [[t.label for t in n.takes] for n in needs] == [
        ["Ceiling height: 240 cm"],
        ["Sill height: 103 cm"],
    ]
    assert len({n.need.key for n in needs}) == 2
    take(services, job, needs[0].need.key, "ceiling-height", "value", 2400, "maya")
    states = {s.item.id: s.state for s in job_view(services, job).standings}
    assert states["ceiling-height"] is ItemState.PRESENT and states["sill-height"] is ItemState.DOUBTFUL
    left = job_view(services, job).needs
    assert [[t.label for t in n.takes] for n in left] == [["Sill height: 103 cm"]]


def test_words_that_nobody_vouches_for_wait_for_a_person(services: Services, tmp_path: Path) -> None:
    raw = message(TOM, "Our kitchen", "The ceiling is 236", 0, "<1@hale.example>", passed=False)
    collect(wiring.mailbox(Settings(), folder(tmp_path / "first", raw)), services)
    (row,) = jobs(services.store)
    assert [n["kind"] for n in row["needs_person"]] == ["unread"]
    assert row["items"]["ceiling-height"] == "missing"
