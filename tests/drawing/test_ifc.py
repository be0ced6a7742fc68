"""The IFC file, read and validated by IfcOpenShell; skipped where that optional library is not installed."""

from __future__ import annotations

import sys
from typing import Any

import pytest

from intake.drawing.lettering import clean
from intake.drawing.titles import TitleBlock
from intake.drawing.write import plan_bytes
from intake.model.errors import IntakeError
from tests.drawing.rooms import HOSTILE, TITLE, looked_at

NAMES = list(looked_at())


def opened(name: str) -> Any:
    ifcopenshell = pytest.importorskip("ifcopenshell")
    return ifcopenshell.file.from_string(plan_bytes(looked_at()[name], TITLE, ".ifc").decode())


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_and_its_rules_hold(name: str) -> None:
    """IfcOpenShell's validator, the EXPRESS rules of IFC4 included."""
    model = opened(name)
    from ifcopenshell import validate

    log = validate.json_logger()
    validate.validate(model, log, express_rules=True)
    assert model.schema == "IFC4"
    assert log.statements == []
    assert len(model.by_type("IfcWall")) == sum(w.length_mm > 0 for w in looked_at()[name].placed.walls)


def test_openings_are_cut_and_filled() -> None:
    model = opened("kitchen-l-shape")
    holes = {o.Name: o for o in model.by_type("IfcOpeningElement")}
    assert set(holes) == {"Window 1", "Door 1", "Opening 1"}
    hosts = {
        r.RelatedOpeningElement.Name: r.RelatingBuildingElement.Name
        for r in model.by_type("IfcRelVoidsElement")
    }
    assert hosts == {"Window 1": "Wall A", "Door 1": "Wall B", "Opening 1": "Wall E"}
    filled = {r.RelatedBuildingElement.is_a() for r in model.by_type("IfcRelFillsElement")}
    assert filled == {"IfcWindow", "IfcDoor"}
    (window,) = model.by_type("IfcWindow")
    assert (window.OverallWidth, window.OverallHeight) == (pytest.approx(1200, abs=3), 1050)


def test_the_space_has_the_rooms_volume() -> None:
    """Area by the plan times the lowest ceiling, against IfcOpenShell's own geometry."""
    model = opened("kitchen-out-of-square")
    from ifcopenshell import geom
    from ifcopenshell.util import shape

    (space,) = model.by_type("IfcSpace")
    made = geom.create_shape(geom.settings(), space)
    area = looked_at()["kitchen-out-of-square"].placed.area_mm2
    assert area is not None
    assert shape.get_volume(made.geometry) == pytest.approx(area / 1e6 * 2.32, rel=1e-4)
    low, high = shape.get_bbox(shape.get_vertices(made.geometry))
    assert (
        high[1] == pytest.approx(0.0, abs=1e-3) and low[1] < -3.0
    )  # y is up: the room lies below its first corner


def test_hostile_words_stay_words() -> None:
    ifcopenshell = pytest.importorskip("ifcopenshell")
    text = plan_bytes(looked_at()["hostile"], TitleBlock(), ".ifc").decode()
    assert ifcopenshell.file.from_string(text).by_type("IfcProject")[0].Name == clean(HOSTILE)


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ifcopenshell", None)
    with pytest.raises(IntakeError, match="IfcOpenShell"):
        plan_bytes(looked_at()["kitchen-l-shape"], TITLE, ".ifc")
