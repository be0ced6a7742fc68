"""What a designer settles with one look comes first on the desk, and a letter that goes by itself waits for it; what a
customer passed over is not asked again, and nothing is written for the sake of that alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from intake.mailbox.folder import FolderMailbox
from intake.model.checklist import ItemState
from intake.model.job import JobState
from intake.model.letter import LetterState
from intake.model.need import NeedKind
from intake.store.letters import KeptLetter
from intake.work import decide, write
from intake.work.collect import collect
from intake.work.desk import front
from intake.work.job_view import JobView, job_view
from intake.work.services import Services
from intake.work.sketch_view import Trust
from tests.web import plans, world
from tests.web.conftest import Place
from tests.web.test_write import Taken, send_due

PEOPLE = (world.PEOPLE[0], world.PEOPLE[4], replace(world.PEOPLE[3], plan=None, photographs=0))
LATER = world.Person(
    "Wren Castle", "wren.castle@post.example", "kitchen", None, "Can you tell me what this costs?", 1, 0
)


def automatic(services: Services) -> Services:
    return replace(services, policy=replace(services.policy, automatic=True))


@pytest.fixture
def place(desks: world.Desks) -> Iterator[Place]:
    with desks.copy(PEOPLE, automatic, came_then=True) as opened:
        yield Place(*opened)


def letter(view: JobView) -> KeptLetter:
    assert view.letter is not None
    return view.letter


def doubtful(view: JobView) -> list[int]:
    assert view.main is not None
    return [n.index for n in view.main.numbers if n.standing is Trust.DOUBTFUL]


def test_the_letter_waits_two_working_hours_and_the_desk_says_so(place: Place) -> None:
    view = job_view(place.services, place.job("Ines"))
    quiet = place.services.policy.rhythm.quiet
    assert letter(view).state is LetterState.DUE
    assert letter(view).due_at == world.NOW + quiet + timedelta(hours=2)
    assert view.row.state is JobState.TO_CHECK
    assert view.row.next == "Look at 3 doubtful numbers; the letter waits for that."
    other = job_view(place.services, place.job("Oscar"))
    assert letter(other).due_at == world.NOW + quiet, "nothing in it can be settled by a look"


def test_it_comes_after_the_customers_words_and_before_the_rest(place: Place, tmp_path: Path) -> None:
    mail = tmp_path / "later"
    mail.mkdir()
    (mail / "1.eml").write_bytes(world.message(LATER, world.NOW, None))
    collect(FolderMailbox(mail), place.services)
    rows = front(place.services).groups[0].rows
    kinds = [job_view(place.services, row.id).row.next.split()[0] for row in rows]
    assert kinds.index("Look") == sum(word in ("Answer", "Read") for word in kinds) > 0


def test_what_is_settled_is_not_asked_and_the_letter_waits_no_longer(place: Place) -> None:
    job = place.job("Ines")
    view = job_view(place.services, job)
    assert view.main is not None
    for n in doubtful(view):
        decide.confirm(place.services, job, view.main.picture.id, n, "maya")
    view = job_view(place.services, job)
    assert letter(view).due_at == world.NOW + place.services.policy.rhythm.quiet
    assert not any(a.number is not None and "picture" in a.question for a in letter(view).letter.asks)
    with place.services.store.reading() as tables:
        assert NeedKind.LOOK not in {n.kind for n in tables.jobs.needs(job)}


def test_who_cannot_tell_lets_it_go(place: Place) -> None:
    job, client = place.job("Ines"), place.client()
    waiting = letter(job_view(place.services, job))
    page = client.get(f"/jobs/{job}").get_data(as_text=True)
    assert "It goes by itself on Tue 3 Mar, 12:00." in page and "Let it go now" in page
    place.post(client, f"/jobs/{job}/letters/{waiting.id}/release")
    assert letter(job_view(place.services, job)).due_at == world.NOW


def test_what_was_passed_over_is_not_asked_again(place: Place, tmp_path: Path) -> None:
    """Two things are needed and one is only a help; the answer brings the first."""
    job = place.job("Oscar")
    view = job_view(place.services, job)
    for standing in view.standings:
        if standing.item.blocking and standing.item.id not in ("boiler", "water-main"):
            decide.set_item(place.services, job, standing.item.id, "confirmed", "", "maya")
    first = letter(job_view(place.services, job))
    assert [a.optional for a in first.letter.asks] == [False, False, True]
    write.release_letter(place.services, job, first.id, "maya")
    send_due(place.services, Taken())
    hour = replace(place.services, clock=lambda: world.NOW + timedelta(hours=1))
    mail = tmp_path / "answer"
    mail.mkdir()
    answer = replace(PEOPLE[1], words="2: in the hall cupboard.", hours_ago=-1)
    raw = world.message(answer, world.NOW, None).replace(b"<oscar.penhale", b"<later.oscar.penhale")
    (mail / "1.eml").write_bytes(raw)
    collect(FolderMailbox(mail), hour)
    second = letter(job_view(hour, job))
    passed_over = first.letter.asks[-1].item
    assert second.letter.items[0] == "boiler" and len(second.letter.items) == 3
    assert passed_over not in second.letter.items
    decide.set_item(hour, job, passed_over, "missing", "", "maya")
    assert passed_over in letter(job_view(hour, job)).letter.items


def test_a_height_told_once_is_asked_for_each_of_two_windows(place: Place, tmp_path: Path) -> None:
    """One height is told in a room with two windows, and not of which: the letter asks for it at each."""
    job = place.job("Ines")
    view = job_view(place.services, job)
    assert view.main is not None
    truth = dict(plans.KITCHEN.misread)
    for n in doubtful(view):
        said = next(true for true, read in truth.items() if read == view.main.numbers[n].read_as)
        decide.correct(place.services, job, view.main.picture.id, n, said, "maya")
    mail = tmp_path / "more"
    mail.mkdir()
    words = "The sill height is 104. The top of the window is 209. The recess depth is 12."
    more = world.message(replace(PEOPLE[0], words=words, plan=None, photographs=0), world.NOW, None)
    (mail / "1.eml").write_bytes(more.replace(b"<ines.marlow", b"<more.ines.marlow"))
    collect(FolderMailbox(mail), place.services)
    window = ("sill-height", "head-height", "reveal-depth")
    for standing in job_view(place.services, job).standings:
        if standing.item.blocking and standing.item.id not in window:
            decide.set_item(place.services, job, standing.item.id, "confirmed", "", "maya")
    view = job_view(place.services, job)
    assert view.room is not None and view.room.closes
    assert {s.item.id: s.state for s in view.standings if s.item.id in window} == dict.fromkeys(
        window, ItemState.PRESENT
    )
    asked = letter(view).letter.asks[0]
    assert (asked.item, asked.also) == ("sill-height", ("head-height", "reveal-depth"))
    assert "each of the 2 windows" in asked.how
    assert view.row.state is not JobState.COMPLETE
