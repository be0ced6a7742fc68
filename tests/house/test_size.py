"""A file is read in one go, a function is seen whole, and a line of a template fits the screen."""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2]
INTAKE = ROOT / "intake"
FILE, FUNCTION, LINE = 400, 40, 130
GENERATED = {"store/migrations/versions/0001_the_first_tables.py"}
"""Written by alembic from the tables; nobody edits it."""


def test_every_file_is_short_enough_to_read_in_one_go() -> None:
    lengths = {
        str(p.relative_to(INTAKE)): p.read_text(encoding="utf-8").count("\n") for p in INTAKE.rglob("*.py")
    }
    assert {name for name, n in lengths.items() if n > FILE} == GENERATED


def length(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of its body, without its docstring."""
    first, *rest = function.body
    told = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    body = rest if told and rest else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1


def test_every_function_is_seen_whole() -> None:
    found = {
        f"{path.relative_to(INTAKE)}:{node.name}": length(node)
        for path in INTAKE.rglob("*.py")
        if "migrations" not in path.parts
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    assert len(found) > 2000 and {name: n for name, n in found.items() if n > FUNCTION} == {}


def test_the_lines_of_templates_are_short_enough_to_read() -> None:
    folders = (INTAKE / "web" / "templates", ROOT / "config" / "letters")
    long = {
        f"{path.name}:{number}"
        for folder in folders
        for path in folder.rglob("*.html")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > LINE
    }
    assert long == set()


def test_a_functions_length_is_that_of_its_body() -> None:
    source = 'def f():\n    """What it says\n    in two lines."""\n    a = 1\n    return a\n'
    (function,) = ast.parse(source).body
    assert isinstance(function, ast.FunctionDef) and length(function) == 2
