"""A room as IFC4 (ISO 16739-1): storey, space, walls, and windows and doors in openings of their own. Metres would be
usual; the survey is in millimetres, and so is the file. z is up, the first corner of the room is the origin.

What was not measured (wall thickness, a height) is drawn at a usual value and said in a property set.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from intake.domain.room.heights import head_mm, sill_mm
from intake.drawing.elevation import GUESS_MM, ceiling_of
from intake.drawing.lettering import clean
from intake.drawing.openings import is_opening
from intake.drawing.titles import CAUTION, TitleBlock
from intake.drawing.wall_frame import WallFrame, frame_of
from intake.drawing.walls import meets, outer_ends, thickness
from intake.model.errors import IntakeError
from intake.model.examination import PlacedSection, RoomExamination
from intake.model.room import Section, SectionKind, Wall
from intake.wording.desk import worded

CLEAR_MM = 10.0
"""An opening's body reaches this far beyond both faces of the wall, so that nothing is left of it."""
LEAF_MM = 50.0
"""A window or a leaf is drawn this thick in its opening."""
LEAST_TALL_MM = 50.0
"""An opening is drawn this tall at least, however low its head was told to be."""
WITHOUT = "The IFC file needs IfcOpenShell"
Ifc = Any
_Outline = Iterable[tuple[float, float]]


def room_ifc(examination: RoomExamination, title: TitleBlock) -> str:
    """The file's text. Raises IntakeError where IfcOpenShell is not installed."""
    try:
        import ifcopenshell
        import ifcopenshell.guid
    except ImportError as error:
        raise IntakeError(WITHOUT, "Install it with: pip install ifcopenshell") from error
    return str(_Model(ifcopenshell, examination, title).model.to_string())


