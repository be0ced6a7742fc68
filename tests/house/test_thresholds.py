"""Every threshold has a name, so that its source stands beside it: the command that fitted it, a standard, or "common
practice, no source". A number that decides something within a function has none."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import takewhile
from pathlib import Path

INTAKE = Path(__file__).parents[2] / "intake"
PLAIN = {0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 8.0, 10.0, 12.0, 45.0, 60.0, 90.0, 100.0, 180.0, 255.0, 360.0, 1000.0}
"""Numbers of formulas, of units, and of right angles."""
LARGEST_COUNT = 10
"""A whole number from here on that something is compared with is a threshold; below it is mostly a count."""
TINY = 1e-5
"""A guard against division by nought."""


def bare(path: Path) -> Iterator[str]:
    """The numbers without a name within functions."""
    for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            for node in (n for part in function.body for n in ast.walk(part)):
                for number in numbers(node):
                    yield f"{path.relative_to(INTAKE)}:{number.lineno}: {number.value!r}"


def numbers(node: ast.AST) -> Iterator[ast.Constant]:
    if isinstance(node, ast.Constant) and type(node.value) is float:
        if abs(node.value) not in PLAIN and abs(node.value) > TINY:
            yield node
    elif isinstance(node, ast.Compare):
        for side in (node.left, *node.comparators):
            if isinstance(side, ast.Constant) and type(side.value) is int and side.value >= LARGEST_COUNT:
                yield side


def of_room(room: str) -> list[str]:
    return sorted(
        {
            where
            for path in (INTAKE / room).rglob("*.py")
            for where in bare(path)
            if "/migrations/" not in where
        }
    )


def test_no_threshold_is_without_a_name() -> None:
    rooms = {p.parent.name for p in INTAKE.glob("*/__init__.py")}
    assert {"domain", "web", "postbox", "drawing"} <= rooms
    assert [where for room in sorted(rooms) for where in of_room(room)] == []


def test_it_finds_a_threshold_and_passes_over_what_is_none() -> None:
    source = "NAMED = 0.37\ndef f(x):\n    return x > 0.37 or x * 2.0 < NAMED or len(x) > 3 or x > 41 or x / 1e-9\n"
    function = ast.parse(source).body[1]
    assert {n.value for node in ast.walk(function) for n in numbers(node)} == {41, 0.37}


def test_no_constant_is_given_a_second_value() -> None:
    """A name that stands for two numbers in one file: whoever reads the first believes the wrong one."""
    twice = []
    for path in INTAKE.rglob("*.py"):
        seen: set[str] = set()
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            targets = node.targets if isinstance(node, ast.Assign) else []
            for name in (n.id for t in targets for n in ast.walk(t) if isinstance(n, ast.Name)):
                twice += [f"{path.relative_to(INTAKE)}: {name}"] if name in seen else []
                seen.add(name)
    assert twice == []


def is_number(node: ast.expr) -> bool:
    value = node.operand if isinstance(node, ast.UnaryOp) else node
    return isinstance(value, ast.Constant) and type(value.value) in (int, float)


def unsourced(source: str) -> Iterator[str]:
    """Constants in lines of their own that neither a docstring after them, nor a comment, nor a docstring before them
    that ends with a colon is about; in a file of what was fitted none."""
    tree, lines = ast.parse(source), source.splitlines()
    if "fitted" in (ast.get_docstring(tree) or "").lower():
        return
    told = {n.lineno for n in tree.body if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant)}
    ends = {n.lineno: n.end_lineno or 0 for n in tree.body if isinstance(n, ast.Assign)}
    for node in (n for n in tree.body if isinstance(n, ast.Assign)):
        values = node.value.elts if isinstance(node.value, ast.Tuple) else [node.value]
        after = node.lineno
        while after in ends:
            after = ends[after] + 1
        above = [*takewhile(lambda line: re.match("[A-Z_]", line), reversed(lines[: node.lineno - 1]))]
        before = lines[node.lineno - 2 - len(above)] if node.lineno > 1 + len(above) else ""
        said = (
            after in told
            or before.startswith("#")
            or before.endswith(':"""')
            or "#" in lines[node.lineno - 1]
        )
        if values and all(map(is_number, values)) and not said:
            yield ast.unparse(node.targets[0])


def test_beside_every_number_stands_where_it_is_from() -> None:
    found = [
        f"{path.relative_to(INTAKE)}: {name}"
        for path in INTAKE.rglob("*.py")
        if "migrations" not in path.parts
        for name in unsourced(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_a_number_without_a_source_is_found() -> None:
    said = 'A = 1\nB = 2\n"""By hand."""\nC = 3\n\n# By hand.\nD = 4\nE, F = 5, 6  # by hand\n\nG = -7\n'
    assert list(unsourced(said)) == ["C", "G"]
