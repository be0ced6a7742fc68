"""Random faults put into the rules, one at a time, to see whether the rules' own tests notice.

    python -m tests.mutants --seed 1 --count 60

The faults are cosmic-ray's (its operators on the syntax tree). Each is tried in a process of its own, into which the
changed file is loaded in place of the one on the disk; nothing on the disk changes.
"""

from __future__ import annotations

import ast
import contextlib
import difflib
import importlib.util
import io
import os
import random
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType
from typing import Any

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator

from tests.mutants.explained import EXPLAINED
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
TESTS = {
    "inspection": ("inspection",),
    "lengths": (
        "reading/test_forms.py",
        "reading/test_notation.py",
        "checklist",
        "room/test_slips.py",
        "reading/test_inference.py",
        "words",
    ),
    "mail": ("mail_rules",),
    "pictures": ("pictures",),
    "room": ("room",),
    "said": ("checklist", "room/test_told_heights.py", "reading/test_again.py"),
    "sketch": ("reading/test_inference.py", "reading/test_again.py", "reading/test_roles.py", "room"),
    "survey": ("checklist", "letters"),
    "words": ("words", "checklist"),
}
"""The tests of each room of the domain."""
LONGEST_S = 150
"""A fault that keeps its tests busy for longer counts as noticed: they take a minute at most without one."""


@dataclass(frozen=True)
class Fault:
    """The `occurrence`-th place (from 0) in a file that an operator changes."""

    path: Path
    operator: str
    occurrence: int

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
def faults() -> tuple[Fault, ...]:
    """Every fault that can be put into the domain and is worth it."""
    return tuple(
        f for path in sorted(DOMAIN.rglob("*.py")) for name in OPERATORS for f in _faults(path, name)
    )


def _faults(path: Path, name: str) -> Iterator[Fault]:
    worth, occurrence = _worth(path), 0
    for node in ast_nodes(_tree(path)):
        for start, _ in _operator(name).mutation_positions(node):  # type: ignore[attr-defined]
            if worth.any_fault(start) and _is_worth(worth, name, node, start):
                yield Fault(path, name, occurrence)
            occurrence += 1


def _is_worth(worth: Worth, name: str, node: Any, place: Place) -> bool:
    if name.endswith("NumberReplacer"):
        return worth.number(node.value, place)
    return worth.comparison(place) if name.endswith(BOUNDARIES) else True


@cache
def _tree(path: Path) -> Any:
    return get_ast(path.read_text(encoding="utf-8"))


@cache
def _worth(path: Path) -> Worth:
    return Worth(path.read_text(encoding="utf-8"))


def sample(seed: int, count: int, among: Sequence[Fault] | None = None) -> list[Fault]:
    """Different faults drawn at random, the same for one seed and one state of the files."""
    found = faults() if among is None else among
    return random.Random(seed).sample(list(found), min(count, len(found)))


def tests_of(fault: Fault) -> list[str]:
    """The tests of the fault's room, those that import its file first."""
    files = [file for place in TESTS.get(fault.room, ()) for file in _files(ROOT / "tests" / place)]
    return [str(f) for f in sorted(files, key=lambda f: fault.module not in _imports(f))]


def _files(place: Path) -> list[Path]:
    return [place] if place.suffix == ".py" else sorted(place.glob("test_*.py"))


@cache
def _imports(path: Path) -> frozenset[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom) and n.module)


class _InPlace(MetaPathFinder, Loader):
    """Loads one module from a text."""

    def __init__(self, module: str, source: str, path: Path) -> None:
        self.module, self.source, self.path = module, source, path

    def find_spec(self, name: str, path: object, target: object = None) -> ModuleSpec | None:
        if name != self.module:
            return None
        inside = [str(self.path.parent)] if self.path.stem == "__init__" else None
        return importlib.util.spec_from_file_location(
            name, self.path, loader=self, submodule_search_locations=inside
        )

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.source, str(self.path), "exec"), module.__dict__)


def is_noticed(fault: Fault, source: str | None = None) -> bool:
    """Whether a test of its room fails with the fault, or never ends; `source` is the file in the fault's stead."""
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        os._exit(_try(fault, fault.source() if source is None else source))
    ends = time.monotonic() + LONGEST_S
    while time.monotonic() < ends:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) != 0
        time.sleep(0.05)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


def _try(fault: Fault, source: str) -> int:
    """The exit status of pytest with that source in the file's place: 0 where nothing noticed it."""
    import pytest

    sys.meta_path.insert(0, _InPlace(fault.module, source, fault.path))
    quiet = io.StringIO()
    with contextlib.redirect_stdout(quiet), contextlib.redirect_stderr(quiet):
        marks = "not long and not browser and not postgresql and not dovecot"
        return int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-m", marks, *tests_of(fault)]))


def tried(found: Sequence[Fault]) -> Iterator[tuple[Fault, bool]]:
    """Each fault with whether it was noticed. What every test needs is loaded once, before; each room's tests must pass
    without a fault."""
    import hypothesis
    import numpy
    import pytest
    import scipy.optimize
    import sqlalchemy

    assert hypothesis and numpy and pytest and scipy and sqlalchemy
    assert not any(name.startswith("intake.domain") for name in sys.modules), (
        "the rules must be loaded anew each time"
    )
    sound: set[str] = set()
    for fault in found:
        if fault.room not in sound:
            whole = fault.path.read_text(encoding="utf-8")
            assert not is_noticed(fault, whole), f"the tests of {fault.room} fail without any fault"
            sound.add(fault.room)
        yield fault, is_noticed(fault)
