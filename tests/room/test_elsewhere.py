"""What a number gains where it is taken for one of another wall, against the room solved anew.

The gains are log likelihood ratios of a linear model with normal errors; each is compared with the same ratio from the
changed net, adjusted as a whole, and from SciPy's normal distribution."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from intake.domain.room.adjusting import Adjustment
from intake.domain.room.closing import examine_room
from intake.domain.room.elsewhere import _Elsewhere
from intake.domain.room.net import Net, length_gradient, solve
from intake.domain.room.net_building import build_net
from intake.model.examination import SlipKind
from intake.model.room import OVERALL_SIGMA_MM, SECTION_SIGMA_MM, Astray
from tests.room.build import length, oracle_room, worded

ROOM = oracle_room(north=(955, 1200, 1820), south=(2520, 1505))
NET = build_net(ROOM)
ELSEWHERE = _Elsewhere(ROOM, NET, solve(NET))
AWAY = 1e6
"""A deviation that leaves a length no say, mm."""


def solved(more: Mapping[str, float], without: str = "") -> tuple[Net, Adjustment]:
    """The room with some lengths longer, and without one."""
    equations = [
        replace(
            e,
            observed=e.observed + more.get(e.reading, 0.0),
            sigma=AWAY if e.reading == without != "" else e.sigma,
        )
        for e in NET.equations
    ]
    net = replace(NET, equations=equations)
    return net, solve(net)


def misfit(more: Mapping[str, float], without: str = "") -> float:
    return solved(more, without)[1].sum_of_squares / 2.0


def freed(reading: str, without: Adjustment) -> float:
    """What one length's own density takes, given all others: half the log of its variance and of 2 pi."""
    row = ELSEWHERE.row[reading]
    variance = without.design[row] @ without.cofactor @ without.design[row] + NET.equations[row].sigma ** 2
    return 0.5 * math.log(2.0 * math.pi * variance)


def wall_length(net: Net, adjustment: Adjustment, wall: int) -> tuple[float, float]:
    """How long a wall is as adjusted, and its variance."""
    gradient = length_gradient(net, adjustment, wall)
    return float(gradient @ adjustment.unknowns), float(gradient @ adjustment.cofactor @ gradient)


@pytest.mark.parametrize(
    ("reading", "value", "at"), [("A1", 955.0, "C1"), ("A2", 1200.0, "C1"), ("C2", 1505.0, "A1")]
)
def test_a_section_that_joins_another_chain(reading: str, value: float, at: str) -> None:
    """It leaves its own chain that much shorter, and makes the other that much longer."""
    want = misfit({}) - misfit({reading: -value, at: value})
    row = ELSEWHERE.row
    assert ELSEWHERE._as_section(row[reading], value, True, row[at]) == pytest.approx(want, abs=0.01)


@pytest.mark.parametrize(("reading", "at"), [("A overall", "C1"), ("C overall", "A1")])
def test_an_overall_that_is_a_section_of_another_wall(reading: str, at: str) -> None:
    value = 300.0
    want = misfit({}) - misfit({at: value}, reading) + freed(reading, solved({}, reading)[1])
    row = ELSEWHERE.row
    assert ELSEWHERE._as_section(row[reading], value, False, row[at]) == pytest.approx(want, abs=0.01)


@pytest.mark.parametrize("wall", [0, 2])
def test_a_section_that_is_the_whole_of_another_wall(wall: int) -> None:
    reading, value = ("C1", 2520.0) if wall == 0 else ("A3", 1820.0)
    net, adjustment = solved({reading: -value})
    length, variance = wall_length(net, adjustment, wall)
    want = misfit({}) - misfit({reading: -value})
    want += norm(length, math.sqrt(variance + OVERALL_SIGMA_MM**2)).logpdf(value)
    assert ELSEWHERE._as_whole(ELSEWHERE.row[reading], value, True, wall) == pytest.approx(want, abs=0.01)


@pytest.mark.parametrize(("reading", "wall"), [("A overall", 2), ("C overall", 0)])
def test_an_overall_that_is_the_whole_of_another_wall(reading: str, wall: int) -> None:
    value = 4012.0
    net, adjustment = solved({}, reading)
    length, variance = wall_length(net, adjustment, wall)
    want = misfit({}) - misfit({}, reading) + freed(reading, adjustment)
    want += norm(length, math.sqrt(variance + OVERALL_SIGMA_MM**2)).logpdf(value)
    assert ELSEWHERE._as_whole(ELSEWHERE.row[reading], value, False, wall) == pytest.approx(want, abs=0.01)


@pytest.mark.parametrize("value", [20.0, 45.0])
@pytest.mark.parametrize("reading", ["A1", "C2"])
def test_a_number_astray_that_a_chain_lacks(reading: str, value: float) -> None:
    """Its true length is any about what it says, as likely as a tape's noise is."""
    lengths = np.linspace(value - 30.0, value + 30.0, 41)
    ways = [math.exp(misfit({}) - misfit({reading: true})) for true in lengths]
    want = math.log(np.trapezoid(ways * norm(value, SECTION_SIGMA_MM).pdf(lengths), lengths))
    assert ELSEWHERE._added(ELSEWHERE.row[reading], value) == pytest.approx(want, abs=0.01)


def test_a_number_astray_that_its_own_wall_lacks_may_have_been_meant_otherwise() -> None:
    """The window's 120 is written 210, and was taken for a height; of 77.5 nothing makes 120."""
    room = oracle_room(north=(955, 1845))
    for says, first in ((2100, SlipKind.SWAPPED), (775, SlipKind.MISSING)):
        number = Astray(length("number 9", says), 0, 0.95)
        slip = examine_room(replace(room, astray=(number,))).slips[0]
        assert slip.kind is first
        assert abs((slip.would_be_mm or 0) - 1200) <= 5


def test_a_number_astray_is_a_section_as_surely_as_it_looks_like_one() -> None:
    """By its odds; none is surer than all but one in fifty."""
    room = oracle_room(north=(955, 1845))
    net = build_net(room)

    def log(looks: float) -> float:
        number = Astray(length("number 9", 1200), 1, looks)
        found = _Elsewhere(replace(room, astray=(number,)), net, solve(net))._astray()
        return next(log for slip, log in found if slip.kind is SlipKind.ANOTHER_WALL and slip.to == 0)

    for looks in (0.5, 0.8, 0.9):
        assert log(looks) - log(0.6) == pytest.approx(math.log(looks / (1.0 - looks) / 1.5))
    assert log(0.98) < log(0.99) < log(1.0) == pytest.approx(log(0.6) + math.log(1.0 / 0.02 / 1.5))


def test_a_section_that_stands_at_a_wall_of_one_length_was_written_there_by_a_slip() -> None:
    """At the right wall, which is 300 by itself; at the bottom one, of two pieces and an overall, it may be ours."""
    room = oracle_room()
    piece = room.walls[0].sections[0].length
    for there, told in ((1, True), (2, False)):
        examination = examine_room(replace(room, stand_elsewhere=(Astray(piece, there, 0.99),)))
        assert examination.closes
        found = [(s.kind, s.wall, s.reading) for s in examination.slips]
        assert found == ([(SlipKind.ANOTHER_WALL, 1, "A1")] if told else [])
    question = worded(
        examine_room(replace(room, stand_elsewhere=(Astray(piece, 1, 0.99),))).slips[0].question
    )
    assert "for the wall down the right-hand side of your plan" in question
