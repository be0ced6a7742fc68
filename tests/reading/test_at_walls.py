"""At which wall a thing is: by where its leader leads, by what is drawn beside it, and alike for all numbers of one
label. The drawings are made here; that an arrow's head is at the thing it names is common practice, no source (ISO
129-1:2018 has leader lines end so on what they refer to)."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from intake.domain.sketch.meaning import meanings_of
from intake.domain.sketch.outline_levels import Levels
from intake.model.reading import Alternative, Direction, OutlineWall, Role, Sighting, Stand
from intake.reading.at_walls import HEIGHT, THING, Led, Surroundings, shared
from intake.reading.leaders import frame_of, leader_ink, leaders_of
from intake.reading.sorter import Ink, Sorted
from intake.reading.surroundings import things

SIDE = 600
LABEL = np.array([(250.0, 280.0), (350.0, 280.0), (350.0, 310.0), (250.0, 310.0)])


def sheet(**kinds: NDArray[np.uint8]) -> Sorted:
    """Ink of these kinds, nothing else."""
    planes = np.zeros((len(Ink), SIDE, SIDE), np.uint8)
    for name, plane in kinds.items():
        planes[Ink[name]] = plane
    inside = np.ones((SIDE, SIDE), np.float32)
    return Sorted(planes, inside, (), (), (1.0, 1.0), np.zeros((17, 1, 1), np.float32))


def strokes(*lines: tuple[tuple[int, int], tuple[int, int]]) -> NDArray[np.uint8]:
    plane = np.zeros((SIDE, SIDE), np.uint8)
    for a, b in lines:
        cv2.line(plane, a, b, 255, 3)
    return plane


def arrow(start: tuple[int, int], tip: tuple[int, int]) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    along = np.subtract(tip, start) / np.hypot(*np.subtract(tip, start))
    across = np.array([-along[1], along[0]])
    barbs = [tuple(np.add(tip, -12 * along + side * 7 * across).astype(int)) for side in (-1, 1)]
    return [(start, tip), *((barb, tip) for barb in barbs)]  # type: ignore[list-item]


@pytest.mark.parametrize("tip", [(540, 300), (440, 120), (300, 80), (60, 470)])
def test_an_arrow_from_a_label_leads_to_its_tip(tip: tuple[int, int]) -> None:
    way = np.subtract(tip, LABEL.mean(axis=0))
    edge = (np.array([58.0, 23.0]) / np.maximum(np.abs(way), 1e-6)).min()
    start = tuple((LABEL.mean(axis=0) + edge * way).astype(int))
    found = leaders_of(frame_of(LABEL), leader_ink(sheet(LINE=strokes(*arrow(start, tip)))))
    best = max(found, key=lambda leader: leader.head)
    assert np.hypot(*(best.end - tip)) < 12
    assert best.head > 0.7
    assert best.passing == 0.0


def test_a_leader_runs_on_across_a_wall_and_ends_at_the_head_though_a_line_goes_on() -> None:
    line = strokes(*arrow((362, 295), (470, 295)), ((470, 200), (470, 400)))
    wall = strokes(((420, 100), (420, 500)))
    line[wall > 0] = 0
    found = leaders_of(frame_of(LABEL), leader_ink(sheet(LINE=line, WALL=wall)))
    assert any(abs(leader.end[0] - 470) < 14 and abs(leader.end[1] - 295) < 8 for leader in found)


def test_a_dimension_line_beside_a_number_is_seen_to_pass_by_and_a_line_clear_of_it_is_none() -> None:
    beside = leaders_of(frame_of(LABEL), leader_ink(sheet(LINE=strokes(((150, 325), (450, 325))))))
    assert all(leader.passing for leader in beside)
    assert not leaders_of(frame_of(LABEL), leader_ink(sheet(LINE=strokes(((150, 400), (450, 400))))))


def test_things_are_pieces_of_drawing_and_a_dashed_one_is_one() -> None:
    dashes = [((x, 100), (x + 6, 100)) for x in range(100, 200, 10)]
    found = things(sheet(OTHER=strokes(*dashes, ((400, 400), (450, 400)))))
    assert len(found) == 2
    assert min(np.ptp(piece[:, 0]) for piece in found) > 40


def stood(**other: object) -> Surroundings:
    """A number amid four walls, of which nothing tells."""
    same = np.full(4, 0.25)
    plain = Surroundings(0, same, 0.99, 0.05, np.full(4, 0.2), None, 0.0, np.full(4, np.inf), ())
    return replace(plain, **other)  # type: ignore[arg-type]


def led_to(wall: int, head: float = 1.0, passing: float = 0.0) -> Led:
    apart = np.full(4, 0.3)
    apart[wall] = 0.01
    return Led((0.1, 1.0, head, passing), apart)


def test_the_chances_of_all_walls_and_of_none_add_up_to_one() -> None:
    some = [stood(), stood(leaders=(led_to(1), led_to(2))), stood(label=3, thing=np.arange(4) / 10, free=0.1)]
    for fit in (THING, HEIGHT):
        for shares in shared(some, fit):
            assert shares.sum() == pytest.approx(1.0)
            assert shares.min() >= 0.0


@pytest.mark.parametrize("fit", [THING, HEIGHT])
def test_a_leader_says_at_which_wall_and_one_that_passes_by_says_less(fit: object) -> None:
    led, passing = (shared([stood(leaders=(led_to(2, passing=p),))], fit)[0] for p in (0.0, 1.0))  # type: ignore[arg-type]
    assert led.argmax() == 2
    assert led[2] > 0.6
    assert passing[2] < led[2]


def test_numbers_of_one_label_are_at_one_wall_and_those_of_another_are_not() -> None:
    near, far = np.array([0.9, 0.04, 0.03, 0.03]), np.array([0.4, 0.5, 0.05, 0.05])
    one, two, other = shared([stood(odds=near), stood(odds=far), stood(label=1, odds=far)], THING)
    assert np.array_equal(one, two)
    assert one.argmax() == 0
    assert other.argmax() == 1


@pytest.mark.parametrize(
    ("of_wall", "depth", "none"), [(0.95, 0.02, False), (0.7, 0.2, True), (0.2, 0.15, True)]
)
def test_a_thing_deep_within_the_room_is_of_no_wall(of_wall: float, depth: float, none: bool) -> None:
    assert bool(shared([stood(of_wall=of_wall, depth=depth)], THING)[0][4] > 0.5) is none


def test_what_stands_free_in_the_room_is_at_no_wall() -> None:
    thing = np.array([0.2, 0.3, 0.3, 0.3])
    bound, free = (shared([stood(thing=thing, free=off, depth=0.15)], THING)[0] for off in (0.0, 0.1))
    assert free[4] > 1.5 * bound[4]


CORNERS = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
WALLS = [
    OutlineWall(n, CORNERS[n], CORNERS[(n + 1) % 4], way)
    for n, way in enumerate((Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH))
]


def test_what_a_number_says_what_it_measures_and_where_are_told_apart() -> None:
    """So the chance of a meaning is the product of the three."""
    stands = (Stand(2, 0.7, (0.0, 1.0)), Stand(1, 0.3, (0.0, 1.0)))
    roles = {Role.OVERALL: 0.6, Role.SECTION: 0.4}
    seen = Sighting((Alternative("300", 0.99),), roles, {}, stands, 1.0, (200.0, 290.0))
    found = {
        (m.role, m.wall): np.exp(m.log) for m in meanings_of(seen, Levels(WALLS), "cm", 10.0) if m.text == 0
    }
    for role, chance in roles.items():
        for stand in stands:
            assert found[role, stand.wall] == pytest.approx(0.99 * chance * stand.weight, rel=0.01)


@pytest.mark.parametrize(("of_wall", "wall"), [(0.9, 2), (0.1, None)])
def test_a_ceilings_height_is_of_no_wall_and_says_by_which_one_it_is_written(
    of_wall: float, wall: int | None
) -> None:
    stands = (Stand(2, 0.7, (0.0, 1.0)), Stand(1, 0.2, (0.0, 1.0)), Stand(0, 0.1, (0.0, 1.0)))
    seen = Sighting((Alternative("240", 0.99),), {Role.CEILING: 0.9}, {}, stands, of_wall, (200.0, 250.0))
    ceilings = [m for m in meanings_of(seen, Levels(WALLS), "cm", 10.0) if m.role is Role.CEILING]
    assert [(m.text, m.wall) for m in ceilings] == [(0, wall), (None, wall)]
    assert np.exp(ceilings[0].log) == pytest.approx(0.99, rel=0.05)


def test_a_thing_is_likeliest_at_the_wall_that_is_told_and_its_role_as_likely_as_before() -> None:
    stands = tuple(
        Stand(n, 0.97 if n == 0 else 0.01, (0.0, 1.0), thing=t) for n, t in enumerate((0.1, 0.0, 0.8, 0.0))
    )
    seen = Sighting(
        (Alternative("60", 0.99),), {Role.FIXTURE: 0.9, Role.SECTION: 0.1}, stands=stands, at=(50.0, 40.0)
    )
    found = [
        m for m in meanings_of(seen, Levels(WALLS), "cm", 10.0) if m.role is Role.FIXTURE and m.text == 0
    ]
    assert [m.wall for m in found] == [2, 0, None]
    assert sum(np.exp(m.log) for m in found) == pytest.approx(0.9 * 0.99, rel=0.02)
