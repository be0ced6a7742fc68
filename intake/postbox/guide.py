"""The measuring guide, two printed pages, and the measuring sheet, one, as PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

import cv2
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from intake.model.checklist import Checklist
from intake.model.measuring_sheet import (
    BOX_MM,
    MARK_INSET_MM,
    MARK_MM,
    PAGE_MM,
    PLAN_MM,
    SHEET_BOXES,
    SheetBox,
    mark_corners_mm,
)
from intake.model.wording import Wording
from intake.postbox.illustrations import DRAWINGS
from intake.postbox.illustrations.sheet import INK, SOFT, TAPE, WALL
from intake.postbox.letters import Showroom

MARKS = cv2.aruco.DICT_4X4_50
"""The marks' dictionary; the sheet's four are numbers 0 to 3, clockwise from the top left."""

PAGES = (
    ("sketch", "wall-sections", "overall", "openings", "ceiling-height", "sill-height"),
    ("head-height", "reveal-depth", "boiler", "room-photographs"),
)
"""The checklist items that each page of the guide explains."""

_MARGIN = 16 * mm
_WIDTH, _HEIGHT = A4
_TITLE = ParagraphStyle("title", fontName="Helvetica-Bold", fontSize=22, leading=26, textColor=INK)
_HEAD = ParagraphStyle("head", fontName="Helvetica-Bold", fontSize=12, leading=15, textColor=INK)
_BODY = ParagraphStyle("body", fontName="Helvetica", fontSize=10, leading=13, textColor=INK)
_SMALL = ParagraphStyle("small", fontName="Helvetica", fontSize=8.5, leading=11, textColor=INK)
LINE_TO_WRITE_ON, ON_THE_LINE, ABOVE = 24.5, 6.5, 1.5
"""mm on the sheet: the lines for name and date from its top; where words stand that begin at a box's top, and how far
above a box its caption."""
LEAD_POINTS = 8.5
"""Size of the type of the sheet's first words (by eye)."""


@dataclass
class _Pen:
    """A page being filled from the top; `y` is where the next thing goes, in points from the bottom."""

    canvas: Canvas
    y: float = _HEIGHT - _MARGIN

    def words(
        self, text: str, style: ParagraphStyle, x: float = _MARGIN, width: float = 0, gap: float = 4
    ) -> float:
        """Puts words below what is there; returns their height."""
        paragraph = Paragraph(escape(text), style)
        _, height = paragraph.wrap(width or _WIDTH - 2 * _MARGIN, _HEIGHT)
        paragraph.drawOn(self.canvas, x, self.y - height)
        self.y -= height + gap
        return float(height)


def measuring_guide(checklist: Checklist, wording: Wording, showroom: Showroom) -> bytes:
    """Two A4 pages, for printing, that show how to measure a room and what to send: a PDF.

    It uses the checklist's own words, so guide and letters agree. Raises ValueError where the words of a language no
    longer fit on two pages.
    """
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4)
    _about(canvas, wording.say("guide-title"), showroom)
    for page, item_ids in enumerate(PAGES):
        pen = _Pen(canvas)
        if page == 0:
            _logo(canvas, showroom, _WIDTH - _MARGIN, _HEIGHT - 8 * mm, 13 * mm)
            pen.words(wording.say("guide-title"), _TITLE, gap=3)
            pen.words(wording.say("guide-lead"), _BODY, gap=9)
        for number, item_id in enumerate(item_ids, 1 + page * len(PAGES[0])):
            _step(pen, number, item_id, checklist, wording)
        if page == 1:
            _end(pen, wording)
        if pen.y < 17 * mm:
            raise ValueError(f"page {page + 1} of the guide is too long in {wording.language!r}")
        _foot(canvas, showroom)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _about(canvas: Canvas, title: str, showroom: Showroom) -> None:
    canvas.setTitle(title)
    canvas.setAuthor(showroom.name)


def _logo(canvas: Canvas, showroom: Showroom, right: float, top: float, most: float) -> None:
    """The showroom's logo against a right and an upper edge, so high at most, in points."""
    if not showroom.logo:
        return
    picture = ImageReader(io.BytesIO(showroom.logo))
    wide, high = picture.getSize()
    scale = min(most / high, 4 * most / wide)
    wide, high = wide * scale, high * scale
    canvas.drawImage(picture, right - wide, top - high, wide, high)


def _step(pen: _Pen, number: int, item_id: str, checklist: Checklist, wording: Wording) -> None:
    """One numbered step: its drawing to the left, its words to the right."""
    item = checklist.item(item_id)
    if item is None:
        return
    drawing = DRAWINGS[item.drawing]()
    scale = 56 * mm / drawing.width
    top, left = pen.y, _MARGIN + 64 * mm
    canvas = pen.canvas
    canvas.saveState()
    canvas.translate(_MARGIN, top - drawing.height * scale)
    canvas.scale(scale, scale)
    drawing.drawOn(canvas, 0, 0)
    canvas.restoreState()
    width = _WIDTH - _MARGIN - left
    pen.words(f"{number}. {wording.of(item, 'ask')}", _HEAD, left, width, gap=2)
    pen.words(wording.of(item, "how"), _BODY, left, width, gap=2)
    if item.caution:
        pen.words(wording.cautions[item.caution], _SMALL, left, width)
    pen.y = min(pen.y, top - drawing.height * scale) - 7


