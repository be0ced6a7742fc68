"""A word of the desk comes back from its row whole: a field that nobody writes there would be lost without a sign."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, datetime
from enum import Enum
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest

from intake.model.reading import Role
from intake.model.word import AddedNumber, HeightWord, NumberWord, PlanNumber, Statement, Way, Word
from intake.store.words import WRITTEN, from_row, to_row

TRAIL = {"by": "maya", "at": datetime(2026, 3, 3, tzinfo=UTC), "way": Way.DESK, "id": 7}
OF_MAIL_ALONE: Mapping[type[Any], set[str]] = {
    NumberWord: {"quote"},
    HeightWord: {"door", "every"},
    Statement: {"doubt", "corrects", "number", "means", "opening"},
}
"""What only words by mail say: those are read anew from the mail, and have no row."""


def filled(hint: Any) -> Any:
    """A value of a type that is nothing's default."""
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        return filled(next(a for a in args if a is not type(None)))
    if origin is tuple:
        return (filled(args[0]),) if args[1:] == (Ellipsis,) else tuple(filled(a) for a in args)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return list(hint)[-1]
    if is_dataclass(hint):
        return whole(hint)
    plain = {str: "words", int: 3, float: 0.5, bool: True}
    return plain.get(hint, {"unit": "cm"})


def whole(kind: Any) -> Any:
    """One with every field filled, but for what only words by mail say."""
    if kind is PlanNumber:
        return PlanNumber("3fa", read=3)
    hints = get_type_hints(kind)
    own = [f.name for f in fields(kind) if f.name not in TRAIL and f.name not in OF_MAIL_ALONE.get(kind, ())]
    values = {name: filled(hints[name]) for name in own}
    values |= {"role": Role.OPENING} if kind in (NumberWord, AddedNumber) else {}
    return kind(**values, **(TRAIL if kind in WRITTEN else {}))


@pytest.mark.parametrize("kind", WRITTEN, ids=lambda kind: kind.__name__)
def test_every_field_of_a_word_is_in_its_row(kind: type[Word]) -> None:
    word = whole(kind)
    assert from_row(to_row(word), TRAIL) == word


def test_a_field_that_no_row_holds_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    @dataclass(frozen=True)
    class Longer(NumberWord):
        further: str = ""

    monkeypatch.setitem(WRITTEN, Longer, WRITTEN[NumberWord])  # type: ignore[arg-type]
    word = whole(Longer)
    assert word.further == "words" and from_row(to_row(word), TRAIL) != word
