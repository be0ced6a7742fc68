"""The files, opened again by other programs' readers."""

from __future__ import annotations

import json
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pypdfium2
import pytest
from ezdxf.document import Drawing
from shapely.geometry import Polygon, box

from intake.drawing.plan import plan_svg
from intake.drawing.titles import CAUTION
from intake.drawing.write import ENDINGS, all_sheets, plan_bytes, write_plan
from intake.model.errors import IntakeError
from tests.drawing.rooms import HOSTILE, TITLE, looked_at

NAMES = list(looked_at())
SVG = "{http://www.w3.org/2000/svg}"


@cache
def drawn(name: str, ending: str) -> bytes:
    """A room's file: a second's drawing for the largest, and looked at from several sides."""
    return plan_bytes(looked_at()[name], TITLE, ending)


@pytest.mark.parametrize("name", NAMES)
def test_svg_is_well_formed_and_holds_nothing_but_shapes_and_words(name: str) -> None:
    for svg in (plan_svg(looked_at()[name], TITLE), plan_svg(looked_at()[name])):
        root = ElementTree.fromstring(svg)
        assert {e.tag for e in root.iter()} <= {
            SVG + t for t in ("svg", "title", "rect", "g", "path", "text")
        }
        attributes = {a for e in root.iter() for a in e.attrib}
        assert not any(a.startswith("on") or "href" in a for a in attributes)
        assert CAUTION.split(".")[0] in " ".join(root.itertext())


def test_hostile_words_stay_words_in_svg() -> None:
    svg = plan_svg(looked_at()["hostile"], TITLE)
    assert "<script" not in svg
    assert "&lt;script" in svg
    assert not any(ord(c) < 32 and c != "\n" for c in svg)
    assert "\u202e" not in svg


@pytest.mark.parametrize("name", NAMES)
def test_pdf_carries_the_caution_on_every_page(name: str) -> None:
    document = pypdfium2.PdfDocument(drawn(name, ".pdf"))
    assert len(document) >= 2
    for page in document:
        assert CAUTION in page.get_textpage().get_text_bounded().replace("\r\n", " ")


def test_pdf_is_vector_with_its_paper_size() -> None:
    document = pypdfium2.PdfDocument(drawn("kitchen-l-shape", ".pdf"))
    width, height = document[0].get_size()
    assert (width / 72 * 25.4, height / 72 * 25.4) == pytest.approx((420, 297), abs=0.1)
    kinds = {o.type for o in document[0].get_objects()}
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds


@pytest.mark.parametrize("name", NAMES)
def test_dxf_passes_the_audit_with_its_units_set(name: str) -> None:
    document = read_dxf(name)
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.units == ezdxf.units.MM


@cache
def read_dxf(name: str) -> Drawing:
    return ezdxf.read(StringIO(drawn(name, ".dxf").decode()))


def test_dxf_is_at_full_size_in_millimetres() -> None:
    """The room's outline is one closed polyline whose first corner is the origin and whose area Shapely agrees on."""
    (room,) = read_dxf("kitchen-l-shape").modelspace().query('LWPOLYLINE[layer=="A-ROOM-OUTL"]')
    placed = looked_at()["kitchen-l-shape"].placed
    corners = [(x, -y) for x, y, *_ in room.get_points()]
    assert room.closed
    assert corners[0] == pytest.approx((0, 0), abs=1e-6)
    assert [c for p in corners for c in p] == pytest.approx(
        [c for w in placed.walls for c in w.start], abs=0.01
    )
    assert Polygon(corners).area == pytest.approx(placed.area_mm2 or 0, rel=1e-6)


def test_dxf_has_walls_openings_and_dimensions_of_their_own() -> None:
    document = read_dxf("kitchen-l-shape")
    space, examination = document.modelspace(), looked_at()["kitchen-l-shape"]
    walls = [
        Polygon([p[:2] for p in w.get_points()])
        for w in space.query('LWPOLYLINE[layer=="A-WALL-CUT"]')
        if w.closed
    ]
    assert walls and all(w.is_valid and w.area > 0 for w in walls)
    blocks = {i.dxf.name: i for i in space.query("INSERT")}
    assert set(blocks) == {"Window-1", "Door-1", "Opening-1"}
    # The window starts 955 mm along the top wall; nothing but the window lies in its gap.
    assert blocks["Window-1"].dxf.insert.x == pytest.approx(
        examination.placed.walls[0].sections[1].start_mm, abs=0.6
    )
    gap = box(960, 10, 2150, 100)
    assert not any(w.intersects(gap) for w in walls)
    measured = {d.dxf.text: d.get_measurement() for d in space.query("DIMENSION")}
    for text in ("955", "1200", "1845", "4000"):
        assert measured[text] == pytest.approx(int(text), abs=4)
    assert {d.dxf.dimstyle for d in space.query("DIMENSION")} == {"SURVEY"}


