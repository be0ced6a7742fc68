"""Name, logo, signature, hours and wording are set at the desk by an owner; what is not set is the settings file's."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime, time
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from intake.mailbox.folder import FolderMailbox
from intake.store.accounts import Accounts
from intake.web.terms import SENTENCES
from intake.work import showroom, write
from intake.work.collect import collect
from intake.work.letter_view import letter_page
from intake.work.services import Services
from tests.web import world
from tests.web.conftest import Place


@pytest.fixture
def place(desks: world.Desks, monkeypatch: pytest.MonkeyPatch) -> Iterator[Place]:
    monkeypatch.setattr(showroom, "FRESH", 0.0)
    with desks.copy(world.PEOPLE[:2]) as opened:
        yield Place(*opened)


def picture(kind: str = "PNG", size: tuple[int, int] = (900, 300)) -> io.BytesIO:
    out = io.BytesIO()
    Image.new("RGB", size, (180, 60, 40)).save(out, kind)
    return io.BytesIO(out.getvalue())


def own_letter(services: Services, job: str) -> tuple[str, str, bytes]:
    key = write.write_own(services, job, "Hello.", [], "maya")
    with services.store.reading() as tables:
        kept = tables.letters.get(key)
    assert kept is not None
    return letter_page(services, job, key), kept.text, kept.raw


def test_what_is_not_set_is_the_settings_files(place: Place) -> None:
    head = place.services.letterhead()
    assert (head.name, head.phone, head.designer) == ("Alder & Row", "01632 960 111", "Maya Alder")
    assert showroom.rhythm(place.services) == place.services.policy.rhythm
    place.post(place.client(), "/showroom", name="Larch House")
    assert (place.services.letterhead().name, place.services.letterhead().designer) == (
        "Larch House",
        "Maya Alder",
    )


def test_an_owner_sets_it_and_letters_pages_and_hours_follow(place: Place) -> None:
    maya, job = place.client(), place.job("Tomas")
    form = {
        "name": "Larch & <b>House</b>",
        "designer": "Ida Berg",
        "signature": "1 Mill Lane\r\nMon to Fri <script>",
        "from": "10:00",
        "until": "16:00",
        "days": ["Mon", "Tue"],
        "say-closing": "Yours,",
        "logo": (picture(), "../../logo.png"),
    }
    assert place.post(maya, "/showroom", **form).status_code == 200
    page, text, raw = own_letter(place.services, job)
    assert "Larch &amp; &lt;b&gt;House&lt;/b&gt;" in page and "<script>" not in page
    assert text.endswith(
        "Yours,\nIda Berg\nLarch & <b>House</b>\n01632 960 111\n1 Mill Lane\nMon to Fri <script>\n"
    )
    mail = message_from_bytes(raw, policy=default)
    (logo,) = [p for p in mail.walk() if p["Content-ID"] == "<logo@letter>"]
    content = logo.get_payload(decode=True)
    assert isinstance(content, bytes) and Image.open(io.BytesIO(content)).size == (480, 160)
    assert "&lt;b&gt;House" in maya.get("/").text and maya.get("/showroom/logo.jpg").data == content
    hours = showroom.rhythm(place.services).hours
    assert (hours.start, hours.end, hours.days) == (time(10), time(16), frozenset({0, 1}))
    wednesday = datetime(2026, 3, 4, 9, tzinfo=UTC)
    assert hours.opens(wednesday) == datetime(2026, 3, 9, 10, tzinfo=UTC), "the Monday after, at ten"
    with place.services.store.reading() as tables:
        lines = [line for _, line in Accounts(tables.db).audit(50) if line.what == "showroom"]
    assert [line.by for line in lines] == ["maya"] and "logo" in lines[0].text


def test_hours_are_set_until_midnight_and_no_nonsense(place: Place) -> None:
    maya = place.client()
    assert place.post(maya, "/showroom", **{"from": "18:30", "until": "00:00"}).status_code == 200
    hours = showroom.rhythm(place.services).hours
    evening = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
    assert hours.opens(evening) == evening
    for wrong in ("08:00", "18+01"):
        assert "Those are no hours" in place.post(maya, "/showroom", **{"from": "9:00", "until": wrong}).text
    assert showroom.rhythm(place.services).hours == hours


def test_every_sentence_says_what_it_is_for_and_no_page_shows_a_key(place: Place) -> None:
    assert set(SENTENCES) == set(showroom.SENTENCES)
    page = place.client().get("/showroom").text
    for key, title in SENTENCES.items():
        assert title in page and f">{key.replace('-', ' ').capitalize()} <" not in page


def pictures_on(pdf: bytes) -> int:
    """Pictures on the first page, as PDFium sees them."""
    page = pypdfium2.PdfDocument(pdf)[0]
    return sum(o.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE for o in page.get_objects())


def test_the_logo_stands_on_what_is_printed(place: Place) -> None:
    maya, job = place.client(), place.job("Ines")
    paths = (
        "/for-customers/guide-kitchen.pdf",
        "/for-customers/measuring-sheet.pdf",
        f"/jobs/{job}/handover.pdf",
        f"/jobs/{job}/drawings.pdf",
    )
    before = [pictures_on(maya.get(path).data) for path in paths]
    place.post(maya, "/showroom", logo=(picture(), "a.png"))
    assert [pictures_on(maya.get(path).data) for path in paths] == [n + 1 for n in before]


def test_a_logo_that_comes_back_with_an_answer_is_ours(place: Place, tmp_path: Path) -> None:
    place.post(place.client(), "/showroom", logo=(picture(), "a.png"))
    logo = place.services.letterhead().logo
    who = world.Person("Tomas Reed", "tomas.reed@post.example", "bathroom", None, "Here you are.", 0, 1)
    mail = message_from_bytes(world.message(who, world.NOW, None), policy=default)
    mail.replace_header("Message-ID", "<back@post.example>")
    mail.add_attachment(logo, "image", "jpeg", filename="image001.jpg")
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "1.eml").write_bytes(bytes(mail))
    job = place.job("Tomas")
    assert collect(FolderMailbox(tmp_path / "more"), place.services).jobs == (job,)
    with place.services.store.reading() as tables:
        names = [kept.picture.name for kept in tables.pictures.of_job(job)]
    assert names.count("IMG_1.jpg") == 2 and "image001.jpg" not in names


def test_what_is_refused_changes_nothing(place: Place) -> None:
    maya = place.client()
    for form in (
        {"from": "18:00", "until": "08:00"},
        {"from": "soon", "until": "later"},
        {"name": "x" * 81},
        {"say-need-many": "We need things:"},
        {"say-need-many": "We need {count} {things}:"},
        {"say-closing": "Yours {0.__class__}"},
        {"say-closing": "Yours {"},
        {"logo": (io.BytesIO(b"<svg onload=alert(1)>"), "logo.svg")},
        {"logo": (io.BytesIO(bytes(showroom.LARGEST_LOGO + 1)), "logo.png")},
    ):
        answer = place.post(maya, "/showroom", **form)
        assert answer.status_code == 409, form
        assert place.services.letterhead().name == "Alder & Row"
    assert place.post(maya, "/showroom", **{"say-caution": "None."}).status_code == 200
    assert "caution" not in place.services.letterhead().sentences, "cautions are not set at the desk"


def test_a_designer_may_not(place: Place) -> None:
    jon = place.client("jon")
    assert jon.get("/showroom").status_code == 403
    assert place.post(jon, "/showroom", name="Mine").status_code == 403
    assert place.client().post("/showroom", data={"name": "Mine"}).status_code == 403, "without the token"
    assert place.services.letterhead().name == "Alder & Row"
