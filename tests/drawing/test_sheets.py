"""What a draughtsman looks for on a sheet, whatever it is rendered to."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from io import BytesIO
from xml.etree import ElementTree

import pytest
from PIL import Image
from shapely.geometry import Polygon

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.drawing.border import PAPERS, drawing_area
from intake.drawing.clearance import Clearance, inside, rectangle
from intake.drawing.columns import CellRow
from intake.drawing.dimensions import Mark, dimension_of
from intake.drawing.display import LineStyle, Sheet, Stroke, Text, extent_of
from intake.drawing.lettering import clean, printable, shortened, text_width, wrapped
from intake.drawing.panel import panel_blocks
from intake.drawing.plan import choose_scale, plan_sheet, plan_svg
from intake.drawing.tables import table_sheets
from intake.drawing.titles import CAUTION, revision_of
from intake.drawing.write import all_sheets
from intake.model.examination import Basis
from intake.model.room import Measurement
from intake.wording import desk
from tests.drawing.rooms import TITLE, looked_at
from tests.room.build import oracle_room

NAMES = list(looked_at())
ISO_128_WIDTHS = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}
"""The series of line widths of ISO 128-2 (from memory)."""


@cache
def sheets(name: str) -> list[Sheet]:
    return all_sheets(looked_at()[name], TITLE)[0]


@pytest.mark.parametrize("name", NAMES)
def test_lettering_is_large_enough_and_pens_are_of_the_series(name: str) -> None:
    for sheet in sheets(name):
        assert min(t.height for t in sheet.texts()) >= 2.5
        pens = {i.pen for i in sheet.items if not isinstance(i, Text) and isinstance(i.pen, LineStyle)}
        assert {p.width for p in pens} <= ISO_128_WIDTHS


@pytest.mark.parametrize("name", NAMES)
def test_every_sheet_carries_the_caution_and_its_number(name: str) -> None:
    drawn = sheets(name)
    for n, sheet in enumerate(drawn):
        words = [t.text for t in sheet.texts()]
        assert CAUTION in words
        assert f"{n + 1} / {len(drawn)}" in words


def test_the_logo_stands_in_the_title_block_beside_the_name() -> None:
    """On every sheet, within its field, clear of the lettering; the plan's SVG holds it, a DXF does not."""
    out = BytesIO()
    Image.new("RGB", (60, 20), "navy").save(out, "JPEG")
    title = replace(TITLE, logo=out.getvalue())
    examination = looked_at()["kitchen-l-shape"]
    for sheet in all_sheets(examination, title)[0]:
        logo = sheet.logo
        assert logo is not None
        field = rectangle(logo.left, logo.top, logo.left + logo.width, logo.top + logo.height)
        assert all(not Polygon(t.corners()).intersects(Polygon(field)) for t in sheet.texts()), sheet.title
        assert logo.top + logo.height <= sheet.height - 10
    assert "data:image/jpeg;base64," in plan_svg(examination, title)
    assert all(s.logo is None for s in all_sheets(examination, TITLE)[0])


@pytest.mark.parametrize("name", NAMES)
def test_elevations_take_no_more_paper_than_they_need_and_stand_in_its_middle(name: str) -> None:
    drawn = [s for s in sheets(name) if s.title == "Elevations"]
    for sheet in drawn:
        ink = replace(sheet, items=[i for i in sheet.items if i.layer != "FRAME"])
        (left, _, right, _), area = extent_of(ink), drawing_area(sheet.paper, panel=False)
        assert abs((left - area.left) - (area.right - right)) < 25, "but for the lengths on one side"
        if len(drawn) == 1 and sheet.paper == "A3":
            small = drawing_area("A4", panel=False)
            assert extent_of(ink)[3] - extent_of(ink)[1] > small.height or right - left > small.width


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


def overlaps(sheet: Sheet) -> list[str]:
    """The lines of lettering that run into one before them."""
    found, before = [], Clearance()
    for text in (t for t in sheet.texts() if t.text.strip()):
        if not before.free_text(text):
            found.append(text.text)
        before.take_text(text)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_no_lettering_runs_into_other_lettering(name: str) -> None:
    for sheet in sheets(name):
        assert overlaps(sheet) == [], sheet.title


@pytest.mark.parametrize(
    ("name", "want"),
    [("kitchen-l-shape", (20, "A3", True)), ("hall", (200, "A3", True)), ("cupboard", (20, "A4", True))],
)
def test_scale_and_paper(name: str, want: tuple[int, str, bool]) -> None:
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


def test_no_length_of_a_room_that_does_not_close_is_printed_adjusted() -> None:
    """It would be pulled to whatever the slip is: 1562 cm for a wall of 284 opposite one read as 2840."""
    room = looked_at()["kitchen-swapped-digits"]
    table = {t.text for sheet in table_sheets(room, "A3", 20, []) for t in sheet.texts()}
    measured = {str(abs(m.value_mm or 0)) for m in room.survey.lengths()}
    adjusted = {f"{r.adjusted_mm:.0f}" for r in room.readings} - measured
    assert adjusted and not adjusted & table
    words = [t.text for sheet in sheets("kitchen-swapped-digits") for t in sheet.texts()]
    assert not any("%" in w for w in words), "chances are said in words"


def test_a_gap_is_drawn_and_named() -> None:
    sheet, _ = plan_sheet(looked_at()["gap"], TITLE)
    words = " ".join(t.text for t in sheet.texts())
    assert "GAP 625 x 0" in words
    assert "misses its start by 625 mm" in words.replace("  ", " ")


