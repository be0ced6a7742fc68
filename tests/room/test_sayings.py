"""What an examination says where a designer acts on it: how many are named, which numbers it points to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from intake.domain.room.changes import Suspect
from intake.domain.room.closing import examine_room, plan_findings
from intake.domain.room.closing_findings import signed_cm
from intake.domain.room.net import has_diagonal
from intake.domain.room.room_file import room_from_dict
from intake.domain.room.slip_words import slip_of
from intake.model.examination import SlipKind
from intake.model.reading import Direction
from intake.model.room import Across, Measurement, RoomSurvey, SectionKind
from intake.wording import desk
from intake.wording.desk import worded
from tests.checklist.test_typed_room import _room, _standings
from tests.room.build import RECTANGLE, length, oracle_room, wall


def finding(room: RoomSurvey, code: str) -> str:
    found = examine_room(room)
    return next((desk.worded(f.text) for f in (*found.findings, *found.notes) if f.code == code), "")


def with_windows(count: int) -> RoomSurvey:
    """A room whose top wall has so many windows of which none was measured."""
    kinds = (SectionKind.WINDOW,) * count
    walls = [wall(0, Direction.EAST, [None] * count, 12000, kinds)]
    walls += [wall(n, d, (3000 if n % 2 else 12000,)) for n, d in list(enumerate(RECTANGLE))[1:]]
    return RoomSurvey(walls=tuple(walls))


@pytest.mark.parametrize(("count", "more"), [(1, False), (8, False), (9, True)])
def test_what_has_no_length_is_named_up_to_eight(count: int, more: bool) -> None:
    text = finding(with_windows(count), "not-measured")
    assert text.startswith("Without a length: A1") and (" and more" in text) is more
    assert text.count("A") == min(count, 8)


def rectangle_of_pieces(scatter: int, off: int) -> RoomSurvey:
    """4 by 3 m in seven pieces and four overalls; one piece of each wall is `scatter` too long, an overall by `off`."""
    walls = (
        (1000, 1200, 1800 + scatter),
        (1500, 1500 + scatter),
        (2000, 2000 + scatter),
        (1000 + scatter, 2000),
    )
    overalls = (4000, 3000, 4000 + off, 3000)
    return RoomSurvey(
        walls=tuple(wall(n, d, walls[n], overalls[n]) for n, d in enumerate(RECTANGLE)),
    )


@pytest.mark.parametrize(
    ("scatter", "off", "says"),
    [(0, 14, ""), (0, 16, "1.6 cm shorter"), (0, -18, "1.8 cm longer"), (9, 16, ""), (0, 40, "")],
)
def test_among_lengths_that_agree_a_small_difference_stands_out(scatter: int, off: int, says: str) -> None:
    """Within its limit, but not within the scatter of a customer who measures so closely; a large one is a slip."""
    found = finding(rectangle_of_pieces(scatter, off), "stands-out")
    assert (found.startswith("C overall stands out") and says in found) if says else not found


@pytest.mark.parametrize(("count", "more"), [(1, False), (8, False), (9, True)])
def test_what_stands_on_no_wall_is_named_up_to_eight(count: int, more: bool) -> None:
    stray = tuple(replace(length(f"stray {n}", 700), text="70", number=n) for n in range(count))
    text = finding(replace(oracle_room(), unplaced=stray), "unplaced")
    assert text.count("70") == min(count, 8) and (" and more" in text) is more


@pytest.mark.parametrize(("mm", "said"), [(12, "+1.2"), (-12, "-1.2"), (0, "0"), (-500, "-50")])
def test_a_difference_is_said_with_its_sign(mm: int, said: str) -> None:
    assert signed_cm(mm) == said


def test_a_room_that_does_not_close_points_to_the_numbers_of_the_plan() -> None:
    room = oracle_room(north=(955, 1200, 1485))
    numbered = replace(
        room.walls[0],
        sections=tuple(
            replace(s, length=replace(s.length, number=n)) for n, s in enumerate(room.walls[0].sections)
        ),
    )
    told = plan_findings(examine_room(replace(room, walls=(numbered, *room.walls[1:]))))
    first = next(f for f in told if f.code == "does-not-close")
    assert desk.worded(first.text).startswith("Does not close: ") and 2 in first.numbers
    slips = [f for f in told if f.code.startswith("slip-")]
    assert 1 <= len(slips) <= 5 and "148.5" in desk.worded(slips[0].text) and slips[0].numbers == (2,)
    assert plan_findings(examine_room(oracle_room())) == []


@pytest.mark.parametrize(
    ("kind", "reading", "asks"),
    [
        (SlipKind.MISREAD, "A3", "slip-on-wall"),
        (SlipKind.MISREAD, "C1", "slip-on-wall"),
        (SlipKind.MISREAD, "B1", "slip-in-room"),
        (SlipKind.ARCHITRAVE, "A2", "slip-architrave"),
        (SlipKind.OTHER, "A3", "slip-other"),
    ],
)
def test_a_slip_is_asked_about_by_the_wall_where_pieces_add_up_and_else_by_the_room(
    kind: SlipKind, reading: str, asks: str
) -> None:
    """A wall of a single piece has nothing to add up to: it is the room that would close."""
    room = oracle_room()
    change = Suspect(kind, "ABC".index(reading[0]), reading, np.zeros(0), 0.0, would_be_mm=1850)
    assert slip_of(room, change).question.key == asks


def test_only_a_length_from_corner_to_corner_tests_the_right_angles() -> None:
    def across(**to: object) -> bool:
        return has_diagonal(replace(oracle_room(), across=(Across(length("d", 5000), **to),)))  # type: ignore[arg-type]

    assert across(corners=(0, 2))
    assert not across(walls=(0, 2)) and not has_diagonal(oracle_room())
    unread = Across(Measurement("d"), corners=(0, 2))
    assert not has_diagonal(replace(oracle_room(), across=(unread,)))


def test_a_fixed_thing_without_all_its_sizes_puts_nothing_in_doubt() -> None:
    room = _room(sill=104, head=205, reveal=12)
    room["fixed"] = [{"name": "boiler", "wall": "B", "height": "?", "width": 45}]
    assert "no length" not in worded(_standings(room)["boiler"].reason)


def test_the_depths_of_a_curve_are_numbered_from_one() -> None:
    room = room_from_dict(
        {"walls": [{"runs": "E", "sections": [{"curve": 200, "depths": [5, 9, 5]}]}, {"runs": "S"}]}
    )
    section = room.walls[0].sections[0]
    assert [d.id for d in section.depths] == ["A1 depth 1", "A1 depth 2", "A1 depth 3"]
    assert [d.value_mm for d in section.depths] == [50, 90, 50]
