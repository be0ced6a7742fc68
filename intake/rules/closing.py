"""Whether a room closes, by how much it misses, and everything that follows from it."""

from __future__ import annotations

from dataclasses import replace

from intake.model.finding import Finding
from intake.model.room import AdjustedReading, RoomExamination, RoomSurvey
from intake.rules.adjusting import UNCHECKED, Adjustment
from intake.rules.placing import place_adjusted
from intake.rules.room_net import Net, build_net, solve


def examine_room(room: RoomSurvey) -> RoomExamination:
    """Everything the arithmetic says of a room as measured. Never raises for what a customer wrote."""
    if not room.walls:
        return RoomExamination(
            room, None, findings=(*room.findings, Finding("no-walls", "No wall was read."))
        )
    if len(room.walls) < 3:
        room = replace(room, closed=False)
    net = build_net(room)
    adjustment = solve(net)
    return RoomExamination(
        survey=room,
        closes=None,
        readings=adjusted_readings(net, adjustment),
        placed=place_adjusted(room, net, adjustment, frozenset()),
        findings=room.findings,
    )


def adjusted_readings(net: Net, adjustment: Adjustment) -> tuple[AdjustedReading, ...]:
    """One row a measured length, in the order of the net."""
    rows = []
    for n, e in enumerate(net.equations):
        if not e.reading:
            continue
        checked = bool(adjustment.redundancy[n] > UNCHECKED)
        residual = float(adjustment.residuals[n])
        rows.append(
            AdjustedReading(
                id=e.reading,
                measured_mm=round(e.observed),
                adjusted_mm=e.observed + residual,
                sd_mm=float(adjustment.adjusted_sd[n]),
                residual_mm=residual,
                redundancy=float(adjustment.redundancy[n]),
                standardised=float(adjustment.standardised[n]) if checked else None,
                detectable_mm=float(adjustment.detectable[n]) if checked else None,
            )
        )
    return tuple(rows)
