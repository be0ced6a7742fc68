"""Records are of a numbered schema: a class cannot change its shape unseen, and every row ever written can be read.

When the first test fails: give the schema its next number in intake/store/records.py, with a step from the old one if
its keys changed their meaning; write its shape into shapes.json in place of the old one; keep a full record of the
old schema in rows/.
"""

from __future__ import annotations

import json
import re
from dataclasses import fields, is_dataclass, make_dataclass
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from intake.store import migrations
from intake.store.migrate import HEAD
from intake.store.records import SCHEMAS, Schema
from intake.wording.desk import worded

HERE = Path(__file__).parent
SHAPES: dict[str, dict[str, dict[str, str]]] = json.loads((HERE / "shapes.json").read_text(encoding="utf-8"))
ROWS = sorted((HERE / "rows").glob("*.json"))


def shape(kind: Any, found: dict[str, dict[str, str]] | None = None) -> dict[str, dict[str, str]]:
    """Every class within a kind of record: its fields and their types."""
    found = {} if found is None else found
    if is_dataclass(kind) and kind.__name__ not in found:  # type: ignore[union-attr]
        hints = get_type_hints(kind)
        found[kind.__name__] = {f.name: str(f.type) for f in fields(kind)}  # type: ignore[union-attr]
        for hint in hints.values():
            shape(hint, found)
    for part in get_args(kind):
        shape(part, found)
    return found


@pytest.mark.parametrize("name", SCHEMAS)
def test_no_class_changes_its_shape_without_a_number(name: str) -> None:
    assert shape(SCHEMAS[name].kind) == SHAPES[f"{name}-{SCHEMAS[name].number}"]


@pytest.mark.parametrize("path", ROWS, ids=lambda p: p.stem)
def test_a_row_of_every_schema_is_read(path: Path) -> None:
    schema = SCHEMAS[path.stem.rpartition("-")[0]]
    value = schema.read(json.loads(path.read_text(encoding="utf-8")))
    again = json.loads(json.dumps(schema.write(value)))
    assert again.get("schema", 1) == schema.number
    assert schema.read(again) == value


def test_of_every_schema_that_ever_was_there_is_a_row() -> None:
    older = {f"{name}-{n}" for name, s in SCHEMAS.items() for n in range(1, s.number)}
    now = {f"{name}-{s.number}" for name, s in SCHEMAS.items()}
    assert older <= {p.stem for p in ROWS} <= older | now
    assert set(SHAPES) == now


def test_a_step_brings_an_old_row_along() -> None:
    kind = make_dataclass("Kind", [("wide_mm", int), ("colour", str)])
    with pytest.raises(TypeError):
        Schema(kind).read({"wide": 40})
    schema = Schema(kind, 2, {1: lambda old: {"wide_mm": old["wide"] * 10, "colour": "none"}})
    assert schema.read({"wide": 40}) == kind(400, "none")
    assert schema.write(kind(400, "red")) == {"schema": 2, "wide_mm": 400, "colour": "red"}
    assert schema.read({"schema": 2, "wide_mm": 400, "colour": "red"}) == kind(400, "red")


def test_a_customers_words_are_told_from_the_sentence_that_held_them() -> None:
    row = json.loads((HERE / "rows" / "standing-3.json").read_text(encoding="utf-8"))
    standing = SCHEMAS["standing"].read(row)
    assert [(e.words, worded(e.doubt)) for e in standing.evidence] == [("about 104", "words")]
    assert worded(standing.evidence[0].text) == row["evidence"][0]["text"]


def test_the_steps_of_the_database_are_one_chain() -> None:
    """Two that were written at the same time must not bear one number."""
    files = sorted((Path(migrations.__file__).parent / "versions").glob("[0-9]*.py"))
    said = [
        re.search(r'^revision = "(\d+)"$.*?^down_revision = (.*?)$', f.read_text(), re.M | re.S)
        for f in files
    ]
    steps = [(m[1], m[2].strip('"')) for m in said if m]
    assert len(steps) == len(files) and steps[0][1] == "None"
    assert [number for number, _ in steps[:-1]] == [before for _, before in steps[1:]]
    assert steps[-1][0] == HEAD and all(f.name.startswith(n) for f, (n, _) in zip(files, steps, strict=True))
