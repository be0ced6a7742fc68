"""What a draughtsman looks for on a sheet, whatever it is rendered to."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from intake.domain.room.closing import examine_room
from intake.drawing.border import PAPERS
from intake.drawing.clearance import Clearance, inside, rectangle
from intake.drawing.display import Pen, Sheet, Stroke, Text
from intake.drawing.lettering import clean, printable, shortened, text_width, wrapped
from intake.drawing.plan import choose_scale, plan_sheet
from intake.drawing.titles import CAUTION
from intake.drawing.write import all_sheets
from intake.model.room import Measurement
from tests.drawing.rooms import TITLE, looked_at
from tests.room.build import oracle_room

NAMES = list(looked_at())
ISO_128_WIDTHS = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}
"""The series of line widths of ISO 128-2 (from memory)."""


def sheets(name: str) -> list[Sheet]:
    return all_sheets(looked_at()[name], TITLE)


@pytest.mark.parametrize("name", NAMES)
def test_lettering_is_large_enough_and_pens_are_of_the_series(name: str) -> None:
    for sheet in sheets(name):
        assert min(t.height for t in sheet.texts()) >= 2.5
        pens = {i.pen for i in sheet.items if not isinstance(i, Text) and isinstance(i.pen, Pen)}
        assert {p.width for p in pens} <= ISO_128_WIDTHS


@pytest.mark.parametrize("name", NAMES)
def test_every_sheet_carries_the_caution_and_its_number(name: str) -> None:
    drawn = sheets(name)
    for n, sheet in enumerate(drawn):
        words = [t.text for t in sheet.texts()]
        assert CAUTION in words
        assert f"{n + 1} / {len(drawn)}" in words


@pytest.mark.parametrize("name", NAMES)
def test_everything_lies_on_the_paper(name: str) -> None:
    for sheet in sheets(name):
        for text in sheet.texts():
            for x, y in text.corners():
                assert -0.01 <= x <= sheet.width + 0.01, (sheet.title, text.text)
                assert -0.01 <= y <= sheet.height + 0.01, (sheet.title, text.text)
        for item in sheet.items:
            if isinstance(item, Stroke):
                assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in item.points)


def overlaps(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of lines of lettering that run into each other."""
    found, seen = [], []
    for text in (t for t in sheet.texts() if t.text.strip()):
        alone = Clearance()
        alone.take_text(text)
        found += [(other.text, text.text) for other in seen if not alone.free_text(other)]
        seen.append(text)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_no_lettering_runs_into_other_lettering(name: str) -> None:
    for sheet in sheets(name):
        assert overlaps(sheet) == [], sheet.title


@pytest.mark.parametrize(
    ("name", "want"), [("kitchen-l-shape", (20, "A3")), ("hall", (200, "A3")), ("cupboard", (20, "A4"))]
)
def test_scale_and_paper(name: str, want: tuple[int, str]) -> None:
    assert choose_scale(looked_at()[name]) == want


@pytest.mark.parametrize("name", NAMES)
def test_paper_is_iso_216_landscape(name: str) -> None:
    assert {(s.width, s.height) for s in sheets(name)} <= set(PAPERS.values())


def test_the_plan_is_to_scale() -> None:
    """The faces of wall A of the L-shaped kitchen, measured on paper: 4003 mm or so at 1:20 is 200 mm."""
    examination = looked_at()["kitchen-l-shape"]
    sheet, _ = plan_sheet(examination, TITLE)
    placed = examination.placed.walls[0].length_mm
    faces = [i for i in sheet.items if isinstance(i, Stroke) and i.layer == "WALL" and i.pen and not i.closed]
    top = min(p[1] for i in faces for p in i.points)
    along = [p[0] for i in faces for p in i.points if abs(p[1] - top) < 0.01]
    assert max(along) - min(along) == pytest.approx(placed / 20, abs=0.01)


