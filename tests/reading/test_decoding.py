"""Reading a plan's numbers together. The room is the one of the project's check values: north wall 95.5 + 120
+ 184.5, overall 400; south wall 250 + 150.5."""

from __future__ import annotations

import pytest

from intake.domain.sketch.decoding import Decision, Seen, decode
from intake.model.reading import Alternative, Direction, Role

WALLS = {0: Direction.EAST, 1: Direction.SOUTH, 2: Direction.WEST, 3: Direction.NORTH}


def _seen(wall: int | None, *texts: tuple[str, float], role: Role = Role.UNKNOWN, outer: float = 0.2) -> Seen:
    return Seen(tuple(Alternative(t, p) for t, p in texts), role, wall, outer)


def _north(third: Seen, overall: Seen) -> tuple[Decision, ...]:
    first, second = _seen(0, ("95.5", 0.97), ("45.5", 0.02)), _seen(0, ("120", 0.97), ("170", 0.02))
    return decode([first, second, third, overall], WALLS, "cm")


def test_the_sum_settles_what_the_readers_could_not() -> None:
    decided = _north(_seen(0, ("187.5", 0.55), ("184.5", 0.42)), _seen(0, ("400", 0.97), outer=0.8))
    assert [d.text for d in decided] == ["95.5", "120", "184.5", "400"]
    assert decided[2].probability > 0.9 > decided[2].alone
    assert decided[2].fits == 1 and "187.5" in decided[2].note
    assert decided[3].role is Role.OVERALL


def test_opposite_walls_bear_each_other_out() -> None:
    north = _north(_seen(0, ("184.5", 0.97)), _seen(0, ("400", 0.97), outer=0.8))
    south = [_seen(2, ("250", 0.97)), _seen(2, ("180.5", 0.5), ("150.5", 0.45))]
    first, second = _seen(0, ("95.5", 0.97)), _seen(0, ("120", 0.97))
    third, overall = _seen(0, ("184.5", 0.97)), _seen(0, ("400", 0.97), outer=0.8)
    decided = decode([first, second, third, overall, *south], WALLS, "cm")
    assert decided[5].text == "150.5"
    assert decided[0].probability > north[0].probability


@pytest.mark.parametrize("other", [0.00001, 0.014, 0.08])
def test_a_slip_in_clear_ink_is_not_corrected(other: float) -> None:
    """Even where a reader offers what the sums would have: the room's slips and a person decide whose fault it is."""
    clear = _seen(0, ("1845", 0.99 - other), ("184.5", other))
    decided = _north(clear, _seen(0, ("400", 0.97), outer=0.8))
    assert decided[2].text == "1845"
    assert decided[2].fits == 0


def test_lengths_written_to_the_inch_need_not_add_up_to_the_half_centimetre() -> None:
    """3'7" + 5'2" + 6'1" is 14'10": two inches short of 15', which four roundings of half an inch can be (1 inch is
    25.4 mm exactly: international yard and pound agreement, 1959, from memory)."""
    inch = [_seen(0, (text, 0.9)) for text in ("3'7\"", "5'2\"", "6'1\"")]
    decided = decode([*inch, _seen(0, ("15'", 0.9), outer=0.8)], WALLS, "ft")
    assert all(d.probability > d.alone for d in decided)


def test_what_no_reader_offered_is_never_chosen() -> None:
    decided = _north(_seen(0, ("999", 0.6), ("998", 0.3)), _seen(0, ("400", 0.97), outer=0.8))
    assert decided[2].text in ("999", "998")
    assert decided[2].probability < 0.9


def test_numbers_by_no_wall_keep_the_readers_word() -> None:
    (ceiling,) = decode([_seen(None, ("236", 0.9), role=Role.CEILING)], WALLS, "cm")
    assert (ceiling.text, ceiling.probability, ceiling.role) == ("236", 0.9, Role.CEILING)


def test_many_numbers_on_many_walls_stay_quick() -> None:
    alternatives = tuple((f"{100 + 7 * i}", 0.15) for i in range(6))
    seen = [_seen(w % 4, *alternatives) for w in range(32)]
    assert len(decode(seen, WALLS, "cm")) == 32