def test_what_was_not_measured_is_marked() -> None:
    words = [t.text for t in plan_sheet(looked_at()["bedroom-not-all-measured"], TITLE)[0].texts()]
    assert any(w.startswith("(750 ±") for w in words)  # the door, worked out
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
    sections[1] = replace(sections[1], sill=sill, top_above_floor=head)
    room = replace(room, walls=(replace(room.walls[0], sections=tuple(sections)), *room.walls[1:]))
    drawn, _ = all_sheets(examine_room(room), TITLE)
    return {t.text: t.layer == "DOUBT" for s in drawn if s.title == "Elevations" for t in s.texts()}


def test_an_elevation_shows_sill_and_top_with_their_doubts() -> None:
    sure, unsure = Measurement("A2 sill", "104", 1040), Measurement("A2 head", "205", 2050, accepted=False)
    words = _elevation_texts(sure, unsure)
    assert words["1040"] is False and words["2050 ?"] is True
    words = _elevation_texts(replace(sure, accepted=False), replace(unsure, accepted=True))
    assert words["1040 ?"] is True and words["2050"] is False


@pytest.mark.parametrize("name", NAMES)
def test_no_wall_is_without_its_letter(name: str) -> None:
    examination = looked_at()[name]
    words = [t.text for t in plan_sheet(examination, TITLE)[0].texts() if t.bold]
    missing = {w.letter for w in examination.survey.walls} - set(words)
    assert not missing or not examination.placed.walls


@pytest.mark.parametrize("name", NAMES)
def test_every_drawing_says_what_is_taken_for_granted_of_the_corners(name: str) -> None:
    said = desk.worded(looked_at()[name].placed.squareness.text)
    for sheet in sheets(name):
        assert any(t.text and said.startswith(t.text.rstrip("…")) for t in sheet.texts())
    if looked_at()[name].placed.walls:
        alone = " ".join(ElementTree.fromstring(plan_svg(looked_at()[name])).itertext())
        assert said.split(";")[0].split(":")[0] in " ".join(alone.split())


@pytest.mark.parametrize("name", NAMES)
def test_the_svg_holds_every_block_of_the_panel(name: str) -> None:
    """Words compared without spaces, as lines are broken where they end."""
    drawn = "".join("".join(ElementTree.fromstring(plan_svg(looked_at()[name], TITLE)).itertext()).split())
    for block in panel_blocks(looked_at()[name]):
        text = clean(block.cells[0] if isinstance(block, CellRow) else block.text, 600)
        words = [w for w in text.split() if len(w) < 30]
        assert all(w in drawn for w in words), text


def test_the_angles_of_a_room_out_of_square_stand_at_its_corners() -> None:
    words = [t.text for t in plan_sheet(looked_at()["kitchen-out-of-square"], TITLE)[0].texts()]
    assert [w for w in words if w.endswith("°")] == ["88.2°", "91.8°", "88.2°", "91.8°"]


def test_revision_changes_with_the_survey_and_with_nothing_else() -> None:
    one, two = oracle_room(), oracle_room(north=(960, 1200, 1840))
    assert revision_of(one) == revision_of(oracle_room())
    assert revision_of(one) != revision_of(two)


def test_a_worked_out_length_beyond_its_deviation_is_doubtful() -> None:
    known = dimension_of(Measurement(""), 0, 900, Basis.DERIVED, frozenset(), 6.0)
    assert known.label() == "(900 ±12)"
    unsure = dimension_of(Measurement(""), 0, 900, Basis.DERIVED, frozenset(), 31.0)
    assert (unsure.mark, unsure.label()) == (Mark.DOUBTFUL, "900 ±62 ?")


def test_the_glass_lies_as_deep_as_the_reveal() -> None:
    """Reveal 220: the frame's near edge 220 mm from the face, so 11 mm on paper at 1:20."""
    sheet, _ = plan_sheet(looked_at()["kitchen-out-of-square"], TITLE)
    cases = [i for i in sheet.items if isinstance(i, Stroke) and i.layer == "OPENING" and i.closed and i.pen]
    face = max(
        p[1]
        for i in sheet.items
        if isinstance(i, Stroke) and i.layer == "OPENING"
        for p in i.points[:1]
        if p[1] < 70
    )
    assert face - max(p[1] for p in cases[0].points) == pytest.approx(220 / 20, abs=0.01)


def test_the_returns_of_a_breast_have_their_lengths_beside_it() -> None:
    """Two walls of 38 and 37 cm with a dimension string on every side: none is left to the table."""
    walls = [("E", 300), ("S", 142), ("W", 38), ("S", 139.5), ("E", 37), ("S", 150), ("W", 300), ("N", 431.5)]
    entries = [{"runs": runs, "sections": [{"wall": cm}]} for runs, cm in walls]
    room = room_from_dict({"room": "kitchen", "unit": "cm", "walls": entries})
    sheet = all_sheets(examine_room(room), TITLE)[0][0]
    assert sheet.scale == 50
    assert {"380", "370", "1395"} <= {t.text for t in sheet.texts()}


@pytest.mark.parametrize("name", NAMES)
def test_what_an_opening_is_called_is_no_length_of_a_wall(name: str) -> None:
    """ "D1" was both door 1 and the first length of wall D."""
    room = looked_at()[name].survey
    sections = {s.length.id for wall in room.walls for s in wall.sections}
    assert not sections & set(room.opening_tags().values())
