"""Random faults put into the rules, one at a time, to see whether the rules' own tests notice.

    python -m tests.mutants --seed 1 --count 60

The faults are cosmic-ray's (its operators on the syntax tree); trial.py tries them.
"""

from __future__ import annotations

import ast
import difflib
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator

from tests.mutants.explained import EXPLAINED
from tests.mutants.reach import function_at
from tests.mutants.worth import Place, Worth

ROOT = Path(__file__).parents[2]
DOMAIN = ROOT / "intake" / "domain"
OPERATORS = (
    "core/AddNot",
    "core/NumberReplacer",
    "core/ReplaceAndWithOr",
    "core/ReplaceOrWithAnd",
    "core/ReplaceTrueWithFalse",
    "core/ReplaceFalseWithTrue",
    "core/ReplaceContinueWithBreak",
    "core/ZeroIterationForLoop",
    "core/ReplaceBinaryOperator_Add_Sub",
    "core/ReplaceBinaryOperator_Sub_Add",
    "core/ReplaceBinaryOperator_Mul_Div",
    "core/ReplaceBinaryOperator_Div_Mul",
    "core/ReplaceComparisonOperator_Eq_NotEq",
    "core/ReplaceComparisonOperator_NotEq_Eq",
    "core/ReplaceComparisonOperator_Lt_LtE",
    "core/ReplaceComparisonOperator_LtE_Lt",
    "core/ReplaceComparisonOperator_Gt_GtE",
    "core/ReplaceComparisonOperator_GtE_Gt",
    "core/ReplaceComparisonOperator_Is_IsNot",
    "core/ReplaceComparisonOperator_IsNot_Is",
)
"""Without those that only change annotations, which nobody runs."""
BOUNDARIES = ("Lt_LtE", "LtE_Lt", "Gt_GtE", "GtE_Gt")


@dataclass(frozen=True)
class Fault:
    """The `occurrence`-th place (from 0) in a file that an operator changes."""

    path: Path
    operator: str
    occurrence: int
    line: int

    @property
    def function(self) -> int | None:
        """The first line of the function that it is in; None outside of any."""
        return function_at(_parsed(self.path), self.line)

    @property
    def module(self) -> str:
        return ".".join(self.path.relative_to(ROOT).with_suffix("").parts)

    @property
    def room(self) -> str:
        return self.path.relative_to(DOMAIN).parts[0]

    def source(self) -> str:
        """The file with the fault in it."""
        changed: str = mutate_code(
            self.path.read_text(encoding="utf-8"), _operator(self.operator), self.occurrence
        )
        return changed

    @property
    def is_explained(self) -> bool:
        """Whether it is known to change nothing."""
        file = str(self.path.relative_to(DOMAIN))
        if file not in EXPLAINED:
            return False
        changed = [line[1:].strip() for line in self.lines().splitlines() if line[0] in "-+"]
        return any(f"{e.line} => {e.becomes}" == " => ".join(changed) for e in EXPLAINED[file])

    def lines(self) -> str:
        """What it changes."""
        before, after = self.path.read_text(encoding="utf-8").splitlines(), self.source().splitlines()
        changed = [
            line
            for line in difflib.unified_diff(before, after, lineterm="", n=0)
            if line[:3] not in ("---", "+++")
        ]
        return "\n".join([f"{self.path.relative_to(ROOT)} {self.operator.partition('/')[2]}", *changed])


@cache
def _operator(name: str) -> object:
    return get_operator(name)()


@cache
def faults(room: str = "") -> tuple[Fault, ...]:
    """Every fault that can be put into the domain, or into one room of it, and is worth it."""
    return tuple(
        f for path in sorted((DOMAIN / room).rglob("*.py")) for name in OPERATORS for f in _faults(path, name)
    )


def _faults(path: Path, name: str) -> Iterator[Fault]:
    worth, occurrence = _worth(path), 0
    for node in ast_nodes(_tree(path)):
        for start, _ in _operator(name).mutation_positions(node):  # type: ignore[attr-defined]
            if worth.any_fault(start) and _is_worth(worth, name, node, start):
                yield Fault(path, name, occurrence, start[0])
            occurrence += 1


def _is_worth(worth: Worth, name: str, node: Any, place: Place) -> bool:
    if name.endswith("NumberReplacer"):
        return worth.number(node.value, place)
    return worth.comparison(place) if name.endswith(BOUNDARIES) else True


@cache
def _tree(path: Path) -> Any:
    return get_ast(path.read_text(encoding="utf-8"))


@cache
def _parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def _worth(path: Path) -> Worth:
    return Worth(path.read_text(encoding="utf-8"))


def sample(seed: int, count: int, room: str = "") -> list[Fault]:
    """Different faults drawn at random, without those that are explained; the same for one seed and one state of the
    files."""
    drawn = list(faults(room))
    random.Random(seed).shuffle(drawn)
    return list(islice((f for f in drawn if not f.is_explained), count))
