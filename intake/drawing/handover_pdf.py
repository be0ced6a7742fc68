"""The handover pack's PDF: what to know, the drawings, the checklist and the pictures in one document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from io import BytesIO
from typing import Any

import pypdfium2 as pdfium
from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import (
    Flowable,
    Image,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
)

from intake.drawing.lettering import clean, faces, printable
from intake.drawing.titles import CAUTION, TitleBlock
from intake.model.checklist import ItemStanding, ItemState
from intake.model.picture import Picture
from intake.wording.desk import sentence, worded

STATES = {
    ItemState.MISSING: ("○ missing", "#a3301f"),
    ItemState.DOUBTFUL: ("? doubtful", "#8f5b00"),
    ItemState.PRESENT: ("■ there", "#2b6b46"),
    ItemState.CONFIRMED: ("✓ confirmed", "#1c4f92"),
    ItemState.NOT_APPLICABLE: ("– not needed", "#55636a"),
}
MARGIN = 18 * mm
WIDE = A4[0] - 2 * MARGIN
FOOT_PT, TABLE_PT, LEADING, FINE_PT, HEAVY_PT = 7.5, 8.5, 1.35, 0.3, 0.9
"""The foot's and the checklist's type, lines in heights of their type, rules of a table: layout of our own."""
COLUMNS = (0.29, 0.17, 0.54)
"""Of the checklist's width."""


@dataclass(frozen=True)
class Shown:
    """One picture with the JPEG to print."""

    picture: Picture
    jpeg: bytes


@dataclass(frozen=True)
class Handover:
    """What goes into the pack beside the drawings. `doubts`, `decisions` and `cautions` are sentences."""

    title: TitleBlock
    contact: str
    doubts: Sequence[str]
    decisions: Sequence[str]
    cautions: Sequence[str]
    standings: Sequence[ItemStanding]
    pictures: Sequence[Shown]
    logo: bytes = b""
    """The showroom's, a JPEG; b"" for none."""


def handover_pdf(handover: Handover, drawings: bytes | None) -> bytes:
    """One PDF: the first page, the drawings (a PDF; None where there are none), the checklist, the pictures."""
    parts = [
        _document(handover, _first_page(handover)),
        drawings,
        _document(handover, _after_the_plan(handover)),
    ]
    joined = pdfium.PdfDocument.new()
    for part in parts:
        if part is not None:
            joined.import_pages(pdfium.PdfDocument(part))
    out = BytesIO()
    joined.save(out)
    return out.getvalue()


