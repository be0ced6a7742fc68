"""One word for one thing: every public noun of the program is defined once."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from pathlib import Path

INTAKE = Path(__file__).parents[2] / "intake"


def nouns(path: Path) -> list[str]:
    """The classes and the names of types that a file defines for others."""
    found: list[str] = []
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ClassDef):
            found.append(node.name)
        elif isinstance(node, ast.Assign):
            names = [t.id for t in node.targets if isinstance(t, ast.Name)]
            found += [n for n in names if n[0].isupper() and not n.isupper()]
    return [n for n in found if not n.startswith("_")]


def test_no_noun_is_defined_twice() -> None:
    homes = defaultdict(list)
    for path in INTAKE.rglob("*.py"):
        for noun in nouns(path):
            homes[noun].append(str(path.relative_to(INTAKE)))
    assert len(homes) > 300
    assert {noun: where for noun, where in homes.items() if len(where) > 1} == {}


QUALIFIERS = {
    "kind",
    "state",
    "placed",
    "read",
    "adjusted",
    "plan",
    "room",
    "how",
    "where",
    "it",
    "at",
    "cannot",
}
"""What the name of a noun may say beside words of the glossary."""


def test_every_noun_of_the_model_and_the_rules_is_made_of_the_glossarys_words() -> None:
    """Without the exceptions, and without the kinds of word, which model/word.py lists by what they are about."""
    glossary = (INTAKE.parent / "docs" / "glossary.md").read_text(encoding="utf-8")
    terms = set(" ".join(re.findall(r"^\| ([^|]+) \|", glossary, re.M)).lower().replace(",", " ").split())
    found = {
        node.name
        for room in ("model", "domain")
        for path in (INTAKE / room).rglob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and path.stem != "errors" and not node.name.startswith("_")
        if "Word" not in map(ast.unparse, node.bases)
    }
    assert len(found) > 160
    unknown = {n: w for n in found if (w := {*_words(n)} - terms - QUALIFIERS)}
    assert unknown == {}


def _words(noun: str) -> list[str]:
    return [part.lower() for part in re.findall("[A-Z][a-z]*", noun)]


def test_nobody_asks_what_a_reader_is() -> None:
    """What a reader can do, its place among the readers says (reading/readers.Readers)."""
    asked = [
        f"{path.name}:{node.lineno}"
        for path in (INTAKE / "reading").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "isinstance"
        if "Reader" in ast.unparse(node.args[1])
    ]
    assert asked == []
