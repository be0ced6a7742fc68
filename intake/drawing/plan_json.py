"""The examined room as plain data. Lengths are integer millimetres in keys that end in `_mm`; standard deviations and
residuals are finer, so they are integer micrometres in keys that end in `_um`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from intake.drawing.titles import CAUTION
from intake.model.examination import (
    AdjustedReading,
    Closure,
    NextMeasure,
    PlacedWall,
    RoomExamination,
    RoomFit,
    Slip,
    Squareness,
)
from intake.model.finding import Finding
from intake.model.room import SECTION_LENGTHS, Fixed, Measurement, Section, Wall
from intake.wording.desk import worded

Json = dict[str, Any]
SIZES = {name: name for name in ("from_left", "from_right", "height", "width", "tall", "depth")}


def plan_json(examination: RoomExamination) -> Json:
    """One document of everything on the drawings: x to the right and y down on the plan, corners clockwise."""
    room, placed = examination.survey, examination.placed
    return {
        "caution": CAUTION,
        "room": room.kind.value,
        "title": room.title,
        "north_deg": room.north_deg,
        "closes": examination.closes,
        "gap_mm": list(placed.gap) if placed.gap else None,
        "area_mm2": placed.area_mm2,
        "net_area_mm2": placed.net_area_mm2,
        "squareness": _squareness(placed.squareness),
        "other_corners_mm": [list(c) for c in placed.other_corners],
        "left_out": list(placed.left_out),
        "walls": [_wall(w, p) for w, p in zip(room.walls, placed.walls, strict=False)],
        "across": [
            {"corners": a.corners, "walls": a.walls, "length": _measurement(a.length)} for a in room.across
        ],
        "ceilings": [_measurement(c) for c in room.ceilings],
        "slopes": [
            {"wall": s.wall, "low": _measurement(s.low), "starts": _measurement(s.starts)}
            for s in room.slopes
        ],
        "fixed": [{"name": f.name, "wall": f.wall} | _lengths_given(f, SIZES) for f in room.fixed],
        "unplaced": [_measurement(m) for m in room.unplaced],
        "closures": [_closure(c) for c in examination.closures],
        "readings": [_reading(r) for r in examination.readings],
        "slips": [_slip(s) for s in examination.slips],
        "none_of_these": round(examination.none_probability, 4),
        "ask_next": [_next(n) for n in examination.next_measures],
        "findings": [_finding(f) for f in examination.findings],
        "notes": [_finding(f) for f in examination.notes],
        "fit": _fit(examination.fit),
    }


def _squareness(known: Squareness) -> Json:
    return {
        "text": worded(known.text),
        "diagonals": list(known.diagonals),
        "within_mm": known.within_mm,
        "out": known.out,
        "corners_deg": [None if a is None else round(a, 2) for a in known.corners_deg],
    }


def _fit(fit: RoomFit) -> Json:
    """What can be placed; not for ordering, as everything here."""
    allowed = fit.allowances
    return {
        "caution": CAUTION,
        "scribe_mm": allowed.scribe_mm,
        "depth_mm": allowed.depth_mm,
        "height_mm": allowed.height_mm,
        "runs": [
            {
                "wall": r.wall,
                "start_mm": r.start_mm,
                "end_mm": r.end_mm,
                "length_mm": r.length_mm,
                "sd_um": round(r.sd_mm * 1000),
                "narrowed_mm": r.narrowed_mm,
                "least_mm": r.least_mm,
                "between": list(r.between),
                "scribes": r.scribes,
                "unsure": worded(r.unsure),
            }
            for r in fit.runs
        ],
        "units": [
            {"wall": f.wall, "widths_mm": list(f.widths_mm), "spare_mm": f.spare_mm, "text": worded(f.text)}
            for f in fit.fits
        ],
        "clashes": [{"text": worded(c.text), "readings": list(c.readings)} for c in fit.clashes],
    }


def _lengths_given(thing: Section | Fixed, fields: Mapping[str, str]) -> Json:
    """Those of a thing's measurements that it has, by what they are called here."""
    return {
        name.replace("-", "_"): _measurement(m)
        for name, field in fields.items()
        if (m := getattr(thing, field)) is not None
    }


def _wall(wall: Wall, placed: PlacedWall) -> Json:
    return {
        "wall": wall.index,
        "letter": wall.letter,
        "runs": wall.direction.value,
        "from_mm": list(placed.start),
        "to_mm": list(placed.end),
        "length_mm": placed.length_mm,
        "basis": placed.basis.value,
        "sd_um": _um(placed.sd_mm),
        "overalls": [_measurement(o) for o in wall.overalls],
        "sections": [
            _section(wall.sections[p.index])
            | {"start_mm": p.start_mm, "end_mm": p.end_mm, "basis": p.basis.value, "sd_um": _um(p.sd_mm)}
            for p in placed.sections
        ],
    }


def _um(sd_mm: float | None) -> int | None:
    return None if sd_mm is None else round(sd_mm * 1000)


def _section(section: Section) -> Json:
    return {
        "kind": section.kind.value,
        "label": section.label,
        "length": _measurement(section.length),
        "architrave": section.architrave.value,
        "hinge": section.swing.hinge,
        "opens": section.swing.into,
        "bows": section.bows,
        "depths": [_measurement(d) for d in section.depths],
    } | _lengths_given(section, SECTION_LENGTHS)


def _measurement(m: Measurement) -> Json:
    return {
        "id": m.id,
        "text": m.text,
        "value_mm": m.value_mm,
        "accepted": m.accepted,
        "number": m.number,
        "taken_from": m.taken_from,
        "estimated": m.estimated,
    }


def _closure(c: Closure) -> Json:
    return {
        "kind": c.kind,
        "title": worded(c.title),
        "walls": list(c.walls),
        "readings": list(c.readings),
        "misclosure_mm": c.misclosure_mm,
        "limit_mm": c.limit_mm,
        "trade_mm": list(c.trade_mm),
        "beyond": c.beyond,
    }


def _reading(r: AdjustedReading) -> Json:
    return {
        "id": r.id,
        "measured_mm": r.measured_mm,
        "adjusted_mm": round(r.adjusted_mm),
        "residual_um": round(r.residual_mm * 1000),
        "sd_um": round(r.sd_mm * 1000),
        "redundancy": round(r.redundancy, 4),
        "standardised": None if r.standardised is None else round(r.standardised, 3),
        "detectable_mm": None if r.detectable_mm is None else round(r.detectable_mm),
        "doubtful": r.doubtful,
    }


def _slip(s: Slip) -> Json:
    return {
        "kind": s.kind,
        "wall": s.wall,
        "reading": s.reading,
        "number": s.number,
        "read_mm": s.read_mm,
        "would_be_mm": s.would_be_mm,
        "probability": round(s.probability, 4),
        "explanation": worded(s.explanation),
    }


def _next(n: NextMeasure) -> Json:
    return {
        "what": worded(n.what),
        "reason": worded(n.reason),
        "gain": round(n.gain, 4),
        "wall": n.wall,
        "reading": n.reading,
    }


def _finding(f: Finding) -> Json:
    return {"code": f.code, "text": worded(f.text), "numbers": list(f.numbers)}
