"""The import rules that DEVELOPERS.md states are those that lint-imports holds, and each fails when it is broken."""

from __future__ import annotations

import ast
import re
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import grimp
import pytest
from importlinter.contracts.layers import LayersContract

from tests.house.contract import RoomContract

ROOT = Path(__file__).parents[2]
LINTER: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]
ROOMS: dict[str, dict[str, Any]] = {c["room"]: c for c in LINTER["contracts"] if c["type"] == "room"}
(LAYERS,) = (c for c in LINTER["contracts"] if c["type"] == "layers")
TABLE = re.findall(
    r"^\| `intake/(\w+)/` \|.*\| ([^|]*) \|$", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M
)


BY_NAME = {"psycopg", "rapidocr"}
"""Found and not imported: the driver that a database's address names, and a package whose weights are read."""


@pytest.fixture(scope="module")
def graph() -> grimp.ImportGraph:
    return grimp.build_graph("intake", include_external_packages=True)


def contract(room: str) -> RoomContract:
    return RoomContract(ROOMS[room]["name"], LINTER, ROOMS[room])


def test_every_room_has_a_rule_and_every_row_states_it() -> None:
    rooms = {f"intake.{p.parent.name}" for p in (ROOT / "intake").glob("*/__init__.py")}
    assert set(ROOMS) == rooms == {f"intake.{room}" for room, _ in TABLE}
    for room, said in TABLE:
        names = {n if "." not in n else f"intake.{n}" for n in re.findall(r"`([\w.]+)`", said)}
        ours = {p.parent.name for p in (ROOT / "intake").glob("*/__init__.py")}
        stated = {f"intake.{n}" if n in ours else n for n in names}
        assert stated == set(ROOMS[f"intake.{room}"]["may_import"]), room


def test_every_room_has_a_sentence_at_its_door() -> None:
    doors = [*(ROOT / "intake").rglob("__init__.py"), *(ROOT / "fixtures").glob("*/__init__.py")]
    said = {
        str(p.relative_to(ROOT)): ast.get_docstring(ast.parse(p.read_text(encoding="utf-8"))) for p in doors
    }
    assert len(said) > 25 and [p for p, words in said.items() if not words and "migrations" not in p] == []


@pytest.mark.parametrize("room", ROOMS)
def test_a_rule_fails_when_it_is_broken(room: str, graph: grimp.ImportGraph) -> None:
    rule = contract(room)
    assert rule.check(graph, verbose=False).kept
    may = set(ROOMS[room]["may_import"])
    packages = {m.partition(".")[0] for m in graph.modules} | {"requests"}
    outside = {*ROOMS, "intake.wiring", "sqlalchemy", "cv2", "flask", "requests"} - may - {room}
    outside |= set(ROOMS[room].get("never", ())) & packages
    inside = next(m for m in sorted(graph.modules) if m.startswith(f"{room}."))
    for forbidden in sorted(outside):
        added = forbidden not in graph.modules
        if added:
            graph.add_module(forbidden, is_squashed=True)
        graph.add_import(importer=inside, imported=forbidden)
        found = rule.check(graph, verbose=False)
        graph.remove_import(importer=inside, imported=forbidden)
        if added:
            graph.remove_module(forbidden)
        assert not found.kept and (inside, forbidden) in found.metadata["imports"], (room, forbidden)


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_imports_each_thing_that_its_row_allows(room: str, graph: grimp.ImportGraph) -> None:
    """No arrow is drawn, and no package allowed, that nobody follows."""
    within = {m for m in graph.modules if m == room or m.startswith(f"{room}.")}
    imported = {found for m in within for found in graph.find_modules_directly_imported_by(m)}
    unused = {
        may
        for may in ROOMS[room]["may_import"]
        if not any(m == may or m.startswith(f"{may}.") for m in imported)
    }
    assert unused - BY_NAME == set()


def test_the_floors_of_the_domain_fail_when_an_arrow_points_upwards(graph: grimp.ImportGraph) -> None:
    rule = LayersContract(LAYERS["name"], LINTER | {"root_packages": ["intake"]}, LAYERS)
    assert rule.check(graph, verbose=False).kept
    floors = [[f"intake.domain.{room}" for room in layer.split(" : ")] for layer in LAYERS["layers"]]
    assert {room for floor in floors for room in floor} == {
        f"intake.domain.{p.parent.name}" for p in (ROOT / "intake" / "domain").glob("*/__init__.py")
    }
    for upper, lower in pairwise(floors):
        below = next(m for m in sorted(graph.modules) if m.startswith(f"{lower[0]}."))
        above = next(m for m in sorted(graph.modules) if m.startswith(f"{upper[0]}."))
        graph.add_import(importer=below, imported=above)
        assert not rule.check(graph, verbose=False).kept, (lower, upper)
        graph.remove_import(importer=below, imported=above)


def test_every_file_that_the_documents_for_developers_name_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    decides = text.partition("### Who decides")[2].partition("\n\nTest pictures")[0]
    named = set(re.findall(r"`([\w/]+/[\w./]+)`", decides))
    text += (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8")
    named |= set(re.findall(r"`((?:intake/)?(?:domain|model|store|work|web)/[\w/]+\.py)`", text))
    assert len(named) > 25
    places = (ROOT, ROOT / "intake")
    assert [n for n in named if not any((place / n).exists() for place in places)] == []


DRAWN = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("Now each arrow")[2].split("```")[1]
"""The picture of the rooms as they are now."""


def test_the_drawing_shows_the_floors_of_the_domain() -> None:
    drawn = DRAWN.partition("domain:")[2]
    floors = [line.split("  ")[0].split() for line in (row.strip() for row in drawn.splitlines()) if line]
    stated = [sorted(layer.split(" : ")) for layer in LAYERS["layers"]]
    assert [sorted(floor) for floor in floors[: len(stated)]] == stated


def test_the_drawing_shows_every_arrow_between_rooms_and_no_other() -> None:
    first, *_, last = DRAWN.strip().splitlines()
    branch = re.search(r"->\s+(domain):", DRAWN)
    assert branch is not None
    top, middle, lower = first.split(" -> ")
    drawn = {(top, middle), (middle, branch[1]), *((middle, to) for to in lower.split(", "))}
    rooms = {room.removeprefix("intake.") for room in ROOMS}
    for said in last.split(";"):
        these, to = said.strip().split(" -> ")
        drawn |= {(each, to) for each in (rooms - {to} if these == "everything" else these.split(", "))}
    may = {
        (room, to) for room, rule in ROOMS.items() for to in rule["may_import"] if to.startswith("intake.")
    }
    assert drawn == {(a.removeprefix("intake."), b.removeprefix("intake.")) for a, b in may}
