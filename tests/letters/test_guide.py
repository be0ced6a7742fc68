"""The measuring guide and the measuring sheet as printed, seen through PDFium, another PDF library than made them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from email.parser import BytesParser
from email.policy import default
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest

from intake.checklists import load_checklists
from intake.model.checklist import RoomKind
from intake.model.letter import Ask, Letter, LetterKind
from intake.model.measuring_sheet import BOX_MM, PAGE_MM, PLAN_MM, SHEET_BOXES, mark_corners_mm
from intake.model.message import Address
from intake.pen import ShowroomPen
from intake.postbox.guide import MARKS, measuring_guide, measuring_sheet
from intake.postbox.letters import Showroom, load_letters
from intake.settings import Settings

CONFIG = Path(__file__).parents[2] / "config"
LETTERS = load_letters(CONFIG / "letters")
KITCHEN = load_checklists(CONFIG / "checklists")[RoomKind.KITCHEN]
SHOWROOM = Showroom("Harrow & Vale Rooms", "01632 960123", "Marta Lind")
POINT_MM = 25.4 / 72


def text_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


@pytest.mark.parametrize("language", LETTERS.languages)
def test_the_guide_is_two_a4_pages_that_say_it_all(language: str) -> None:
    wording = LETTERS.wording(language)
    pdf = measuring_guide(KITCHEN, wording, SHOWROOM)
    document = pypdfium2.PdfDocument(pdf)
    assert [tuple(round(v * POINT_MM) for v in page.get_size()) for page in document] == [(210, 297)] * 2
    pages = text_of(pdf)
    assert wording.say("guide-title") in pages[0]
    for item_id in ("ceiling-height", "sill-height", "reveal-depth", "room-photographs"):
        item = KITCHEN.item(item_id)
        assert item is not None and wording.of(item, "ask") in " ".join(pages)
    assert "0800 111 999" in pages[1]
    assert all(SHOWROOM.phone in page for page in pages)


def test_a_guide_too_long_for_two_pages_is_refused() -> None:
    wording = LETTERS.wording("en")
    long = {("sketch", "how"): "word " * 1500}
    with pytest.raises(ValueError, match="too long"):
        measuring_guide(KITCHEN, type(wording)("en", wording.sentences, wording.cautions, long), SHOWROOM)


def test_the_marks_are_printed_where_the_layout_says() -> None:
    """OpenCV's own detector is the oracle: each mark's corners within a fifth of a millimetre."""
    per_mm = 8.0
    page = pypdfium2.PdfDocument(measuring_sheet(LETTERS.wording("en"), SHOWROOM))[0]
    grey = np.asarray(page.render(scale=per_mm * POINT_MM).to_pil().convert("L"))
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(MARKS), cv2.aruco.DetectorParameters()
    )
    corners, ids, _ = detector.detectMarkers(grey)
    assert sorted(np.ravel(ids).tolist()) == [0, 1, 2, 3]
    for mark, found in zip(np.ravel(ids).tolist(), corners, strict=True):
        apart = np.abs(found.reshape(4, 2) / per_mm - np.array(mark_corners_mm(mark)))
        assert apart.max() < 0.2


def test_no_two_parts_of_the_sheet_overlap() -> None:
    (px, py, pw, ph), (bw, bh) = PLAN_MM, BOX_MM
    areas = [(px, py, px + pw, py + ph)]
    areas += [(b.x_mm, b.y_mm, b.x_mm + bw, b.y_mm + bh) for b in SHEET_BOXES]
    areas += [(*mark_corners_mm(m)[0], *mark_corners_mm(m)[2]) for m in range(4)]
    for n, a in enumerate(areas):
        assert 0 <= a[0] < a[2] <= PAGE_MM[0] and 0 <= a[1] < a[3] <= PAGE_MM[1]
        assert all(a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for b in areas[n + 1 :])


def _letter(guide: RoomKind | None) -> Letter:
    to = (Address("Anna Field", "anna@field.example"),)
    ask = Ask("sketch", "Please draw a plan.", "By hand.", drawing="plan")
    return Letter(
        "R-7K2M4",
        LetterKind.FOLLOW_UP,
        to,
        "Re: Kitchen",
        "<a@b.example>",
        (),
        "Thank you.",
        (ask,),
        (),
        guide=guide,
    )


@pytest.mark.parametrize("language", ["en", "de"])
def test_guide_and_sheet_go_with_a_letter_as_pdf(language: str) -> None:
    """RFC 2046 5.1.3: what is enclosed stands beside the alternatives, under multipart/mixed."""
    pen = ShowroomPen(Settings(address=("us@hollin.example",), showroom_name="Hollin", language=language))
    written = pen.write(
        replace(_letter(RoomKind.KITCHEN), language=language), datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    )
    message = BytesParser(policy=default).parsebytes(written.raw)
    assert message.get_content_type() == "multipart/mixed"
    body, *enclosed = message.iter_parts()
    assert body.get_content_type() == "multipart/alternative"
    assert [(p.get_content_type(), p.get_content_disposition()) for p in enclosed] == [
        ("application/pdf", "attachment")
    ] * 2
    assert [len(pypdfium2.PdfDocument(p.get_content())) for p in enclosed] == [2, 1]
    said = pen.wording().say("guide")
    assert said in " ".join(written.text.split()) and said in " ".join(written.html.split())
    plain = pen.write(_letter(None), datetime(2026, 3, 2, 9, 0, tzinfo=UTC))
    assert b"application/pdf" not in plain.raw and said not in " ".join(plain.text.split())
