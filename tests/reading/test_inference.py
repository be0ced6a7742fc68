"""What a plan's numbers say and measure, inferred together. The room is the one of the project's check values: north
wall 95.5 + 120 + 184.5, overall 400; south wall 250 + 150.5; east and west 300."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from scipy import stats

from fixtures.benchmark import forty
from intake.domain.room.drawn_lengths import proportion_logs
from intake.domain.sketch.meaning import Meaning
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.search import Search
from intake.domain.sketch.states import Weights
from intake.domain.sketch.sums import Axis, LevelLength, agreement, members
from intake.domain.sketch.what_numbers_measure import Room, Sums, alone, infer, measures
from intake.domain.sketch.written_slips import WRITTEN, kind_of, meant_along
from intake.model.examination import SlipKind
from intake.model.reading import Alternative, Direction, OutlineWall, Point, Role, Sighting, Stand

CORNERS = ((100.0, 100.0), (900.0, 100.0), (900.0, 700.0), (100.0, 700.0))
WALLS = tuple(
    OutlineWall(n, CORNERS[n], CORNERS[(n + 1) % 4], way)
    for n, way in enumerate((Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH))
)
SECTION, OVERALL = forty.SECTION, forty.OVERALL


def seen(
    wall: int,
    span: tuple[float, float],
    *texts: tuple[str, float],
    roles: dict[Role, float] = SECTION,
    or_wall: tuple[int, float] | None = None,
) -> Sighting:
    stands = [Stand(wall, 1.0 - (or_wall[1] if or_wall else 0.0), span)]
    if or_wall:
        stands.append(Stand(or_wall[0], or_wall[1], (0.0, 1.0)))
    stands.sort(key=lambda s: -s.weight)
    return Sighting(tuple(Alternative(t, p) for t, p in texts), roles, {}, tuple(stands), 1.0, (500.0, 400.0))


FIRST = seen(0, (0.0, 0.24), ("95.5", 0.97), ("45.5", 0.02))
SECOND = seen(0, (0.24, 0.54), ("120", 0.97), ("170", 0.02))
THIRD = seen(0, (0.54, 1.0), ("184.5", 0.97))
WHOLE = seen(0, (0.0, 1.0), ("400", 0.97), roles=OVERALL)
EAST, WEST = (seen(w, (0.0, 1.0), ("300", 0.97)) for w in (1, 3))
SOUTH = (seen(2, (0.0, 0.6), ("250", 0.97)), seen(2, (0.6, 1.0), ("150.5", 0.97)))


def room(*numbers: Sighting) -> Room:
    return infer([*numbers, EAST, WEST], WALLS, "cm")


def test_the_sum_settles_what_the_readers_could_not() -> None:
    third = seen(0, (0.54, 1.0), ("187.5", 0.55), ("184.5", 0.42))
    found = room(FIRST, SECOND, third, WHOLE).numbers
    assert [n.text for n in found[:4]] == ["95.5", "120", "184.5", "400"]
    assert found[2].probability > 0.9 > found[2].alone
    assert found[3].meaning.role is Role.OVERALL


def test_even_a_fifth_guess_is_taken_where_the_sum_wants_it() -> None:
    guesses = (("187.5", 0.24), ("181.5", 0.2), ("189.5", 0.2), ("164.5", 0.18), ("184.5", 0.17))
    found = room(FIRST, SECOND, seen(0, (0.54, 1.0), *guesses), WHOLE).numbers
    assert found[2].text == "184.5" and found[2].probability > 0.9


def test_a_number_between_two_walls_goes_to_the_one_whose_sum_it_completes() -> None:
    """By its place 150.5 is more likely the east wall's; 250 + 150.5 is the north wall's 400."""
    astray = seen(1, (0.7, 1.0), ("150.5", 0.97), or_wall=(2, 0.3))
    found = room(FIRST, SECOND, THIRD, WHOLE, SOUTH[0], astray).numbers
    assert (found[5].meaning.wall, found[5].meaning.role) == (2, Role.SECTION)
    assert found[5].sure > 0.9


def test_a_doubtful_overall_does_not_throw_out_sure_sections() -> None:
    doubtful = seen(0, (0.0, 1.0), ("480", 0.5), roles=OVERALL)
    found = room(FIRST, SECOND, THIRD, doubtful, *SOUTH).numbers
    assert [n.text for n in found[:3]] == ["95.5", "120", "184.5"]
    assert all(n.probability > 0.95 for n in found[:3])
    assert found[3].meaning.text is None, "none of the readings of the doubtful one"


@pytest.mark.parametrize(("thing", "role"), [(0.998, Role.SECTION), (0.9999, Role.FIXTURE)])
def test_what_may_be_a_section_is_one_before_the_customer_is_told_of_a_slip(thing: float, role: Role) -> None:
    """A boxing's 18 looks like a thing's; without it the north wall's 95.5 + 120 + 166.5 lack 18 of 400. Only where
    hardly anything speaks for a section do the sums miss."""
    roles = {Role.SECTION: 1.0 - thing, Role.FIXTURE: thing}
    boxing = seen(0, (0.54, 0.6), ("18", 0.97), roles=roles)
    found = room(FIRST, SECOND, seen(0, (0.6, 1.0), ("166.5", 0.97)), WHOLE, *SOUTH, boxing).numbers
    assert found[6].meaning.role is role
    assert found[0].sums is (Sums.COME_OUT if role is Role.SECTION else Sums.MISS)


def test_numbers_of_a_wall_whose_pieces_are_not_drawn_apart_are_told_by_where_they_look_to_reach() -> None:
    """The south wall, 240 and 160.5 of its 400.5, with a boxing along the second: no opening parts the two."""
    thing = {Role.SECTION: 0.3, Role.FIXTURE: 0.6, Role.UNKNOWN: 0.1}
    first = replace(seen(2, (0.0, 1.0), ("240", 0.97)), reach=((900.0, 700.0), (400.0, 700.0)))
    boxing = seen(2, (0.0, 1.0), ("160.5", 0.97), roles=thing)
    apart, over = (replace(boxing, reach=((x, 700.0), (100.0, 700.0))) for x in (400.0, 900.0))
    sure = [room(FIRST, SECOND, THIRD, WHOLE, first, each).numbers[5] for each in (apart, over)]
    assert sure[0].meaning.role is Role.SECTION
    assert sure[0].sure > max(0.95, sure[1].sure)


def test_what_is_short_is_drawn_longer_than_to_scale() -> None:
    """A jamb of 10 cm drawn as long as 30 is as usual as one of 90 cm drawn so; 3 m drawn as 1 m is not."""
    jamb, middle, wall = (
        float(proportion_logs(np.array([mm]), drawn)[0])
        for mm, drawn in ((100.0, 330.0), (900.0, 950.0), (3000.0, 1000.0))
    )
    assert jamb == pytest.approx(middle, abs=0.05)
    assert wall < jamb - 2.0


@pytest.mark.parametrize("other", [0.00001, 0.0014])
def test_a_slip_in_clear_ink_is_not_corrected(other: float) -> None:
    """What is hardly seen there is no reading, though the sums have it: the slips say whose fault it is."""
    clear = seen(0, (0.54, 1.0), ("1845", 0.99 - other), ("184.5", other))
    assert room(FIRST, SECOND, clear, WHOLE).numbers[2].text == "1845"


def test_what_is_seen_in_clear_ink_as_well_is_taken_where_the_sums_have_it_and_stays_in_doubt() -> None:
    """A 2 read for an 8: 184.5 stands there as well, at two in a hundred, and only with it the wall adds up."""
    clear = seen(0, (0.54, 1.0), ("124.5", 0.97), ("184.5", 0.02))
    third = room(FIRST, SECOND, clear, WHOLE).numbers[2]
    assert third.text == "184.5" and third.sums is Sums.COME_OUT
    assert 0.4 < third.probability < 0.97
    alone_there = room(FIRST, SECOND, clear).numbers[2]
    assert alone_there.text == "124.5"


def test_the_clearer_the_ink_the_sooner_the_customer_slipped() -> None:
    """184.5 is what would make the wall add up, 194.5 stands there (a decimetre)."""
    odds = []
    for clear in (0.91, 0.96, 0.99):
        third = room(FIRST, SECOND, seen(0, (0.54, 1.0), ("194.5", clear)), WHOLE).numbers[2]
        odds.append((1 - third.probability) / third.probability)
    assert odds[0] > 2 * odds[1] > 4 * odds[2]


def test_lengths_written_to_the_inch_need_not_add_up_to_the_half_centimetre() -> None:
    """3'7" + 5'2" + 6'1" is 14'10": two inches short of 15', which four roundings of half an inch can be (1 inch is
    25.4 mm exactly: international yard and pound agreement, 1959, from memory)."""
    spans = ((0.0, 0.24), (0.24, 0.6), (0.6, 1.0))
    inch = [seen(0, s, (t, 0.85)) for s, t in zip(spans, ("3'7\"", "5'2\"", "6'1\""), strict=True)]
    found = infer([*inch, seen(0, (0.0, 1.0), ("15'", 0.85), roles=OVERALL)], WALLS, "ft").numbers
    assert all(n.probability > n.alone for n in found)


def test_what_no_reader_offered_is_never_said() -> None:
    third = seen(0, (0.54, 1.0), ("999", 0.6), ("998", 0.3))
    found = room(FIRST, SECOND, third, WHOLE).numbers
    assert found[2].text in ("999", "998")
    assert found[2].meaning.text is None or found[2].probability < 0.9


def test_without_walls_each_number_says_what_its_reader_finds_likeliest() -> None:
    (found,) = alone(
        [seen(0, (0.0, 1.0), ("95.5", 0.7), ("45.5", 0.2), roles={Role.SILL: 0.9, Role.HEAD: 0.1})]
    )
    assert (found.text, found.probability, found.alone, found.meaning.role) == ("95.5", 0.7, 0.7, Role.SILL)


def test_what_a_person_settled_is_held() -> None:
    astray = seen(1, (0.7, 1.0), ("150.5", 0.97), or_wall=(2, 0.3))
    numbers = [FIRST, SECOND, THIRD, WHOLE, SOUTH[0], astray, EAST, WEST]
    held = infer(numbers, WALLS, "cm", {5: (Role.SECTION, 1)}).numbers
    assert (held[5].meaning.wall, held[5].sure) == (1, pytest.approx(1.0))


def test_a_length_across_the_room_is_no_wall_of_its_own() -> None:
    """A line from the west wall to the east wall, in the middle of the room."""
    line = Sighting(
        (Alternative("400", 0.97),),
        {**OVERALL, Role.SECTION: 0.3},
        {},
        (Stand(0, 0.5, (0.0, 1.0)), Stand(2, 0.5, (0.0, 1.0))),
        0.3,
        (500.0, 400.0),
        ((102.0, 400.0), (897.0, 402.0)),
    )
    found = room(FIRST, SECOND, THIRD, *SOUTH, line).numbers[5]
    assert found.meaning.role is Role.OVERALL
    assert found.meaning.levels == Levels(WALLS).of_wall(0)


def test_a_length_amid_the_room_is_sooner_of_two_facing_walls_than_one_beside_a_wall() -> None:
    """The same figure and dimension line from west to east, once in the middle and once at the north wall."""
    whole = {Role.OVERALL: 0.8, Role.UNKNOWN: 0.1}
    line = replace(seen(0, (0.0, 1.0), ("400", 0.97), roles=whole), line=((102.0, 400.0), (897.0, 402.0)))
    amid, beside = (
        room(FIRST, SECOND, THIRD, *SOUTH, replace(line, amid=a)).numbers[5] for a in (True, False)
    )
    of_two = [sum(p for m, p in n.others if m.levels and m.wall is None) for n in (amid, beside)]
    assert of_two[0] > 10 * of_two[1] > 0.0


def test_sections_that_share_more_than_half_a_stretch_are_hardly_ever_right_together() -> None:
    """The shorter, 0.24 of its wall, beside and over one of 0.3."""

    def weight(start: float) -> float:
        spans = ((0.0, 0.24), (start, start + 0.3))
        offered = [[Meaning(0, 955.0, Role.SECTION, 0, span, None, 0.0)] for span in spans]
        return Weights(offered, Levels(WALLS), 5.0, "cm").parts((0, 0)).weight

    assert weight(0.24) == weight(0.13) > weight(0.11) + math.log(10.0)
    assert weight(0.11) == weight(0.0)


@pytest.mark.parametrize("at", [0.1, 0.35])
@pytest.mark.parametrize("wide", [0.12, 0.3])
def test_how_much_of_a_stretch_is_shared_is_of_the_shorter(at: float, wide: float) -> None:
    """Whichever is told first, wherever on the wall, and from either end of it."""

    def laps(shared: float, mirrored: bool, turned: bool) -> bool:
        spans = [
            (at, at + 0.2),
            (at + 0.2 - shared * min(0.2, wide), at + 0.2 - shared * min(0.2, wide) + wide),
        ]
        spans = [(1.0 - b, 1.0 - a) for a, b in spans] if mirrored else spans
        offered = [
            [Meaning(0, 955.0, Role.SECTION, 0, s, None, 0.0)] for s in (spans[::-1] if turned else spans)
        ]
        return Weights(offered, Levels(WALLS), 5.0, "cm").parts((0, 0)).weight < apart - 1.0

    one = [[Meaning(0, 955.0, Role.SECTION, 0, s, None, 0.0)] for s in ((0.0, 0.2), (0.5, 0.7))]
    apart = Weights(one, Levels(WALLS), 5.0, "cm").parts((0, 0)).weight
    for mirrored, turned in product((False, True), repeat=2):
        assert not laps(0.45, mirrored, turned)
        assert laps(0.55, mirrored, turned)


def test_each_overall_of_a_wall_after_its_first_is_unlikely() -> None:
    weights = Weights([], Levels(WALLS), 5.0, "cm")
    first, second, third = (weights._wall_anew(0, (), overalls)[0] for overalls in (1, 2, 3))
    assert first == 0.0 and third == 2 * second < -4.0


def test_a_sum_may_be_a_slip_of_any_of_its_lengths_the_others_as_they_stand() -> None:
    """A slip of one moves the sum as it moves the one, and is as likely as all the rest is."""
    pieces = (("95.5", 955.0, (0.0, 0.24)), ("120", 1200.0, (0.24, 0.54)))
    offered = [[Meaning(0, mm, Role.SECTION, 0, span, None, 0.0, usual=-7.0)] for _, mm, span in pieces]
    weights = Weights(offered, Levels(WALLS), 5.0, "cm", [(text,) for text, _, _ in pieces])
    own = np.concatenate([weights._may_mean((n, 0)) for n in range(2)], axis=1)
    both = weights._one_may_mean([(0, 0), (1, 0)], -14.0)
    assert own.shape[1] > 20 and np.array_equal(both, own + np.array([[0.0], [-7.0], [0.0]]))


def test_the_search_equals_trying_every_state() -> None:
    """Brute force over all states of small rooms of random evidence: the same best state, and the same chances."""
    for seed in range(25):
        search = _random_search(seed)
        every = {s: search.weights.parts(s).weight for s in product(*(range(len(o)) for o in search.offered))}
        whole = dict(every)
        search.seen.clear()
        search.run()
        best = max(whole.values())
        total = sum(math.exp(w - best) for w in whole.values())
        for n, options in enumerate(search.offered):
            for option in range(len(options)):
                true = sum(math.exp(w - best) for s, w in whole.items() if s[n] == option) / total
                found = _share(search.seen, n, option)
                assert found == pytest.approx(true, abs=0.02), (seed, n, option)


def test_no_change_of_one_number_betters_what_the_climb_ends_at() -> None:
    for seed in range(40):
        search = _random_search(seed)
        top = search.climbed((0,) * len(search.offered))
        least = search.weights.parts(top).weight + 1e-9
        for n, options in enumerate(search.offered):
            for option in range(len(options)):
                assert search.weights.parts((*top[:n], option, *top[n + 1 :])).weight <= least, (seed, n)


def test_two_numbers_change_places_where_they_are_of_two_walls() -> None:
    """In one step, each saying what it said; not where one wall has both, a section and a thing on it."""

    def means(wall: int, role: Role = Role.SECTION) -> Meaning:
        return Meaning(0, 955.0, role, wall, (0.0, 1.0), None, 0.0)

    for first, second, steps in ((means(0), means(2), 1), (means(0), means(0, Role.FIXTURE), 0)):
        offered = [[first, second], [second, first]]
        search = Search(offered, Weights(offered, Levels(WALLS), 5.0, "cm"))
        assert list(search._exchanges((0, 0))) == [((0, 1), (1, 1))] * steps


def _share(states: dict[tuple[int, ...], float], number: int, option: int) -> float:
    best = max(states.values())
    weights = {s: math.exp(w - best) for s, w in states.items()}
    return sum(w for s, w in weights.items() if s[number] == option) / sum(weights.values())


def _random_search(seed: int) -> Search:
    """Six numbers of three meanings each: what they say, whose they are, sections or overalls."""
    rng = np.random.default_rng(seed)
    levels = Levels(WALLS)
    offered = []
    for _ in range(6):
        options = []
        for _ in range(3):
            wall = int(rng.integers(4))
            whole = bool(rng.random() < 0.4)
            value = float(rng.choice([4000, 3000, 1500, 2500, 955, 1845]))
            role, pair = (Role.OVERALL, levels.of_wall(wall)) if whole else (Role.SECTION, None)
            span = None if whole else (0.0, float(rng.uniform(0.2, 0.6)))
            options.append(Meaning(len(options), value, role, wall, span, pair, float(rng.normal(0, 2))))
        offered.append(sorted(options, key=lambda m: -m.log))
    return Search(offered, Weights(offered, levels, 5.0, "cm"))


def test_the_evidence_of_lengths_is_that_of_the_multivariate_normal() -> None:
    """Against SciPy's multivariate normal, every length sound or slipped tried one by one."""
    drawn = {0: 0.0, 1: 3600.0}
    slips = (0.02, 0.05, 0.02)
    told = ((4000.0, 7.0), (4010.0, 9.0), (3500.0, 7.0))
    lengths = [LevelLength(0, 1, *m, math.log(1 - p), math.log(p)) for m, p in zip(told, slips, strict=True)]
    level = (0.3 * 3600.0) ** 2 * 2.0
    total, alone = 0.0, 1.0 / math.sqrt(2 * math.pi * level)
    for broken in product((False, True), repeat=3):
        kept = [m for m, b in zip(lengths, broken, strict=True) if not b]
        if not kept:
            continue
        chance = math.prod(p if b else 1 - p for p, b in zip(slips, broken, strict=True))
        spread = level + np.diag([m.sigma**2 for m in kept])
        density = stats.multivariate_normal(np.zeros(len(kept)), spread).pdf([m.value - 3600.0 for m in kept])
        total += chance * density / alone ** len(kept)
    assert agreement(lengths, drawn).log == pytest.approx(math.log(total), abs=1e-6)
    assert agreement(lengths, drawn).broken[2] > 0.95


