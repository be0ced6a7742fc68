"""Every pattern of the package takes time in proportion to the text: strangers write the texts.

Each pattern is fed with runs of its own words and signs, alone and in pairs, which is what patterns trip over. Time is
this process's own, so a busy machine makes no difference.
"""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import signal
import time
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path
from re import _parser  # type: ignore[attr-defined]
from typing import Any

import intake

TINY, SHORT, LONG = 1_000, 5_000, 30_000
SLOW = 0.12
"""Seconds for the long text that are too many."""
TOO_LONG, STEADY, TICK = 0.5, 0.04, 2e-5
GROWTH = 14.0
"""Times as long for six times as much: 6 would be exact, 36 is quadratic."""
STRAIGHT = 3.4
"""Times as long for three times as much, where 9 is quadratic: a square that is hidden below it grows by less than
GROWTH up to the long text."""
SIGNS = (
    " ",
    "\t",
    "\n",
    "a",
    "1",
    ".",
    "-",
    ">",
    "<",
    "(",
    "[",
    "\\",
    '"',
    "a ",
    "1 ",
    "a.",
    "- ",
    "> ",
    "\t ",
    "\n ",
)

Found = dict[tuple[str, int, str], str]


def _patterns() -> Found:
    """(pattern, flags, how it is applied) of each, and where it stands."""
    found: Found = {}
    for module in pkgutil.walk_packages(intake.__path__, "intake."):
        if "migrations" not in module.name:
            for name, value in vars(importlib.import_module(module.name)).items():
                for pattern in _within(value, 4):
                    found.setdefault((pattern.pattern, pattern.flags, "search"), f"{module.name}.{name}")
    root = Path(intake.__file__).parent
    for file in sorted(root.rglob("*.py")):
        where = f"{file.relative_to(root)}"
        for call in ast.walk(ast.parse(file.read_text())):
            found |= _written_in(call, where)
    return found


def _within(value: Any, depth: int) -> Iterator[re.Pattern[str]]:
    if isinstance(value, re.Pattern) and isinstance(value.pattern, str):
        yield value
    elif depth and isinstance(value, dict):
        for inner in (*value.keys(), *value.values()):
            yield from _within(inner, depth - 1)
    elif depth and isinstance(value, list | tuple | set | frozenset):
        for inner in value:
            yield from _within(inner, depth - 1)


def _written_in(node: ast.AST, file: str) -> Found:
    """A call such as re.sub("...", ...) with its pattern as it stands there."""
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.args):
        return {}
    if ast.unparse(node.func.value) != "re":
        return {}
    pattern, how = node.args[0], node.func.attr
    if not (isinstance(pattern, ast.Constant) and isinstance(pattern.value, str)) or how in (
        "compile",
        "escape",
    ):
        return {}
    flags = re.IGNORECASE if "IGNORECASE" in ast.unparse(node) else 0
    how = how if how in ("match", "fullmatch") else "search"
    return {(pattern.value, re.compile(pattern.value, flags).flags, how): f"{file}:{node.lineno}"}


def _words(tree: Iterable[Any], into: set[str]) -> None:
    """The literal words and signs of a parsed pattern."""
    run = ""
    for op, value in tree:
        if str(op) == "LITERAL":
            run += chr(value)
            continue
        into.add(run)
        run = ""
        if str(op) == "IN":
            into |= {
                chr(v[0] if str(o) == "RANGE" else v) for o, v in value if str(o) in ("LITERAL", "RANGE")
            }
        else:
            for inner in _parts(value):
                _words(inner, into)
    into.add(run)


def _parts(value: Any) -> Iterator[Any]:
    if isinstance(value, _parser.SubPattern):
        yield value
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _parts(inner)


def _hostile(pattern: str, flags: int) -> list[str]:
    words: set[str] = set()
    _words(_parser.parse(pattern, flags), words)
    own = sorted(words - {""}, key=lambda w: (len(w), w))[:40]
    pairs = [a + b for a in own if len(a) <= 6 for b in (" ", "\t", "a", "1")][:40]
    return list(dict.fromkeys([*SIGNS, *own, *pairs]))


