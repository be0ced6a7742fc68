"""Jobs are assigned, archived and brought back, and designers are told by mail what needs them, once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from intake.mailbox.folder import FolderMailbox
from intake.model.job import JobState
from intake.store.accounts import Accounts
from intake.work import assign, decide
from intake.work.alarm import Tell
from intake.work.collect import collect
from intake.work.decide import NotPossible
from intake.work.desk import Wanted, front, listing
from intake.work.job_view import job_view
from intake.work.notices import NoNotices, set_notices, tell_designers
from intake.work.people import set_closed
from intake.work.remind import remind
from intake.work.services import Services
from tests.web import world
from tests.web.conftest import Place


@pytest.fixture
def place(desks: world.Desks) -> Iterator[Place]:
    with desks.copy(world.PEOPLE[:3]) as opened:
        yield Place(*opened)


def state(place: Place, job: str) -> JobState:
    return job_view(place.services, job).row.state


def test_a_job_is_assigned_filtered_by_and_given_back(place: Place) -> None:
    ines, maya = place.job("Ines"), place.client()
    place.post(maya, f"/jobs/{ines}/designer", designer="jon")
    assert job_view(place.services, ines).row.designer == "jon"
    found = listing(place.services, Wanted(designer="jon"))
    assert [r.id for r in found.rows] == [ines] and sum(found.counts.values()) == 1
    assert front(place.services, "jon").total == 1 and front(place.services, "").total == 2
    mine = place.client("jon").get("/?whose=jon").text
    assert "Ines Marlow" in mine and "Tomas Reed" not in mine
    assert "Ines Marlow" not in maya.get("/jobs?whose=-").text
    for nobody in ("nobody at all", "<script>"):
        with pytest.raises(NotPossible):
            assign.assign(place.services, ines, nobody, "maya")
    set_closed(place.services.store, "jon", True, "maya", place.services.clock())
    with pytest.raises(NotPossible):
        assign.assign(place.services, ines, "jon", "maya")
    assert "no longer here" in maya.get(f"/jobs/{ines}").text
    view = job_view(place.services, ines)
    assert view.last is not None
    decide.undo(place.services, ines, view.last.id, "maya")
    assert job_view(place.services, ines).row.designer == ""


def test_an_archived_job_is_silent_until_it_is_brought_back(place: Place) -> None:
    job, maya = place.job("Tomas"), place.client()
    before = state(place, job)
    page = place.post(maya, f"/jobs/{job}/archive").text
    assert state(place, job) is JobState.ARCHIVED and "Bring it back" in page
    assert job_view(place.services, job).letter is None and remind(place.services) == []
    assert "Tomas Reed" not in maya.get("/").text and "Tomas Reed" not in maya.get("/jobs").text
    assert "Tomas Reed" in maya.get("/jobs?need=archived").text
    assert "Tomas Reed" in maya.get("/jobs?find=tomas", follow_redirects=True).text
    decide.set_item(place.services, job, "ceiling-height", "confirmed", "", "maya")
    assert state(place, job) is JobState.ARCHIVED, "a correction does not bring it back"
    place.post(maya, f"/jobs/{job}/bring-back")
    assert state(place, job) is before and job_view(place.services, job).letter is not None
    assert place.post(maya, f"/jobs/{job}/bring-back").status_code == 404


def test_the_customers_mail_brings_an_archived_job_back(place: Place, tmp_path: Path) -> None:
    job = place.job("Tomas")
    assign.archive(place.services, job, "maya")
    later = write(place, tmp_path, world.PEOPLE[1], "One more picture.", timedelta(days=1))
    assert collect(FolderMailbox(tmp_path / "more"), later).jobs == (job,)
    assert job_view(later, job).row.state is JobState.TO_CHECK


def write(place: Place, folder: Path, who: world.Person, words: str, after: timedelta) -> Services:
    """Put a further message of somebody's into the folder "more"; returns the services of that time."""
    later = replace(place.services, clock=lambda: world.NOW + after)
    raw = world.message(replace(who, words=words, photographs=0, hours_ago=0), later.clock(), None)
    (folder / "more").mkdir(exist_ok=True)
    name = f"{after.total_seconds():.0f}"
    (folder / "more" / f"{name}.eml").write_bytes(
        raw.replace(b"Message-ID: <", f"Message-ID: <{name}.".encode())
    )
    return later


