"""The handover pack: read back by other libraries, and never surer than the survey is."""

from __future__ import annotations

import io
import json
import zipfile

import pypdfium2 as pdfium
import pytest

from intake.work import decide, write
from intake.work.handover import doubts
from intake.work.job_view import job_view
from tests.web.conftest import Place

ezdxf = pytest.importorskip("ezdxf")


@pytest.fixture(scope="module")
def pack(place: Place) -> zipfile.ZipFile:
    answer = place.post(place.client("jon"), f"/jobs/{place.job('Ines')}/handover.zip")
    assert answer.mimetype == "application/zip"
    return zipfile.ZipFile(io.BytesIO(answer.data))


def _only(pack: zipfile.ZipFile, ending: str) -> bytes:
    (name,) = [n for n in pack.namelist() if n.endswith(ending)]
    return pack.read(name)


def test_the_list_says_that_a_job_was_handed_over(place: Place) -> None:
    services, job = place.services, place.job("Ada")
    standings = job_view(services, job).standings
    keys = [
        decide.set_item(services, job, s.item.id, "confirmed", "", "maya")
        for s in standings
        if s.item.blocking
    ]
    write.release_letter(services, job, job_view(services, job).letter.id, "maya")  # type: ignore[union-attr]
    assert job_view(services, job).row.next == "Hand it over for design."
    place.post(place.client("jon"), f"/jobs/{job}/handover.zip")
    after = job_view(services, job)
    assert after.row.next == "Handed over."
    assert [(e.text, e.by) for e in after.events if e.kind == "handover"] == [
        ("The handover pack was taken.", "jon")
    ]
    for key in keys:
        decide.undo(services, job, key, "maya")


def test_what_stands_on_no_drawing_is_said(place: Place) -> None:
    """A boiler in the loft, told by mail, and a door of which nobody told how it swings."""
    said = doubts(place.view(place.job("Wren")))
    assert any(line.startswith("Boiler: it stands on no drawing.") for line in said)
    assert any(line.startswith("Door 1 on wall") and "how it swings is not told" in line for line in said)


def test_the_pdf_says_first_what_is_in_doubt(place: Place, pack: zipfile.ZipFile) -> None:
    document = pdfium.PdfDocument(_only(pack, ".pdf"))
    pages = [page.get_textpage().get_text_range() for page in document]
    assert "Ines Marlow" in pages[0] and "Not for ordering" in pages[0]
    first = " ".join(pages[0].split())
    assert "Sill height: missing" in first and "Does not close" in first
    assert "Every section of wall: doubtful. “34.5” on the plan is not certain." in first
    assert "Gas Safe" in first and "asbestos" in first
    assert any("Elevation" in page for page in pages) and any("Checklist" in page for page in pages)
    assert any("measured" in page and "adjusted" in page for page in pages)


def test_the_pdf_shows_every_picture_once(place: Place, pack: zipfile.ZipFile) -> None:
    document = pdfium.PdfDocument(_only(pack, ".pdf"))
    images = sum(o.type == pdfium.raw.FPDF_PAGEOBJ_IMAGE for page in document for o in page.get_objects())
    assert images == 3


def test_the_dxf_is_sound(pack: zipfile.ZipFile) -> None:
    drawing = ezdxf.read(io.StringIO(_only(pack, ".dxf").decode()))
    assert not drawing.audit().errors and len(drawing.modelspace()) > 20


def test_the_json_holds_the_room_and_the_job(place: Place, pack: zipfile.ZipFile) -> None:
    room, job = (json.loads(_only(pack, end)) for end in ("room.json", "job.json"))
    assert room["closes"] is False and room["walls"]
    assert job["job"] == place.job("Ines") and job["checklist"]


def test_a_job_without_a_sketch_still_hands_over_and_says_so(place: Place) -> None:
    answer = place.client().get(f"/jobs/{place.job('Oscar')}/handover.pdf")
    page = pdfium.PdfDocument(answer.data)[0].get_textpage().get_text_range()
    assert "there is no plan" in " ".join(page.split())


@pytest.mark.parametrize("ending", ["pdf", "dxf", "json", "svg"])
def test_drawings_are_there_one_by_one(place: Place, ending: str) -> None:
    answer = place.client().get(f"/jobs/{place.job('Ines')}/drawings.{ending}")
    assert answer.status_code == 200 and answer.headers["Content-Disposition"].startswith("attachment")


def test_the_invitation_is_at_the_showrooms_own_time(place: Place) -> None:
    answer = place.client().get(f"/jobs/{place.job('Ines')}/call.ics?at=2026-07-01T14:30&minutes=30")
    assert answer.mimetype == "text/calendar" and b"DTSTART:20260701T133000Z" in answer.data
    assert place.client().get(f"/jobs/{place.job('Ines')}/call.ics?at=tomorrow").status_code == 400
