"""One word for one thing: every public noun of the program is defined once."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from pathlib import Path

INTAKE = Path(__file__).parents[2] / "intake"
LETTERS = INTAKE.parent / "config" / "letters"


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


@cache
def trees() -> Mapping[str, ast.Module]:
    return {
        str(p.relative_to(INTAKE)): ast.parse(p.read_text(encoding="utf-8")) for p in INTAKE.rglob("*.py")
    }


def enums() -> dict[str, set[object]]:
    """What the members of each are, by its name."""
    return {
        node.name: {
            s.value.value
            for s in node.body
            if isinstance(s, ast.Assign) and isinstance(s.value, ast.Constant)
        }
        for tree in trees().values()
        for node in tree.body
        if isinstance(node, ast.ClassDef) and {"StrEnum", "IntEnum", "Enum"} & {*map(ast.unparse, node.bases)}
    }


def typed(names: Collection[str]) -> set[str]:
    """The fields of the model that hold a member of an enum, and a string nowhere."""
    said = defaultdict(set)
    for path, tree in trees().items():
        for node in (n for c in tree.body if isinstance(c, ast.ClassDef) for n in c.body):
            if path.startswith("model/") and isinstance(node, ast.AnnAssign):
                said[ast.unparse(node.target)] |= {*re.findall(r"\w+", ast.unparse(node.annotation))}
    return {field for field, types in said.items() if types & {*names} and "str" not in types}


def literals(tree: ast.Module, fields: Collection[str]) -> Iterator[str]:
    """Comparisons with a string where the enum has a member: those of its fields, and those with several at once."""
    of = list(enums().values())
    for node in (n for n in ast.walk(tree) if isinstance(n, ast.Compare)):
        sides = [node.left, *node.comparators]
        groups = [
            [c.value for c in getattr(s, "elts", [s]) if isinstance(c, ast.Constant) and c.value]
            for s in sides
        ]
        several = any(len(g) > 1 and {*g} <= values for g in groups for values in of)
        of_field = any(isinstance(s, ast.Attribute) and s.attr in fields for s in sides)
        if several or (of_field and any(isinstance(v, str) for g in groups for v in g)):
            yield ast.unparse(node)


def test_what_is_a_member_of_an_enum_is_compared_with_a_member() -> None:
    """A string beside it would be right until the member's name changes, and then silently wrong."""
    names = enums()
    fields = typed(names)
    assert len(names) > 40 and {"state", "verdict", "evidence", "rule"} <= fields
    found = {p: said for p, tree in trees().items() if (said := [*literals(tree, fields)])}
    assert found == {}


def test_a_string_in_place_of_a_member_is_found() -> None:
    tree = ast.parse(
        'a.verdict == "hold"\ns in ("draft", "held")\na.verdict is None\nb.name == "hold"\nx in ("de", "en")'
    )
    assert [*literals(tree, {"verdict"})] == ["a.verdict == 'hold'", "s in ('draft', 'held')"]


CODES = {
    "unit": {"", "mm", "cm", "m", "in", "ft"},
    "language": {path.stem for path in LETTERS.glob("*.yaml")},
}
"""What stays a string: the symbols of units (BIPM, SI brochure 5.2; NIST SP 811, appendix B, for inch and foot; from
memory), and codes of languages (ISO 639-1), each with its file of letters."""


def compared(tree: ast.Module, name: str) -> Iterator[str]:
    """What a variable or a field of that name is compared with."""
    for node in (n for n in ast.walk(tree) if isinstance(n, ast.Compare)):
        sides = [node.left, *node.comparators]
        if any(name == getattr(s, "attr", getattr(s, "id", "")) for s in sides):
            constants = (c for s in sides for c in getattr(s, "elts", [s]) if isinstance(c, ast.Constant))
            yield from (c.value for c in constants if isinstance(c.value, str))


def test_a_unit_or_a_language_is_compared_with_a_code_that_there_is() -> None:
    for name, codes in CODES.items():
        found = {code for tree in trees().values() for code in compared(tree, name)}
        assert len(found) > 1 and found <= codes, name
    assert [*compared(ast.parse('n.unit in ("cm", "ins")'), "unit")] == ["cm", "ins"]