class Told:
    """Keeps what is told, and to whom."""

    def __init__(self, goes: bool = True) -> None:
        self.mails: list[tuple[str, str, str]] = []
        self.goes = goes

    def __call__(self, to: str) -> Tell:
        return lambda subject, text: self.mails.append((to, subject, text)) or self.goes


def account(services: Services, name: str) -> Callable[[], object]:
    with services.store.reading() as tables:
        found = Accounts(tables.db).named(name)
    assert found is not None
    return found  # type: ignore[return-value]


def test_a_designer_is_told_once_of_each_turn(place: Place, tmp_path: Path) -> None:
    services, jon = place.services, place.client("jon")
    ines = place.job("Ines")
    assign.assign(services, ines, "jon", "maya")
    place.post(jon, "/me", email="jon@alder.example", notices="assigned")
    told = Told()
    assert tell_designers(services, told) == 0, "what needed them before they asked is on the desk already"
    later = write(place, tmp_path, world.PEOPLE[0], "What colour are your doors?", timedelta(minutes=1))
    collect(FolderMailbox(tmp_path / "more"), later)
    assert tell_designers(later, told) == 0, "more may be coming: the quiet time is not over"
    later = replace(later, clock=lambda: world.NOW + timedelta(hours=1))
    assert tell_designers(later, told, "https://desk.alder.example/") == 1
    ((to, subject, text),) = told.mails
    assert to == "jon@alder.example" and subject == "A survey needs you"
    assert f"https://desk.alder.example/jobs/{ines}" in text
    assert "colour" not in text and "Ines" not in text and "marlow" not in text, "nothing of the customer's"
    much_later = replace(later, clock=lambda: world.NOW + timedelta(hours=4))
    assert tell_designers(much_later, told) == 0, "not repeated"
    night = write(place, tmp_path, world.PEOPLE[0], "And the floor?", timedelta(hours=13))
    collect(FolderMailbox(tmp_path / "more"), night)
    assert tell_designers(replace(night, clock=lambda: world.NOW + timedelta(hours=14)), told) == 0, (
        "at night"
    )
    morning = replace(night, clock=lambda: world.NOW + timedelta(hours=24))
    assert tell_designers(morning, told) == 1, "the customer wrote again"


def test_nobodys_jobs_several_in_one_mail_and_one_that_does_not_go(place: Place) -> None:
    from intake.store import schema as t

    services = place.services
    maya = account(services, "maya")
    set_notices(services, maya, "maya@alder.example", "and-nobodys")  # type: ignore[arg-type]
    with services.store.transaction() as tables:
        tables.db.execute(t.notices.delete())
    told = Told(goes=False)
    assert tell_designers(services, told) == 0
    ((_, subject, text),) = told.mails
    assert subject == "3 surveys need you"
    assert sum(line.startswith("R-") for line in text.splitlines()) == 3, "a reference may hold R- again"
    assert tell_designers(services, told) == 0 and len(told.mails) == 1, "a server that refuses is left alone"


def test_what_may_be_asked_for(place: Place) -> None:
    maya = account(place.services, "maya")
    for email, wanted in (
        ("", "assigned"),
        ("nonsense", "assigned"),
        ("a@b.example\nBcc: c@d.example", "assigned"),
    ):
        with pytest.raises(NoNotices):
            set_notices(place.services, maya, email, wanted)  # type: ignore[arg-type]
    with pytest.raises(NoNotices):
        set_notices(place.services, maya, "a@b.example", "everything")  # type: ignore[arg-type]
