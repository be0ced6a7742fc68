"""The few words in the middle of a plan."""

from __future__ import annotations

from intake.drawing.lettering import clean, shortened
from intake.drawing.titles import TitleBlock
from intake.model.checklist import RoomKind
from intake.model.room import RoomExamination


def room_lines(examination: RoomExamination, title: TitleBlock) -> list[tuple[str, float, bool]]:
    """(words, height of capitals, bold) a line."""
    room = examination.survey
    kind = "" if room.kind is RoomKind.UNKNOWN else room.kind.value.capitalize()
    name = shortened(clean(room.title or title.room or kind or "Room"), 4.0, 60.0, True)
    lines = [(name, 4.0, True)]
    heights = [c.value_mm for c in room.ceilings if c.value_mm]
    lines.append(
        (f"ceiling {' / '.join(map(str, heights[:3]))}" if heights else "ceiling not measured", 2.5, False)
    )
    if examination.placed.area_mm2 and examination.closes is not False:
        lines.append((f"{examination.placed.area_mm2 / 1e6:.2f} m²", 2.5, False))
    return lines