def _end(pen: _Pen, wording: Wording) -> None:
    """What to photograph, how to send it, and the cautions in a box."""
    pen.words(wording.say("guide-services"), _HEAD, gap=2)
    pen.words(f"{wording.say('services-how')} {wording.say('no-gas')}", _BODY, gap=6)
    pen.words(wording.say("guide-send"), _HEAD, gap=2)
    pen.words(f"{wording.say('plan-again-how')} {wording.say('full-size')}", _BODY, gap=12)
    top = pen.y
    parts = [(wording.say("guide-care"), _HEAD)]
    parts += [(wording.cautions[c], _SMALL) for c in ("services", "asbestos", "survey")]
    inner = _WIDTH - 2 * _MARGIN - 16
    heights = [Paragraph(escape(t), s).wrap(inner, _HEIGHT)[1] + 3 for t, s in parts]
    pen.canvas.setFillColor(SOFT)
    pen.canvas.setStrokeColor(TAPE)
    pen.canvas.roundRect(_MARGIN, top - sum(heights) - 10, _WIDTH - 2 * _MARGIN, sum(heights) + 14, 4, fill=1)
    for text, style in parts:
        pen.words(text, style, _MARGIN + 8, inner, gap=3)
    pen.y -= 10


def _foot(canvas: Canvas, showroom: Showroom) -> None:
    line = " - ".join(part for part in (showroom.name, showroom.designer, showroom.phone) if part)
    canvas.setFont("Helvetica", 9)
    canvas.setFillColor(INK)
    canvas.drawCentredString(_WIDTH / 2, 10 * mm, line)


def measuring_sheet(wording: Wording, showroom: Showroom) -> bytes:
    """One A4 page with corner marks, room for the plan and a box for every height: a PDF to print and fill in."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4)
    _about(canvas, wording.say("sheet-title"), showroom)
    _marks(canvas)
    _heading(canvas, wording)
    _logo(canvas, showroom, (PAGE_MM[0] - MARK_INSET_MM - MARK_MM - 6) * mm, _up(8), 10 * mm)
    _plan_area(canvas, wording)
    for box in SHEET_BOXES:
        _box(canvas, box, wording)
    rows = dict.fromkeys((b.row, b.y_mm) for b in SHEET_BOXES)
    for row, y in rows:
        _write_from_left(canvas, 12, y + ON_THE_LINE, wording.say(f"sheet-{row}"), 9, bold=True)
    _foot(canvas, showroom)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _marks(canvas: Canvas) -> None:
    dictionary = cv2.aruco.getPredefinedDictionary(MARKS)
    for mark in range(4):
        picture = cv2.aruco.generateImageMarker(dictionary, mark, 240)
        encoded = cv2.imencode(".png", picture)[1].tobytes()
        (x, y), *_ = mark_corners_mm(mark)
        place = (x * mm, (PAGE_MM[1] - y - MARK_MM) * mm)
        canvas.drawImage(ImageReader(io.BytesIO(encoded)), *place, MARK_MM * mm, MARK_MM * mm)


def _heading(canvas: Canvas, wording: Wording) -> None:
    _write_from_left(canvas, 28, 16, wording.say("sheet-title"), 16, bold=True)
    for x, key in ((28, "sheet-name"), (104, "sheet-room")):
        _write_from_left(canvas, x, 24, wording.say(key), 9)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.5)
    for x1, x2 in ((44, 100), (120, 184)):
        canvas.line(x1 * mm, _up(LINE_TO_WRITE_ON), x2 * mm, _up(LINE_TO_WRITE_ON))
    _write_from_left(canvas, 28, 31, wording.say("sheet-lead"), LEAD_POINTS)


def _plan_area(canvas: Canvas, wording: Wording) -> None:
    """The drawing area: a pale dot every 5 mm, too pale to be taken for ink."""
    x, y, width, height = PLAN_MM
    canvas.setStrokeColor(WALL)
    canvas.setLineWidth(1)
    canvas.rect(x * mm, _up(y + height), width * mm, height * mm)
    canvas.setFillColor(WALL)
    for column in range(1, int(width // 5)):
        for row in range(1, int(height // 5)):
            canvas.circle((x + 5 * column) * mm, _up(y + 5 * row), 0.5, stroke=0, fill=1)
    _write_from_left(canvas, x, y - ABOVE, wording.say("sheet-plan"), 9, bold=True)


def _box(canvas: Canvas, box: SheetBox, wording: Wording) -> None:
    width, height = BOX_MM
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1)
    canvas.rect(box.x_mm * mm, _up(box.y_mm + height), width * mm, height * mm)
    _write_from_left(canvas, box.x_mm + width + 1, box.y_mm + ON_THE_LINE, "cm", 8)
    if box.row in ("ceiling", "window-1", "door"):
        name = box.id.removeprefix(f"{box.row}-")
        key = "sheet-door-number" if box.row == "door" else f"sheet-{name}"
        _write_from_left(canvas, box.x_mm, box.y_mm - ABOVE, wording.say(key, number=name), 8)


def _write_from_left(canvas: Canvas, x: float, y: float, words: str, size: float, bold: bool = False) -> None:
    canvas.setFillColor(INK)
    canvas.setFont("Helvetica-Bold" if bold else "Helvetica", size)
    canvas.drawString(x * mm, _up(y), words)


def _up(y: float) -> float:
    """Points from the bottom for millimetres from the top."""
    return float((PAGE_MM[1] - y) * mm)


__all__: Sequence[str] = ("MARKS", "measuring_guide", "measuring_sheet")
