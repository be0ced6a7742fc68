"""Slips that the sums cannot tell apart: what the drawing, a length of another wall, and an opening without a number
say. The expected ratios are Bayes' rule by hand, the densities SciPy's."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from intake.domain.room.closing import examine_room
from intake.domain.room.drawn_lengths import DrawnLengths, proportion_logs
from intake.model.examination import SlipKind
from intake.model.reading import Direction
from intake.model.room import Astray, RoomSurvey, SectionKind
from intake.wording import desk
from tests.room.build import length, oracle_room


def drawn(room: RoomSurvey, *cuts: float) -> RoomSurvey:
    """The room with every wall drawn in proportion to 4 m by 3 m, the top one's pieces parted at these places."""
    ends = (0.0, *cuts, 1.0)
    top = room.walls[0]
    shares = zip(top.sections, ends, ends[1:], strict=False)
    sections = tuple(replace(s, share=(low, high)) for s, low, high in shares)
    walls = (replace(top, sections=sections), *room.walls[1:])
    return replace(room, walls=tuple(replace(w, drawn=(400.0, 300.0)[w.index % 2]) for w in walls))


@pytest.mark.parametrize(("cuts", "first"), [((0.5, 0.75), "A1"), ((0.25, 0.75), "A2"), ((0.25, 0.5), "A3")])
def test_of_three_pieces_that_may_be_a_metre_short_it_is_the_one_that_is_drawn_long(
    cuts: tuple[float, float], first: str
) -> None:
    room = drawn(oracle_room(north=(995, 1005, 1000)), *cuts)
    slip = examine_room(room).slips[0]
    assert (slip.reading, (slip.would_be_mm or 0) - (slip.read_mm or 0)) == (first, 1000)


def test_a_room_that_is_not_drawn_says_nothing() -> None:
    room = oracle_room()
    assert not DrawnLengths(room).gains(0, "A1", np.array([500.0, 2000.0])).any()
    assert DrawnLengths(room).gain_longer(0, 1000.0) == 0.0


def test_what_the_drawing_gains_is_the_ratio_of_its_densities() -> None:
    """A piece of 95.5 drawn as half of its wall of 400, meant to be 195.5: by normal densities of the logarithm, .13 of
    pieces out of proportion; the wall of 500 then beside the others, by .35 and .08."""
    room = drawn(oracle_room(), 0.5, 0.75)
    pieces = {False: (955.0, 1200.0, 1845.0), True: (1955.0, 1200.0, 1845.0)}

    def agrees(value: float, shown: float, spread: float, out: float) -> float:
        peak = norm(scale=spread).pdf(0.0)
        bell = norm(scale=spread).pdf(math.log(math.hypot(value, 310.0) / shown)) / peak
        return math.log((1.0 - out) * bell + out)

    def weighs(meant: bool) -> float:
        whole = sum(pieces[meant])
        parts = zip(pieces[meant], (0.5, 0.25, 0.25), strict=True)
        return agrees(whole, 4000.0, 0.35, 0.08) + sum(agrees(v, s * whole, 0.25, 0.13) for v, s in parts)

    gain = DrawnLengths(room).gains(0, "A1", np.array([1955.0]))[0]
    assert gain == pytest.approx(weighs(True) - weighs(False), abs=1e-2)
    assert proportion_logs(np.array([955.0]), 2000.0)[0] == pytest.approx(agrees(955.0, 2000.0, 0.35, 0.08))


def test_a_length_that_another_wall_has_as_well_may_have_been_copied_from_it() -> None:
    """The window's 120 is written as 250, which is a piece of the bottom wall."""
    slips = examine_room(oracle_room(north=(955, 2505, 1845), south=(2505, 1500))).slips
    copied = next(s for s in slips if s.reading == "A2" and s.kind is SlipKind.ANOTHER_WALL)
    assert abs((copied.would_be_mm or 0) - 1200) <= 20
    assert "wall C has 250.5 as well" in desk.worded(copied.explanation)
    others = [s for s in slips if s.reading == "A2" and s.kind is SlipKind.OTHER]
    assert all(copied.probability > s.probability for s in others)


def test_an_opening_whose_number_was_left_out_is_told_of_a_room_that_closes() -> None:
    room = drawn(oracle_room(north=(955, None, 1845)), 0.25, 0.55)
    examination = examine_room(room)
    assert examination.closes
    slip = examination.slips[0]
    assert (slip.kind, slip.wall, slip.reading) == (SlipKind.MISSING, 0, "")
    assert abs((slip.would_be_mm or 0) - 1200) <= 5
    assert "window A2 has no number" in desk.worded(slip.explanation)


def test_all_that_is_suspected_of_a_room_that_closes_adds_up_to_1_at_most() -> None:
    """Of four walls each with a bare window: .55 each as they stand alone, 1 - .45 ** 4 together."""
    shown = drawn(oracle_room(north=(955, None, 1845)), 0.25, 0.55).walls[0]
    sides = zip((Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH), range(4), strict=True)
    room = RoomSurvey(walls=tuple(replace(shown, index=n, direction=side) for side, n in sides))
    chances = [s.probability for s in examine_room(room).slips]
    assert len(chances) == 4
    assert sum(chances) == pytest.approx(1 - 0.45**4)


def test_one_piece_beside_an_opening_and_the_overall_tell_it_too() -> None:
    room = oracle_room(north=(2800, None))
    alone = replace(
        room, walls=(room.walls[0], *(replace(w, sections=(), overalls=()) for w in room.walls[1:]))
    )
    for shown, closes in ((drawn(room, 0.7), True), (drawn(alone, 0.7), None)):
        examination = examine_room(shown)
        assert examination.closes is closes
        (slip,) = examination.slips
        assert (slip.kind, slip.wall) == (SlipKind.MISSING, 0)
        assert abs((slip.would_be_mm or 0) - 1200) <= 5


@pytest.mark.parametrize(
    "kind, told", [(SectionKind.WINDOW, True), (SectionKind.WALL, False), (SectionKind.BOXING, False)]
)
def test_only_an_opening_is_told_to_lack_its_number(kind: SectionKind, told: bool) -> None:
    room = drawn(oracle_room(north=(955, None, 1845)), 0.25, 0.55)
    first, bare, last = room.walls[0].sections
    top = replace(room.walls[0], sections=(first, replace(bare, kind=kind), last))
    slips = examine_room(replace(room, walls=(top, *room.walls[1:]))).slips
    assert any(s.kind is SlipKind.MISSING for s in slips) is told


@pytest.mark.parametrize(
    "room",
    [
        oracle_room(north=(955, None, 1845), north_overall=None),
        oracle_room(north=(955, None, 2845)),
    ],
    ids=["no overall", "no room for it"],
)
def test_an_opening_that_less_tells_of_is_not_told(room: RoomSurvey) -> None:
    shown = drawn(room, *(0.25, 0.55)[: len(room.walls[0].sections) - 1])
    assert not [s for s in examine_room(shown).slips if s.kind is SlipKind.MISSING and s.wall == 0]


def test_a_number_beside_the_wall_that_counts_for_nothing_may_be_the_openings() -> None:
    room = drawn(oracle_room(north=(955, None, 1845)), 0.25, 0.55)
    room = replace(room, astray=(Astray(length("number 9", 1150), 0, 0.9),))
    assert not [s for s in examine_room(room).slips if s.kind is SlipKind.MISSING]
