"""A room of four walls as it is read off a sketch, its numbers and its openings."""

from __future__ import annotations

from intake.model.reading import (
    Box,
    Direction,
    Feature,
    OpeningKind,
    OutlineWall,
    ReadNumber,
    Role,
    SketchOutline,
    SketchReading,
)

WALLS = (
    OutlineWall(0, (100, 100), (900, 100), Direction.EAST),
    OutlineWall(1, (900, 100), (900, 700), Direction.SOUTH),
    OutlineWall(2, (900, 700), (100, 700), Direction.WEST),
    OutlineWall(3, (100, 700), (100, 100), Direction.NORTH),
)


def box(x: float, y: float) -> Box:
    return (x - 20, y - 8), (x + 20, y - 8), (x + 20, y + 8), (x - 20, y + 8)


def number(
    text: str, at: tuple[float, float], role: Role, wall: int | None = None, **more: object
) -> ReadNumber:
    value = round(float(text) * 10)
    return ReadNumber(text, value, box(*at), 0.98, True, role=role, wall=wall, **more)  # type: ignore[arg-type]


NUMBERS = (
    number("184.5", (780, 80), Role.SECTION, 0),
    number("95.5", (200, 80), Role.SECTION, 0),
    number("120", (450, 80), Role.OPENING, 0),
    number("400", (500, 50), Role.OVERALL, 0),
    number("300", (930, 400), Role.SECTION, 1),
    number("150.5", (250, 720), Role.SECTION, 2),
    number("250", (600, 720), Role.SECTION, 2),
    number("240", (500, 400), Role.CEILING),
    number("105", (460, 140), Role.SILL),
    number("210", (440, 160), Role.HEAD),
    number("77", (820, 640), Role.FIXTURE, 1),
    number("512", (500, 450), Role.UNKNOWN),
)
WINDOW = Feature(OpeningKind.WINDOW, 0, (0.3, 0.55), box(450, 100))
DOOR = Feature(OpeningKind.DOOR, 3, (0.1, 0.3), box(100, 600))


def reading(
    numbers: tuple[ReadNumber, ...] = NUMBERS, features: tuple[Feature, ...] = (WINDOW,)
) -> SketchReading:
    outline = SketchOutline(WALLS, True, features)
    return SketchReading(1000, 800, "cm", numbers, outline, words=(("boiler", box(820, 660)),))
