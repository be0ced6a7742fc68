"""Numbers that read as well upside down, among others that tell which way up the writer wrote."""

from __future__ import annotations

import numpy as np

from intake.model.reading import Alternative, Box, Role
from intake.reading.numbers import Placed
from intake.reading.sorter import SeenMeaning
from intake.reading.texts import ReadText
from intake.reading.tidy import Cutting
from intake.reading.upside_down import with_doubts_of_ways

TOLD = SeenMeaning(dict.fromkeys(Role, 0.1), 0.0, ((0.0, 0.0), (1.0, 0.0)))


def _number(text: str, upside_down: bool = False) -> Placed:
    upright: Box = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))
    a, b, c, d = upright
    box = (c, d, a, b) if upside_down else upright
    said = (Alternative(text, 0.99),)
    read = ReadText(Cutting(box, np.zeros((64, 200), np.uint8), box), said[0], said, 0.99)
    return Placed(read, box, TOLD, (), None, dict.fromkeys(Role, 0.1))


def _doubted(*places: Placed) -> list[str]:
    return [p.text.numbers[0].text for p in with_doubts_of_ways(places) if p.text.rival > 0.3]


def test_a_number_that_reads_either_way_is_doubted_where_no_other_stands_as_it_does() -> None:
    assert _doubted(_number("66")) == ["66"]
    assert _doubted(_number("66"), _number("245", upside_down=True)) == ["66"]
    assert _doubted(_number("66"), _number("245")) == []


def test_a_number_that_is_the_same_either_way_or_reads_one_way_only_is_not() -> None:
    assert _doubted(_number("88"), _number("69"), _number("245")) == []


def test_a_doubted_one_may_say_what_it_does_the_other_way_up() -> None:
    """61 is 19 to whoever turns the sheet; 01 is nothing."""
    (turned,) = with_doubts_of_ways([_number("19")])
    assert [a.text for a in turned.text.numbers] == ["19", "61"]
    assert sum(a.confidence for a in turned.text.numbers) < 1
    (short,) = with_doubts_of_ways([_number("10")])
    assert [a.text for a in short.text.numbers] == ["10"]
    (told, _) = with_doubts_of_ways([_number("19"), _number("245")])
    assert [a.text for a in told.text.numbers] == ["19"]
