"""Jobs opened by hand and pictures that came another way: they go through the cells, the rules and the undo of mail."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from intake.mailbox.folder import FolderMailbox
from intake.model.letter import LetterState
from intake.store.accounts import Accounts
from intake.web import guard
from intake.work import by_hand
from intake.work.collect import collect
from intake.work.erase import what_would_go
from intake.work.job_view import JobView, job_view
from tests.web import plans, world
from tests.web.conftest import Place


@pytest.fixture(scope="module")
def place(desks: world.Desks) -> Iterator[Place]:
    """A desk of its own: these tests open jobs, which the others count."""
    with desks.copy(world.PEOPLE[:2]) as opened:
        yield Place(*opened)


@pytest.fixture
def maya(place: Place) -> FlaskClient:
    return place.client()


def opened(place: Place, client: FlaskClient, **form: object) -> JobView:
    answer = place.post(client, "/new-job", **form)
    assert answer.status_code == 200, answer.text
    return job_view(place.services, answer.request.path.rpartition("/")[2])


def plan() -> tuple[io.BytesIO, str]:
    return io.BytesIO(plans.picture_of(plans.BATHROOM)), "plan.jpg"


def test_a_walk_in_with_plan_and_words_becomes_a_job_like_any_other(place: Place, maya: FlaskClient) -> None:
    words = "The ceiling height is 2.41m. No gas in the house."
    view = opened(
        place, maya, name="Petra Lund", email="petra@lund.example", phone="01632 960 222", room="bathroom",
        words=words, files=[plan(), (io.BytesIO(world.photograph(7)), "IMG_1.jpg")],
    )  # fmt: skip
    assert view.row.who == "Petra Lund" and view.file.job.room == "bathroom"
    assert view.file.phone == "01632 960 222"
    assert view.main is not None and view.main.numbers, "the plan was read"
    states = {s.item.id: s.state.value for s in view.standings}
    assert states["ceiling-height"] == "present", "what was written down counts as the customer's words"
    letter = view.letter
    assert letter is not None and letter.state is LetterState.DRAFT and letter.to == ("petra@lund.example",)
    assert letter.subject == f"Your bathroom [{view.file.job.id}]", "it opens a thread, and so is no Re:"
    assert letter.in_reply_to == "" and "petra" not in letter.text.partition("\n")[2].lower()
    assert "e-mail" not in letter.letter.thanks


def test_a_letter_never_goes_by_itself_to_an_address_that_was_typed(tmp_path: Path) -> None:
    from dataclasses import replace

    def automatic(services: by_hand.Services) -> by_hand.Services:
        return replace(services, policy=replace(services.policy, automatic=True))

    with world.desk(tmp_path, world.PEOPLE[:1], services_change=automatic) as (_, services):
        first = job_view(services, world.jobs(services)[0]).letter
        assert first is not None and first.state is LetterState.DUE, "mail is answered by itself here"
        who = by_hand.Customer("Petra Lund", "petra@lund.example")
        letter = job_view(services, by_hand.open_job(services, who, "kitchen", "", [], "maya")).letter
    assert letter is not None and letter.state is LetterState.DRAFT


def test_without_an_address_it_says_what_to_ask_by_telephone(place: Place, maya: FlaskClient) -> None:
    view = opened(place, maya, name="", phone="01632 960 333", room="kitchen")
    assert view.letter is None and len(view.to_ask) >= 3
    page = maya.get(f"/jobs/{view.file.job.id}").text
    assert "To ask by telephone" in page and "tel:01632960333" in page
    assert "Ask by telephone" in view.row.next
    place.post(maya, f"/jobs/{view.file.job.id}/customer", name="Ruth Ek", email="ruth@ek.example", phone="")
    after = job_view(place.services, view.file.job.id)
    assert after.letter is not None and after.letter.to == ("ruth@ek.example",) and after.row.who == "Ruth Ek"
    assert what_would_go(place.services, "ruth@ek.example").jobs == (after.file.job.id,)


def test_mail_from_the_address_joins_the_job_and_is_answered_in_its_thread(
    place: Place, maya: FlaskClient, tmp_path: Path
) -> None:
    view = opened(place, maya, name="Nils Aho", email="nils@aho.example", room="kitchen")
    nils = world.Person("Nils Aho", "nils@aho.example", "kitchen", None, "As promised, more soon.", 0, 1)
    (tmp_path / "1.eml").write_bytes(world.message(nils, place.services.clock(), None))
    assert collect(FolderMailbox(tmp_path), place.services).jobs == (view.file.job.id,)
    letter = job_view(place.services, view.file.job.id).letter
    assert letter is not None and letter.in_reply_to == "<nils.aho.example@post.example>"
    again = opened(place, maya, name="Nils Aho", email="nils@aho.example", room="kitchen")
    assert view.file.job.id in again.offers, "a second job of one address is offered for merging"


def test_pictures_are_added_in_the_cell_and_can_be_taken_back(place: Place, maya: FlaskClient) -> None:
    job = place.job("Tomas")
    before = job_view(place.services, job)
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("room.jpg", bytes(64 << 20))
    hostile = [
        (io.BytesIO(b"<script>alert(1)</script>"), "<img src=x onerror=alert(1)>.jpg"),
        (io.BytesIO(world.photograph(3)[:4000]), "broken\r\nBcc: x@y.example.jpg"),
        (io.BytesIO(bomb.getvalue()), "bomb.zip"),
        (io.BytesIO(b""), "../../etc/passwd"),
        (io.BytesIO(world.photograph(11)), "IMG_9.jpg"),
    ]
    answer = place.post(maya, f"/jobs/{job}/pictures", files=hostile)
    assert answer.status_code == 200 and "<img src=x" not in answer.text
    after = job_view(place.services, job)
    assert after.letter is not None and before.letter is not None
    assert after.letter.to == before.letter.to and after.letter.in_reply_to == before.letter.in_reply_to, (
        "the customer's own mail is what the letter answers"
    )
    shown = {k.picture.name for k in after.pictures if k.display_file}
    assert "IMG_9.jpg" in shown and len(after.pictures) > len(before.pictures)
    assert all(k.picture.facts.problem for k in after.pictures if k.picture.name.startswith("broken"))
    place.post(maya, f"/jobs/{job}/undo", decision=after.last.id if after.last else -1)
    assert len(job_view(place.services, job).pictures) == len(before.pictures)


def test_what_is_refused(place: Place, maya: FlaskClient) -> None:
    for form in (
        {"name": "", "email": "", "phone": "", "room": "kitchen"},
        {"name": "A", "email": "no address", "room": "kitchen"},
        {"name": "A", "email": "a@b.example\r\nBcc: x@y.example", "room": "kitchen"},
        {"name": "A", "email": world.SHOWROOM, "room": "kitchen"},
        {"name": "A", "room": "castle"},
        {"name": "A", "room": "kitchen", "files": [(io.BytesIO(b"x"), "a.jpg") for _ in range(21)]},
    ):
        before = len(world.jobs(place.services))
        answer = place.post(maya, "/new-job", **form)
        assert answer.status_code == 409 and len(world.jobs(place.services)) == before, form
    assert place.post(maya, "/jobs/R-NO-JOB/pictures", words="x").status_code == 404
    assert place.post(maya, f"/jobs/{place.job('Ines')}/pictures").status_code == 409


def test_only_the_signed_in_upload_and_only_with_the_token(place: Place, maya: FlaskClient) -> None:
    stranger = place.app.test_client()
    large = {"files": (io.BytesIO(bytes(3 << 20)), "a.jpg"), "name": "A", "token": "t"}
    answer = stranger.post("/new-job", data=large)
    assert answer.status_code == 302 and "/sign-in" in answer.location, "nothing of it is read"
    assert maya.post("/new-job", data={"name": "A", "room": "kitchen"}).status_code == 403
    too_large = {"token": "x", "files": (io.BytesIO(bytes(by_hand.LARGEST_IN_ALL + (2 << 20))), "a.jpg")}
    assert maya.post("/new-job", data=too_large).status_code == 413
    assert set(place.app.view_functions) >= guard.UPLOADS


def test_the_audit_names_who_did_it(place: Place, maya: FlaskClient) -> None:
    view = opened(place, place.client("jon"), name="Audit Person", room="kitchen")
    with place.services.store.reading() as tables:
        lines = [line for _, line in Accounts(tables.db).audit(20) if line.about == view.file.job.id]
    assert [(line.by, line.what) for line in lines] == [("jon", "open")]
