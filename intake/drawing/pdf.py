"""Sheets as a vector PDF, one page a sheet."""

from __future__ import annotations

from io import BytesIO

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from intake.drawing.display import Arc, LineStyle, Pasted, Sheet, Stroke, Text
from intake.drawing.lettering import CAP_SHARE, LONGEST, clean, faces, printable


def sheets_pdf(sheets: list[Sheet], title: str, author: str = "") -> bytes:
    """All sheets, each at its own paper size, lettering embedded."""
    buffer = BytesIO()
    canvas = Canvas(buffer, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject("Room survey from the customer's own measurements; not for ordering")
    for sheet in sheets:
        canvas.setPageSize((sheet.width * mm, sheet.height * mm))
        canvas.transform(mm, 0, 0, -mm, 0, sheet.height * mm)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        for item in sheet.items:
            if isinstance(item, Stroke):
                _stroke(canvas, item)
            elif isinstance(item, Arc):
                _arc(canvas, item)
            else:
                _text(canvas, item)
        if sheet.logo is not None:
            _paste(canvas, sheet.logo)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _stroke(canvas: Canvas, s: Stroke) -> None:
    path = canvas.beginPath()
    path.moveTo(*s.points[0])
    for point in s.points[1:]:
        path.lineTo(*point)
    if s.closed:
        path.close()
    if s.fill:
        canvas.setFillColor(HexColor(s.fill))
    _set_pen(canvas, s.pen)
    canvas.drawPath(path, stroke=int(s.pen is not None), fill=int(bool(s.fill)))


def _arc(canvas: Canvas, a: Arc) -> None:
    _set_pen(canvas, a.pen)
    (x, y), r = a.centre, a.radius
    path = canvas.beginPath()
    # The page is flipped, so angles that run clockwise on paper run with ReportLab's own sense here.
    path.arc(x - r, y - r, x + r, y + r, a.start, a.end - a.start)
    canvas.drawPath(path, stroke=1, fill=0)


def _text(canvas: Canvas, t: Text) -> None:
    canvas.saveState()
    canvas.translate(*t.at)
    canvas.scale(1, -1)
    canvas.rotate(t.angle)
    canvas.setFont(faces()[t.bold], t.height / CAP_SHARE)
    canvas.setFillColor(HexColor(t.colour))
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[
        t.anchor
    ]
    draw(0, 0, printable(clean(t.text, LONGEST), t.bold))
    canvas.restoreState()


def _paste(canvas: Canvas, p: Pasted) -> None:
    canvas.saveState()
    canvas.translate(p.left, p.top + p.height)
    canvas.scale(1, -1)
    picture = ImageReader(BytesIO(p.jpeg))
    canvas.drawImage(picture, 0, 0, p.width, p.height, preserveAspectRatio=True, anchor="e")
    canvas.restoreState()


def _set_pen(canvas: Canvas, pen: LineStyle | None) -> None:
    if pen is None:
        return
    canvas.setStrokeColor(HexColor(pen.colour))
    canvas.setLineWidth(pen.width)
    canvas.setDash(*([list(pen.dash)] if pen.dash else [[]]))
