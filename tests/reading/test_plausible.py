"""Which lengths are usual: the densities are SciPy's normal ones of the logarithm, and an opening is a door's width."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from intake.domain.lengths.plausible import PLAIN, SECTIONS, USUAL, WHOLE_WALL, Usual
from intake.model.reading import Role
from intake.model.room import OPENINGS, SectionKind

LENGTHS = (0, 1, 2, 30, 150, 820, 950, 2400, 4500, 9000)
RARE = 1e-3
"""Beyond the range; far more than the surprise that is left to every length."""


@pytest.mark.parametrize("usual", [*USUAL.values(), *SECTIONS.values(), PLAIN, WHOLE_WALL])
def test_a_density_is_scipys_within_the_range_and_small_beyond(usual: Usual) -> None:
    for length in LENGTHS:
        bell = norm.pdf(math.log(max(length, 1)), math.log(usual.middle_mm), usual.spread)
        found = usual.density(length)
        if usual.least_mm <= length <= usual.most_mm:
            assert found == pytest.approx(bell, abs=RARE)
            assert found > bell
        else:
            assert 0 < found < bell / 10 + RARE
    assert usual.densities(np.array(LENGTHS, float)) == pytest.approx([usual.density(n) for n in LENGTHS])


@pytest.mark.parametrize("usual", [USUAL[Role.OPENING], *(u for k, u in SECTIONS.items() if k in OPENINGS)])
def test_door_widths_are_usual_and_what_is_four_times_as_wide_is_not(usual: Usual) -> None:
    """Openings for single doors, in mm: 760, 885 and 1010 (DIN 18100, from memory)."""
    best = usual.density(usual.middle_mm)
    assert all(usual.density(width) > best / 3 for width in (760, 885, 1010))
    assert usual.density(4 * usual.middle_mm) < best / 20


@pytest.mark.parametrize(("role", "seldom"), [(Role.REVEAL, 450.0), (Role.DIAGONAL, 13_500.0)])
def test_three_times_the_usual_is_seldom(role: Role, seldom: float) -> None:
    """A wall of one brick is 215 mm thick and one with a cavity about 300, so that a recess of 450 is through no such
    wall; a room of a home is hardly 13.5 m from corner to corner (common practice, no source)."""
    assert USUAL[role].density(seldom) < USUAL[role].density(seldom / 3) / 4


@pytest.mark.parametrize(
    ("usual", "ordinary", "odd"),
    [
        (SECTIONS[SectionKind.DOOR], (762, 838), (400, 1500)),
        (SECTIONS[SectionKind.DOORWAY], (800, 1200), (380, 2200)),
        (SECTIONS[SectionKind.WINDOW], (800, 1800), (400, 3300)),
        (SECTIONS[SectionKind.OPENING], (600, 1500), (330, 2700)),
        (SECTIONS[SectionKind.NIB], (70, 200), (25, 600)),
        (SECTIONS[SectionKind.BOXING], (150, 400), (70, 900)),
        (SECTIONS[SectionKind.BREAST], (1100, 1700), (700, 2600)),
        (PLAIN, (400, 2000), (120, 6000)),
        (WHOLE_WALL, (2000, 5000), (1100, 9000)),
    ],
)
def test_a_length_is_ordinary_or_odd_for_what_it_is_of(
    usual: Usual, ordinary: tuple[int, int], odd: tuple[int, int]
) -> None:
    """Door leaves of 2 ft 6 in and 2 ft 9 in are sold everywhere (from memory); the others: common practice, no source.
    What is ordinary lies within one spread, what hardly any home has beyond two."""
    spreads = [abs(math.log(mm / usual.middle_mm)) / usual.spread for mm in (*ordinary, *odd)]
    assert all(0.0 <= s < 1.0 for s in spreads[:2]) and all(s > 2.0 for s in spreads[2:])
