"""A room as DXF for CAD: the plan alone in model space, at the origin, in millimetres, y up; each sheet a layout.

Walls and the room are closed polylines, openings are blocks in real gaps, dimensions are dimensions. The plan's layout
shows model space through a viewport; what is words, or an elevation, is drawn on its layout in millimetres of paper.

Layer names are of an own scheme, listed in docs/dxf.md, after the order of ISO 13567-2 (agent, element, presentation;
from memory). Colours are by layer: 7 is black on a light ground and white on a dark one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from io import StringIO

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import BaseLayout, Paperspace
from shapely import unary_union
from shapely.geometry import Polygon

from intake.drawing.display import (
    BLACK,
    GREY,
    POCHE,
    RED,
    Arc,
    DrawnLength,
    Item,
    LineStyle,
    Sheet,
    Stroke,
    Text,
)
from intake.drawing.layout import ABOVE_LINE, EXTENSION_BEYOND, EXTENSION_OFF, SMALL, TICK
from intake.drawing.lettering import LONGEST, clean
from intake.drawing.openings import is_opening, opening_symbol
from intake.drawing.plan_view import PlanView
from intake.drawing.wall_frame import WallFrame
from intake.drawing.walls import meets, wall_shapes
from intake.model.room import Section

LAYERS = {
    # ours: (layer, colour, what is on it)
    "ROOM": ("A-ROOM-OUTL", 94, "the room's outline, one closed polyline"),
    "WALL": ("A-WALL-CUT", 7, "walls, closed polylines; things that stand out of them"),
    "HATCH": ("A-WALL-FILL", 9, "the fill of what is cut"),
    "OPENING": ("A-OPEN-SYMB", 150, "windows, doors and doorways, blocks"),
    "FIXED": ("A-FIXT-OUTL", 30, "fixed things and furniture"),
    "DIMENSION": ("A-DIMS-SIZE", 8, "dimensions as measured, measurements across"),
    "TEXT": ("A-TEXT-NAME", 7, "names, letters of the walls, tags"),
    "DOUBT": ("A-DOUB-NOTE", 1, "whatever is in doubt, not measured or does not close"),
    "FRAME": ("A-FRAM-SHEET", 7, "borders and title blocks"),
    "VIEW": ("A-VIEW-PORT", 8, "viewports' edges, not plotted"),
}
ALIGN = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}
DIMSTYLE = "SURVEY"
JOIN_MM = 0.001
"""Shapes that lie closer than this on paper touch."""
BY_COLOUR = {BLACK: 256, GREY: 8, RED: 1}
"""Colours of things that differ from their layer's (256: by layer)."""
Where = tuple[float, float]


def sheets_dxf(sheets: list[Sheet], view: PlanView) -> str:
    """An R2010 drawing whose units are millimetres; a wall of 4 m measures 4000 in it. `view` is the plan as drawn on
    the first sheet."""
    document = _document(view.sheet.scale)
    _Plan(document, view).draw()
    plan_items = set(range(view.first_item, view.last_item))
    for n, sheet in enumerate(sheets):
        layout = document.layouts.new(f"{n + 1} {sheet.title}")
        layout.page_setup(size=(sheet.width, sheet.height), margins=(0, 0, 0, 0), units="mm")
        skip = plan_items if n == 0 else set()
        _Flat(document, layout, 1.0, (0.0, sheet.height)).add(
            i for k, i in enumerate(sheet.items) if k not in skip
        )
        if n == 0 and view.placed:
            _viewport(layout, view)
    document.layouts.delete("Layout1")
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()


def _document(scale: int) -> Drawing:
    document = ezdxf.new("R2010", setup=False)
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    document.header["$PSLTSCALE"] = 0
    document.styles.new("LETTERING", dxfattribs={"font": "DejaVuSans.ttf"})
    document.styles.new("LETTERING-BOLD", dxfattribs={"font": "DejaVuSans-Bold.ttf"})
    for name, colour, what in LAYERS.values():
        layer = document.layers.add(name, color=colour)
        layer.description = what
    document.layers.get(LAYERS["VIEW"][0]).dxf.plot = 0
    _dimension_style(document, scale)
    return document