@pytest.mark.parametrize(("written", "slipped"), [(3000.0, 0.9), (4030.0, 0.05)])
def test_a_slip_of_a_known_kind_is_the_density_of_the_length_meant(written: float, slipped: float) -> None:
    """Against SciPy's multivariate normal: 3000, or 4030 that is hardly off, may have been meant as 4015 or 3500, each
    change tried."""
    drawn, level = {0: 0.0, 1: 3600.0}, (0.3 * 3600.0) ** 2 * 2.0
    meant = np.stack([[4015.0 - written, 3500.0 - written], np.log([0.004, 0.001]), [0.0, 30.0**2]])
    lengths = [
        LevelLength(0, 1, 4000.0, 7.0, math.log(0.98), math.log(0.02)),
        LevelLength(0, 1, written, 9.0, math.log(0.95), math.log(0.006), lambda: meant),
    ]
    alone = 1.0 / math.sqrt(2 * math.pi * level)

    def density(*values: tuple[float, float]) -> float:
        spread = level + np.diag([sd**2 for _, sd in values])
        return float(
            stats.multivariate_normal(np.zeros(len(values)), spread).pdf([v - 3600.0 for v, _ in values])
        )

    first, second = (4000.0, 7.0), (written, 9.0)
    sound = 0.98 * 0.95 * density(first, second)
    unknown = 0.02 * 0.95 * alone * density(second) + 0.98 * 0.006 * alone * density(first)
    known = 0.98 * 0.004 * density(first, (4015.0, 9.0))
    known += 0.98 * 0.001 * density(first, (3500.0, math.hypot(9.0, 30.0)))
    both = 0.02 * 0.006 * alone**2
    found = agreement(lengths, drawn)
    assert found.log == pytest.approx(math.log((sound + unknown + known + both) / alone**2), abs=1e-3)
    assert found.broken[1] > slipped


