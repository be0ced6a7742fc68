"""What stands in words beside the drawings: does the room close, what is in doubt, schedules, notes."""

from __future__ import annotations

from collections.abc import Iterator

from intake.drawing.columns import Block, CellRow, ColumnVerdict, Heading, Paragraph, alarming, muted
from intake.drawing.display import BLACK, RED
from intake.drawing.layout import SQUARE_MM_A_M2
from intake.model.chances import chance
from intake.model.examination import Basis, Closure, RoomExamination
from intake.model.room import Fixed, Measurement, RoomSurvey, Section, SectionKind, Wall, fixed_tag
from intake.wording.desk import worded

CLOSURE_SHARES = (0.47, 0.21, 0.13, 0.19)
RUN_SHARES = (0.52, 0.16, 0.12, 0.2)
WORTH_TELLING_MM = 3
MOST_SLIPS = 6
WORTH_SAYING = 0.01
"""Shares of the panel's width by column; mm by which a run is said to be narrowed; slips listed; the least chance
of one that is listed (by eye)."""


def panel_blocks(examination: RoomExamination) -> list[Block]:
    """Everything for the panel, most important first."""
    return [
        *_verdict(examination),
        *_closures(examination),
        *_doubts(examination),
        *_findings(examination),
        *_schedule(examination.survey),
        *_fit(examination),
        *_notes(examination),
    ]


def _verdict(examination: RoomExamination) -> Iterator[Block]:
    words = {True: "Closes", False: "DOES NOT CLOSE", None: "Closing not checked"}[examination.closes]
    yield ColumnVerdict(words, RED if examination.closes is False else BLACK)
    if examination.closes is None:
        yield alarming(_why_not_checked(examination))
    elif examination.closes is False:
        yield alarming(_how_drawn(examination), bold=True)


def _how_drawn(examination: RoomExamination) -> str:
    placed = examination.placed
    if placed.left_out:
        return f"Drawn without {', '.join(placed.left_out)}, which is in doubt; the rest of the room closes."
    if placed.gap:
        across, down = abs(placed.gap[0]), abs(placed.gap[1])
        gap = f" It misses its start by {across} mm across and {down} mm down the sheet."
    else:
        gap = ""
    spread = any(s.basis is Basis.LEFT_OUT for w in placed.walls for s in w.sections)
    return f"Drawn as measured.{gap}" + (
        " Boxed sections do not fill their wall and are spread over it." if spread else ""
    )


def _why_not_checked(examination: RoomExamination) -> str:
    if not examination.closures:
        return "Nothing here checks a length: there is no overall and no opposite wall to compare."
    return "The walls do not come round to a room. What sums there are agree."


def _closures(examination: RoomExamination) -> Iterator[Block]:
    if not examination.closures:
        return
    yield Heading("Misclosures, mm")
    yield CellRow(("Sum", "misses", "limit", "trade"), CLOSURE_SHARES, bold=True, ruled=True)
    for closure in sorted(examination.closures, key=lambda c: not c.beyond):
        yield _closure(closure)
    yield muted("Limit: 3.29 sigma sqrt n; more with many sums. Trade: common practice.")
    if examination.placed.squareness.diagonals:
        yield muted("One way against the other: by as much more as the angles may differ from right ones.")


def _closure(closure: Closure) -> CellRow:
    sign = "+" if closure.misclosure_mm > 0 else "-" if closure.misclosure_mm < 0 else ""
    misses = f"{sign}{abs(closure.misclosure_mm)}" + (" !" if closure.beyond else "")
    trade = f"{closure.trade_mm[0]}-{closure.trade_mm[1]}"
    cells = (worded(closure.title), misses, str(closure.limit_mm), trade)
    return CellRow(cells, CLOSURE_SHARES, RED if closure.beyond else BLACK, closure.beyond)


def _doubts(examination: RoomExamination) -> Iterator[Block]:
    if examination.slips:
        yield Heading("What may be wrong")
        for slip in [s for s in examination.slips if s.probability >= WORTH_SAYING][:MOST_SLIPS]:
            yield Paragraph(f"{chance(slip.probability).capitalize()}: {worded(slip.explanation)}")
    if examination.next_measures:
        yield Heading("Ask next" if examination.closes is False else "Worth asking for")
        for measure in examination.next_measures[:2]:
            yield Paragraph(worded(measure.what))


def _findings(examination: RoomExamination) -> Iterator[Block]:
    if examination.findings:
        yield Heading("To put right")
        for finding in examination.findings:
            yield alarming(worded(finding.text))


def _schedule(room: RoomSurvey) -> Iterator[Block]:
    tags = room.opening_tags()
    if tags:
        yield Heading("Openings, mm")
        for (wall, n), tag in tags.items():
            yield Paragraph(f"{tag}: {_opening(tag, room.walls[wall], room.walls[wall].sections[n])}")
    if room.fixed:
        yield Heading("Fixed things, mm")
        for n, fixed in enumerate(room.fixed):
            yield Paragraph(f"{fixed_tag(n)}: {_fixed(room, fixed)}")


