"""A room as the text of a room file (docs/room-file.md), to be corrected by hand."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from intake.domain.lengths.notation import format_cm
from intake.model.room import (
    SECTION_LENGTHS,
    Allowances,
    Architrave,
    Fixed,
    Measurement,
    RoomSurvey,
    Section,
    SectionKind,
    Slope,
    Wall,
)

BLANK = """\
room: {kind}
unit: cm
walls:                 # from the wall along the top of the plan, clockwise; "?" is not measured
  - runs: E
    sections: ["?"]
    overall: "?"
  - runs: S
    sections: ["?"]
  - runs: W
    sections: ["?"]
  - runs: N
    sections: ["?"]
ceilings: ["?"]
"""


def room_text(survey: RoomSurvey | None, kind: str) -> str:
    """The room as it was read, ready to be corrected; a blank one to fill in where no wall was read."""
    if survey is None or not survey.walls:
        return BLANK.format(kind=kind)
    return "\n".join(_lines(survey)) + "\n"


def _lines(survey: RoomSurvey) -> Iterator[str]:
    yield f"room: {survey.kind.value}"
    yield f"title: {json.dumps(survey.title, ensure_ascii=False)}"
    yield "unit: cm"
    if survey.north_deg is not None:
        yield f"north: {survey.north_deg:g}"
    if not survey.closed:
        yield "closed: false"
    yield "walls:"
    for wall in survey.walls:
        yield from _wall(wall)
    yield from _listed("across", [_across(survey, n) for n in range(len(survey.across))])
    yield from _listed("ceilings", [_length(c) for c in survey.ceilings])
    yield from _listed("slopes", [_slope(survey, slope) for slope in survey.slopes])
    yield from _listed("fixed", [_fixed(survey, thing) for thing in survey.fixed])
    yield from _listed("units", [_units(survey, wall, widths) for wall, widths in survey.units])
    if survey.allowances != Allowances():
        given = survey.allowances
        sizes = (format_cm(mm) for mm in (given.scribe_mm, given.depth_mm, given.height_mm))
        yield "allowances: {{scribe: {}, depth: {}, height: {}}}".format(*sizes)
    for left in survey.unplaced:
        yield f"# read, but on no wall: {_one_line(left.text)}"


def _wall(wall: Wall) -> Iterator[str]:
    yield f"  - runs: {wall.direction.value}   # wall {wall.letter}"
    if wall.slant_deg is not None:
        yield f"    slant: {wall.slant_deg:g}"
    yield "    sections:" if wall.sections else "    sections: []"
    for section in wall.sections:
        yield from _section(section)
    if len(wall.overalls) == 1:
        yield f"    overall: {_length(wall.overalls[0])}{_doubt(wall.overalls[0])}"
    elif wall.overalls:
        yield f"    overall: [{', '.join(_length(o) for o in wall.overalls)}]"


def _section(section: Section) -> Iterator[str]:
    kind = section.kind.value if section.kind in SectionKind else "wall"
    yield f"      - {kind}: {_length(section.length)}{_doubt(section.length)}"
    for name, field in SECTION_LENGTHS.items():
        measured: Measurement | None = getattr(section, field)
        if measured is not None:
            yield f"        {name}: {_length(measured)}{_doubt(measured)}"
    if section.label:
        yield f"        label: {json.dumps(section.label, ensure_ascii=False)}"
    if section.swing.hinge:
        yield f"        hinge: {section.swing.hinge}"
    if section.swing.into:
        yield f"        opens: {section.swing.into}"
    if section.architrave is not Architrave.UNKNOWN:
        yield f"        architrave: {section.architrave.value}"
    if section.length.estimated:
        yield "        estimated: true"
    if section.depths:
        yield f"        depths: [{', '.join(_length(d) for d in section.depths)}]"
    if section.bows:
        yield f"        bows: {section.bows}"


def _across(survey: RoomSurvey, n: int) -> str:
    across = survey.across[n]
    key, pair = ("corners", across.corners) if across.corners else ("walls", across.walls)
    ends = ", ".join(survey.walls[i].letter for i in pair or ())
    return f"{{{key}: [{ends}], length: {_length(across.length)}}}"


def _slope(survey: RoomSurvey, slope: Slope) -> str:
    wall = survey.walls[slope.wall].letter
    return f"{{wall: {wall}, low: {_length(slope.low)}, starts: {_length(slope.starts)}}}"


def _fixed(survey: RoomSurvey, thing: Fixed) -> str:
    parts = [f"name: {json.dumps(thing.name, ensure_ascii=False)}"]
    if thing.wall is not None:
        parts.append(f"wall: {survey.walls[thing.wall].letter}")
    for name in ("from_left", "from_right", "height", "width", "tall", "depth"):
        measured: Measurement | None = getattr(thing, name)
        if measured is not None:
            parts.append(f"{name.replace('_', '-')}: {_length(measured)}")
    return f"{{{', '.join(parts)}}}"


def _units(survey: RoomSurvey, wall: int, widths: Sequence[int]) -> str:
    return f"{{wall: {survey.walls[wall].letter}, widths: [{', '.join(map(format_cm, widths))}]}}"


def _listed(key: str, entries: list[str]) -> Iterator[str]:
    if entries:
        yield f"{key}:"
        yield from (f"  - {entry}" for entry in entries)


def _length(measured: Measurement) -> str:
    """A ? behind a length that nobody has accepted: it stays doubtful until somebody takes the sign away."""
    if measured.value_mm is None:
        return '"?"'
    length = format_cm(measured.value_mm)
    return length if measured.accepted else f'"{length}?"'


def _doubt(measured: Measurement) -> str:
    return "" if measured.accepted else f"   # doubtful, read as {_one_line(measured.text)}"


def _one_line(text: str) -> str:
    return " ".join(text.split())
