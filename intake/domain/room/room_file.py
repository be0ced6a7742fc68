"""A hand-typed room (plain data, as YAML or JSON gives it) into a room survey. docs/room-file.md shows the format."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from typing import Any, TypeVar

from intake.domain.lengths.notation import MM_IN, parse_length
from intake.domain.lengths.written import written_sigma
from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.phrase import Gap, Phrase, phrase
from intake.model.reading import Direction, GivenBy, Hinge, Opens
from intake.model.room import (
    OVERALL_SIGMA_MM,
    SECTION_LENGTHS,
    SECTION_SIGMA_MM,
    Across,
    Allowances,
    Architrave,
    Bows,
    Fixed,
    Measurement,
    RoomSurvey,
    Section,
    SectionKind,
    Slope,
    Swing,
    Wall,
)

ESTIMATE_SIGMA_MM = 20.0
"""Standard deviation of a length worked out, not measured (judgement, no source)."""
MOST_ENTRIES = 200
"""Of walls, of sections on a wall, of fixed things; what a room can have is limited in soundness.py."""
_DOUBTED = re.compile(r"\A(.*\S)\s*+\?")
NOT_MEASURED = frozenset({"", "?", "none", "n.m."})
KNOWN = (
    *("room", "title", "unit", "north", "closed", "walls", "across", "ceilings", "slopes", "fixed"),
    *("units", "allowances"),
)
Choice = TypeVar("Choice", bound=StrEnum)
Entry = Mapping[str, Any]


class Lined(dict[str, Any]):
    """Keys and values of a file with the line each key stands on, counted from 1, and the keys that were given twice;
    the last value of such a key is the one kept."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: dict[Any, int] = {}
        self.repeated: list[Any] = []

    def give(self, key: Any, value: Any, line: int = 0) -> None:
        if key in self:
            self.repeated.append(key)
        self[key] = value
        self.lines[key] = line


class LinedList(list[Any]):
    """Entries of a file with the line that each starts on."""

    lines: tuple[int, ...] = ()


def room_from_dict(data: Entry) -> RoomSurvey:
    """The room. Whatever cannot be understood is a finding of the survey ("room-file") that names the place, and
    everything else is kept."""
    return _Reader(data).room()


