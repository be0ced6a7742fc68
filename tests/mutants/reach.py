"""Which tests run which functions of the domain, found by running them once without any fault.

A fault within a function can only be noticed by a test that calls it, so only these are tried on it, those that take
least time first. What runs while a module is loaded, and what a fixture prepares for several tests, counts for all of
them; the domain's caches are emptied before each test, so that none is missed.
"""

from __future__ import annotations

import ast
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

Function = tuple[str, int]
"""The file, and the line that it begins on, a decorator's where it has one."""
LOADING = ""
"""In place of a test: while they are collected."""


@dataclass(frozen=True)
class Reach:
    """What each test calls, and the processor time that it takes, in seconds."""

    calls: Mapping[str, frozenset[Function]]
    takes: Mapping[str, float]

    def tests(self, path: Path, function: int | None) -> list[str]:
        """Those that may notice a fault in that file, in the function that begins on that line or outside of any; the
        likeliest first: those that use the file, and take least time."""
        found = [t for t in self.takes if function is None or (str(path), function) in self._all(t)]
        return sorted(found, key=lambda t: (not self._uses(t, path), self.takes[t]))

    def _all(self, test: str) -> frozenset[Function]:
        return self.calls[test] | self.calls.get(LOADING, frozenset())

    def _uses(self, test: str, path: Path) -> bool:
        return any(file == str(path) for file, _ in self.calls[test])


def function_at(tree: ast.Module, line: int) -> int | None:
    """The first line of the outermost function whose body holds that line; None outside of any."""
    for node in _functions(tree):
        if node.body[0].lineno <= line <= (node.end_lineno or 0):
            return min([node.lineno, *(d.lineno for d in node.decorator_list)])
    return None


def _functions(holder: ast.Module | ast.ClassDef) -> Iterator[ast.FunctionDef]:
    for node in holder.body:
        if isinstance(node, ast.FunctionDef):
            yield node
        elif isinstance(node, ast.ClassDef):
            yield from _functions(node)


class Watch:
    """A plugin of pytest that sees what each test calls."""

    def __init__(self, within: Path) -> None:
        self.within = str(within)
        self.calls: dict[str, set[Function]] = {LOADING: set()}
        self.takes: dict[str, float] = {}
        self.prepared: dict[str, set[Function]] = {}
        """What fixtures call, by file of tests."""
        self.now = self.calls[LOADING]

    def reach(self) -> Reach:
        empty: set[Function] = set()
        return Reach(
            {t: frozenset(c | self.prepared.get(_file(t), empty)) for t, c in self.calls.items()}, self.takes
        )

    def start(self) -> None:
        sys.settrace(self._see)
        threading.settrace(self._see)

    def _see(self, frame: FrameType, event: str, argument: Any) -> None:
        code: CodeType = frame.f_code
        if code.co_filename.startswith(self.within):
            self.now.add((code.co_filename, code.co_firstlineno))

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        began = time.process_time()
        yield
        self.takes[item.nodeid] = time.process_time() - began

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        _forget()
        self.now = self.prepared.setdefault(_file(item.nodeid), set())
        yield

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self.now = self.calls.setdefault(item.nodeid, set())
        self.start()  # a test that recurses without end makes the interpreter drop the trace
        yield


def _file(test: str) -> str:
    return test.partition("::")[0]


def _forget() -> None:
    for name in [n for n in sys.modules if n.startswith("intake.domain")]:
        for value in list(vars(sys.modules[name]).values()):
            if hasattr(value, "cache_clear"):
                value.cache_clear()
