"""What must hold of any room."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from intake.domain.room.closing import examine_room
from intake.model.reading import Direction
from intake.model.room import Across, Measurement, RoomSurvey, Section, SectionKind, Wall
from tests.room.build import RECTANGLE, length, wall

parts = st.lists(st.integers(8, 300), min_size=1, max_size=5).map(lambda v: [5 * n for n in v])


@st.composite
def consistent_rooms(draw: st.DrawFn) -> RoomSurvey:
    """Rectangles and L-shapes whose readings are exact: chains, overalls on some walls, both axes closed."""
    across, down = draw(parts), draw(parts)
    width, depth = sum(across), sum(down)
    overall = draw(st.lists(st.booleans(), min_size=6, max_size=6))

    def a_wall(n: int, direction: Direction, lengths: list[int]) -> Wall:
        return wall(n, direction, lengths, sum(lengths) if overall[n] else None)

    if width < 400 or depth < 400 or draw(st.booleans()):
        chains = (across, down, draw(st.permutations(across)), draw(st.permutations(down)))
        return RoomSurvey(
            walls=tuple(a_wall(n, d, list(c)) for n, (d, c) in enumerate(zip(RECTANGLE, chains, strict=True)))
        )
    notch_across, notch_down = width // 10 * 5, depth // 10 * 5
    steps = (
        (Direction.EAST, across),
        (Direction.SOUTH, [depth - notch_down]),
        (Direction.WEST, [notch_across]),
        (Direction.SOUTH, [notch_down]),
        (Direction.WEST, [width - notch_across]),
        (Direction.NORTH, down),
    )
    return RoomSurvey(walls=tuple(a_wall(n, d, list(c)) for n, (d, c) in enumerate(steps)))


@given(consistent_rooms())
@settings(max_examples=60, deadline=None)
def test_a_consistent_room_closes_to_zero(room: RoomSurvey) -> None:
    examination = examine_room(room)
    assert examination.closes is True
    assert [c.misclosure_mm for c in examination.closures] == [0] * len(examination.closures)
    assert max(abs(r.residual_mm) for r in examination.readings) < 0.1
    polygon = Polygon([w.start for w in examination.placed.walls])
    assert polygon.is_valid
    assert examination.placed.area_mm2 == pytest.approx(polygon.area)


@given(consistent_rooms(), st.data())
@settings(max_examples=60, deadline=None)
def test_one_more_overall_never_raises_a_deviation(room: RoomSurvey, data: st.DataObject) -> None:
    n = data.draw(st.integers(0, len(room.walls) - 1))
    more = replace(room.walls[n], overalls=(*room.walls[n].overalls, length("again", 1234, 7.0)))
    before = {r.id: r.sd_mm for r in examine_room(room).readings}
    walls = (*room.walls[:n], more, *room.walls[n + 1 :])
    examination = examine_room(replace(room, walls=walls))
    assume("careless-tape" not in {n.code for n in examination.notes})
    after = {r.id: r.sd_mm for r in examination.readings}
    assert all(after[reading] <= sd + 1e-6 for reading, sd in before.items())


@given(consistent_rooms())
@settings(max_examples=40, deadline=None)
def test_redundancies_sum_to_what_there_is_too_many(room: RoomSurvey) -> None:
    """sum r = n - u (standard theory): one for each overall beside a chain and one an axis that closes."""
    sections = sum(len(w.sections) for w in room.walls)
    overalls = sum(len(w.overalls) for w in room.walls)
    inner = sum(len(w.sections) - 1 for w in room.walls)
    levels = len(room.walls) - 2
    freedom = sections + overalls - inner - levels
    assert sum(r.redundancy for r in examine_room(room).readings) == pytest.approx(freedom, abs=1e-3)


values = st.one_of(st.none(), st.integers(-5000, 200_000))


@st.composite
def any_rooms(draw: st.DrawFn) -> RoomSurvey:
    """Nonsense, as mail can bring it."""
    walls = []
    for n in range(draw(st.integers(0, 9))):
        kinds = draw(st.lists(st.sampled_from(list(SectionKind)), max_size=4))
        sections = tuple(Section(k, Measurement(f"{n}.{i}", "x", draw(values))) for i, k in enumerate(kinds))
        overalls = tuple(
            Measurement(f"{n} o{i}", "", draw(values), 7.0) for i in range(draw(st.integers(0, 2)))
        )
        walls.append(Wall(n, draw(st.sampled_from(list(Direction))), sections, overalls))
    corners = st.tuples(st.integers(0, max(len(walls) - 1, 0)), st.integers(0, max(len(walls) - 1, 0)))
    across = [
        Across(
            Measurement(f"across {i}", "", draw(values)),
            **{draw(st.sampled_from(["corners", "walls"])): draw(corners)},
        )
        for i in range(draw(st.integers(0, 2)) if walls else 0)
    ]
    return RoomSurvey(walls=tuple(walls), across=tuple(across), closed=draw(st.booleans()))


@given(any_rooms())
@settings(max_examples=150, deadline=None)
def test_no_room_raises_and_none_loses_a_measurement(room: RoomSurvey) -> None:
    examination = examine_room(room)
    assert examination.survey == room
    assert len(examination.placed.walls) in (0, len(room.walls))
    for placed, drawn in zip(examination.placed.walls, room.walls, strict=False):
        assert len(placed.sections) == len(drawn.sections)
    assert all(0.0 <= s.probability <= 1.0 + 1e-9 for s in examination.slips)
