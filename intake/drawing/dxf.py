"""Sheets as a DXF: model space in real millimetres, one sheet beside the other, y up."""

from __future__ import annotations

from io import StringIO

import ezdxf
from ezdxf import colors, units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import Modelspace

from intake.drawing.display import Arc, Pen, Sheet, Stroke, Text
from intake.drawing.lettering import clean

LAYERS = ("WALL", "OPENING", "FIXED", "DIMENSION", "TEXT", "DOUBT", "FRAME")
ALIGN = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}
BETWEEN_MM = 20.0


def sheets_dxf(sheets: list[Sheet]) -> str:
    """An R2010 drawing whose units are millimetres; a wall of 4 m measures 4000 in it."""
    document = ezdxf.new("R2010", setup=False)
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    document.styles.new("LETTERING", dxfattribs={"font": "DejaVuSans.ttf"})
    document.styles.new("LETTERING-BOLD", dxfattribs={"font": "DejaVuSans-Bold.ttf"})
    for layer in LAYERS:
        document.layers.add(layer, color=colors.WHITE)
    offset = 0.0
    for sheet in sheets:
        _Placed(document.modelspace(), sheet, offset).draw(document)
        offset += (sheet.width + BETWEEN_MM) * sheet.scale
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()


class _Placed:
    """One sheet put into model space at full size."""

    def __init__(self, space: Modelspace, sheet: Sheet, offset: float) -> None:
        self.space, self.sheet, self.offset = space, sheet, offset

    def draw(self, document: Drawing) -> None:
        for item in self.sheet.items:
            if isinstance(item, Stroke):
                self._stroke(document, item)
            elif isinstance(item, Arc):
                self._arc(document, item)
            else:
                self._text(item)

    def _at(self, point: tuple[float, float]) -> tuple[float, float]:
        scale = self.sheet.scale
        return self.offset + point[0] * scale, (self.sheet.height - point[1]) * scale

    def _stroke(self, document: Drawing, s: Stroke) -> None:
        points = [self._at(p) for p in s.points]
        if s.fill:
            hatch = self.space.add_hatch(dxfattribs={"layer": s.layer})
            hatch.rgb = colors.RGB.from_hex(s.fill)
            hatch.paths.add_polyline_path(points, is_closed=True)
        if s.pen:
            self.space.add_lwpolyline(points, close=s.closed, dxfattribs=self._look(document, s.pen, s.layer))

    def _arc(self, document: Drawing, a: Arc) -> None:
        look = self._look(document, a.pen, a.layer)
        radius = a.radius * self.sheet.scale
        if abs(a.end - a.start) >= 360:
            self.space.add_circle(self._at(a.centre), radius, dxfattribs=look)
        else:
            # Clockwise on paper is anticlockwise the other way round with y up.
            self.space.add_arc(self._at(a.centre), radius, -a.end, -a.start, dxfattribs=look)

    def _look(self, document: Drawing, pen: Pen, layer: str) -> dict[str, object]:
        look: dict[str, object] = {
            "layer": layer,
            "lineweight": round(pen.width * 100),
            "true_color": colors.rgb2int(colors.RGB.from_hex(pen.colour)),
        }
        if pen.dash:
            look["linetype"] = _linetype(document, pen.dash, self.sheet.scale)
        return look

    def _text(self, t: Text) -> None:
        # "%%" and "^" start codes in DXF text (%%d, ^J): a customer's words must stay words.
        words = clean(t.text).replace("%", "%%%").replace("^", "^ ")
        attributes = {
            "layer": t.layer,
            "height": t.height * self.sheet.scale,
            "rotation": t.angle,
            "style": "LETTERING-BOLD" if t.bold else "LETTERING",
            "true_color": colors.rgb2int(colors.RGB.from_hex(t.colour)),
        }
        self.space.add_text(words, dxfattribs=attributes).set_placement(self._at(t.at), align=ALIGN[t.anchor])


def _linetype(document: Drawing, dash: tuple[float, ...], scale: int) -> str:
    """A line type of these dashes at this scale, made once; DXF writes gaps as negative lengths."""
    name = "DASH_" + "_".join(f"{round(d * 10)}" for d in dash) + f"_{scale}"
    if name not in document.linetypes:
        lengths = [d * scale * (1 if n % 2 == 0 else -1) for n, d in enumerate(dash)]
        document.linetypes.add(name, pattern=[sum(abs(v) for v in lengths), *lengths], description=name)
    return name