class _Reader:
    """One file being read; `where` is a path for the findings."""

    def __init__(self, data: Entry) -> None:
        self.data = data
        self.findings: list[Finding] = []
        self.line = 0
        self.lines: dict[str, int] = {}
        unit = str(data.get("unit", "cm"))
        if unit not in MM_IN:
            self.wrong("unit", _none_of(unit, MM_IN))
            unit = "cm"
        self.unit = unit

    def wrong(self, where: Gap, what: Phrase) -> None:
        place: Gap = (phrase("line", line=self.line), where) if self.line else where
        self.findings.append(Finding("room-file", phrase("room-file", where=place, what=what)))

    def go(self, entry: Any, key: Any) -> None:
        """From here on the line is that of a key, or of an entry of a list, where the file had lines."""
        lines = getattr(entry, "lines", {})
        if not isinstance(lines, dict):
            lines = dict(enumerate(lines))
        self.line = lines.get(key, 0) or self.line

    def room(self) -> RoomSurvey:
        known = (
            "room",
            "title",
            "unit",
            "north",
            "closed",
            "walls",
            "across",
            "ceilings",
            "slopes",
            "fixed",
            "units",
            "allowances",
        )
        self._only("file", self.data, known)
        walls = tuple(self._wall(n, e) for n, e in enumerate(self._entries("walls", self.data.get("walls"))))
        return RoomSurvey(
            kind=self._choice("room", self.data.get("room", "unknown"), RoomKind, RoomKind.UNKNOWN),
            title=str(self.data.get("title", "")),
            walls=walls,
            closed=self._closed(),
            across=tuple(self._across(walls)),
            ceilings=tuple(self._ceilings()),
            slopes=tuple(self._slopes(walls)),
            fixed=tuple(self._fixed(walls)),
            units=tuple(self._units(walls)),
            allowances=self._allowances(),
            north_deg=self._number("north", self.data.get("north")),
            findings=tuple(self.findings),
            lines=tuple(self.lines.items()),
        )

    def _closed(self) -> bool:
        given = self.data.get("closed", True)
        if not isinstance(given, bool):
            self.go(self.data, "closed")
            self.wrong("closed", phrase("neither-true-nor-false", given=repr(str(given)[:20])))
        return given is not False

    # -- walls -----------------------------------------------------------------------------------------------------

    def _wall(self, index: int, entry: Entry) -> Wall:
        letter = Wall(index, Direction.OTHER).letter
        where = f"wall {letter}"
        self._only(where, entry, ("runs", "slant", "sections", "overall"))
        self.go(entry, "runs")
        direction = self._choice((where, "runs"), entry.get("runs"), Direction, Direction.OTHER)
        self.go(entry, "sections")
        given_sections = self._list((where, "sections"), entry.get("sections"))
        sections = tuple(
            self._section(f"{letter}{n + 1}", given_sections, n) for n in range(len(given_sections))
        )
        given = entry.get("overall")
        self.go(entry, "overall")
        overalls = tuple(
            self._length(f"{letter} overall" + (f" {n + 1}" if n else ""), value, where, OVERALL_SIGMA_MM)
            for n, value in enumerate(given if isinstance(given, list) else [] if given is None else [given])
        )
        return Wall(
            index,
            direction,
            sections,
            overalls,
            slant_deg=self._number((where, "slant"), entry.get("slant")),
        )

    def _section(self, name: str, entries: list[Any], n: int) -> Section:
        """`{window: 120, sill: 105}`, or a bare length for a plain piece of wall."""
        entry = entries[n]
        self.go(entries, n)
        if not isinstance(entry, Mapping):
            return Section(SectionKind.WALL, self._length(name, entry, f"section {name}"))
        where = f"section {name}"
        kinds = [k for k in SectionKind if k.value in entry]
        if len(kinds) != 1:
            self.wrong(where, phrase("needs-one-of", kinds=tuple(k.value for k in SectionKind)))
        kind = kinds[0] if kinds else SectionKind.WALL
        others = ("label", "hinge", "opens", "architrave", "estimated", "depths", "bows", *SECTION_LENGTHS)
        self._only(where, entry, (*(k.value for k in SectionKind), *others))
        estimated = entry.get("estimated") is True
        sigma = ESTIMATE_SIGMA_MM if estimated else SECTION_SIGMA_MM
        length = self._length(name, entry.get(kind.value), where, sigma, estimated)
        given = {h: self._optional(f"{name} {h}", entry, h, where) for h in SECTION_LENGTHS}
        return Section(
            kind,
            length,
            label=str(entry.get("label", "")),
            depth=given["depth"],
            sill=given["sill"],
            top_above_sill=given["tall"],
            top_above_floor=given["head"],
            above=given["above"],
            reveal=given["reveal"],
            worktop=given["worktop"],
            worktop_to_sill=given["worktop-to-sill"],
            architrave=self._choice(
                where, entry.get("architrave", "unknown"), Architrave, Architrave.UNKNOWN
            ),
            swing=self._swing(where, entry),
            depths=tuple(self._depths(name, where, entry)),
            bows=self._choice((where, "bows"), entry.get("bows", ""), Bows, Bows.UNTOLD),
        )

    def _depths(self, name: str, where: Gap, entry: Entry) -> Iterable[Measurement]:
        """Several depths of a curve, at equal steps along it."""
        self.go(entry, "depths")
        for n, value in enumerate(self._list((where, "depths"), entry.get("depths"))):
            yield self._length(f"{name} depth {n + 1}", value, where)

    def _swing(self, where: Gap, entry: Entry) -> Swing:
        side = (where, phrase("hinge-side"))
        return Swing(
            self._choice(side, entry.get("hinge", ""), Hinge, Hinge.UNTOLD),
            self._choice((where, "opens"), entry.get("opens", ""), Opens, Opens.UNTOLD),
        )

    # -- the rest --------------------------------------------------------------------------------------------------

    def _across(self, walls: tuple[Wall, ...]) -> Iterable[Across]:
        for n, entry in enumerate(self._entries("across", self.data.get("across"))):
            where = _entry("across", n)
            self._only(where, entry, ("corners", "walls", "length"))
            kind = "corners" if "corners" in entry else "walls"
            letters = self._list(where, entry.get(kind))
            pair = [i for i in (self._by_letter(where, letter, walls) for letter in letters) if i is not None]
            if len(pair) != 2 or pair[0] == pair[1]:
                self.wrong(where, phrase("needs-two"))
                continue
            self.go(entry, "length")
            name = f"across {n + 1}, {'corner' if kind == 'corners' else 'wall'} {letters[0]} to {letters[1]}"
            length = self._length(name, entry.get("length"), where, OVERALL_SIGMA_MM)
            both = (pair[0], pair[1])
            yield Across(length, corners=both) if kind == "corners" else Across(length, walls=both)

    def _ceilings(self) -> Iterable[Measurement]:
        self.go(self.data, "ceilings")
        for n, value in enumerate(self._list("ceilings", self.data.get("ceilings"))):
            yield self._length(f"ceiling {n + 1}", value, "ceilings")

    def _slopes(self, walls: tuple[Wall, ...]) -> Iterable[Slope]:
        for n, entry in enumerate(self._entries("slopes", self.data.get("slopes"))):
            where = _entry("slopes", n)
            self._only(where, entry, ("wall", "low", "starts"))
            wall = self._by_letter(where, entry.get("wall"), walls)
            if wall is not None:
                low = self._length(f"slope {n + 1} low", entry.get("low"), where)
                yield Slope(wall, low, self._length(f"slope {n + 1} starts", entry.get("starts"), where))

    def _fixed(self, walls: tuple[Wall, ...]) -> Iterable[Fixed]:
        lengths = ("from-left", "from-right", "height", "width", "tall", "depth")
        for n, entry in enumerate(self._entries("fixed", self.data.get("fixed"))):
            where = _entry("fixed", n)
            self._only(where, entry, ("name", "wall", *lengths))
            name = str(entry.get("name", "fixed thing"))
            wall = self._by_letter(where, entry["wall"], walls) if entry.get("wall") is not None else None
            given = {k.replace("-", "_"): self._optional(f"F{n + 1} {k}", entry, k, where) for k in lengths}
            yield Fixed(name, wall, **given)

    def _units(self, walls: tuple[Wall, ...]) -> Iterable[tuple[int, tuple[int, ...]]]:
        """Widths of units that are to stand along a wall."""
        for n, entry in enumerate(self._entries("units", self.data.get("units"))):
            where = _entry("units", n)
            self._only(where, entry, ("wall", "widths"))
            wall = self._by_letter(where, entry.get("wall"), walls)
            given = self._list((where, "widths"), entry.get("widths"))
            widths = [self._length(f"unit {n + 1}.{k + 1}", v, where).value_mm for k, v in enumerate(given)]
            if wall is not None and widths and all(w and w > 0 for w in widths):
                yield wall, tuple(w or 0 for w in widths)
            elif wall is not None:
                self.wrong(where, phrase("needs-widths"))

    def _allowances(self) -> Allowances:
        given = self.data.get("allowances")
        self.go(self.data, "allowances")
        if given is not None and not isinstance(given, Mapping):
            self.wrong("allowances", phrase("must-be-keys"))
        given = given if isinstance(given, Mapping) else {}
        self._only("allowances", given, ("scribe", "depth", "height"))
        sizes = {
            f"{k}_mm": v
            for k in ("scribe", "depth", "height")
            if k in given and (v := self._length(k, given[k], "allowances").value_mm) is not None and v >= 0
        }
        return Allowances(**sizes)

    # -- values ----------------------------------------------------------------------------------------------------

    def _optional(self, name: str, entry: Entry, key: str, where: Gap) -> Measurement | None:
        if key not in entry:
            return None
        self.go(entry, key)
        return self._length(name, entry[key], where)

    def _length(
        self, name: str, value: Any, where: Gap, sigma: float = SECTION_SIGMA_MM, estimated: bool = False
    ) -> Measurement:
        """A number in the file's unit or a text with its own ("5ft 3"); ? or nothing where it was not measured."""
        text = "" if value is None else str(value).strip()
        # A ? behind a length: it was read, and nobody has said that it is right.
        sure, text = not _DOUBTED.fullmatch(text), _DOUBTED.sub(r"\1", text)
        if self.line:
            self.lines[name] = self.line
        sigma = written_sigma(sigma, text, self.unit)
        if text.lower() in NOT_MEASURED:
            return Measurement(name, text, None, sigma, taken_from=GivenBy.FILE, estimated=estimated)
        parsed = None if isinstance(value, bool | list | Mapping) else parse_length(text, self.unit)
        if parsed is None and (plain := _plain_number(text)) is not None and plain <= 0:
            parsed = round(plain * float(MM_IN[self.unit]))
        if parsed is None:
            self.wrong((where, name), phrase("no-length", text=repr(text[:40]), unit=self.unit))
        return Measurement(name, text[:40], parsed, sigma, sure, taken_from=GivenBy.FILE, estimated=estimated)

    def _number(self, where: Gap, value: Any) -> float | None:
        if value is None:
            return None
        plain = None if isinstance(value, bool) else _plain_number(str(value))
        if plain is None:
            self.wrong(where, phrase("no-degrees", text=repr(str(value)[:40])))
        return plain

    def _choice(self, where: Gap, value: Any, kinds: type[Choice], otherwise: Choice) -> Choice:
        found = next((k for k in kinds if k.value.lower() == str(value).lower()), None)
        if found is None:
            self.wrong(where, _none_of(str(value)[:40], filter(None, kinds)))
        return found or otherwise

    def _by_letter(self, where: Gap, letter: Any, walls: tuple[Wall, ...]) -> int | None:
        found = next((w.index for w in walls if w.letter == str(letter).strip().upper()), None)
        if found is None:
            self.wrong(where, phrase("no-such-wall", wall=repr(str(letter)[:10])))
        return found

    def _list(self, where: Gap, value: Any) -> list[Any]:
        if value is None:
            return []
        if not isinstance(value, list):
            self.wrong(where, phrase("must-be-a-list"))
            return []
        if len(value) > MOST_ENTRIES:
            self.wrong(where, phrase("too-many-entries", count=len(value), taken=MOST_ENTRIES))
        kept = LinedList(value[:MOST_ENTRIES])
        kept.lines = getattr(value, "lines", ())
        return kept

    def _entries(self, where: Gap, value: Any) -> Iterator[Entry]:
        entries = self._list(where, value)
        for n, entry in enumerate(entries):
            self.go(entries, n)
            if not isinstance(entry, Mapping):
                self.wrong(_entry(where, n), phrase("must-be-keys"))
            yield entry if isinstance(entry, Mapping) else {}

    def _only(self, where: Gap, entry: Entry, known: Iterable[str]) -> None:
        for key in getattr(entry, "repeated", ()):
            self.go(entry, key)
            self.wrong(where, phrase("given-twice", key=repr(str(key)[:30])))
        unknown = [str(k)[:30] for k in entry if k not in set(known)]
        if unknown:
            self.wrong(where, phrase("unknown-key", keys=tuple(map(repr, unknown[:5]))))


MOST_NUMBER = 1e7
"""No number of a room file is larger, in millimetres or degrees."""


def _plain_number(text: str) -> float | None:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return value if math.isfinite(value) and abs(value) < MOST_NUMBER else None


def _entry(where: Gap, n: int) -> Gap:
    return where, phrase("entry", n=n + 1)


def _none_of(given: str, known: Iterable[str]) -> Phrase:
    return phrase("none-of", given=repr(given), known=tuple(map(str, known)))