def test_how_often_customers_slip_tells_what_was_meant() -> None:
    """A wall of 400 said to be 4 is metres or a digit lost, by the sums both 400. How much each is thought of by the
    inference is the chance of its kind, times as often as it happens here."""
    shipped = meant_along("4", 40, Role.OVERALL, 4000.0)
    here = meant_along("4", 40, Role.OVERALL, 4000.0, {"metres": 6.0})
    more = np.exp(here[1] - shipped[1])
    assert sorted(set(np.round(more, 6))) == [1.0, 6.0]
    assert np.allclose(shipped[0][more > 3], 4000 - 40)
    numbers = [FIRST, SECOND, THIRD, seen(0, (0.0, 1.0), ("4", 0.97), roles=OVERALL), EAST, WEST, *SOUTH]
    usual, often = (infer(numbers, WALLS, "cm", slips=slips).log for slips in ({}, {"metres": 6.0}))
    assert 0.5 < often - usual <= math.log(6.0) + 1e-6
    never = infer(numbers, WALLS, "cm", slips=dict.fromkeys((*WRITTEN, SlipKind.OTHER), 1e-6))
    assert never.log < usual


def test_how_often_customers_slip_by_no_known_kind_counts_as_well() -> None:
    """A wall of 400 said to be 437: no slip of the catalogue's, so it is thought of as often as an unknown one."""
    whole = seen(0, (0.0, 1.0), ("437", 0.999), roles={Role.OVERALL: 1.0})
    numbers = [FIRST, SECOND, THIRD, whole, EAST, WEST, *SOUTH]
    usual, same, often = (
        infer(numbers, WALLS, "cm", slips=slips).log
        for slips in ({}, {SlipKind.OTHER: 1.0}, {SlipKind.OTHER: 6.0})
    )
    assert usual == same
    assert 0.5 < often - usual <= math.log(6.0) + 1e-6


