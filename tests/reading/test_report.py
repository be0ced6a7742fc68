"""The pictures of docs/reading.md: what the commands that draw them show."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np

from fixtures.benchmark.failures import COLUMNS, TILE, sheet_of, wrong_numbers
from fixtures.training.diagram import reliability_svg
from intake.model.reading import ReadNumber, Role, SketchOutline, SketchReading

BOX = ((10.0, 10.0), (60.0, 10.0), (60.0, 30.0), (10.0, 30.0))


def _number(text: str) -> ReadNumber:
    return ReadNumber(text, None, BOX, 0.9, True, (), Role.SECTION, None, "own")


def test_a_wrong_reading_is_shown_and_a_right_one_is_not() -> None:
    picture = np.full((60, 90, 3), 200, np.uint8)
    truth = {"numbers": [{"text": "84", "box": [list(p) for p in BOX]}]}

    def tiles(text: str) -> int:
        reading = SketchReading(90, 60, "cm", (_number(text),), SketchOutline((), False))
        return len(wrong_numbers(picture, reading, truth))

    assert (tiles("94"), tiles("84")) == (1, 0)
    reading = SketchReading(90, 60, "cm", (_number("94"),), SketchOutline((), False))
    sheet = sheet_of(wrong_numbers(picture, reading, truth) * (COLUMNS + 1))
    assert sheet.size == (COLUMNS * TILE[0], 2 * TILE[1])
    assert len(np.unique(np.asarray(sheet.crop((0, 0, *TILE))))) > 2, "a crop and a line of text"


def test_a_reliability_diagram_has_a_point_for_each_bin_higher_where_more_is_right() -> None:
    drawn = ET.fromstring(reliability_svg([(0.3, 3, 10), (0.9, 9, 10)]))
    points = drawn.findall("{http://www.w3.org/2000/svg}circle")
    assert len(points) == 2
    (low, high) = (float(point.get("cy", "0")) for point in points)
    assert low > high