def _dimension_style(document: Drawing, scale: int) -> None:
    """Oblique strokes, lettering above the line, whole millimetres (ISO 129-1), sized on paper and enlarged by the
    scale."""
    document.blocks.new("_OBLIQUE").add_line((-0.5, -0.5), (0.5, 0.5))
    style = document.dimstyles.new(DIMSTYLE)
    values: dict[str, object] = {
        "dimscale": scale,
        "dimtxt": SMALL,
        "dimasz": 2.0,
        "dimtsz": TICK,
        "dimexo": EXTENSION_OFF,
        "dimexe": EXTENSION_BEYOND,
    }
    values |= {
        "dimgap": ABOVE_LINE,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimdec": 0,
        "dimzin": 8,
        "dimlunit": 2,
    }
    values |= {"dimtxsty": "LETTERING", "dimclrd": 0, "dimclre": 0, "dimclrt": 0, "dimtix": 1, "dimsah": 0}
    for name, value in values.items():
        style.set_dxf_attrib(name, value)


def _viewport(layout: Paperspace, view: PlanView) -> None:
    """The plan's area on its sheet, looking at model space at the sheet's scale."""
    area, scale = view.area, view.sheet.scale
    middle = ((area.left + area.right) / 2, view.sheet.height - (area.top + area.bottom) / 2)
    ox, oy = view.origin
    centre = (((area.left + area.right) / 2 - ox) * scale, (oy - (area.top + area.bottom) / 2) * scale)
    layout.add_viewport(
        center=middle,
        size=(area.width, area.height),
        view_center_point=centre,
        view_height=area.height * scale,
        dxfattribs={"layer": LAYERS["VIEW"][0]},
    )


class _Flat:
    """Items of a sheet put into a layout or a block: paper point p becomes ((x - x0) k, (y0 - y) k)."""

    def __init__(self, document: Drawing, space: BaseLayout, factor: float, origin: Where) -> None:
        self.document, self.space, self.factor, self.origin = document, space, factor, origin

    def add(self, items: Iterable[Item]) -> None:
        for item in items:
            if isinstance(item, Stroke):
                self._stroke(item)
            elif isinstance(item, Arc):
                self._arc(item)
            else:
                self._text(item)

    def at(self, point: Where) -> Where:
        return (point[0] - self.origin[0]) * self.factor, (self.origin[1] - point[1]) * self.factor

    def _stroke(self, s: Stroke) -> None:
        points = [self.at(p) for p in s.points]
        if s.fill and s.fill != "#ffffff":
            hatch = self.space.add_hatch(
                9 if s.fill == POCHE else 7, dxfattribs={"layer": LAYERS["HATCH"][0]}
            )
            hatch.transparency = 0.5 if s.fill == POCHE else 0.0
            hatch.paths.add_polyline_path(points, is_closed=True)
        if s.pen:
            self.space.add_lwpolyline(points, close=s.closed, dxfattribs=self._look(s.pen, s.layer))

    def _arc(self, a: Arc) -> None:
        look, radius = self._look(a.pen, a.layer), a.radius * self.factor
        if abs(a.end - a.start) >= 360.0:
            self.space.add_circle(self.at(a.centre), radius, dxfattribs=look)
        else:
            # Clockwise on paper is anticlockwise the other way round with y up.
            self.space.add_arc(self.at(a.centre), radius, -a.end, -a.start, dxfattribs=look)

    def _look(self, pen: LineStyle, layer: str) -> dict[str, object]:
        look: dict[str, object] = {
            "layer": LAYERS[layer][0],
            "lineweight": round(pen.width * 100),
            "color": BY_COLOUR.get(pen.colour, 256),
        }
        if pen.dash:
            look["linetype"] = _linetype(self.document, pen.dash, self.factor)
        return look

    def _text(self, t: Text) -> None:
        attributes = {
            "layer": LAYERS[t.layer][0],
            "height": t.height * self.factor,
            "rotation": t.angle,
            "style": "LETTERING-BOLD" if t.bold else "LETTERING",
            "color": BY_COLOUR.get(t.colour, 256),
        }
        placed = self.space.add_text(_words(t.text), dxfattribs=attributes)
        placed.set_placement(self.at(t.at), align=ALIGN[t.anchor])


def _words(text: str) -> str:
    """ "%%" and "^" start codes in DXF text (%%d, ^J): a customer's words must stay words."""
    return clean(text, LONGEST).replace("%", "%%%").replace("^", "^ ")