def _opening(tag: str, wall: Wall, section: Section) -> str:
    wide = f"{_mm(section.length)} wide" if section.length.value_mm is not None else "width not measured"
    what = section.label or section.kind.value
    named = [] if tag.lower().startswith(what) else [what]
    parts = [*named, f"wall {wall.letter}", wide]
    heights = (
        ("sill", section.sill),
        ("worktop", section.worktop),
        ("worktop to sill", section.worktop_to_sill),
        ("tall", section.top_above_sill),
        ("head", section.top_above_floor),
        ("reveal", section.reveal),
    )
    parts += [f"{name} {_mm(m)}" for name, m in heights if m is not None]
    if section.kind is SectionKind.WINDOW and section.sill is None and section.worktop_to_sill is None:
        parts.append("sill not measured")
    if section.kind is SectionKind.DOOR and section.architrave.value != "unknown":
        parts.append(f"to the architrave's {section.architrave.value.replace('-', ' ')}")
    if section.kind is SectionKind.DOOR and not (section.swing.hinge and section.swing.into):
        parts.append("swing not told")
    return ", ".join(parts)


def _fixed(room: RoomSurvey, fixed: Fixed) -> str:
    where = f"wall {room.walls[fixed.wall].letter}" if fixed.wall is not None else "wall not told"
    lengths = (
        ("from left", fixed.from_left),
        ("from right", fixed.from_right),
        ("above floor", fixed.height),
        ("wide", fixed.width),
        ("tall", fixed.tall),
        ("deep", fixed.depth),
    )
    return ", ".join([fixed.name, where, *(f"{_mm(m)} {name}" for name, m in lengths if m is not None)])


def _fit(examination: RoomExamination) -> Iterator[Block]:
    """The clear run of each wall for units on the floor, and whether the units told fit. Not for ordering."""
    fit = examination.fit
    if not fit.runs and not fit.fits:
        return
    yield Heading("Clear runs on the floor, mm")
    yield CellRow(("Wall, between", "long", "±", "certain"), RUN_SHARES, bold=True, ruled=True)
    for run in fit.runs:
        name = f"{examination.survey.walls[run.wall].letter}: {run.between[0]} to {run.between[1]}"
        narrowed = f", {run.narrowed_mm} less in front" if run.narrowed_mm > WORTH_TELLING_MM else ""
        unsure = f", {worded(run.unsure)}" if run.unsure else ""
        cells = (name + narrowed + unsure, str(run.length_mm), f"{2 * run.sd_mm:.0f}", str(run.least_mm))
        yield CellRow(cells, RUN_SHARES)
    allowed = fit.allowances
    yield muted(
        f"For units {allowed.depth_mm} deep and {allowed.height_mm} high; scribing not taken off:"
        f" {allowed.scribe_mm} at each end that meets a wall. Not for ordering."
    )
    for each in fit.fits:
        yield Paragraph(worded(each.text))


def _mm(measurement: Measurement) -> str:
    """A length in mm, queried where nobody has accepted it."""
    if measurement.value_mm is None:
        return "not measured"
    return f"{measurement.value_mm}" + ("" if measurement.accepted else " ?")


def _areas(examination: RoomExamination) -> Iterator[Block]:
    gross, net = examination.placed.area_mm2, examination.placed.net_area_mm2
    if gross is None or examination.closes is False:
        return
    known = "not known, as a depth was not measured" if net is None else f"{net / SQUARE_MM_A_M2:.2f} m²"
    yield Paragraph(
        f"Floor from wall to wall {gross / SQUARE_MM_A_M2:.2f} m² gross; less breasts, boxing, nibs and"
        f" curves, with alcoves, net {known}."
    )


def _notes(examination: RoomExamination) -> Iterator[Block]:
    yield Heading("Notes")
    moved = max((abs(r.residual_mm) for r in examination.readings), default=0.0)
    if examination.closes and moved >= 0.5:
        yield Paragraph(
            f"Dimensions as measured, mm. The outline is adjusted to close, by {moved:.0f} mm at most."
        )
    else:
        yield Paragraph("Dimensions as measured, mm.")
    bases = {s.basis for w in examination.placed.walls for s in w.sections} | {
        w.basis for w in examination.placed.walls
    }
    if Basis.DERIVED in bases or any(m.estimated for m in examination.survey.lengths()):
        yield Paragraph(
            "(  ) not measured, worked out from the rest, give or take twice its standard deviation."
        )
    if Basis.ASSUMED in bases:
        yield Paragraph("n.m. not measured and not fixed by the rest: drawn at a guess, in red dashes.")
    if Basis.LEFT_OUT in bases or any(r.doubtful for r in examination.readings):
        yield Paragraph("Boxed with ? : in doubt, to be measured again.")
    if examination.placed.walls:
        yield Paragraph(worded(examination.placed.squareness.text))
    yield from _areas(examination)
    yield Paragraph("Wall thickness not measured.")
    for note in examination.notes:
        yield Paragraph(worded(note.text))