@pytest.mark.parametrize(
    ("text", "value", "meant", "kind"),
    [
        ("386", 3860, 3860, ""),
        ("3.86", 39, 3860, "metres"),
        ("3860", 38600, 3860, "ten-times"),
        ("368", 3680, 3860, "swapped-digits"),
        ("286", 2860, 3860, "metre-or-decimetre"),
        ("386", 3860, 3413, "other"),
    ],
)
def test_the_kind_of_a_slip_is_what_makes_the_one_into_the_other(
    text: str, value: int, meant: int, kind: str
) -> None:
    assert kind_of(text, value, meant) == kind


@pytest.mark.parametrize("written", ["300", "40", "4000", "410"])
def test_a_slip_is_not_explained_by_taking_the_number_for_something_else(written: str) -> None:
    """400 written with the tape a metre out, without its last digit, in millimetres, with a digit that is another; the
    drawing has it nearly as likely a height."""
    roles = {Role.OVERALL: 0.6, Role.CEILING: 0.2, Role.REVEAL: 0.1, Role.UNKNOWN: 0.1}
    slipped = seen(0, (0.0, 1.0), (written, 0.98), roles=roles)
    found = room(FIRST, SECOND, THIRD, slipped, *SOUTH).numbers
    assert [n.text for n in found[:4]] == ["95.5", "120", "184.5", written]
    assert found[3].meaning.role is Role.OVERALL and found[3].sums is Sums.MISS


