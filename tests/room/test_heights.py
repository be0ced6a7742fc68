"""Heights that must agree; guidance stays a caution."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.room.heights import check_heights, head_mm, height_cautions, sill_mm
from intake.model.checklist import RoomKind
from intake.model.reading import Direction
from intake.model.room import Fixed, RoomSurvey, Section, SectionKind, Slope, Wall
from intake.wording import desk
from tests.room.build import length, oracle_room


def room(
    kind: RoomKind = RoomKind.KITCHEN, ceilings: tuple[int, ...] = (2400,), **heights: int
) -> RoomSurvey:
    measured = {name: length(f"A1 {name}", value) for name, value in heights.items()}
    window = replace(Section(SectionKind.WINDOW, length("A1", 1200)), **measured)
    wall = Wall(0, Direction.EAST, (window,))
    return RoomSurvey(kind, walls=(wall,), ceilings=tuple(length(f"c{n}", v) for n, v in enumerate(ceilings)))


def codes(survey: RoomSurvey) -> list[str]:
    return [f.code for f in check_heights(survey)]


def test_heights_that_add_up() -> None:
    assert codes(room(sill=1050, top_above_sill=1050, above=300)) == []


def test_sill_and_window_and_what_is_above_miss_the_ceiling() -> None:
    assert codes(room(sill=1050, top_above_sill=1050, above=400)) == ["heights-miss-ceiling"]


def test_a_window_that_ends_above_the_ceiling() -> None:
    assert codes(room(sill=1050, top_above_sill=1450)) == ["head-above-ceiling"]


def test_a_sill_in_two_parts() -> None:
    section = room(worktop=910, worktop_to_sill=145).walls[0].sections[0]
    assert sill_mm(section) == 1055
    assert codes(room(worktop=910, worktop_to_sill=145, sill=1055)) == []
    assert codes(room(worktop=910, worktop_to_sill=145, sill=1155)) == ["sill-parts-disagree"]


def test_the_head_is_the_sill_and_the_window() -> None:
    assert head_mm(room(sill=1050, top_above_sill=1050).walls[0].sections[0]) == 2100
    assert codes(room(sill=1050, top_above_sill=1050, top_above_floor=2200)) == ["head-disagrees"]


@pytest.mark.parametrize(
    ("heights", "what"),
    [({"sill": 10500}, "Sill"), ({"reveal": 1200}, "Reveal"), ({"top_above_floor": 210}, "Head")],
)
def test_unlikely_heights(heights: dict[str, int], what: str) -> None:
    findings = check_heights(replace(room(**heights), ceilings=()))
    assert [f.code for f in findings] == ["height-unlikely"]
    assert desk.worded(findings[0].text).startswith(what)


def test_ceilings() -> None:
    assert codes(room(ceilings=(2400, 2410))) == []
    assert codes(room(ceilings=(2400, 2500))) == ["ceiling-uneven"]
    assert codes(room(ceilings=(240,))) == ["height-unlikely"]


def test_slopes() -> None:
    sloped = replace(room(), slopes=(Slope(0, length("low", 2450), length("starts", 900)),))
    assert codes(sloped) == ["slope-above-ceiling"]
    low = replace(room(), slopes=(Slope(0, length("low", 1300), length("starts", 900)),))
    assert [c.code for c in height_cautions(low)] == ["caution-headroom"]


@pytest.mark.parametrize(("falls_to", "north"), [(3, (500, 1200, 2300)), (1, (2300, 1200, 500))])
def test_a_window_under_a_slope(falls_to: int, north: tuple[int, ...]) -> None:
    """The slope rises from 1.3 m at the wall on the left, or the right, to 2.4 m over 1 m, so half a metre along wall
    A it leaves 1.85 m."""
    walls = oracle_room(north=north).walls
    window = replace(walls[0].sections[1], sill=length("sill", 1000), top_above_sill=length("tall", 1000))
    top = replace(walls[0], sections=(walls[0].sections[0], window, walls[0].sections[2]))
    slope = Slope(falls_to, length("low", 1300), length("starts", 1000))
    survey = RoomSurvey(walls=(top, *walls[1:]), ceilings=(length("c", 2400),), slopes=(slope,))
    assert codes(survey) == ["head-above-slope"]
    assert "185" in desk.worded(check_heights(survey)[0].text)
    steeper = replace(slope, starts=length("starts", 600))
    assert codes(replace(survey, slopes=(steeper,))) == []


def test_gas_and_electricity_are_for_the_licensed() -> None:
    fixed = (Fixed("Boiler"), Fixed("double socket"))
    texts = {
        c.code: desk.worded(c.text) for c in height_cautions(replace(room(RoomKind.BATHROOM), fixed=fixed))
    }
    assert "Gas Safe registered engineer" in texts["caution-gas"]
    assert "BS 7671" in texts["caution-electrical"]


@pytest.mark.parametrize(
    ("kind", "sill", "want"),
    [
        (RoomKind.KITCHEN, 900, ["caution-sill-worktop"]),
        (RoomKind.KITCHEN, 1050, []),
        (RoomKind.BEDROOM, 1150, ["caution-escape"]),
        (RoomKind.BEDROOM, 600, ["caution-guarding"]),
    ],
)
def test_guidance_is_a_caution_that_defers(kind: RoomKind, sill: int, want: list[str]) -> None:
    survey = room(kind, sill=sill)
    cautions = height_cautions(survey)
    assert [c.code for c in cautions] == want
    assert all("local codes and a licensed professional decide" in desk.worded(c.text) for c in cautions)
    assert codes(survey) == []
