"""The catalogue of slips, each planted in the room worked by hand, and what is asked of the customer."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import multivariate_normal

from fixtures.benchmark.room import false_alarms, full_alarms, slips_found
from intake.domain.room.catalogue import changes_of, plausibility
from intake.domain.room.changes import OF_A_WALL, Suspect, changes_on
from intake.domain.room.closing import examine_room
from intake.domain.room.elsewhere import written_elsewhere
from intake.domain.room.net import NetAxis, solve
from intake.domain.room.net_building import build_net, fitted
from intake.domain.room.posterior import JudgedAxis, Suspects
from intake.domain.room.slip_chances import KNOWN_SLIP
from intake.model.examination import RoomExamination, SlipKind
from intake.model.reading import Direction, GivenBy
from intake.model.room import Across, RoomSurvey, SectionKind
from intake.wording import desk
from tests.room.build import RECTANGLE, length, oracle_room, wall, worded


def with_text(room: RoomSurvey, section: int, text: str, value: int) -> RoomSurvey:
    """The oracle room with one section of the top wall written otherwise."""
    top = room.walls[0]
    written = replace(top.sections[section].length, text=text, value_mm=value)
    sections = tuple(replace(s, length=written) if n == section else s for n, s in enumerate(top.sections))
    return replace(room, walls=(replace(top, sections=sections), *room.walls[1:]))


def listed(examination: RoomExamination) -> dict[tuple[str, int | None], str]:
    return {(s.reading, s.would_be_mm): s.kind for s in examination.slips}


@pytest.mark.parametrize(
    ("section", "text", "value", "meant", "kind"),
    [
        (1, "1200", 12000, 1200, "ten-times"),  # millimetres among centimetres
        (2, "1845", 18450, 1845, "ten-times"),  # a point lost
        (1, "1.2", 12, 1200, "metres"),
        (2, "18.5", 185, 1845, "lost-digit"),
        (0, "9.5", 95, 955, "lost-digit"),
        (2, "1984.5", 19845, 1845, "digit-too-many"),
        (2, "148.5", 1485, 1845, "swapped-digits"),
        (1, "170", 1700, 1200, "misread-digit"),
        (2, "134.5", 1345, 1845, "misread-digit"),  # 8 read as 3
        (1, "220", 2200, 1200, "metre-or-decimetre"),
        (2, "174.5", 1745, 1845, "metre-or-decimetre"),
        (0, "215.5", 2155, 955, "counted-twice"),  # 95.5 with the window's 120 in it
    ],
)
def test_each_slip_of_the_catalogue_is_in_the_list(
    section: int, text: str, value: int, meant: int, kind: str
) -> None:
    examination = examine_room(with_text(oracle_room(), section, text, value))
    assert examination.closes is False
    assert (f"A{section + 1}", meant) in listed(examination)
    # A metre or a decimetre more, or a lost digit, can be a digit misread as well: the value is what counts.
    if kind not in ("metre-or-decimetre", "misread-digit", "lost-digit"):
        assert listed(examination)[f"A{section + 1}", meant] == kind


def test_feet_and_inches_written_with_a_point() -> None:
    """5 ft 3 is 160.0 cm (12 x 5 + 3 inches of 25.4 mm)."""
    room = oracle_room(north=(955, 1200, 1600), north_overall=3755, south=(2250, 1505), south_overall=3755)
    slips = examine_room(with_text(room, 2, "5.3", 53)).slips
    assert (slips[0].kind, slips[0].reading, slips[0].would_be_mm) == ("feet-and-inches", "A3", 1600)


def test_a_missing_section() -> None:
    examination = examine_room(oracle_room(north=(955, 2525)))
    slip = next(s for s in examination.slips if s.kind == "section-missing")
    assert slip.wall == 0
    assert slip.would_be_mm == pytest.approx(520, abs=15)
    assert "without a measurement" in worded(slip.question)


@pytest.mark.parametrize(
    ("spans", "likely"), [(((0.0, 0.24), (0.54, 1.0)), True), (((0.0, 0.4), (0.4, 1.0)), False)]
)
def test_a_stretch_that_no_section_is_of_tells_that_one_is_missing(
    spans: tuple[tuple[float, float], ...], likely: bool
) -> None:
    room = oracle_room(north=(955, 1845))
    top = room.walls[0]
    sections = tuple(replace(s, share=span) for s, span in zip(top.sections, spans, strict=True))
    found = examine_room(replace(room, walls=(replace(top, sections=sections), *room.walls[1:]))).slips
    missing = sum(s.probability for s in found if s.kind == "section-missing")
    assert (missing > 0.8) is likely and (missing < 0.2) is not likely


def test_a_wall_that_nothing_checks_and_that_is_drawn_longer_than_its_numbers_is_in_doubt() -> None:
    room = oracle_room(north=(955, 1200), north_overall=None, south=(None, None), south_overall=None)
    top = room.walls[0]

    def told(*spans: tuple[float, float]) -> RoomExamination:
        sections = tuple(replace(s, share=span) for s, span in zip(top.sections, spans, strict=True))
        return examine_room(replace(room, walls=(replace(top, sections=sections), *room.walls[1:])))

    bare, whole = told((0.0, 0.3), (0.3, 0.6)), told((0.0, 0.45), (0.45, 1.0))
    assert "stretch-without-number" in {f.code for f in bare.findings}
    assert {r.id for r in bare.readings if r.doubtful} == {"A1", "A2"}
    assert "stretch-without-number" not in {f.code for f in whole.findings}
    assert not any(r.doubtful for r in whole.readings)


def test_a_wall_measured_to_its_boxing() -> None:
    """Chain and overall agree, the opposite wall is 25 cm longer."""
    examination = examine_room(oracle_room(north=(955, 1200, 1595), north_overall=3750))
    kinds = {(s.kind, s.wall) for s in examination.slips}
    assert ("to-the-boxing", 0) in kinds
    assert all(s.probability < 0.2 for s in examination.slips if s.reading)


def test_what_shortens_a_whole_wall_leaves_its_own_sum_alone() -> None:
    """Its overall and its chain are short by the same."""
    room = oracle_room()
    net, adjustment = fitted(room)
    of_walls = [c for c in changes_on(room, net, adjustment, NetAxis.X) if c.kind in OF_A_WALL]
    assert {c.wall for c in of_walls} == {0, 2}
    for change in of_walls:
        wall, row = room.walls[change.wall or 0], {e.reading: n for n, e in enumerate(net.equations)}
        chain = sum(change.bias[row[s.length.id]] for s in wall.sections)
        assert chain == change.bias[row[wall.overalls[0].id]] == -1.0


def test_the_chance_of_a_misread_digit_is_shared_by_all_that_it_may_have_been() -> None:
    for written, value in (("386.5", 3865), ("7'7\"", 2311)):
        misread = [
            c for c in changes_of(length("A1", value, text=written), [], []) if c.kind == SlipKind.MISREAD
        ]
        assert sum(c.prior for c in misread) == pytest.approx(KNOWN_SLIP)


def test_what_the_reader_thought_of_has_the_readers_own_odds() -> None:
    """Three of ten against seven of ten; 20 to 1 at most."""
    for alternatives, odds in (
        (((1845, 0.3),), 3 / 7),
        (((1845, 0.97),), 0.97 / 0.05),
        (((1845, 0.2), (1945, 0.5)), 2 / 3),
    ):
        read = replace(length("A3", 1485), alternatives=alternatives)
        ours = next(c for c in changes_of(read, [], []) if c.ours)
        assert ours.prior == pytest.approx(odds)


def test_a_room_out_of_square_asks_for_its_diagonals() -> None:
    """Both chains add up, the opposite walls differ by 5 cm."""
    examination = examine_room(oracle_room(north=(955, 1200, 1795), north_overall=3950))
    slip = next(s for s in examination.slips if s.kind == "out-of-square")
    assert "corner to corner" in worded(slip.question)


def test_a_door_measured_over_its_architrave() -> None:
    kinds = (SectionKind.WALL, SectionKind.DOOR, SectionKind.WALL)
    walls = (
        wall(0, Direction.EAST, (1500, 905, 1740), 4005, kinds),
        *(wall(n, d, (3000,) if n % 2 else (4005,)) for n, d in list(enumerate(RECTANGLE))[1:]),
    )
    examination = examine_room(RoomSurvey(walls=walls))
    slip = next(s for s in examination.slips if s.kind == "architrave")
    assert slip.reading == "A2"
    assert slip.would_be_mm == pytest.approx(765, abs=15)
    assert "frame round the door" in worded(slip.question)


def test_the_readers_own_alternatives_decide_between_equals() -> None:
    """195.5 for 95.5 and 220 for 120 explain the sums alike; the reader had thought of one of them."""
    room = oracle_room(north=(955, 2200, 1845))
    assert listed(examine_room(room))["A2", 1200]
    thought_of = replace(room.walls[0].sections[1].length, alternatives=((1200, 0.3),))
    sections = tuple(
        replace(s, length=thought_of) if n == 1 else s for n, s in enumerate(room.walls[0].sections)
    )
    room = replace(room, walls=(replace(room.walls[0], sections=sections), *room.walls[1:]))
    first = examine_room(room).slips[0]
    assert (first.reading, first.would_be_mm) == ("A2", 1200)
    assert first.probability > 0.9


def test_what_was_measured_again_is_suspected_less() -> None:
    room = oracle_room(north=(955, 1200, 1485))
    before = examine_room(room).slips[0].probability
    again = replace(room.walls[0].sections[2].length, taken_from=GivenBy.CUSTOMER)
    sections = (*room.walls[0].sections[:2], replace(room.walls[0].sections[2], length=again))
    room = replace(room, walls=(replace(room.walls[0], sections=sections), *room.walls[1:]))
    found = listed(examine_room(room))
    assert examine_room(room).slips[0].kind == "section-missing"
    assert ("A3", 1845) in found
    assert before > 0.8


def test_the_question_names_the_piece_what_was_read_and_what_would_fit() -> None:
    question = examine_room(oracle_room(north=(955, 1200, 1485))).slips[0].question
    assert worded(question) == (
        "Please measure the wall to the right of the window (as you face it, along the top of your plan) once more:"
        " we read 148.5, and 184.5 would make the wall add up."
    )


def test_a_slip_below_what_can_be_found_is_said_to_be_hidden() -> None:
    examination = examine_room(oracle_room(north=(955, 1200, 1865)))
    assert examination.closes is True
    note = next(n for n in examination.notes if n.code == "below-detectable")
    assert "4 cm" in desk.worded(note.text)


def test_a_swap_moves_by_a_multiple_of_nine() -> None:
    """Neighbouring digits swapped change a whole number by a multiple of nine (arithmetic)."""
    swaps = [c for c in changes_of(length("A1", 1845), [], []) if c.kind == "swapped-digits"]
    assert swaps
    assert all((c.meant_mm - 1845) % 9 == 0 for c in swaps)


def test_digits_are_those_that_were_written() -> None:
    """In a sketch in millimetres "1200" has four digits, in centimetres "120" three."""
    in_mm = {
        c.meant_mm for c in changes_of(length("A1", 1200, text="1200"), [], []) if c.kind == "misread-digit"
    }
    in_cm = {c.meant_mm for c in changes_of(length("A1", 1200), [], []) if c.kind == "misread-digit"}
    assert 1206 in in_mm
    assert 1206 not in in_cm


def test_next_measurement_splits_what_it_can() -> None:
    """Sections of a chain are alike to the sums, so measuring the likelier one again gains its chance."""
    examination = examine_room(oracle_room(north=(955, 1200, 1745)))
    assert examination.next_measures
    best = examination.next_measures[0]
    leading = examination.slips[0].probability
    by_reading: dict[str, float] = {}
    for slip in examination.slips:
        by_reading[slip.reading] = max(by_reading.get(slip.reading, 0.0), slip.probability)
    # Measured again, the reading shows its true value: the likeliest of its suspects is then sure, and so is the
    # likeliest of the rest where it proves right.
    others = max(p for r, p in by_reading.items() if r != best.reading)
    at_least = by_reading.get(best.reading, 0.0) + others - leading
    assert best.gain >= at_least - 1e-6
    assert 0.0 < best.gain <= 1.0 - leading


def test_next_measurement_of_a_sound_room_checks_what_nothing_checks() -> None:
    walls = (
        wall(0, Direction.EAST, (955, 1200, 1845)),
        wall(1, Direction.SOUTH, (3000,)),
        wall(2, Direction.WEST),
        wall(3, Direction.NORTH, (3000,)),
    )
    examination = examine_room(RoomSurvey(walls=walls))
    best = examination.next_measures[0]
    assert best.wall in (0, 2)
    assert "3 of the 3" in desk.worded(best.reason)


def test_simulated_slips() -> None:
    """A small seeded share of `python -m fixtures.benchmark.room`, which runs 2,000 rooms of each: there the true fix
    is in the list 97 % of the time and first 75 %, with the opposite wall as well 88 %."""
    one_overall = slips_found(120, seed=3, opposite=False)
    assert one_overall.listed >= 0.97
    assert one_overall.first >= 0.75
    both = slips_found(120, seed=4, opposite=True)
    assert both.listed >= 0.97
    assert both.first >= 0.79  # 88 % less three standard deviations of 120 rooms


def test_simulated_false_alarms() -> None:
    assert false_alarms(150, seed=5, opposite=True) <= 0.01
    assert full_alarms(150, seed=6) <= 0.02  # at most 1 % over 2,000 rooms


def test_slips_weigh_what_the_nets_solved_anew_weigh() -> None:
    """Brute force: one change, and each two, made in the readings and the net solved with them: exp(-v'Pv / 2)."""
    room = oracle_room(north=(955, 1200, 1485), south=(2500, 1005))
    net = build_net(room)
    sound = solve(net)
    at = {e.reading: n for n, e in enumerate(net.equations)}
    tried = [("A3", 1845), ("A1", 1315), ("A2", 1500), ("C2", 1505), ("C1", 3000), ("C overall", 3505)]

    def gained(*made: tuple[str, int]) -> float:
        changed = dict(made)
        equations = [replace(e, observed=float(changed.get(e.reading, e.observed))) for e in net.equations]
        return (sound.sum_of_squares - solve(replace(net, equations=equations)).sum_of_squares) / 2.0

    changes = []
    for reading, meant in tried:
        bias = np.zeros(len(net.equations))
        bias[at[reading]] = 1.0
        size = net.equations[at[reading]].observed - meant
        changes.append(Suspect(SlipKind.MISREAD, 0, reading, bias, math.log(0.001), size, meant))
    table = Suspects(changes, net, sound)
    singles, pairs = table.singles(), table.pairs()
    for i, one in enumerate(tried):
        assert singles[i] == pytest.approx(math.log(0.001) + gained(one), abs=1e-5)
        for j, other in enumerate(tried):
            if i != j:
                assert pairs[i, j] == pytest.approx(2 * math.log(0.001) + gained(one, other), abs=1e-5)


def test_what_is_of_unknown_size_weighs_its_integral() -> None:
    """Over all sizes it may have, by SciPy's quadrature; within a fifth, as Laplace's method takes the prior at the
    best size."""
    room = oracle_room(north=(955, 2525), south=(2500, 1305))
    net = build_net(room)
    sound = solve(net)
    changes = [c for c in changes_on(room, net, sound, NetAxis.X) if c.sizes]
    table = Suspects(changes, net, sound)
    singles = table.singles()
    information = sound.weights[:, None] * sound.residual_cofactor * sound.weights[None, :]
    pull = -sound.weights * sound.residuals

    def density(c: Suspect, d: float) -> float:
        assert c.sizes is not None
        log = c.sizes.level - (math.log(d) if c.sizes.shrinks else 0.0) - c.sizes.curve * d * d / 2
        return c.prior + log

    for n, c in enumerate(changes):
        assert c.sizes is not None
        b, h = float(c.bias @ pull), float(c.bias @ information @ c.bias)
        best = min(max(b / h, c.sizes.low), c.sizes.high)
        near = [max(best - 8 / math.sqrt(h), c.sizes.low), min(best + 8 / math.sqrt(h), c.sizes.high)]
        top = density(c, best) + b * best - h * best * best / 2
        whole, _ = quad(lambda d: math.exp(density(c, d) + b * d - h * d * d / 2 - top), *near)  # noqa: B023
        inside = c.sizes.low < b / (h + c.sizes.curve) < c.sizes.high
        if inside and near[0] > c.sizes.low and near[1] < c.sizes.high:
            assert singles[n] - top == pytest.approx(math.log(whole), abs=0.2)


def test_two_of_unknown_size_weigh_the_integral_over_both() -> None:
    """Of anything on two readings: a normal integral in closed form (textbook), the limits being far."""
    room = oracle_room(north=(955, 1200, 1485), south=(2500, 1205))
    net = build_net(room)
    sound = solve(net)
    changes = [c for c in changes_on(room, net, sound, NetAxis.X) if c.kind == SlipKind.OTHER]
    table = Suspects(changes, net, sound)
    bias = np.array([c.bias for c in changes])
    pull = bias @ (-sound.weights * sound.residuals)
    own = bias @ (sound.weights[:, None] * sound.residual_cofactor * sound.weights[None, :]) @ bias.T
    tried = 0
    for i, j in np.argwhere(np.isfinite(table.pairs())).tolist():
        h, b = own[np.ix_([i, j], [i, j])], pull[[i, j]]
        best, prior = (
            np.linalg.solve(h, b),
            sum(c.prior + c.sizes.level for c in (changes[i], changes[j]) if c.sizes),
        )
        if np.abs(best).max() < 500:
            log = b @ best / 2 + math.log(2 * math.pi) - math.log(np.linalg.det(h)) / 2
            assert table.pairs()[i, j] == pytest.approx(prior + log, abs=0.01)
            tried += 1
    assert tried >= 6
    for i, j in np.argwhere(np.triu(np.ones_like(own), 1)).tolist():
        apart = np.linalg.det(own[np.ix_([i, j], [i, j])]) > 1e-6 * own[i, i] * own[j, j]
        of_one = changes[i].reading == changes[j].reading
        assert np.isfinite(table.pairs()[i, j]) == (apart and not of_one), "as the sums can part them or not"


def test_where_half_the_lengths_are_off_the_half_centimetre_each_value_off_it_is_a_quarter_as_common() -> (
    None
):
    """Of five millimetres one is on it and four are not."""
    room = four((955, 1202), (3000,), (955, 1203), (3000,))
    section = room.walls[0].sections[0]
    found = next(
        c for c in changes_on(room, *fitted(room), NetAxis.X) if (c.reading, c.would_be_mm) == ("A1", 958)
    )
    misread = next(c for c in changes_of(section.length, [1202], []) if c.meant_mm == 958)
    fair = misread.prior * plausibility(section, 958) / plausibility(section, 955)
    assert math.exp(found.prior) == pytest.approx(fair / 4)


@pytest.mark.parametrize(("several", "explained"), [(0.39, True), (0.41, False)])
def test_a_room_is_explained_where_one_change_is_likelier_than_several(
    several: float, explained: bool
) -> None:
    """Where with .2 nothing is wrong, .8 are left to share."""
    room = oracle_room()
    assert JudgedAxis(NetAxis.X, room, *fitted(room), nothing=0.2, several=several).explained is explained


def test_of_two_slips_one_may_be_of_a_size_that_alone_would_be_no_length() -> None:
    """Millimetres among centimetres in the west wall, and what stands across the room is of something else: by the
    west wall alone it would be 30 m short."""
    room = oracle_room()
    west = wall(3, Direction.NORTH, (30000,))
    astray = Across(length("across", 1445, 7.0), walls=(0, 2))
    found = examine_room(replace(room, walls=(*room.walls[:3], west), across=(astray,)))
    first = found.slips[0]
    assert (first.kind, first.reading, first.would_be_mm) == ("ten-times", "D1", 3000)
    assert sum(s.probability for s in found.slips) <= 1.0 + 1e-9


# -- a number beside another wall than the one it measures -------------------------------------------------------------


def four(*chains: tuple[int, ...], overalls: Mapping[int, int | tuple[int, ...]] | None = None) -> RoomSurvey:
    """A room of four walls by their chains."""
    whole = overalls or {}
    return RoomSurvey(walls=tuple(wall(n, d, chains[n], whole.get(n)) for n, d in enumerate(RECTANGLE)))


@pytest.mark.parametrize(
    ("room", "reading", "would_be", "key"),
    [
        (
            four((1200, 1800), (2640,), (3000,), (2640,), overalls={0: 2640, 1: 3000}),
            "A overall",
            3000,
            "places",
        ),
        (four((1000, 2000, 640), (2640,), (3000,), (2000,), overalls={0: 3000}), "A3", None, "another"),
        (four((1000, 2000, 2645), (), (3000,), (2640,), overalls={0: 3000}), "A3", None, "another"),
    ],
)
def test_a_number_beside_another_wall_is_first(
    room: RoomSurvey, reading: str, would_be: int | None, key: str
) -> None:
    """Two overalls exchanged; a section of the left wall along the top; the right wall's only number there."""
    found = examine_room(room)
    assert found.closes is False
    slip = found.slips[0]
    assert (slip.kind, slip.reading, slip.would_be_mm) == (SlipKind.ANOTHER_WALL, reading, would_be)
    assert key in slip.question.key
    assert slip.probability > 0.9
    assert reading in {r.id for r in found.readings if r.doubtful}
    assert sum(s.probability for s in found.slips) <= 1.0 + 1e-9


def evidence(room: RoomSurvey) -> float:
    """The log density of all that was measured, each corner and mark anywhere within ten metres: brute force by
    SciPy's multivariate normal."""
    net = build_net(room)
    told = [e for e in net.equations if e.reading]
    design = np.zeros((len(told), net.size))
    for row, e in enumerate(told):
        for unknown, coefficient in e.terms:
            if unknown >= 0:
                design[row, unknown] += coefficient
    noise = np.diag([e.sigma**2 for e in told])
    return float(
        multivariate_normal(None, design @ design.T * 1e8 + noise).logpdf([e.observed for e in told])
    )


def elsewhere(room: RoomSurvey) -> list[tuple[Suspect, float]]:
    net = build_net(room)
    return written_elsewhere(room, net, solve(net))


def test_numbers_of_another_wall_weigh_what_the_room_put_right_weighs() -> None:
    """Every exchange, and every section moved into another chain: that one leaves its tape's noise behind, which counts
    where the room does not come out so either."""
    crossed = four((1000, 2000, 640), (1640, 1000), (1400, 1600), (2000,), overalls={0: 3000, 3: 2620})
    facing = four((1000, 1400), (2640,), (2000, 1600), (2640,), overalls={0: 3000, 2: 3000})
    tried = set()
    for room, (suspect, log) in ((r, found) for r in (crossed, facing) for found in elsewhere(r)):
        put_right = corrected(room, suspect)
        if put_right is not None:
            tried.add(bool(suspect.other))
            want = evidence(put_right) - evidence(room)
            assert log - suspect.prior == pytest.approx(want, abs=0.4, rel=0.0 if suspect.other else 0.08)
    assert tried == {True, False}


def test_an_overall_of_another_wall_weighs_what_the_room_put_right_weighs() -> None:
    """The right wall's overall along the top, as a second one there."""
    chains, whole = ((1000, 2000), (1640, 1000), (1400, 1600), (2640,)), {0: (3000, 2640)}
    room, right = four(*chains, overalls=whole), four(*chains, overalls={0: (3000,), 1: (2640,)})
    found = {s.to: log - s.prior for s, log in elsewhere(room) if "overall 2" in s.reading}
    assert found[1] == pytest.approx(evidence(right) - evidence(room), abs=0.05)


def corrected(room: RoomSurvey, suspect: Suspect) -> RoomSurvey | None:
    """The room with two numbers exchanged, or with a section in another wall's chain; None for the rest."""
    values = {m.id: m.value_mm for m in room.lengths()}
    if suspect.other:
        values[suspect.reading], values[suspect.other] = values[suspect.other], values[suspect.reading]
    chains = [[values[s.length.id] for s in w.sections] for w in room.walls]
    own, n = next(
        (
            (w.index, n)
            for w in room.walls
            for n, s in enumerate(w.sections)
            if s.length.id == suspect.reading
        ),
        (0, None),
    )
    if not suspect.other:
        if n is None or suspect.to is None or len(chains[own]) < 2 or not room.walls[suspect.to].overalls:
            return None
        chains[suspect.to].append(chains[own].pop(n))
    overalls = {w.index: values[o.id] or 0 for w in room.walls for o in w.overalls}
    return four(*(tuple(v or 0 for v in chain) for chain in chains), overalls=overalls)
