"""The few words in the middle of a plan."""

from __future__ import annotations

from intake.drawing.layout import SMALL, SQUARE_MM_A_M2
from intake.drawing.lettering import clean, wrapped
from intake.drawing.titles import TitleBlock
from intake.model.checklist import RoomKind
from intake.model.examination import RoomExamination


def room_lines(examination: RoomExamination, title: TitleBlock, size: float) -> list[tuple[str, float, bool]]:
    """(words, height of capitals, bold) a line; `size` is that of the name, which takes two lines if it is long."""
    room = examination.survey
    kind = "" if room.kind is RoomKind.UNKNOWN else room.kind.value.capitalize()
    name = clean(room.title or title.room or kind or "Room", 60)
    lines = [(words, size, True) for words in wrapped(name, size, 45.0, True)[:2]]
    heights = [f"{c.value_mm}{'' if c.accepted else ' ?'}" for c in room.ceilings if c.value_mm]
    lines.append((f"ceiling {' / '.join(heights[:3])}" if heights else "ceiling not measured", SMALL, False))
    if examination.placed.area_mm2 and examination.closes is not False:
        gross, net = examination.placed.area_mm2, examination.placed.net_area_mm2
        words = f"{gross / SQUARE_MM_A_M2:.2f} m²"
        if net is None or net != gross:
            words += " gross" if net is None else f" gross, {net / SQUARE_MM_A_M2:.2f} m² net"
        lines.append((words, SMALL, False))
    return lines
