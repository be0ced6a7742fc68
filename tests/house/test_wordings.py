"""Every phrase that the rules give has its words: in each language of the letters, or at the desk; with the same gaps.

Keys that are put together are known by their parts (`slip-` and the kind of slip)."""

from __future__ import annotations

import ast
import fnmatch
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import yaml

from intake.wording import desk

ROOT = Path(__file__).parents[2]
LETTERS = {
    path.stem: yaml.safe_load(path.read_text(encoding="utf-8"))["sentences"]
    for path in (ROOT / "config" / "letters").glob("*.yaml")
}
DESK = dict(desk.DESK.sentences)


@cache
def trees() -> dict[str, ast.Module]:
    return {
        str(p.relative_to(ROOT)): ast.parse(p.read_text(encoding="utf-8"))
        for p in (ROOT / "intake").rglob("*.py")
        if "wording" not in p.parts
    }


def keys(node: ast.AST) -> Iterator[str]:
    """The keys that an expression may be; of one that is put together its parts, with a star between them."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        yield "".join(str(v.value) if isinstance(v, ast.Constant) else "*" for v in node.values)
    elif isinstance(node, ast.IfExp):
        yield from (*keys(node.body), *keys(node.orelse))


def phrases() -> Iterator[tuple[str, str, set[str]]]:
    """Where each phrase is made, its key, and its gaps."""
    for name, tree in trees().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "phrase" and node.args:
                gaps = {k.arg or "**" for k in node.keywords}
                yield from ((f"{name}:{node.lineno}", key, gaps) for key in keys(node.args[0]))


def gaps(text: str) -> set[str]:
    return set(re.findall(r"{(\w+)}", text))


def wordings(key: str) -> list[dict[str, str]]:
    """The vocabularies that word a key: the desk's, or those of all letters."""
    return [w for w in (DESK, *LETTERS.values()) if fnmatch.filter(w, key)]


def test_each_phrase_of_the_rules_is_worded_with_its_gaps() -> None:
    found = list(phrases())
    assert len(found) > 100 and len(LETTERS) > 1
    for where, key, filled in ((w, k, f) for w, k, f in found if re.search("[a-z]", k)):
        words = wordings(key)
        assert words in ([DESK], [*LETTERS.values()]), (
            f"{where}: {key} is worded in {len(words)} vocabularies"
        )
        if "*" not in key and "**" not in filled:
            assert [gaps(w[key]) for w in words] == [filled] * len(words), f"{where}: the gaps of {key}"


def test_each_doubt_of_a_customers_words_is_worded() -> None:
    """A statement holds the key alone."""
    constants = (c.value for t in trees().values() for c in ast.walk(t) if isinstance(c, ast.Constant))
    keys = {c for c in constants if isinstance(c, str) and re.fullmatch("doubt-[a-z-]+", c)}
    assert len(keys) > 30 and keys <= {*DESK}


def test_the_desk_words_nothing_that_nobody_says() -> None:
    said = {c.value for t in trees().values() for c in ast.walk(t) if isinstance(c, ast.Constant)}
    put_together = {key for _, key, _ in phrases() if "*" in key}
    assert {
        k for k in DESK if k not in said and not any(fnmatch.fnmatch(k, p) for p in put_together)
    } == set()


def test_no_key_of_the_desk_is_worded_twice() -> None:
    assert len(DESK) - 1 == sum(len(room) for room in desk.ROOMS)
