"""The files, opened again by other programs' readers."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pypdfium2
import pytest

from intake.drawing.plan import plan_svg
from intake.drawing.titles import CAUTION
from intake.drawing.write import ENDINGS, plan_bytes, write_plan
from intake.model.errors import IntakeError
from tests.drawing.rooms import HOSTILE, TITLE, looked_at

NAMES = list(looked_at())
SVG = "{http://www.w3.org/2000/svg}"


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
    document = pypdfium2.PdfDocument(plan_bytes(looked_at()[name], TITLE, ".pdf"))
    assert len(document) >= 2
    for page in document:
        assert CAUTION in page.get_textpage().get_text_bounded().replace("\r\n", " ")


def test_pdf_is_vector_with_its_paper_size() -> None:
    document = pypdfium2.PdfDocument(plan_bytes(looked_at()["kitchen-l-shape"], TITLE, ".pdf"))
    width, height = document[0].get_size()
    assert (width / 72 * 25.4, height / 72 * 25.4) == pytest.approx((420, 297), abs=0.1)
    kinds = {o.type for o in document[0].get_objects()}
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds


@pytest.mark.parametrize("name", NAMES)
def test_dxf_passes_the_audit_with_its_units_set(name: str) -> None:
    document = ezdxf.read(StringIO(plan_bytes(looked_at()[name], TITLE, ".dxf").decode()))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.units == ezdxf.units.MM


def test_dxf_is_at_full_size_in_millimetres() -> None:
    document = ezdxf.read(StringIO(plan_bytes(looked_at()["kitchen-swapped-digits"], TITLE, ".dxf").decode()))
    lines = document.modelspace().query('LWPOLYLINE[layer=="WALL"]')
    lengths = [abs(p.get_points()[0][0] - p.get_points()[-1][0]) for p in lines]
    placed = looked_at()["kitchen-swapped-digits"].placed.walls[2].sections
    assert any(v == pytest.approx(placed[0].end_mm - placed[0].start_mm, abs=0.01) for v in lengths)


def test_hostile_words_are_no_codes_in_dxf() -> None:
    document = ezdxf.read(StringIO(plan_bytes(looked_at()["hostile"], TITLE, ".dxf").decode()))
    words = [t.plain_text() for t in document.modelspace().query("TEXT")]
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
    path = tmp_path / f"plan{ending}"
    write_plan(looked_at()["kitchen-l-shape"], TITLE, path)
    assert path.stat().st_size > 1000


def test_writing_says_what_is_wrong(tmp_path: Path) -> None:
    with pytest.raises(IntakeError, match="unknown ending"):
        write_plan(looked_at()["gap"], TITLE, tmp_path / "plan.dwg")
    with pytest.raises(IntakeError, match="cannot be written"):
        write_plan(looked_at()["gap"], TITLE, tmp_path / "no-such-folder" / "plan.svg")
