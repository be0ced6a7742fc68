"""From what was read off a sketch to a room that can be closed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from intake.domain.lengths.notation import parse_length
from intake.domain.lengths.plausible import LEAST_HEAD_MM, LEAST_OPENING_MM
from intake.domain.lengths.written import written_sigma
from intake.domain.sketch.astray import astray, spoken_against, stand_elsewhere
from intake.domain.sketch.boxing import with_boxing
from intake.domain.sketch.chain import THINNEST, ReadSection, one_each, plain_stretches, spread_out
from intake.domain.sketch.diagonals import corners_spanned
from intake.domain.sketch.drawn_openings import along, beside, centre, feature_at, way_in_taken, with_way_in
from intake.domain.sketch.gaps import left_out, said, without_room
from intake.domain.sketch.settled import is_settled, may_lack_a_length
from intake.domain.sketch.told_openings import kind_of, with_numbers
from intake.model.checklist import RoomKind
from intake.model.reading import (
    Direction,
    Feature,
    GivenBy,
    OpeningKind,
    OutlineWall,
    Point,
    ReadNumber,
    Role,
    SketchReading,
    Span,
)
from intake.model.room import (
    OPENINGS,
    OVERALL_SIGMA_MM,
    SECTION_LENGTHS,
    SECTION_SIGMA_MM,
    Across,
    Astray,
    Correction,
    Fixed,
    Measurement,
    RoomSurvey,
    Section,
    SectionKind,
    Swing,
    Wall,
)

HEIGHT_FIELDS = {Role.SILL: "sill", Role.HEAD: "head", Role.REVEAL: "reveal"}
NEAR_OPENING = 0.12
"""A number this near to an opening's middle, as a share of the wall, is that opening's."""
SURE_DIAGONAL = 0.9
"""A number takes part in the sums as a diagonal when it is one with this chance: a span or a height taken for one would
make a room that closes look out of square."""
SURE_SWING = 0.7
"""A door is drawn as it hangs when the sketch shows it with this chance."""


def room_from_reading(
    reading: SketchReading,
    corrections: Mapping[int, Correction] | None = None,
    kind: RoomKind = RoomKind.UNKNOWN,
    title: str = "",
) -> RoomSurvey:
    """The room a reading describes; every number of the reading is in it somewhere, with its index.

    `corrections` are by index of the number; the text read stays in the measurement, beside the value a person gave.
    """
    ordered = sorted(reading.outline.walls, key=lambda w: w.wall)
    as_read = reading
    reading, way_in = with_way_in(with_numbers(as_read), kind)
    maker = _Maker(reading, corrections or {})
    walls = [maker.wall(n, outline) for n, outline in enumerate(ordered)]
    across, closed = tuple(maker.across()), reading.outline.closed
    if gone := without_room(RoomSurvey(kind, title, tuple(walls), closed, across)):
        maker = _Maker(
            left_out(reading, {ordered[n].wall: spans for n, spans in gone.items()}), corrections or {}
        )
        walls = [maker.wall(n, outline) for n, outline in enumerate(ordered)]
        across = tuple(maker.across())
    walls = with_boxing(walls, ordered, as_read)
    for role in HEIGHT_FIELDS:
        maker.attach(walls, role)
    ceilings = maker.of_role(Role.CEILING)
    elsewhere = list(stand_elsewhere(reading, walls))
    taken = [f for w, o in zip(walls, ordered, strict=True) if o.wall == way_in for f in way_in_taken(w)]
    return RoomSurvey(
        kind=kind,
        title=title,
        walls=tuple(walls),
        closed=closed,
        across=across,
        ceilings=tuple(ceilings),
        fixed=tuple(maker.fixed()),
        unplaced=tuple(maker.unplaced()),
        astray=tuple(
            Astray(maker.measurement(i, f"number {i + 1}"), wall, looks) for i, wall, looks in astray(reading)
        ),
        stand_elsewhere=tuple(at for at, _ in elsewhere),
        spoken_against=tuple(spoken_against(reading, walls)),
        findings=(*said([walls[n].letter for n in gone]), *taken, *(finding for _, finding in elsewhere)),
    )


class _Maker:
    """One reading being turned into a room; remembers which numbers have found their place."""

    def __init__(self, reading: SketchReading, corrections: Mapping[int, Correction]) -> None:
        self.reading = reading
        self.corrections = corrections
        self.used: set[int] = set()
        self.lacking = may_lack_a_length(reading)
        self.openings: list[tuple[int, int, Point]] = []
        """(wall, section, where on the page) of every opening."""

    def measurement(self, index: int, name: str, sigma: float = SECTION_SIGMA_MM) -> Measurement:
        """A number as a measurement, as a person corrected it; a customer's digits leave open of which wall it is."""
        self.used.add(index)
        number, correction = self.reading.numbers[index], self.corrections.get(index)
        sigma = written_sigma(sigma, number.text, self.reading.unit)
        seen = correction is not None and correction.by is GivenBy.DESIGNER
        settled = (seen or is_settled(number)) and number.wall not in self.lacking
        if correction:
            given = Measurement(name, number.text, correction.value_mm, sigma, True, index, (), correction.by)
            return replace(given, settled=settled)
        alternatives = tuple(
            (value, a.confidence)
            for a in number.alternatives
            if (value := parse_length(a.text, self.reading.unit)) is not None and value != number.value_mm
        )
        value = number.value_mm if number.legible else None
        given = Measurement(name, number.text, value, sigma, number.accepted, index, alternatives)
        return replace(given, settled=settled)

    def of_role(self, role: Role) -> list[Measurement]:
        found = [i for i, n in enumerate(self.reading.numbers) if n.role is role and i not in self.used]
        return [self.measurement(i, f"{role.value} {n + 1}") for n, i in enumerate(found)]

    def unplaced(self) -> list[Measurement]:
        rest = [i for i in range(len(self.reading.numbers)) if i not in self.used]
        return [self.measurement(i, f"number {i + 1}") for i in rest]

    def _outline(self) -> list[OutlineWall]:
        return sorted(self.reading.outline.walls, key=lambda w: w.wall)

    def fixed(self) -> list[Fixed]:
        """What the words beside fixture numbers name. What such a number measures (a height, a distance) is not told,
        so it stays among the unplaced as well."""
        walls = {w.wall: n for n, w in enumerate(self._outline())}
        found = []
        for number in self.reading.numbers:
            if number.role is Role.FIXTURE:
                near = sorted(self.reading.words, key=lambda w: math.dist(centre(w[1]), centre(number.box)))
                name = near[0][0] if near else "fixed thing"
                wall = walls.get(number.wall) if number.wall is not None else None
                sure = "" if number.accepted else " ?"
                found.append(Fixed(f"{name} ({number.text}{sure})", wall))
        return found

    def across(self) -> list[Across]:
        """Lengths between two facing walls (across the room, or along several walls in a row), and from corner to
        corner."""
        places = {w.wall: n for n, w in enumerate(self._outline())}
        found: list[Across] = []
        for i, number in enumerate(self.reading.numbers):
            told = number.measures
            if number.role is Role.OVERALL and number.wall is None and told and len(told.walls) == 2:
                a, b = (places[w] for w in told.walls)
                letters = "-".join(Wall(n, Direction.OTHER).letter for n in (a, b))
                taken = sum(x.length.id.startswith(f"{letters} across") for x in found)
                name = f"{letters} across{f' {taken + 1}' if taken else ''}"
                found.append(Across(self.measurement(i, name, OVERALL_SIGMA_MM), walls=(a, b)))
        return found + self._diagonals()

    def _diagonals(self) -> list[Across]:
        """Numbers from corner to corner; one that may be something else, or fits several pairs of corners, stays among
        the unplaced."""
        walls = self._outline()
        found: list[Across] = []
        for i, number in enumerate(self.reading.numbers):
            sure = number.role is Role.DIAGONAL and _is_sure(number)
            pair = corners_spanned(walls, number) if sure else None
            if pair is not None:
                letters = " to ".join(Wall(n, Direction.OTHER).letter for n in pair)
                name = f"corner {letters}" + (f" {len(found) + 1}" if found else "")
                found.append(Across(self.measurement(i, name, OVERALL_SIGMA_MM), corners=pair))
        return found

    def wall(self, index: int, outline: OutlineWall) -> Wall:
        """One wall with its chain in order and its overalls."""
        letter = Wall(index, outline.direction).letter
        chain, overalls = self._chain_and_overalls(outline)
        whole = max((self.reading.numbers[i].value_mm or 0 for i in overalls), default=0)
        dx, dy = outline.end[0] - outline.start[0], outline.end[1] - outline.start[1]
        return Wall(
            index=index,
            direction=outline.direction,
            sections=self._sections(index, outline, letter, chain, whole),
            overalls=tuple(
                self.measurement(i, f"{letter} overall{'' if n == 0 else f' {n + 1}'}", OVERALL_SIGMA_MM)
                for n, i in enumerate(overalls)
            ),
            drawn=math.hypot(dx, dy),
            slant_deg=math.degrees(math.atan2(dy, dx)) if outline.direction is Direction.OTHER else None,
        )

    def _chain_and_overalls(self, outline: OutlineWall) -> tuple[list[int], list[int]]:
        mine = [(i, n) for i, n in enumerate(self.reading.numbers) if n.wall == outline.wall]
        chain = [i for i, n in mine if n.role in (Role.SECTION, Role.OPENING)]
        overalls = [i for i, n in mine if n.role is Role.OVERALL]
        return sorted(chain, key=lambda i: along(outline, self.reading.numbers[i])), overalls

    def _sections(
        self, index: int, outline: OutlineWall, letter: str, chain: list[int], whole: int
    ) -> tuple[Section, ...]:
        """The chain as sections, with an unmeasured section for a drawn opening that has no number of its own."""
        spans = [self.reading.numbers[i].span for i in chain]
        entries = [self._entry(outline, i, spans) for i in chain]
        features = [f for f in self.reading.outline.features if f.wall == outline.wall and f.span]
        for entry, i in zip(entries, chain, strict=True):
            entry.feature = feature_at(self.reading.numbers[i], entry.along, features)
        known = sum(self.reading.numbers[i].value_mm or 0 for i in chain)
        room_left = bool(whole) and whole - known >= LEAST_OPENING_MM
        if room_left:
            self._beside_openings(outline, entries, features)
        self._place_openings(entries, features, room_left or not whole)
        spread_out(entries, features)
        one_each(entries, features, lambda i: beside(outline, self.reading.numbers[i]))
        self._one_number(entries)
        entries.sort(key=lambda e: (e.along, e.beside or 0.0))
        sections = []
        for n, entry in enumerate(entries):
            sections.append(self._section(f"{letter}{n + 1}", entry))
            if sections[-1].kind in OPENINGS:
                self.openings.append((index, n, _on_wall(outline, entry.along)))
        return tuple(sections)

    def _entry(self, outline: OutlineWall, index: int, spans: list[Span | None]) -> ReadSection:
        number = self.reading.numbers[index]
        crowded = number.span is not None and spans.count(number.span) > 1
        return ReadSection(along(outline, number), index, None, beside(outline, number) if crowded else None)

    def _beside_openings(
        self, outline: OutlineWall, entries: Sequence[ReadSection], features: Sequence[Feature]
    ) -> None:
        """Numbers of plain wall that stand beside the opening whose stretch they were given are of the wall there,
        where the overall leaves room for the opening as well."""
        for entry in entries:
            number = self.reading.numbers[entry.number or 0]
            if entry.feature is None or entry.feature.span is None or number.role is not Role.SECTION:
                continue
            at, (low, high) = beside(outline, number), entry.feature.span
            stretch = next((span for span in plain_stretches(features) if span[0] < at < span[1]), None)
            if not low <= at <= high and stretch is not None:
                entry.feature, entry.along, entry.stretch = None, at, stretch

    def _place_openings(self, entries: list[ReadSection], features: list[Feature], may_add: bool) -> None:
        """Give every drawn opening its section: the nearest number that has no feature yet, else one of its own
        without a length, but only where the overall leaves room for it: a section too many would hide a slip."""
        covered = [e.feature for e in entries]
        for feature in features:
            if feature in covered or feature.span is None:
                continue
            middle = sum(feature.span) / 2
            plain = [e for e in entries if e.feature is None and not self._runs_beyond(e, feature.span)]
            near = min(plain, key=lambda e: e.off(middle), default=None)
            if near and near.off(middle) < NEAR_OPENING:
                near.feature = feature
                near.along = middle if near.crowded else near.along
            elif may_add:
                entries.append(ReadSection(middle, None, feature))

    def _runs_beyond(self, entry: ReadSection, span: Span) -> bool:
        """Whether a number's stretch takes in an opening and wall on both sides of it: then it is of both, not its."""
        mine = self.reading.numbers[entry.number].span if entry.number is not None else None
        return mine is not None and mine[0] + THINNEST < span[0] and span[1] < mine[1] - THINNEST

    def _one_number(self, entries: Sequence[ReadSection]) -> None:
        """Where several numbers still have one opening and just one of them says that it is an opening's, it is that
        one's: the others are of wall."""
        for feature in [e.feature for e in entries if e.feature is not None]:
            mine = [e for e in entries if e.feature is feature and e.number is not None]
            told = [e for e in mine if self.reading.numbers[e.number or 0].role is Role.OPENING]
            if len(told) == 1:
                for entry in mine:
                    entry.feature = feature if entry is told[0] else None

    def _section(self, name: str, entry: ReadSection) -> Section:
        index, feature = entry.number, entry.feature
        kind = kind_of(feature) if feature else SectionKind.WALL
        if index is None:
            return Section(
                kind, Measurement(name), share=feature.span if feature else None, swing=_swing(feature)
            )
        number = self.reading.numbers[index]
        if kind is SectionKind.WALL and number.role is Role.OPENING and entry.stretch is None:
            kind = SectionKind.OPENING
        drawn = feature.span if feature else entry.stretch
        share = drawn if (entry.crowded or entry.stretch) and drawn else number.span or drawn
        return Section(kind, self.measurement(index, name), share=share, swing=_swing(feature))

    def attach(self, walls: list[Wall], role: Role) -> None:
        """Give each height to the nearest opening, on its own wall if it has one; an opening with a sill is a window.

        A head height below 1.7 m cannot be above the floor and counts as measured from the sill (common practice).
        """
        for i, number in enumerate(self.reading.numbers):
            if number.role is not role or i in self.used:
                continue
            spot = self._nearest_opening(walls, number)
            if spot is None:
                continue
            wall, n = spot
            section = walls[wall].sections[n]
            below = role is Role.HEAD and 0 < (number.value_mm or 0) < LEAST_HEAD_MM
            name = "tall" if below else HEIGHT_FIELDS[role]
            measured = self.measurement(i, f"{section.length.id} {name}")
            changed = with_height(section, name, measured)
            sections = (*walls[wall].sections[:n], changed, *walls[wall].sections[n + 1 :])
            walls[wall] = replace(walls[wall], sections=sections)

    def _nearest_opening(self, walls: list[Wall], number: ReadNumber) -> tuple[int, int] | None:
        field = SECTION_LENGTHS[HEIGHT_FIELDS[number.role]]

        def fits(wall: int, n: int) -> bool:
            section = walls[wall].sections[n]
            is_window = section.kind in (SectionKind.WINDOW, SectionKind.OPENING)
            may = is_window or (number.role is Role.HEAD and section.kind in OPENINGS)
            return getattr(section, field) is None and may

        open_spots = [(w, n, at) for w, n, at in self.openings if fits(w, n)]
        own = [(w, n, at) for w, n, at in open_spots if walls[w].index == number.wall]
        nearest = min(own or open_spots, key=lambda s: math.dist(s[2], centre(number.box)), default=None)
        return (nearest[0], nearest[1]) if nearest else None


def with_height(section: Section, name: str, measured: Measurement) -> Section:
    """The section with one of SECTION_LENGTHS; an opening with a sill is a window."""
    is_window = name == "sill" and section.kind is SectionKind.OPENING
    kind = SectionKind.WINDOW if is_window else section.kind
    height: dict[str, Any] = {SECTION_LENGTHS[name]: measured}
    return replace(section, kind=kind, **height)


def _on_wall(outline: OutlineWall, along: float) -> Point:
    (xa, ya), (xb, yb) = outline.start, outline.end
    return xa + along * (xb - xa), ya + along * (yb - ya)


def _is_sure(number: ReadNumber) -> bool:
    return number.measures is None or number.measures.chance >= SURE_DIAGONAL


def _swing(feature: Feature | None) -> Swing:
    """How the door drawn there hangs and swings, where the drawing says so surely enough."""
    sure = feature is not None and feature.kind is OpeningKind.DOOR and feature.swing >= SURE_SWING
    return Swing(feature.hinge, feature.into) if feature and sure else Swing()
