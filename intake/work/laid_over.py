"""What people decided of the numbers of a job's sketches, laid over what was read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from intake.domain.said.heights import Told
from intake.domain.said.overrides import Added, Override, overridden, with_added, with_openings
from intake.domain.sketch.again import Settled, inferred_again
from intake.model.checklist import Statement, StatementKind
from intake.model.reading import Role, SketchReading
from intake.store.jobs import Decision


@dataclass(frozen=True)
class NumberNames:
    """Names the numbers of one sketch so that a decision finds its number again, whatever else is undone: "3fa#3" is
    the fourth that was read on picture 3fa, "3fa#+17" the one that decision 17 added. `read` is how many were read,
    `added` the decisions that stand, in order."""

    picture: str
    read: int
    added: tuple[int, ...]

    def name(self, index: int) -> str:
        """The name of the number at `index` of the reading as it stands."""
        own = str(index) if index < self.read else f"+{self.added[index - self.read]}"
        return f"{self.picture}#{own}"

    def index(self, name: str) -> int | None:
        """Where the number stands now; None where it is not on this sketch or no longer added."""
        picture, _, own = name.partition("#")
        if picture != self.picture:
            return None
        if own.startswith("+"):
            key = int(own[1:])
            return self.read + self.added.index(key) if key in self.added else None
        return int(own)

    @property
    def count(self) -> int:
        return self.read + len(self.added)


def names_of(picture: str, reading: SketchReading, decisions: Sequence[Decision]) -> NumberNames:
    """`decisions` are those of the job that stand, in order."""
    added = tuple(d.id for d in decisions if d.kind == "added" and d.target == picture)
    return NumberNames(picture, len(reading.numbers), added)


def with_missed(picture: str, reading: SketchReading, decisions: Sequence[Decision]) -> SketchReading:
    """The reading with the numbers that people added appended."""
    added = [_added(d.value) for d in decisions if d.kind == "added" and d.target == picture]
    return with_added(reading, added)


def laid_over(
    readings: Mapping[str, SketchReading], decisions: Sequence[Decision]
) -> dict[str, SketchReading]:
    """The readings, by picture id, with what was added appended and every word on a number laid over it."""
    return {picture: _laid_over(picture, reading, decisions) for picture, reading in readings.items()}


def _laid_over(picture: str, reading: SketchReading, decisions: Sequence[Decision]) -> SketchReading:
    names = names_of(picture, reading, decisions)
    found = [(names.index(d.target), d.value) for d in decisions if d.kind == "reading"]
    words = [(index, value) for index, value in found if index is not None]
    said = [
        _override(i, value) for n, (i, value) in enumerate(words) if not _taken_back(value, i, words[n + 1 :])
    ]
    laid = overridden(with_missed(picture, reading, decisions), said)
    settled = {o.number: _settled(o) for o in said}
    if settled or len(laid.numbers) > len(reading.numbers):
        laid = inferred_again(laid, settled)
    return with_openings(laid, opening_kinds(names, decisions))


def _settled(override: Override) -> Settled:
    said = override.text or ("confirmed" if override.confirmed else "")
    return Settled(override.role, override.wall, said, override.not_a_number)


def taken_by_people(decisions: Sequence[Decision]) -> tuple[Statement, ...]:
    """What designers took from words that the program had not understood, as what the customer says."""
    return tuple(
        Statement(
            d.value["item"],
            StatementKind(d.value["kind"]),
            d.value["text"],
            d.value.get("value_mm"),
            d.value.get("message", ""),
            settles=True,
        )
        for d in decisions
        if d.kind == "taken"
    )


OPENING_KINDS = ("window", "door", "doorway")


def opening_kinds(names: NumberNames, decisions: Sequence[Decision]) -> dict[int, str]:
    """What people said that openings are, by the index of the number that is the width."""
    kinds: dict[int, str] = {}
    for decision in decisions:
        name = f"{decision.target}#+{decision.id}" if decision.kind == "added" else decision.target
        index = names.index(name) if decision.kind in ("added", "reading") else None
        if index is not None and "role" in decision.value:
            kinds[index] = decision.value.get("kind", "")
    return {index: kind for index, kind in kinds.items() if kind}


def _taken_back(value: Mapping[str, Any], index: int, later: Sequence[tuple[int, Mapping[str, Any]]]) -> bool:
    """That it is no length no longer holds once somebody says what it says: what it measures is then as read."""
    said = any(i == index and ("text" in v or "confirmed" in v) for i, v in later)
    return bool(value.get("not_a_number")) and said


def _added(value: Mapping[str, Any]) -> Added:
    a, b, c, d = ((float(x), float(y)) for x, y in value["box"])
    role = Role(value["role"]) if value.get("role") else Role.UNKNOWN
    return Added(value["text"], int(value["value_mm"]), (a, b, c, d), role, value.get("wall"))


def _override(number: int, value: Mapping[str, Any]) -> Override:
    return Override(
        number=number,
        text=value.get("text", ""),
        value_mm=value.get("value_mm"),
        role=Role(value["role"]) if value.get("role") else None,
        wall=value.get("wall"),
        not_a_number=bool(value.get("not_a_number")),
        confirmed=bool(value.get("confirmed")),
    )


def typed_heights(names: NumberNames, decisions: Sequence[Decision]) -> tuple[Told, ...]:
    """The heights that a designer typed for the openings of one sketch, and for its ceiling.

    The target of such a decision is the role and, but for a ceiling, the name of the number that is the opening's
    width: "sill-height 3fa#3".
    """
    found = []
    for decision in decisions:
        if decision.kind == "height":
            role, _, name = decision.target.partition(" ")
            opening = names.index(name) if name else None
            if not name or opening is not None:
                text, value_mm = decision.value["text"], int(decision.value["value_mm"])
                found.append(Told(Role(role), text, value_mm, "designer", opening, settles=True))
    return tuple(found)
