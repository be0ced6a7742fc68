"""Findings and verdicts are told apart by their codes: what a rule asks for, some rule must give.

Some codes are put together (`slip-` and the kind of slip), so they are no enum; a code that nobody gives any more would
never be found, and nobody would notice."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

INTAKE = Path(__file__).parents[2] / "intake"
GIVERS = {"Finding": 0, "PictureVerdict": 0, "_agree": 0}
"""What makes one, and which argument its code is."""


@cache
def trees() -> dict[Path, ast.Module]:
    return {p: ast.parse(p.read_text(encoding="utf-8")) for p in INTAKE.rglob("*.py")}


def words(node: ast.AST) -> Iterator[str]:
    """The strings of an expression; of one that is put together the beginning, with a star."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
        yield f"{node.values[0].value}*"
    elif isinstance(node, ast.IfExp):
        yield from (*words(node.body), *words(node.orelse))
    elif isinstance(node, ast.Tuple | ast.Set | ast.List):
        yield from (w for each in node.elts for w in words(each))
    elif isinstance(node, ast.Call) and getattr(node.func, "id", "") == "frozenset":
        yield from words(node.args[0])
    elif isinstance(node, ast.Dict):
        yield from (w for key in node.keys if key for w in words(key))


def constants(tree: ast.Module) -> dict[str, ast.AST]:
    return {
        target.id: node.value
        for node in tree.body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    }


def given() -> set[str]:
    found: set[str] = set()
    for tree in trees().values():
        named = constants(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in GIVERS and node.args:
                code = node.args[GIVERS[node.func.id]]
                found |= set(words(named.get(code.id, code) if isinstance(code, ast.Name) else code))
    return found


def asked(tree: ast.Module) -> Iterator[tuple[str, bool]]:
    """The codes that a file compares with, and whether only their beginning is asked for."""
    named = constants(tree)
    for node in ast.walk(tree):
        sides: list[ast.expr] = []
        if isinstance(node, ast.Compare) and getattr(node.left, "attr", "") == "code":
            sides = node.comparators
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "startswith":
            sides = node.args if getattr(node.func.value, "attr", "") == "code" else []
        for side in sides:
            value = named.get(side.id, side) if isinstance(side, ast.Name) else side
            yield from ((word, isinstance(node, ast.Call)) for word in words(value))


def is_given(code: str, beginning: bool, codes: set[str]) -> bool:
    return any(
        c.startswith(code) if beginning else c == code or (c.endswith("*") and code.startswith(c[:-1]))
        for c in codes
    )


def test_what_a_rule_asks_for_some_rule_gives() -> None:
    codes = given()
    wanted = {(code, begins, p.name) for p, tree in trees().items() for code, begins in asked(tree)}
    assert len(codes) > 60 and len(wanted) > 20
    assert {(code, name) for code, begins, name in wanted if not is_given(code, begins, codes)} == set()


def test_a_code_that_nobody_gives_is_found() -> None:
    tree = ast.parse(
        'GONE = frozenset({"gone"})\ndef f(a):\n    return a.code in GONE or a.code.startswith("walls")\n'
    )
    assert list(asked(tree)) == [("gone", False), ("walls", True)]
    assert not is_given("gone", False, {"walls-cross"}) and is_given("walls", True, {"walls-cross"})
    assert is_given("slip-other", False, {"slip-*"})