def test_doubt_is_shown_by_shape_and_words_as_well_as_colour() -> None:
    sheet, _ = plan_sheet(looked_at()["kitchen-swapped-digits"], TITLE)
    words = [t.text for t in sheet.texts()]
    assert "1485 ?" in words
    assert "DOES NOT CLOSE" in words
    assert any(isinstance(i, Stroke) and i.layer == "DOUBT" and i.closed for i in sheet.items)
    assert any("Drawn without A3" in w for w in words)


def test_a_gap_is_drawn_and_named() -> None:
    sheet, _ = plan_sheet(looked_at()["gap"], TITLE)
    words = " ".join(t.text for t in sheet.texts())
    assert "GAP 625 x 0" in words
    assert "misses its start by 625 mm" in words.replace("  ", " ")


def test_what_was_not_measured_is_marked() -> None:
    words = [t.text for t in plan_sheet(looked_at()["bedroom-not-all-measured"], TITLE)[0].texts()]
    assert "(750)" in words  # the door, worked out
    assert "(2000)" in words  # behind the wardrobe, estimated
    words = [t.text for t in plan_sheet(looked_at()["nothing-measured"], TITLE)[0].texts()]
    assert "n.m." in words


def test_north_is_not_known_unless_told() -> None:
    def north(name: str) -> list[str]:
        return [
            t.text
            for t in plan_sheet(looked_at()[name], TITLE)[0].texts()
            if t.text in ("N", "North not known")
        ]

    assert north("kitchen-l-shape") == ["North not known"]
    assert north("bathroom-splayed") == ["N"]


def test_one_elevation_a_wall() -> None:
    words = [t.text for s in sheets("kitchen-l-shape") for t in s.texts()]
    assert [w for w in words if w.startswith("Elevation ")] == [f"Elevation {c}" for c in "ABCDEF"]


def test_lettering_fits_what_it_is_given() -> None:
    assert text_width("4000", 2.5) < text_width("40000", 2.5)
    assert text_width(shortened("a long name of a room", 2.5, 20.0), 2.5) <= 20.0
    assert all(text_width(line, 2.5) <= 30.0 for line in wrapped("W" * 50 + " and more words", 2.5, 30.0))
    assert clean("a\u202eb\x00c\nd") == "a b c d"
    assert printable("\u4e2d\u6587") == "??"
    assert printable("e\u0301") != ""


def test_clearance_tells_apart_what_touches() -> None:
    clear = Clearance()
    clear.take(rectangle(0, 0, 10, 10))
    assert clear.free(rectangle(10, 0, 20, 10))
    assert not clear.free(rectangle(9.9, 0, 20, 10))
    turned = tuple((5 + 4 * math.cos(a), 15 + 4 * math.sin(a)) for a in (0.0, 1.57, 3.14, 4.71))
    assert clear.free(turned)
    assert inside((1, 1), [(0, 0), (4, 0), (0, 4)])
    assert not inside((3, 3), [(0, 0), (4, 0), (0, 4)])


def _elevation_texts(sill: Measurement, head: Measurement) -> dict[str, bool]:
    """The words on the elevations of the oracle room with these heights on its window, and whether each is in doubt."""
    room = oracle_room()
    sections = list(room.walls[0].sections)
    sections[1] = replace(sections[1], sill=sill, head=head)
    room = replace(room, walls=(replace(room.walls[0], sections=tuple(sections)), *room.walls[1:]))
    drawn = all_sheets(examine_room(room), TITLE)
    return {t.text: t.layer == "DOUBT" for s in drawn if s.title == "Elevations" for t in s.texts()}


def test_an_elevation_shows_sill_and_top_with_their_doubts() -> None:
    sure, unsure = Measurement("A2 sill", "104", 1040), Measurement("A2 head", "205", 2050, accepted=False)
    words = _elevation_texts(sure, unsure)
    assert words["1040"] is False and words["2050 ?"] is True
    words = _elevation_texts(replace(sure, accepted=False), replace(unsure, accepted=True))
    assert words["1040 ?"] is True and words["2050"] is False
