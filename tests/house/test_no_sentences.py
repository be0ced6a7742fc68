"""The rules hold no sentence: what somebody is told is a phrase's key with its gaps (intake/model/phrase.py), worded in
config/letters for the customer and in intake/wording for the designer.

A literal of three words or more is a sentence. Left out are what no person reads: docstrings, the messages of
exceptions, patterns (known by their signs), what is split into words, and lists of words that text is compared with:
small letters without a stop, among nothing but their like.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

DOMAIN = Path(__file__).parents[2] / "intake" / "domain"
WORDS = 3
_PATTERN = re.compile(r"[\\|^$*]|\(\?|[\w) ]\?[ \w(]|\[[^\]]+\]")
_LISTED = re.compile(r"[^A-Z.,:;!?“”]*")


def text_of(node: ast.AST) -> str | None:
    """What a literal says, without its gaps."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(v.value if isinstance(v, ast.Constant) else " " for v in node.values)
    return None


def is_sentence(text: str) -> bool:
    words = [word for word in text.split() if any(c.isalpha() for c in word)]
    return len(words) >= WORDS and not _PATTERN.search(text)


def for_no_person(node: ast.AST) -> bool:
    if isinstance(node, ast.Raise | ast.Assert):
        return True
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    if isinstance(node, ast.Call):
        called = ast.unparse(node.func)
        return called.startswith("re.") or called.endswith(".split")
    if isinstance(node, ast.Set | ast.List | ast.Tuple):
        return is_list_of_words(node.elts)
    return isinstance(node, ast.Dict) and is_list_of_words([*filter(None, node.keys), *node.values])


def is_list_of_words(nodes: list[ast.expr]) -> bool:
    return all(
        isinstance(n, ast.Constant) and isinstance(n.value, str) and _LISTED.fullmatch(n.value) for n in nodes
    )


def sentences(node: ast.AST) -> Iterator[tuple[int, str]]:
    """The line and the text of each under `node`."""
    if for_no_person(node):
        return
    if (text := text_of(node)) is not None:
        if is_sentence(text):
            yield node.lineno, text  # type: ignore[attr-defined]  # a literal has one
        return
    for child in ast.iter_child_nodes(node):
        yield from sentences(child)


def left() -> Counter[str]:
    return Counter(
        path.parent.name
        for path in DOMAIN.rglob("*.py")
        for _ in sentences(ast.parse(path.read_text(encoding="utf-8")))
    )


def test_the_rules_hold_no_sentence() -> None:
    assert left() == {}


def test_a_sentence_is_found_and_what_no_person_reads_is_not() -> None:
    source = '''
"""A module of the rules."""
_WORDS = {"floor to window", "floor to the window"}
_PATTERN = re.compile("no sill here")
_ROLES = "sill cill window".split()
WHY = {Kind.A: "measured in inches"}
def f(n):
    """What it says of it."""
    if n < 0:
        raise ValueError("it must be more")
    return f"{n} is too long"
'''
    assert [text for _, text in sentences(ast.parse(source))] == ["measured in inches", "  is too long"]