def _document(handover: Handover, story: list[Flowable]) -> bytes:
    out = BytesIO()
    title = handover.title

    def foot(canvas: Any, _: Any) -> None:
        canvas.setFont(faces()[0], FOOT_PT)
        canvas.setFillColor(HexColor("#55636a"))
        canvas.drawString(MARGIN, 10 * mm, printable(clean(f"{title.showroom} · {title.job} · {CAUTION}")))

    pages = SimpleDocTemplate(
        out, pagesize=A4, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=16 * mm, bottomMargin=18 * mm,
        title=f"Survey {title.job}", author=title.showroom,
    )  # fmt: skip
    pages.build(story, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _style(size: float = 10, bold: bool = False, colour: str = "#16262d", after: float = 2) -> ParagraphStyle:
    name = f"{size}{bold}{colour}{after}"
    face = faces()[bold]
    return ParagraphStyle(
        name,
        fontName=face,
        fontSize=size,
        leading=size * LEADING,
        textColor=HexColor(colour),
        spaceAfter=after * mm,
    )


def _words(text: str, style: ParagraphStyle | None = None) -> Paragraph:
    """A paragraph of a stranger's words: never mark-up, only characters that the face has."""
    return Paragraph(escape(printable(clean(text)), quote=False), style or _style())


def _heading(text: str) -> Paragraph:
    return _words(text, _style(13, bold=True, after=2))


def _first_page(h: Handover) -> list[Flowable]:
    t = h.title
    story: list[Flowable] = [
        *_logo(h.logo),
        _words(f"{t.room.capitalize()} of {t.customer}", _style(20, bold=True, after=3)),
        _words(
            f"Job {t.job} · {h.contact} · drawn up on {t.drawn_on} by {t.showroom}", _style(colour="#55636a")
        ),
        _words(CAUTION, _style(11, bold=True, colour="#a3301f", after=4)),
    ]
    story += _listed(
        "In doubt or missing", h.doubts, "Nothing that the checklist needs is in doubt or missing."
    )
    story += _listed("Before an order, and for safety", h.cautions, "")
    story += _listed("Decided by people", h.decisions, "Nobody has corrected or confirmed anything.")
    return story


def _logo(jpeg: bytes) -> list[Flowable]:
    if not jpeg:
        return []
    logo = Image(BytesIO(jpeg), width=56 * mm, height=14 * mm, kind="proportional", hAlign="RIGHT")
    return [logo, Spacer(1, 2 * mm)]


def _listed(heading: str, lines: Sequence[str], none: str) -> list[Flowable]:
    rows: list[Flowable] = [_words(f"• {line}", _style(after=1)) for line in lines]
    return [Spacer(1, 3 * mm), _heading(heading), *(rows or [_words(none)])]


def _after_the_plan(h: Handover) -> list[Flowable]:
    story: list[Flowable] = [_heading("Checklist"), _checklist(h.standings), Spacer(1, 5 * mm)]
    if h.pictures:
        story += [PageBreak(), _heading("Pictures"), *_pictures(h.pictures)]
    return story


def _checklist(standings: Sequence[ItemStanding]) -> Table:
    small, bold = _style(TABLE_PT, after=0), _style(TABLE_PT, bold=True, after=0)
    rows = [[_words(head, bold) for head in ("Item", "Stands", "Why")]]
    for standing in standings:
        word, colour = STATES[standing.state]
        title = standing.item.title + ("" if standing.item.blocking else " (useful)")
        state = _words(word, _style(TABLE_PT, bold=True, colour=colour, after=0))
        rows.append([_words(title, small), state, _words(_why(standing), small)])
    lines = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, -1), FINE_PT, HexColor("#c9c3b4")),
        ("LINEBELOW", (0, 0), (-1, 0), HEAVY_PT, HexColor("#16262d")),
    ]
    return Table(rows, colWidths=[share * WIDE for share in COLUMNS], style=lines, repeatRows=1)


def _why(standing: ItemStanding) -> str:
    reason = sentence(standing.reason)
    doubts = [worded(e.doubt) for e in standing.evidence if e.doubt]
    return " ".join([reason, *(d for d in doubts if d.lower() not in reason.lower())])[:600]


def _pictures(pictures: Sequence[Shown]) -> list[Flowable]:
    """Two pictures in a row, each with what it shows and what is wrong with it."""
    width = (WIDE - 6 * mm) / 2
    cells: list[list[Flowable]] = [_picture(shown, width) for shown in pictures]
    rows = [cells[n : n + 2] for n in range(0, len(cells), 2)]
    top = [("VALIGN", (0, 0), (-1, -1), "TOP")]
    return [
        KeepTogether([Table([row], colWidths=[width + 6 * mm] * len(row), hAlign="LEFT", style=top)])
        for row in rows
    ]


def _picture(shown: Shown, width: float) -> list[Flowable]:
    picture = shown.picture
    across, down = ImageReader(BytesIO(shown.jpeg)).getSize()
    scale = min(width / across, 95 * mm / down)
    caption = f"{picture.subject.value.replace('-', ' ')}: {picture.name or 'without a name'}"
    flaws = [_words(worded(v.text), _style(8, colour="#8f5b00", after=0)) for v in picture.verdicts]
    image = Image(BytesIO(shown.jpeg), across * scale, down * scale)
    return [image, _words(caption, _style(8, colour="#55636a", after=0)), *flaws, Spacer(1, 3 * mm)]