def test_a_thing_in_a_corner_may_be_of_either_wall() -> None:
    boiler = seen(
        0, (0.0, 0.2), ("60", 0.97), roles={Role.FIXTURE: 0.97, Role.SECTION: 0.01}, or_wall=(3, 0.4)
    )
    found = room(FIRST, SECOND, THIRD, WHOLE, *SOUTH, boiler).numbers[6]
    assert (found.meaning.role, found.meaning.wall) == (Role.FIXTURE, 0)
    assert 0.5 < found.sure < 0.6, "the drawing is surer of a thing's wall than it is right"
    assert [(m.role, m.wall) for m, _ in found.others[:1]] == [(Role.FIXTURE, 3)]


@pytest.mark.parametrize("numbers", [forty.as_written(), forty.as_anything()])
def test_forty_numbers_on_sixteen_walls_are_inferred_in_time(numbers: list[Sighting]) -> None:
    """Anything larger than the budget says so; the same numbers give the same answer."""
    started = time.process_time()
    first = infer(numbers, forty.walls(), "cm")
    assert time.process_time() - started < 3.0, "0.3 s on the machine it was written on"
    second = infer(numbers, forty.walls(), "cm")
    assert not first.whole
    assert first == second


def test_sets_weighed_together_weigh_what_they_do_alone() -> None:
    drawn = {0: 0.0, 1: 2000.0, 2: 3600.0}
    told = ((0, 2, 4000.0), (0, 1, 2100.0), (1, 2, 1900.0), (0, 2, 3500.0))
    lengths = [LevelLength(*m, 7.0, math.log(0.98), math.log(0.006)) for m in told]
    axis = Axis(drawn)
    bits = [axis.add(length) for length in lengths]
    sets = [sum(s) for n in range(1, 5) for s in combinations(bits, n)]
    axis.weigh(sets)
    for held in sets:
        alone = agreement([lengths[bits.index(1 << at)] for at in members(held)], drawn)
        assert axis.known[held] == pytest.approx(alone.log, abs=1e-9)