class _Model:
    """One file being made."""

    def __init__(self, library: Any, examination: RoomExamination, title: TitleBlock) -> None:
        self.new_id = library.guid.new
        self.examination, self.name = examination, clean(title.room) or "Room"
        self.model = library.file(schema="IFC4")
        self.height = float(ceiling_of(examination)[0])
        placed = examination.placed.walls
        # y runs up the page here: mirrored in y, so the frames keep their senses.
        self.frames = [frame_of(w, (0.0, 0.0), 1.0) for w in placed]
        self.body = self._units_and_context()
        self.storey = self._storeys()
        if meets(examination):
            self._space()
        for n, wall in enumerate(examination.survey.walls[: len(placed)]):
            if placed[n].length_mm > 0:
                self._wall(wall, n)

    def _root(self, kind: str, **given: Any) -> Ifc:
        return self.model.create_entity(kind, GlobalId=self.new_id(), **given)

    # -- what every file has ---------------------------------------------------------------------------------------

    def _units_and_context(self) -> Ifc:
        make = self.model.create_entity
        units = [
            make("IfcSIUnit", UnitType="LENGTHUNIT", Prefix="MILLI", Name="METRE"),
            make("IfcSIUnit", UnitType="AREAUNIT", Name="SQUARE_METRE"),
            make("IfcSIUnit", UnitType="VOLUMEUNIT", Name="CUBIC_METRE"),
            make("IfcSIUnit", UnitType="PLANEANGLEUNIT", Name="RADIAN"),
        ]
        context = make(
            "IfcGeometricRepresentationContext",
            ContextType="Model",
            CoordinateSpaceDimension=3,
            Precision=1e-5,
            WorldCoordinateSystem=self._axes(),
        )
        self.project = self._root(
            "IfcProject",
            Name=self.name,
            LongName=CAUTION,
            UnitsInContext=make("IfcUnitAssignment", Units=units),
            RepresentationContexts=[context],
        )
        return make(
            "IfcGeometricRepresentationSubContext",
            ContextIdentifier="Body",
            ContextType="Model",
            ParentContext=context,
            TargetView="MODEL_VIEW",
        )

    def _storeys(self) -> Ifc:
        """Project, site, building and storey, each part of the one before."""
        above, part = self.project, None
        for kind, name in (("IfcSite", "Site"), ("IfcBuilding", "Building"), ("IfcBuildingStorey", "Storey")):
            part = self._root(kind, Name=name, ObjectPlacement=self._placement(), CompositionType="ELEMENT")
            self._root("IfcRelAggregates", RelatingObject=above, RelatedObjects=[part])
            above = part
        return part

    def _axes(self) -> Ifc:
        return self.model.create_entity("IfcAxis2Placement3D", Location=self._point(0.0, 0.0, 0.0))

    def _placement(self) -> Ifc:
        return self.model.create_entity("IfcLocalPlacement", RelativePlacement=self._axes())

    def _point(self, *at: float) -> Ifc:
        return self.model.create_entity("IfcCartesianPoint", Coordinates=[float(v) for v in at])

    def _solid(self, outline: _Outline, low: float, high: float) -> Ifc:
        """An outline on the plan, y down, raised from `low` to `high`."""
        make = self.model.create_entity
        points = [self._point(x, -y) for x, y in outline]
        line = make("IfcPolyline", Points=[*points, points[0]])
        profile = make("IfcArbitraryClosedProfileDef", ProfileType="AREA", OuterCurve=line)
        solid = make(
            "IfcExtrudedAreaSolid",
            SweptArea=profile,
            Position=make("IfcAxis2Placement3D", Location=self._point(0.0, 0.0, low)),
            ExtrudedDirection=make("IfcDirection", DirectionRatios=[0.0, 0.0, 1.0]),
            Depth=high - low,
        )
        shape = make(
            "IfcShapeRepresentation",
            ContextOfItems=self.body,
            RepresentationIdentifier="Body",
            RepresentationType="SweptSolid",
            Items=[solid],
        )
        return make("IfcProductDefinitionShape", Representations=[shape])

    def _property_set(self, thing: Ifc, **said: str) -> None:
        """A property set of sentences."""
        make = self.model.create_entity
        properties = [
            make("IfcPropertySingleValue", Name=name, NominalValue=make("IfcText", text))
            for name, text in said.items()
        ]
        given = self._root("IfcPropertySet", Name="Survey", HasProperties=properties)
        self._root("IfcRelDefinesByProperties", RelatedObjects=[thing], RelatingPropertyDefinition=given)

    # -- the room ----------------------------------------------------------------------------------------------------

    def _space(self) -> None:
        corners = [f.at(0.0) for f in self.frames]
        space = self._root(
            "IfcSpace",
            Name=self.name,
            ObjectPlacement=self._placement(),
            Representation=self._solid(corners, 0.0, self.height),
            CompositionType="ELEMENT",
            PredefinedType="INTERNAL",
        )
        self._root("IfcRelAggregates", RelatingObject=self.storey, RelatedObjects=[space])
        known = ceiling_of(self.examination)[1]
        self._property_set(
            space,
            Caution=CAUTION,
            Corners=worded(self.examination.placed.squareness.text),
            Ceiling="as measured" if known else "not measured, drawn at a usual height",
        )

    def _wall(self, wall: Wall, n: int) -> None:
        """A wall as one body, mitred at its corners, with its openings cut out of it."""
        frame, placed = self.frames[n], self.examination.placed.walls[n]
        outer_start, outer_end = outer_ends(self.examination, self.frames, n)
        made = self._root(
            "IfcWall",
            Name=f"Wall {wall.letter}",
            ObjectPlacement=self._placement(),
            Representation=self._solid(
                (frame.at(0.0), frame.at(frame.length), outer_end, outer_start), 0.0, self.height
            ),
            PredefinedType="NOTDEFINED",
        )
        self._contain(made)
        sd = "not known" if placed.sd_mm is None else f"{placed.sd_mm:.1f} mm"
        self._property_set(
            made, Caution=CAUTION, Thickness="not measured", LengthDeviation=sd, Length=placed.basis.value
        )
        for part in placed.sections:
            section = wall.sections[part.index]
            if part.end_mm > part.start_mm and is_opening(section):
                self._opening(made, frame, wall, section, part)
            elif part.end_mm > part.start_mm and section.depth and section.depth.value_mm:
                self._standing(frame, section, part)

    def _contain(self, thing: Ifc) -> None:
        self._root(
            "IfcRelContainedInSpatialStructure", RelatedElements=[thing], RelatingStructure=self.storey
        )

    def _standing(self, frame: WallFrame, section: Section, part: PlacedSection) -> None:
        """A chimney breast, boxing or nib as a body of its own; what stands in the room and may go is left out."""
        if (
            section.kind not in (SectionKind.BREAST, SectionKind.BOXING, SectionKind.NIB)
            or section.depth is None
        ):
            return
        outline = frame.quad(
            float(part.start_mm), float(part.end_mm), 0.0, float(section.depth.value_mm or 0)
        )
        made = self._root(
            "IfcBuildingElementProxy",
            Name=clean(section.label) or section.kind.value,
            ObjectPlacement=self._placement(),
            Representation=self._solid(outline, 0.0, self.height),
        )
        self._contain(made)

    def _opening(
        self, host: Ifc, frame: WallFrame, wall: Wall, section: Section, part: PlacedSection
    ) -> None:
        start, end, thick = float(part.start_mm), float(part.end_mm), thickness(self.examination.survey)
        low, high, known = self._heights(section)
        hole = self._root(
            "IfcOpeningElement",
            Name=self._tag(wall, part),
            ObjectPlacement=self._placement(),
            Representation=self._solid(frame.quad(start, end, CLEAR_MM, -thick - CLEAR_MM), low, high),
            PredefinedType="OPENING",
        )
        self._root("IfcRelVoidsElement", RelatingBuildingElement=host, RelatedOpeningElement=hole)
        kind = {SectionKind.WINDOW: "IfcWindow", SectionKind.DOOR: "IfcDoor"}.get(section.kind)
        if kind is None:
            return
        middle = -thick / 2
        filling = self._root(
            kind,
            Name=self._tag(wall, part),
            ObjectPlacement=self._placement(),
            Representation=self._solid(
                frame.quad(start, end, middle + LEAF_MM / 2, middle - LEAF_MM / 2), low, high
            ),
            OverallWidth=end - start,
            OverallHeight=high - low,
        )
        self._root("IfcRelFillsElement", RelatingOpeningElement=hole, RelatedBuildingElement=filling)
        self._contain(filling)
        self._property_set(
            filling, Heights="as measured" if known else "not all measured, drawn at usual heights"
        )

    def _tag(self, wall: Wall, part: PlacedSection) -> str:
        return self.examination.survey.opening_tags()[wall.index, part.index]

    def _heights(self, section: Section) -> tuple[float, float, bool]:
        """Bottom and top of an opening, and whether both were measured."""
        window = section.kind is SectionKind.WINDOW
        sill, head = sill_mm(section) if window else 0, head_mm(section)
        low = float(GUESS_MM["sill"] if sill is None else sill)
        high = float(head or (low + GUESS_MM["tall"] if window else GUESS_MM["door"]))
        return (
            low,
            min(max(high, low + LEAST_TALL_MM), max(self.height, low + LEAST_TALL_MM)),
            sill is not None and head is not None,
        )
