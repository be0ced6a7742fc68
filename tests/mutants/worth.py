"""Which places of a file are worth a fault: where a change is one that a test could state.

Left out are
- a number from ten on, or below a thousandth: one more is a hair of a limit, or a guard against division by 0;
- a number of a set that was "fitted by" a command, as its docstring says: that holds it, on many cases;
- `<` for `<=` where neither side is a whole number or a count: no measured size lies on the boundary itself;
- a nought after `or` and the `strict` of a zip: what a type asks for, and a check on ourselves;
- a decorator: whether a class is frozen, mypy and ruff hold.

Of the others, explained.py has those that change nothing, each with the reason.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

LARGE, SMALL = 10, 1e-3
Place = tuple[int, int]
"""Line from 1, column from 0."""


@dataclass(frozen=True)
class Stretch:
    """A stretch of a file."""

    start: Place
    end: Place

    def __contains__(self, place: Place) -> bool:
        return self.start <= place < self.end


class Worth:
    """The places of one file."""

    def __init__(self, source: str) -> None:
        tree = ast.parse(source)
        # What stands in an f-string has no places of its own before Python 3.12: it is looked at by nobody here.
        nodes = [n for n in ast.walk(tree) if hasattr(n, "lineno")]
        self.outside = [_of(d) for n in nodes for d in getattr(n, "decorator_list", ())]
        self.outside += [
            _of(k.value) for n in nodes if isinstance(n, ast.Call) for k in n.keywords if k.arg == "strict"
        ]
        self.outside += [
            _of(v)
            for n in nodes
            if isinstance(n, ast.BoolOp)
            for v in n.values[1:]
            if ast.unparse(v) in ("0", "0.0", "(0, 0)")
        ]
        self.fitted = list(_fitted(tree))
        self.boundaries = list(_boundaries(tree))

    def number(self, text: str, place: Place) -> bool:
        size = abs(ast.literal_eval(text))
        plain = size == 0 or SMALL <= size < LARGE
        return plain and not _within(place, self.fitted)

    def comparison(self, place: Place) -> bool:
        return not _within(place, self.boundaries)

    def any_fault(self, place: Place) -> bool:
        return not _within(place, self.outside)


def _within(place: Place, stretches: Sequence[Stretch]) -> bool:
    return any(place in s for s in stretches)


def _of(node: ast.AST) -> Stretch:
    at: ast.expr = node  # type: ignore[assignment]
    return Stretch((at.lineno, at.col_offset), (at.end_lineno or at.lineno, at.end_col_offset or 0))


def _fitted(tree: ast.Module) -> Iterator[Stretch]:
    """Constants, and classes of them, whose docstring says that they were fitted; the whole file where its own does."""
    if _says_fitted(ast.get_docstring(tree)):
        yield Stretch((1, 0), (tree.body[-1].end_lineno or 0, 1_000))
    for holder in (n for n in ast.walk(tree) if isinstance(n, ast.Module | ast.ClassDef)):
        if isinstance(holder, ast.ClassDef) and _says_fitted(ast.get_docstring(holder)):
            yield _of(holder)
        for node, after in zip(holder.body, holder.body[1:], strict=False):
            said = (
                after.value if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant) else None
            )
            if isinstance(node, ast.Assign | ast.AnnAssign) and said and _says_fitted(str(said.value)):
                yield _of(node)


def _says_fitted(docstring: str | None) -> bool:
    return "fitted by" in " ".join((docstring or "").lower().split())


def _boundaries(tree: ast.Module) -> Iterator[Stretch]:
    """The signs of comparisons between sizes."""
    for node in (n for n in ast.walk(tree) if isinstance(n, ast.Compare)):
        for left, right in zip([node.left, *node.comparators], node.comparators, strict=False):
            if not any(_counts(side) for side in (left, right)):
                yield Stretch(_of(left).end, _of(right).start)


def _counts(side: ast.expr) -> bool:
    whole = isinstance(side, ast.Constant) and isinstance(side.value, int)
    return whole or (isinstance(side, ast.Call) and ast.unparse(side.func) in ("len", "sum"))
