"""The rooms that the drawings are looked at with."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.drawing.load import load_room_file
from intake.drawing.titles import TitleBlock
from intake.model.examination import RoomExamination
from intake.model.reading import Direction
from intake.model.room import Fixed, RoomSurvey
from tests.room.build import RECTANGLE, length, oracle_room, wall

EXAMPLES = sorted((Path(__file__).parents[2] / "fixtures" / "rooms").iterdir())
TITLE = TitleBlock("Larkfield Kitchens", "R-7K2M4", "Ms A. Example", "Kitchen", date(2026, 11, 25))
HOSTILE = (
    '<script>alert(1)</script> & "it\'s" ]]> %%d ^J {\\fArial;x} \u202eevil\x00\x1b\x07\n</svg> ' + "W" * 300
)


def hostile_room() -> RoomSurvey:
    """A room whose every word came from somebody who means ill."""
    room = oracle_room()
    section = replace(room.walls[0].sections[1], label=HOSTILE)
    sections = (room.walls[0].sections[0], section, room.walls[0].sections[2])
    text = replace(room.walls[1].sections[0].length, text=HOSTILE)
    second = replace(room.walls[1], sections=(replace(room.walls[1].sections[0], length=text),))
    walls = (replace(room.walls[0], sections=sections), second, *room.walls[2:])
    unplaced = (length("number 7", 123, text=HOSTILE),)
    fixed = (Fixed(HOSTILE, 0, from_left=length("f", 300)),)
    return replace(room, title=HOSTILE, walls=walls, unplaced=unplaced, fixed=fixed)


def many_walls(count: int = 40) -> RoomSurvey:
    """A long comb: `count` walls, three sections and an overall each, that closes."""
    walls = []
    steps: list[tuple[Direction, int]] = [(Direction.EAST, 300 * (count // 2 - 1))]
    for n in range(count // 2 - 1):
        steps.append((Direction.SOUTH if n % 2 == 0 else Direction.NORTH, 900))
        steps.append((Direction.WEST, 300))
    down = sum(v if d is Direction.SOUTH else -v for d, v in steps if d in (Direction.SOUTH, Direction.NORTH))
    steps[1] = (Direction.SOUTH, 900 + (0 if down > 0 else 900))
    down = sum(v if d is Direction.SOUTH else -v for d, v in steps if d in (Direction.SOUTH, Direction.NORTH))
    steps.append((Direction.NORTH, down))
    for n, (direction, total) in enumerate(steps):
        third = total // 15 * 5
        walls.append(wall(n, direction, (third, third, total - 2 * third), total))
    return RoomSurvey(walls=tuple(walls))


@cache
def looked_at() -> dict[str, RoomExamination]:
    """Examined rooms by name: the examples and what is hard to draw."""
    rooms = {path.stem: room_from_dict(load_room_file(path)) for path in EXAMPLES}
    rooms["hostile"] = hostile_room()
    rooms["forty-walls"] = many_walls()
    rooms["one-wall"] = RoomSurvey(walls=(wall(0, Direction.EAST, (1000, 1200, 1800), 4000),))
    rooms["no-walls"] = RoomSurvey()
    rooms["gap"] = oracle_room(north=(955, 1200, 1485), north_overall=4630, south=(2500, 1005))
    rooms["nothing-measured"] = RoomSurvey(
        walls=tuple(wall(n, d, (None, None)) for n, d in enumerate(RECTANGLE))
    )
    rooms["hall"] = RoomSurvey(walls=tuple(wall(n, d, (19000, 1000), 20000) for n, d in enumerate(RECTANGLE)))
    rooms["cupboard"] = RoomSurvey(
        walls=tuple(wall(n, d, (150, 300, 100, 250), 800) for n, d in enumerate(RECTANGLE))
    )
    rooms["two-outlines"] = RoomSurvey(
        walls=(
            wall(0, Direction.EAST, (4000,)),
            wall(1, Direction.SOUTH, (2500,)),
            wall(2, Direction.OTHER, (707,)),
            wall(3, Direction.WEST),
            wall(4, Direction.NORTH, (3000,)),
        )
    )
    return {name: examine_room(room) for name, room in rooms.items()}
