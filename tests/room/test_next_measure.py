"""What to measure next, against brute force: the net solved anew with each suspect's change and each outcome."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from fixtures.benchmark.room import plant, sound_room
from intake.domain.room import next_measure
from intake.domain.room.adjusting import adjust
from intake.domain.room.changes import Suspect
from intake.domain.room.closing import examine_room
from intake.domain.room.net import NetAxis
from intake.domain.room.net_building import fitted
from intake.domain.room.next_measure import Possible, largest_share
from intake.domain.room.posterior import JudgedAxis, judged_axis
from intake.domain.room.room_file import room_from_dict
from intake.model.examination import SlipKind
from intake.model.phrase import phrase
from intake.model.reading import Direction, GivenBy
from intake.model.room import RoomSurvey
from tests.room.build import oracle_room, wall, worded
from tests.room.test_fit import kitchen

E, S, W, N = Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH


def searched(seed: int) -> JudgedAxis | None:
    """A room with one slip planted and what is suspected in it; None where it closes or nothing is suspected."""
    rng = random.Random(seed)
    planted = plant(sound_room(rng, rng.random() < 0.5), rng, 0.9)
    if planted is None:
        return None
    net, adjustment = fitted(planted.room)
    search = judged_axis(planted.room, net, adjustment, NetAxis.X)
    return search if search and search.changes and search.explained else None


def outcome(search: JudgedAxis, possible: Possible, suspect: Suspect | None) -> tuple[float, float]:
    """Mean and deviation of what the measurement gives if the suspect is right, by solving its net anew with its
    readings put right; where the change may be of any size, with what a fresh solution says of that size."""
    a = search.adjustment
    observed, sigma = a.design @ a.unknowns - a.residuals, 1.0 / np.sqrt(a.weights)
    own = 0.0
    if suspect is not None and not suspect.reading:
        # A change of a whole wall stands on its first section, which measured again gives what it gave.
        readings = [e.reading for e in search.net.equations]
        own = sum(b for b, r in zip(suspect.bias, readings, strict=True) if r and r == possible.reading)

    def mean(size: float) -> float:
        right = observed if suspect is None else observed - suspect.bias * size
        return float(possible.gradient @ adjust(a.design, right, sigma).unknowns) + own * size

    size, doubt = (0.0, 0.0) if suspect is None else (suspect.size, 0.0)
    if suspect is not None and suspect.sizes is not None:
        freed = adjust(np.hstack([a.design, suspect.bias[:, None]]), observed, sigma)
        doubt = float(freed.unknown_sd[-1]) * (mean(size + 1.0) - mean(size))
    known = adjust(a.design, observed, sigma).cofactor
    variance = float(possible.gradient @ known @ possible.gradient) + possible.sigma**2
    return mean(size), float(np.sqrt(variance + doubt**2))


def simulated(
    search: JudgedAxis, possible: Possible, rng: np.random.Generator, draws: int
) -> tuple[float, float]:
    """The chance of naming the right one, by drawing outcomes and weighing every suspect at each; and its error."""
    shares = [s.probability for s in search.changes]
    none = max(1.0 - sum(shares), 0.0)
    parts = [outcome(search, possible, s) for s in [*search.changes, None]]
    weights = np.array([*shares, none])
    means, spreads = (np.array(v) for v in zip(*parts, strict=True))
    which = rng.choice(len(weights), size=draws, p=weights / weights.sum())
    y = rng.normal(means[which], spreads[which])
    logs = np.log(np.maximum(weights, 1e-300)) - np.log(spreads) - ((y[:, None] - means) / spreads) ** 2 / 2
    posterior = np.exp(logs - logs.max(axis=1, keepdims=True))
    named = posterior.max(axis=1) / posterior.sum(axis=1)
    return float(named.mean()), float(named.std() / np.sqrt(draws))


def test_the_chance_of_naming_the_slip_is_that_of_brute_force() -> None:
    rng, rooms, seed = np.random.default_rng(5), 0, 0
    while rooms < 100:
        seed += 1
        search = searched(seed)
        if search is None:
            continue
        rooms += 1
        again = frozenset(s.reading for s in search.changes if s.reading)
        for possible in next_measure._possible(search.room, search.net, search.adjustment, again):
            if possible.axis is NetAxis.X:
                want, error = simulated(search, possible, rng, 4000)
                assert next_measure._pinned(possible, search) == pytest.approx(want, abs=5 * error + 0.004)


def test_largest_share_of_two_far_and_two_equal() -> None:
    """Far apart, all is told; in one place, the larger stays as likely as it was."""
    assert largest_share([0.0, 1000.0], [5.0, 5.0], [0.6, 0.4]) == pytest.approx(1.0, abs=1e-4)
    assert largest_share([0.0, 0.0], [5.0, 5.0], [0.6, 0.4]) == pytest.approx(0.6, abs=1e-4)


def test_two_halves_a_deviation_apart_by_the_normal_integral() -> None:
    """Two equal shares 2 sigma apart: the better guess is right with Phi(1) = 0.8413 (tables)."""
    assert largest_share([0.0, 10.0], [5.0, 5.0], [0.5, 0.5]) == pytest.approx(0.8413, abs=1e-4)


def test_a_missing_section_says_nothing_of_the_walls_first() -> None:
    """Measured again it gives what it gave, so it cannot tell that a section is missing elsewhere."""
    room = oracle_room(north=(955, 1845))
    net, adjustment = fitted(room)
    search = judged_axis(room, net, adjustment, NetAxis.X)
    assert search is not None
    missing = next(s for s in search.changes if s.kind == SlipKind.MISSING)
    row = next(n for n, e in enumerate(net.equations) if e.reading == "A1")
    again = Possible(adjustment.design[row], 5.0, "", phrase("wall"), 0, "A1", NetAxis.X)
    mean, _ = outcome(search, again, missing)
    assert mean == pytest.approx(955, abs=15)
    effect = adjustment.weights * (adjustment.design @ (adjustment.cofactor @ again.gradient))
    adjusted = 955 + float(adjustment.residuals[row])
    assert adjusted + missing.size * next_measure._slope(again, missing, effect, net) == pytest.approx(
        mean, abs=0.01
    )


def confirmed(room: RoomSurvey, reading: str) -> RoomSurvey:
    """The room with one of its lengths answered by the customer, as it was."""
    walls = []
    for one in room.walls:
        sections = tuple(
            replace(s, length=replace(s.length, taken_from=GivenBy.CUSTOMER)) if s.length.id == reading else s
            for s in one.sections
        )
        overalls = tuple(
            replace(o, taken_from=GivenBy.CUSTOMER) if o.id == reading else o for o in one.overalls
        )
        walls.append(replace(one, sections=sections, overalls=overalls))
    return replace(room, walls=tuple(walls))


def test_what_was_answered_is_never_asked_again() -> None:
    room = oracle_room(north=(955, 1200, 1745))
    asked: set[str] = set()
    for _ in range(12):
        readings = {n.reading for n in examine_room(room).next_measures if n.reading}
        assert not readings & asked
        for reading in readings:
            asked.add(reading)
            room = confirmed(room, reading)
    assert asked


def test_across_is_asked_for_between_walls_that_see_each_other() -> None:
    """Two rooms in one, the lower moved half its width to the right: no tape goes from its right wall to the upper
    one's left."""
    steps = ((E, 2000), (S, 2000), (E, 1000), (S, 2000), (W, 2000), (N, 2000), (W, 1000), (N, 2000))
    room = RoomSurvey(walls=tuple(wall(n, way, (mm,)) for n, (way, mm) in enumerate(steps)))
    asked = [(p.what.gap("near"), p.what.gap("far")) for p in next_measure._across(room, *fitted(room))]
    assert asked == [("F", "D"), ("H", "B"), ("A", "E"), ("A", "G"), ("C", "E")]


def test_a_diagonal_is_asked_for_where_units_turn_a_corner_and_nowhere_else() -> None:
    def wanted(**more: object) -> list[str]:
        measures = examine_room(room_from_dict(kitchen(**more))).next_measures
        return [worded(m.question) for m in measures if m.question.key == "measure-corner"]

    assert len(wanted(room="kitchen")) == 1
    assert wanted(room="bedroom") == []
    assert wanted(room="kitchen", across=[{"corners": ["A", "C"], "length": 500}]) == []
    assert wanted(room="bedroom", units=[{"wall": "A", "widths": [60]}, {"wall": "D", "widths": [60]}]) != []
    assert wanted(room="kitchen", units=[{"wall": "A", "widths": [60]}]) == []