@pytest.mark.parametrize("name", NAMES)
def test_dxf_model_space_holds_the_plan_alone_and_layouts_the_sheets(name: str) -> None:
    document = read_dxf(name)
    sheets, _ = all_sheets(looked_at()[name], TITLE)
    assert len(document.layouts) == 1 + len(sheets)
    assert not document.modelspace().query('*[layer=="A-FRAM-SHEET"]')
    views = [v for v in document.layouts.get(f"1 {sheets[0].title}").query("VIEWPORT") if v.dxf.id > 1]
    assert len(views) == (1 if looked_at()[name].placed.walls else 0)
    for view in views:
        assert view.dxf.view_height / view.dxf.height == pytest.approx(sheets[0].scale)


@pytest.mark.parametrize("name", NAMES)
def test_dxf_colours_read_on_a_light_and_on_a_dark_ground(name: str) -> None:
    """By layer or by index, each layer 1.7 to 1 at least against white and black; no true colour anywhere."""
    document = read_dxf(name)
    for layer in document.layers:
        red, green, blue = ezdxf.colors.aci2rgb(layer.color)
        if layer.color != 7:
            light = luminance(red, green, blue)
            assert 1.05 / (light + 0.05) > 1.7 and (light + 0.05) / 0.05 > 1.7, layer.dxf.name
    for layout in document.layouts:
        assert all(not e.dxf.hasattr("true_color") for e in layout)


def luminance(*rgb: int) -> float:
    """Relative luminance (WCAG 2, from memory)."""
    parts = [v / 255 / 12.92 if v / 255 <= 0.03928 else ((v / 255 + 0.055) / 1.055) ** 2.4 for v in rgb]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def test_hostile_words_are_no_codes_in_dxf() -> None:
    document = read_dxf("hostile")
    words = [t.plain_text() for layout in document.layouts for t in layout.query("TEXT")]
    assert any("%%d" in w for w in words)
    assert all("°" not in w for w in words)


def millimetres(value: Any, key: str = "") -> list[tuple[str, Any]]:
    """Every value under a key that ends in _mm, lists opened."""
    if isinstance(value, dict):
        return [found for k, v in value.items() for found in millimetres(v, k)]
    if isinstance(value, list):
        return [found for v in value for found in millimetres(v, key)]
    return [(key, value)] if key.endswith("_mm") else []


@pytest.mark.parametrize("name", NAMES)
def test_json_lengths_are_whole_millimetres(name: str) -> None:
    document = json.loads(plan_bytes(looked_at()[name], TITLE, ".json"))
    found = millimetres(document)
    assert all(v is None or (isinstance(v, int) and not isinstance(v, bool)) for _, v in found)
    assert document["caution"] == CAUTION
    assert len(document["walls"]) == len(looked_at()[name].placed.walls)


def test_json_says_what_the_sheet_says() -> None:
    document = json.loads(plan_bytes(looked_at()["kitchen-swapped-digits"], TITLE, ".json"))
    assert document["closes"] is False
    assert document["left_out"] == ["A3"]
    assert document["walls"][0]["sections"][2]["length"]["value_mm"] == 1485
    assert document["slips"][0]["would_be_mm"] == 1845
    row = next(c for c in document["closures"] if c["kind"] == "wall")
    assert (row["misclosure_mm"], row["trade_mm"]) == (-360, [30, 40])


def test_json_keeps_words_as_they_came() -> None:
    document = json.loads(plan_bytes(looked_at()["hostile"], TITLE, ".json"))
    assert document["title"] == HOSTILE


@pytest.mark.parametrize("ending", ENDINGS)
def test_writing_by_ending(tmp_path: Path, ending: str) -> None:
    if ending == ".ifc":
        pytest.importorskip("ifcopenshell")
    path = tmp_path / f"plan{ending}"
    write_plan(looked_at()["kitchen-l-shape"], TITLE, path)
    assert path.stat().st_size > 1000


def test_writing_says_what_is_wrong(tmp_path: Path) -> None:
    with pytest.raises(IntakeError, match="unknown ending"):
        write_plan(looked_at()["gap"], TITLE, tmp_path / "plan.dwg")
    with pytest.raises(IntakeError, match="cannot be written"):
        write_plan(looked_at()["gap"], TITLE, tmp_path / "no-such-folder" / "plan.svg")
