"""What a curved wall, an alcove or a breast adds to the floor and takes from it, against plane geometry."""

from __future__ import annotations

import math

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.room.floor import curve_depths, curve_profile
from intake.domain.room.room_file import room_from_dict
from intake.model.examination import RoomExamination

RADIUS = 1500**2 / (8 * 200) + 200 / 2
"""Of an arc over 1500 mm with a rise of 200 (the sagitta, textbook geometry)."""
HALF = math.asin(750 / RADIUS)
SEGMENT = RADIUS**2 * (HALF - math.sin(HALF) * math.cos(HALF))
"""The area between an arc and its chord (textbook geometry)."""


def with_top(piece: dict[str, object]) -> RoomExamination:
    """A room of 4 x 3 m with a piece of 1500 mm in the middle of its top wall."""
    top = [1250, piece, 1250]
    walls = [("E", top), ("S", [3000]), ("W", [4000]), ("N", [3000])]
    return examine_room(
        room_from_dict({"unit": "mm", "walls": [{"runs": r, "sections": s} for r, s in walls]})
    )


def gained(piece: dict[str, object]) -> int | None:
    net = with_top(piece).placed.net_area_mm2
    return None if net is None else net - 12_000_000


@pytest.mark.parametrize("bows", ["in", "out"])
def test_a_bow_takes_or_adds_the_segment_of_its_circle(bows: str) -> None:
    sign = 1 if bows == "out" else -1
    one = {"curve": 1500, "depth": 200, "bows": bows}
    assert gained(one) == pytest.approx(sign * SEGMENT, rel=2e-3)
    offsets = [RADIUS * math.cos(math.asin(x / RADIUS)) - RADIUS + 200 for x in (-375, 0, 375)]
    several = {"curve": 1500, "depths": [round(o) for o in offsets], "bows": bows}
    assert gained(several) == pytest.approx(
        sign * SEGMENT, rel=0.02
    )  # a spline through five points of the arc


def test_what_stands_out_takes_floor_and_an_alcove_adds_it() -> None:
    pieces = (
        {"chimney-breast": 1500, "depth": 300},
        {"alcove": 1500, "depth": 300},
        {"window": 1500, "depth": 300},
    )
    assert [gained(p) for p in pieces] == [-450_000, 450_000, 0]
    assert gained({"chimney-breast": 1500, "depth": "?"}) is None
    assert gained({"curve": 1500, "depths": [100, "?"], "bows": "out"}) is None


def test_a_curve_passes_through_what_was_measured() -> None:
    piece = {"curve": 1500, "depths": [180, 260, 200], "bows": "out"}
    section = with_top(piece).survey.walls[0].sections[1]
    profile = dict(curve_profile(section, 2400.0, curve_depths(section)))
    assert [-profile[at] for at in (0.0, 600.0, 1200.0, 1800.0, 2400.0)] == pytest.approx(
        [0, 180, 260, 200, 0], abs=1e-6
    )