class _Plan:
    """The plan in model space: the first corner of the room is the origin."""

    def __init__(self, document: Drawing, view: PlanView) -> None:
        self.document, self.view, self.space = document, view, document.modelspace()
        self.flat = _Flat(document, self.space, float(view.sheet.scale), view.origin)

    def draw(self) -> None:
        if not self.view.placed:
            return
        self._walls()
        self._openings()
        self.flat.add(self._other_strokes())
        for dimension in self.view.sheet.dimensions:
            self._dimension(dimension)

    def _walls(self) -> None:
        """Each run of wall between openings, filled and outlined, and the room within them."""
        for shape in wall_shapes(self.view.examination, self.view.frames):
            self.flat.add([Stroke(shape, None, "WALL", True, POCHE)])
        for ring in _joined(wall_shapes(self.view.examination, self.view.frames)):
            self._closed([self.flat.at(p) for p in ring], "WALL")
        if meets(self.view.examination):
            self._closed([self.flat.at(f.at(0.0)) for f in self.view.frames], "ROOM")

    def _closed(self, points: list[Where], layer: str) -> None:
        look = {"layer": LAYERS[layer][0], "lineweight": 50 if layer == "WALL" else 25}
        self.space.add_lwpolyline(points, close=True, dxfattribs=look)

    def _openings(self) -> None:
        """A block an opening, its origin at the opening's left end on the wall's face."""
        for wall, placed, frame in self.view.walls():
            for part in placed.sections:
                section = wall.sections[part.index]
                if is_opening(section) and part.end_mm > part.start_mm:
                    name = self.view.tags[wall.index, part.index].replace(" ", "-")
                    self._block(name, section, float(part.end_mm - part.start_mm))
                    angle = -_degrees(frame)
                    at = self.flat.at(frame.at(float(part.start_mm)))
                    self.space.add_blockref(name, at, {"rotation": angle, "layer": LAYERS["OPENING"][0]})

    def _block(self, name: str, section: Section, width: float) -> None:
        """Drawn along x, the room below, as on a wall along the top of the plan; the tag stays with the plan's own
        lettering, so that it reads the right way up."""
        per_mm = 1.0 / self.view.sheet.scale
        frame = WallFrame((0.0, 0.0), (1.0, 0.0), per_mm, width)
        block = self.document.blocks.new(name)
        items = opening_symbol(frame, section, 0.0, width, self.view.thick_mm, name)
        shapes = [i for i in items if not isinstance(i, Text)]
        _Flat(self.document, block, float(self.view.sheet.scale), (0.0, 0.0)).add(shapes)

    def _other_strokes(self) -> Iterator[Item]:
        """What is neither wall nor opening nor dimension, as on the sheet; of openings only their lettering."""
        sheet = self.view.sheet
        for n in range(self.view.first_item, self.view.last_item):
            item = sheet.items[n]
            drawn = n in sheet.drawn_dimensions or n in self.view.wall_items
            if not drawn and (item.layer != "OPENING" or isinstance(item, Text)):
                yield item

    def _dimension(self, d: DrawnLength) -> None:
        """From left to right as it is read, so that its lettering stands above the line."""
        turn = math.radians(d.angle)
        ends = sorted(
            (self.flat.at(p) for p in (d.start, d.end)),
            key=lambda p: p[0] * math.cos(turn) + p[1] * math.sin(turn),
        )
        colours = dict.fromkeys(("dimclrd", "dimclre", "dimclrt"), 1) if d.doubtful else {}
        made = self.space.add_linear_dim(
            base=self.flat.at(d.line),
            p1=ends[0],
            p2=ends[1],
            angle=d.angle,
            text=_words(d.label),
            dimstyle=DIMSTYLE,
            override={"dimexo": d.edge + EXTENSION_OFF, **colours},
            dxfattribs={"layer": LAYERS["DOUBT" if d.doubtful else "DIMENSION"][0]},
        )
        if d.moved:
            made.set_location(self.flat.at(d.text_at))
        made.render()


def _joined(shapes: list[tuple[Where, ...]]) -> Iterator[list[Where]]:
    """The outlines of what the shapes cover together: walls meet at their corners without a line between them."""
    sound = [p.buffer(JOIN_MM, join_style="mitre") for p in map(Polygon, shapes) if p.is_valid]
    covered = unary_union(sound).buffer(-JOIN_MM, join_style="mitre") if sound else Polygon()
    for part in getattr(covered, "geoms", [covered]):
        for ring in (part.exterior, *part.interiors):
            if not ring.is_empty:
                yield [(x, y) for x, y in list(ring.coords)[:-1]]


def _degrees(frame: WallFrame) -> float:
    return math.degrees(math.atan2(frame.along[1], frame.along[0]))


def _linetype(document: Drawing, dash: tuple[float, ...], factor: float) -> str:
    """A line type of these dashes at this scale, made once; DXF writes gaps as negative lengths."""
    name = "DASH_" + "_".join(f"{round(d * 10)}" for d in dash) + f"_{factor:g}"
    if name not in document.linetypes:
        lengths = [d * factor * (1 if n % 2 == 0 else -1) for n, d in enumerate(dash)]
        document.linetypes.add(name, pattern=[sum(abs(v) for v in lengths), *lengths], description=name)
    return name