def test_a_length_that_the_drawing_runs_from_wall_to_wall_is_between_those_walls() -> None:
    """300 from the north to the south wall, its stretch drawn there, and no dimension line found."""
    told = {Role.FIXTURE: 0.02, Role.UNKNOWN: 0.02, Role.SECTION: 0.04}
    span = seen(0, (0.3, 0.4), ("300", 0.97), roles=told)
    across = replace(span, at=(450.0, 420.0), amid=True, across=0.92, reach=((450.0, 105.0), (450.0, 690.0)))
    found = room(FIRST, SECOND, THIRD, WHOLE, *SOUTH, across).numbers[6]
    assert found.meaning.role is Role.OVERALL and found.meaning.wall is None
    assert set(measures(found.meaning, Role.OVERALL, 1.0, WALLS).walls) == {0, 2}
    assert found.sure > 0.9


@pytest.mark.parametrize(("by", "to"), [(1.0, (700.0, -60.0)), (2.5, (0.0, 0.0)), (0.4, (50.0, 900.0))])
def test_the_same_plan_elsewhere_on_a_larger_picture_means_the_same(by: float, to: Point) -> None:
    def there(at: Point) -> Point:
        return at[0] * by + to[0], at[1] * by + to[1]

    def shown(number: Sighting) -> Sighting:
        line, reach = (ends and (there(ends[0]), there(ends[1])) for ends in (number.line, number.reach))
        return replace(number, at=there(number.at), line=line, reach=reach)

    loose = {Role.SECTION: 0.3, Role.FIXTURE: 0.3, Role.UNKNOWN: 0.2}
    lined = seen(0, (0.3, 0.4), ("300", 0.6), ("800", 0.3), roles=loose)
    lined = replace(lined, at=(450.0, 420.0), amid=True, across=0.3, line=((450.0, 130.0), (450.0, 660.0)))
    reaching = replace(lined, line=None, reach=((160.0, 500.0), (880.0, 500.0)), at=(520.0, 500.0))
    numbers = (FIRST, SECOND, THIRD, WHOLE, *SOUTH, lined, reaching)
    walls = tuple(replace(w, start=there(w.start), end=there(w.end)) for w in WALLS)
    here, moved = infer(numbers, WALLS, "cm").numbers, infer([*map(shown, numbers)], walls, "cm").numbers
    for one, other in zip(here, moved, strict=True):
        assert (one.text, one.meaning.role, one.meaning.wall) == (
            other.text,
            other.meaning.role,
            other.meaning.wall,
        )
        assert (other.sure, other.probability) == pytest.approx((one.sure, one.probability), abs=1e-6)