def _seconds(pattern: re.Pattern[str], how: str, text: str) -> float:
    """The time that it takes, TOO_LONG where it takes longer: some would never end. The clock of processes may tick in
    steps of 4 ms, so what is short is taken again until it has ticked ten times."""
    started, runs, taken = time.process_time(), 0, 0.0
    signal.signal(signal.SIGVTALRM, _stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, TOO_LONG)
    try:
        while taken < STEADY:
            getattr(pattern, how)(text)
            runs, taken = runs + 1, time.process_time() - started
    except TimeoutError:
        return TOO_LONG
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    return taken / runs


@cache
def _finest_clock() -> Callable[[], float]:
    """This thread's own where it ticks finely, else that on the wall, which is never too kind."""
    started = time.thread_time()
    while (ticked := time.thread_time()) == started:
        pass
    return time.thread_time if ticked - started < TICK else time.perf_counter


def _at_best(pattern: re.Pattern[str], how: str, text: str, times: int = 1) -> float:
    """The least of some times by the finest clock."""
    clock, taken = _finest_clock(), []
    signal.signal(signal.SIGVTALRM, _stop)
    for _ in range(times):
        signal.setitimer(signal.ITIMER_VIRTUAL, TOO_LONG)
        started = clock()
        try:
            getattr(pattern, how)(text)
        except TimeoutError:
            return TOO_LONG
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        taken.append(clock() - started)
    return min(taken)


def _is_quick(pattern: re.Pattern[str], how: str, unit: str) -> bool:
    """Whether short texts show already that the long one is not too slow: it would not be if time grew with the
    square, or time grows no faster than the text."""
    tiny, three = ((unit * size)[:size] for size in (TINY, 3 * TINY))
    once = _at_best(pattern, how, tiny)
    if once < SLOW * (TINY / LONG) ** 2:
        return True
    limit, thrice = SLOW * (3 * TINY / LONG) ** 2, _at_best(pattern, how, three)
    if thrice < limit:
        return True
    once = min(once, _at_best(pattern, how, tiny))  # of one look, chance might make a square look straight
    if thrice < STRAIGHT * once:
        return True
    limit = max(limit, STRAIGHT * min(once, _at_best(pattern, how, tiny, 2)))
    return any(_at_best(pattern, how, three) < limit for _ in range(2))


def _stop(*_: object) -> None:
    raise TimeoutError


def _fault(pattern: re.Pattern[str], how: str, unit: str) -> str:
    if _is_quick(pattern, how, unit):
        return ""
    short, long = ((unit * size)[:size] for size in (SHORT, LONG))
    before = _seconds(pattern, how, short)
    if before > SLOW:
        return f"{unit!r}: {before:.2f} s for {SHORT} characters"
    after = min(_seconds(pattern, how, long), _seconds(pattern, how, long))
    grown = after >= TOO_LONG or (after > SLOW and after > GROWTH * before)
    return f"{unit!r}: {after:.2f} s for {LONG} characters" if grown else ""


def test_every_pattern_takes_time_in_proportion_to_the_text() -> None:
    patterns = _patterns()
    assert len(patterns) > 150
    faults = {}
    for (pattern, flags, how), where in patterns.items():
        compiled = re.compile(pattern, flags)
        fault = next((f for unit in _hostile(pattern, flags) if (f := _fault(compiled, how, unit))), "")
        if fault:
            faults[where] = fault
    assert not faults, "\n".join(f"{where}: {fault}" for where, fault in faults.items())


def test_a_quadratic_pattern_would_be_noticed() -> None:
    assert _fault(re.compile(r"^[ \t]*-*[ \t]*x$", re.MULTILINE), "search", "\t")
    assert _fault(re.compile(r"a+b"), "search", "a")
    assert not _fault(re.compile(r"(?<!a)a++b"), "search", "a")
