"""Fields of view by formula, rings by their known truth, and nothing claimed that was not placed."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from fixtures.photographs import room_ring
from intake.domain.pictures.coverage import (
    Reach,
    _degrees_inside,
    coverage_of,
    coverage_told,
    field_of_view,
    reach_of,
    reach_told,
)
from intake.imaging.decode import Decoder
from intake.imaging.overlap import compare
from intake.imaging.unpack import pictures_in
from intake.model.message import Part
from intake.model.picture import Overlap
from intake.wording.desk import worded
from tests.imaging.files import saved


@pytest.mark.parametrize(
    ("focal", "size", "across", "up"),
    [
        (50, (3600, 2400), 39.6, 27.0),  # the published table for a 50 mm lens on 36 x 24
        (26, (4000, 3000), 67.3, 53.1),  # the rest by the same formula on a 4:3 frame with the same diagonal
        (24, (4000, 3000), 71.6, 56.8),
        (28, (4000, 3000), 63.4, 49.7),
    ],
)
def test_field_of_view(focal: float, size: tuple[int, int], across: float, up: float) -> None:
    seen = field_of_view(focal, *size)
    assert (round(seen.across, 1), round(seen.up, 1)) == (across, up)
    turned = field_of_view(focal, *size[::-1])
    assert (round(turned.across, 1), round(turned.up, 1)) == (up, across)


def test_the_diagonal_of_a_50_mm_lens_is_46_8_degrees() -> None:
    seen = field_of_view(50, 3600, 2400)
    diagonal = 2 * math.degrees(
        math.atan(math.hypot(math.tan(math.radians(seen.across / 2)), math.tan(math.radians(seen.up / 2))))
    )
    assert diagonal == pytest.approx(46.8, abs=0.05)


def ring(count: int, step: float, close: bool) -> list[Overlap]:
    pairs = [Overlap(k, k + 1, step, 40) for k in range(count - 1)]
    return [*pairs, Overlap(0, count - 1, step * (count - 1) - 360, 40)] if close else pairs


def test_a_closed_ring_is_seen_whole() -> None:
    coverage = coverage_of([67.0] * 8, ring(8, 45, close=True))
    assert coverage.closed and coverage.seen == 360 and coverage.order == tuple(range(8))
    assert worded(coverage_told(coverage)) == "8 photographs join up all the way round the room."


def test_a_wrong_lens_is_found_out_when_the_ring_closes() -> None:
    """With the lens taken ten per cent too long every turn comes out short; closing spreads the error."""
    short = [Overlap(o.first, o.second, o.turn * 0.9, o.matches) for o in ring(8, 45, close=True)]
    coverage = coverage_of([67.0] * 8, short)
    assert coverage.closed
    assert np.diff([d for d in coverage.directions if d is not None]) == pytest.approx([45] * 7, abs=5)


def test_a_half_ring_names_the_gap_only_when_every_picture_is_placed() -> None:
    coverage = coverage_of([60.0] * 4, ring(4, 40, close=False))
    assert coverage.seen == pytest.approx(180) and not coverage.closed
    assert coverage.gap is not None and coverage.gap[1] - coverage.gap[0] == pytest.approx(180)
    assert "About 180 degrees are missing, to the right of picture 4" in worded(coverage_told(coverage))
    with_stray = coverage_of([60.0] * 5, ring(4, 40, close=False))
    assert with_stray.gap is None
    assert with_stray.order == (0, 1, 2, 3, 4) and with_stray.directions[4] is None
    told = worded(coverage_told(with_stray))
    assert "missing" not in told and "1 more could not be placed" in told


def test_a_chance_likeness_does_not_bend_the_ring() -> None:
    """Two equal cupboards: an overlap that says 10 degrees where the chain says 120."""
    honest = coverage_of([60.0] * 4, ring(4, 40, close=False))
    bent = coverage_of([60.0] * 4, [*ring(4, 40, close=False), Overlap(0, 3, 10.0, 15)])
    assert bent.directions == pytest.approx(honest.directions)


def test_nothing_joined_claims_nothing() -> None:
    coverage = coverage_of([60.0] * 3, [])
    assert coverage.seen == 0 and coverage.joined == 0
    assert "not known" in worded(coverage_told(coverage))
    assert worded(coverage_told(coverage_of([], []))).startswith("Too few")
    assert worded(coverage_told(coverage_of([60.0], []))).startswith("Too few")
    assert worded(coverage_told(coverage_of([60.0] * 2, []))).startswith("None of the 2 ")


def test_what_arcs_leave_out_of_the_circle_is_that_of_counting_its_degrees() -> None:
    """Brute force over 360 degrees, one by one."""
    rng, whole = random.Random(4), 0
    for _ in range(400):
        starts = [rng.randrange(-400, 400) for _ in range(rng.randint(1, 6))]
        arcs = [(float(s), float(s + rng.randint(20, 130))) for s in starts]
        dark = [not any((d + 0.5 - low) % 360 < high - low for low, high in arcs) for d in range(360)]
        seen, gap = _degrees_inside(arcs)
        assert seen == 360 - sum(dark)
        if gap is None:
            whole += 1
            continue
        low, high = (round(g) for g in gap)
        assert all(dark[d % 360] for d in range(low, high)) and not (
            dark[(low - 1) % 360] or dark[high % 360]
        )
        runs = "".join("01"[d] for d in dark[low % 360 :] + dark[: low % 360]).split("0")
        assert high - low == max(map(len, runs))
    assert 0 < whole < 200


def test_order_follows_the_turn_not_the_arrival() -> None:
    coverage = coverage_of([60.0] * 3, [Overlap(0, 2, -40.0, 30), Overlap(1, 2, -80.0, 30)])
    assert coverage.order == (2, 0, 1)


def test_floor_and_ceiling_are_claimed_only_beyond_doubt() -> None:
    """Eye at 1.5 m, walls 2.4 to 4.6 m away: the floor's edge lies 18 to 32 degrees down, the ceiling's 11 to 21 up."""
    portrait = field_of_view(26, 3000, 4000).up  # 67 degrees: 34 either way when level
    assert reach_of(portrait, 0.0) == (True, True)
    landscape = field_of_view(26, 4000, 3000).up  # 53: 27 either way
    assert reach_of(landscape, 0.0) == (None, True)
    assert reach_of(landscape, 20.0) == (False, True)
    assert reach_of(landscape, -20.0) == (True, False)
    assert reach_of(landscape, None) == (None, None)


def test_how_many_show_floor_and_ceiling_is_told_of_those_that_tell() -> None:
    some = [Reach(True, None), Reach(False, True), Reach(None, True)]
    assert (
        worded(reach_told(some))
        == "In view: the floor in 1 of the 2 that tell, the ceiling in 2 of the 2 that tell."
    )
    assert worded(reach_told([Reach(None, False)])) == "In view: the ceiling in 0 of the 1 that tell."
    assert worded(reach_told([Reach(None, None)])) == worded(reach_told([])) == ""


def test_turns_are_measured_to_a_degree() -> None:
    """Drawn rooms whose directions are known. Plain walls give few points, so only what was found is checked, and
    that something was."""
    found = 0
    for seed in (4, 5):
        shots = room_ring(seed, 3, size=(720, 540), circle=105)
        panorama = compare([s.pixels for s in shots], [s.focal for s in shots])
        for overlap in panorama.overlaps:
            truth = (shots[overlap.second].yaw - shots[overlap.first].yaw + 180) % 360 - 180
            assert overlap.turn == pytest.approx(truth, abs=1.5)
            found += 1
    assert found >= 2


def test_a_new_photograph_is_compared_with_all_and_the_others_not_again() -> None:
    shots = room_ring(4, 3, size=(720, 540), circle=105)
    pixels, focals = [s.pixels for s in shots], [s.focal for s in shots]
    whole, fresh = compare(pixels, focals), compare(pixels, focals, known=frozenset({0, 1}))
    assert set(fresh.overlaps) == {o for o in whole.overlaps if o.second == 2}
    assert fresh.pitches == (None, None, whole.pitches[2])


def test_two_rooms_do_not_overlap() -> None:
    shots = [room_ring(seed, 1, size=(720, 540))[0] for seed in (1, 4, 6)]
    assert compare([s.pixels for s in shots], [26.0] * 3).overlaps == ()


def test_the_child_compares_what_it_showed() -> None:
    from PIL import Image

    shots = room_ring(4, 2, size=(720, 540), circle=70)
    with Decoder() as decoder:
        raws = [
            pictures_in([Part("1", "a", "", saved(Image.fromarray(s.pixels), "JPEG"))]).pictures[0]
            for s in shots
        ]
        displays = [decoder.examine(r)[0].display or b"" for r in raws]
        panorama = decoder.compare(displays, [26.0, None])
        assert [(o.first, o.second) for o in panorama.overlaps] == [(0, 1)]
        assert len(panorama.pitches) == 2
        assert decoder.compare([b"rubbish", displays[0]], [None, None]).overlaps == ()
