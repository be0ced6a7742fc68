"""Numbers in running text: lengths as people write them, and numbers that are none (dates, counts, sizes, money)."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise

from intake.domain.lengths.notation import LONGEST_MM, MM_IN
from intake.domain.words.no_lengths import FIGURE, NO_LENGTH
from intake.domain.words.spelled import SpelledFigures, in_figures

_FRACTIONS = {"½": Decimal("0.5"), "¼": Decimal("0.25"), "¾": Decimal("0.75")}
_UNITS = {
    "mm": "mm",
    "mil": "mm",
    "cm": "cm",
    "cen": "cm",
    "zen": "cm",
    "m": "m",
    "met": "m",
    "in": "in",
    "inc": "in",
    "zol": "in",
    "ft": "ft",
}
_NEXT_NAME = r"(?:[bc]|sill|cill|top|head|recess|reveal|depth)\b\W{0,3}\d"
""" "40 in b 83": after an inch the next thing is named."""
_UNIT = (
    r"(?:mms?|cms?|mil+imet(?:re|er)s?|mil|centimet(?:re|er)s?|zentimetern?|met(?:re|er)s?|metern?|m"
    r"|inch(?:es)?|ins|zoll"
    rf"|(?<=\d)in|in(?=\s*(?:$|[,.;)]|high|deep|wide|tall|up|off|from|/|\(?{_NEXT_NAME}))|\"|'')"
)
_HALF = (
    r"(?:\s?[½¼¾]|[\s-]+(?:and[\s-]+)?(?:a[\s-]+|one[\s-]+)?(?:half|quarter)\b|[\s-]+and[\s-]+three[\s-]+quarters\b"
    r"|\s+(?:and\s+)?\d/\d{1,2}(?!\d)|\s?einhalb\b|\s+(?:und\s+)?ein(?:e[nr]?)?\s+halbe[rnm]?\b|\s+(?:point"
    r"|komma)\s+\d(?!\d)|\s+point\s+five\b|\s+komma\s+f(?:ü|ue)nf\b)"
)
_OF_AN_INCH = (
    r"(?:a\s)?(?:half|quarter)\s(?:an?\s|of\san?\s)?inch\b|three[\s-]quarters\sof\san\sinch\b"
    r"|(?:[½¼¾]|[123]/[24])\s?(?:\"|inch\b|in\b)"
)
""" "8ft and half an inch"."""
_FEET = re.compile(
    rf"(?<![\w.,/])(?P<feet>\d{{1,2}})(?P<more>{_HALF})?\s?(?:'(?!'|s\b)|ft\b\.?|feet\b|foot\b"
    rf"|fuß\b)(?:\s(?:and\s)?(?P<bit>{_OF_AN_INCH})|\s?(?:and\s)?(?P<inches>\d{{1,2}}(?!\d|\s?(?:cm|mm))"
    rf"(?:[.,]\d)?)(?P<part>{_HALF})?\s?(?:\"|''|ins?\b|inch(?:es)?\b|zoll\b)?(?P<late>{_HALF})?)?",
    re.I,
)
_METRES_AND = re.compile(
    r"(?<![\w.,/])(?P<metres>\d{1,2})\s?(?:met(?:re|er)s?|m)\s?(?:and\s|und\s)?(?P<rest>(?:\d{1,2}[.,]\d(?=\s?[cz])|\d\d[.,]\d|\d{1,3}))(?![\d.,]*\d)"
    rf"(?P<early>{_HALF}(?=\s?[cz]))?(?:\s?(?P<unit>cms?|mms?|centimet(?:re|er)s?|zentimeter))?(?![\w])(?P<part>{_HALF})?",
    re.I,
)
_CM_AND_MM = re.compile(
    r"(?<![\w.,/])(?P<cm>\d{1,3})\s?cms?\s?(?:and\s|und\s|,\s?)?(?P<mm>\d)\s?mms?\b", re.I
)
_THOUSANDS = re.compile(r"(?<![\w.,/])(?P<thousands>\d{1,2})[ .,](?P<rest>\d{3})\s?mm\b", re.I)
_PLAIN = re.compile(
    rf"(?<![\w#£$€@])(?<!\d[.,:])(?P<number>{FIGURE})(?P<part>{_HALF})?(?:\s?(?P<unit>{_UNIT})(?![\w'])(?P<late>{_HALF})?)?"
    r"(?=ish\b|[^\w]|$)(?![.,]\d)",
    re.I,
)
_DIGIT = re.compile(r"\d")
_HEIGHT_LETTER = re.compile(r"\b(?P<letter>h)\s?=?\s?(?=\d)", re.I)
_FREE_UNIT = re.compile(
    r"(?<!\d)(?<!\d )(?<!\ba )(?<!\ban )(?<!one )(?<!few )(?<!half )(?<!the )(?<!\bof )(?<!couple )(?<!to )(?<!every )"
    r"\b(?P<unit>inches|mms?|millimet(?:re|er)s?|zoll|feet and inches)\b(?!\s?\d)",
    re.I,
)
""" "I only do inches", "mm for you": a unit that stands by itself."""
_CENTIMETRES = re.compile(r"(?<!\d)(?<!\d )(?<!in )\b(?:cms?|centimet(?:re|er)s?|zentimeter\w?)\b", re.I)
_REFUSED = re.compile(
    r"\b(?:from|out of|instead of|rather than|than|aus|statt|von)\s(?:the\s)?\Z"
    r"|\b(?:liked|like|wanted|want|prefer\w*|asked for|used to)\s(?:it |them )?(?:(?:all )?in )?\Z"
    r"|\b(?:can't|cannot|don't|do not|not|no|never|nicht|kein\w*)\s(?:\w+\s){0,2}\Z",
    re.I,
)
_FOR_ALL = re.compile(
    r"(?<!\d)(?<!\d )\b(?:(?:all|everything|all measurements|measurements|sizes|figures|numbers|alles"
    r"|alle maße|maße|angaben)\s(?:(?:are|is|sind|given)\s)?"
    r"(?:in\s)?|in\s)(?P<unit>inches|feet|foot|mms?|millimet(?:re|er)s?|cms?|centimet(?:re|er)s?|met(?:re"
    r"|er)s|zentimetern?|metern|zoll)\b",
    re.I,
)
METRES_BELOW = 12
"""A bare number with decimals below it may be in metres: no room of a home is longer."""
QUARTERS_FROM = 20
"""Below so many centimetres no tape shows hundredths ("1.25" is no 12.5 mm); common practice, no source."""
IMPERIAL = "imperial"
"""In place of a unit for all: the message writes feet or inches, and an "in" is inches."""
_IMPERIAL = re.compile(
    r"\b(?:inch(?:es)?|ins|feet|foot|ft|zoll)\b|\d\s?(?:\"|''|'(?![a-z])|ft\b)|\din\b"
    rf"|\d\sin(?=\s*(?:[,.;)/]|\(?{_NEXT_NAME})).{{1,80}}?\d\sin\b",
    re.I | re.S,
)
_INWARDS = re.compile(r"\d\s{1,3}in\Z", re.I)
_RUNS = re.compile(r"\s{0,3}(?:deep|high|wide|tall)\b", re.I)
CENTIMETRES_TO = (180, 850)
"""Between these a bare number may be the centimetres of a height or a wall, and from the second on only millimetres;
common practice, no source."""
INCHES = 12
"""In a foot."""
BY_SIZE = "mm?"
_FAR = 2.5
"""A bare number is taken for millimetres only where as centimetres it is so many times the longest usual."""


@dataclass(frozen=True)
class Number:
    """A number that may be a length: where it stands, as written, its figure, and its unit ("" for none written).

    `places` is how many decimals were written; `whole_mm` the length where the unit is written, None where it is
    not or
    where no tape reads so.
    """

    start: int
    end: int
    text: str
    figure: Decimal
    unit: str = ""
    places: int = 0
    inwards: bool = False
    """Its unit is an "in" that may be no inches: "14 in"."""
    guessed: bool = False
    """Its unit is only what the other numbers of the message are in by their size."""

    @property
    def whole_mm(self) -> int | None:
        return _millimetres(self, self.unit) if self.unit else None


@dataclass(frozen=True)
class Reading:
    """What a bare number may be as a length of one thing: (value_mm) each; one where it is plain."""

    values_mm: tuple[int, ...]
    usual: bool
    """Whether they lie in the usual range of the thing."""


@lru_cache(maxsize=2048)
def numbers(text: str) -> tuple[tuple[Number, ...], tuple[tuple[int, int], ...]]:
    """The numbers of `text` that may be lengths, in order, and the spans of those that are none."""
    figures = in_figures(text)
    if not _DIGIT.search(figures.text):
        return (), ()
    spaced = _HEIGHT_LETTER.sub(lambda m: " " * len(m[0]), figures.text)
    found: list[Number] = []
    taken: list[tuple[int, int]] = []
    for pattern, make in _MAKERS:
        for match in pattern.finditer(spaced):
            if not match[0].strip() or any(match.start() < e and match.end() > s for s, e in taken):
                continue
            number = make(match)
            if number is not None or pattern is NO_LENGTH:
                taken.append(match.span())
                found += [number] if number is not None else []
    lengths = _alone(figures, sorted(found, key=lambda n: n.start))
    spans = {(n.start, n.end) for n in lengths}
    told = [_as_written(n, text, figures) for n in _with_shared_unit(spaced, lengths)]
    return tuple(told), tuple(
        (figures.back[s], figures.back[e]) for s, e in sorted(taken) if (s, e) not in spans
    )


def _as_written(number: Number, text: str, figures: SpelledFigures) -> Number:
    """The number in its place in the text as the customer wrote it."""
    start, end = figures.back[number.start], figures.back[number.end]
    return replace(number, start=start, end=end, text=text[start:end].strip())


def _alone(figures: SpelledFigures, found: Sequence[Number]) -> list[Number]:
    """The numbers without those that stand side by side, one of them in words: neither alone is what was meant."""
    text = figures.text
    spelled = {n: any(s < n.end and e > n.start for s, e in figures.spelled) for n in found}
    beside = {
        n
        for a, b in pairwise(found)
        for n in (a, b)
        if not text[a.end : b.start].strip() and (spelled[a] or spelled[b])
    }
    return [n for n in found if n not in beside]


def unit_for_all(text: str) -> str:
    """The unit that a message gives once for all its numbers ("all in inches"); "" for none, or for more than one, and
    IMPERIAL where feet or inches are written beside some of them."""
    told = [
        m
        for pattern in (_FOR_ALL, _FREE_UNIT)
        for m in pattern.finditer(text)
        if not _REFUSED.search(text[: m.start()])
    ]
    found = {
        _unit(m["unit"].lower().replace("feet and ", "").replace("feet", "ft").replace("foot", "ft"))
        for m in told
    }
    if found and _CENTIMETRES.search(text):
        return IMPERIAL  # "inches on one side, cm on the other": which of them is not told
    if len(found) != 1 and _IMPERIAL.search(text):
        return IMPERIAL
    return found.pop() if len(found) == 1 else "" if found else _only_millimetres(text)


def _only_millimetres(text: str) -> str:
    """BY_SIZE, millimetres, where a message writes no unit and no decimals, and two numbers of it at least are too many
    centimetres for a home: "3865, 90, none, 2410"; else ""."""
    every = numbers(text)[0]
    plain = not any(n.unit or n.places or CENTIMETRES_TO[0] <= n.figure < CENTIMETRES_TO[1] for n in every)
    return BY_SIZE if plain and len({n.figure for n in every if n.figure >= CENTIMETRES_TO[1]}) > 1 else ""


def in_unit_for_all(number: Number, unit: str) -> Number:
    """A number without a unit in the one that the message gives for all, where a tape in a room may show as much."""
    if unit == IMPERIAL:
        return replace(number, inwards=False)
    guessed, unit = unit == BY_SIZE, "mm" if unit == BY_SIZE else unit
    least, most = {"in": (1, 130), "ft": (1, 12), "mm": (40, 20000)}.get(unit, (0, 20000))
    fits = least <= number.figure <= most and not (unit == "mm" and number.places)
    return replace(number, unit=unit, guessed=guessed) if fits and not number.unit else number


def reading_of(number: Number, range_mm: tuple[int, int] | None, near: Sequence[int] = ()) -> Reading:
    """What a number may say as the length of a thing whose usual range is `range_mm`, or that lies near one of `near`.

    A bare number is in centimetres where that is usual for the thing (the trade's habit), else in metres or in
    millimetres where only that is; both are given where both are plain.
    """
    if number.inwards and not near:
        bare = reading_of(replace(number, unit="", inwards=False), range_mm)
        inches = number.whole_mm
        both = [
            *(bare.values_mm if bare.usual else ()),
            *([inches] if inches and _usual(inches, range_mm, ()) else ()),
        ]
        return Reading(tuple(dict.fromkeys(both)) or bare.values_mm, bool(both))
    if number.guessed:
        either = (v for unit in ("cm", "mm") if (v := _millimetres(number, unit)) is not None)
        if fit := tuple(v for v in either if _usual(v, range_mm, near)):
            return Reading(fit, True)  # "sill 90" beside "top 2100" may be either
    if number.unit:
        value = number.whole_mm
        return Reading((value,) if value else (), value is not None and _usual(value, range_mm, near))
    cm, m, mm = (_millimetres(number, unit) for unit in ("cm", "m", "mm"))
    if not near and cm is not None and range_mm is not None and cm < _FAR * range_mm[1]:
        mm = None
    likely = [
        v for v in (cm, m if number.places else None, mm if not number.places else None) if v is not None
    ]
    usual = [v for v in likely if _usual(v, range_mm, near)]
    if cm in usual and not (m in usual and number.places and number.figure < METRES_BELOW):
        usual = [v for v in usual if v == cm]
    if usual:
        return Reading(tuple(dict.fromkeys(usual)), True)
    first = cm if cm is not None else m if number.places else mm
    return Reading((first,) if first is not None else (), False)


def every_reading(number: Number) -> set[int]:
    """All lengths in millimetres that a number may say: in its unit, else in centimetres, metres and millimetres."""
    units = (
        (number.unit,)
        if number.unit and not number.inwards
        else ("cm", "m", "mm", "in")[: 3 + number.inwards]
    )
    return {v for unit in units if (v := _millimetres(number, unit)) is not None}


def without(text: str, unheard: Set[int]) -> str:
    """`text` with blanks in place of those lengths."""
    for number in numbers(text)[0] if unheard else ():
        if every_reading(number) & unheard:
            text = text[: number.start] + "," + " " * (number.end - number.start - 1) + text[number.end :]
    return text


def _usual(value: int, range_mm: tuple[int, int] | None, near: Sequence[int]) -> bool:
    if near:
        return any(0.5 * n <= value <= 2 * n for n in near)
    return range_mm is None or range_mm[0] <= value <= range_mm[1]


def _millimetres(number: Number, unit: str) -> int | None:
    """None where no tape reads so: finer than half a millimetre, nothing, or longer than anything in a home."""
    most = {"mm": 1, "cm": 1 if number.figure < QUARTERS_FROM else 2, "m": 3, "in": 3, "ft": 4}[unit]
    value = number.figure * MM_IN[unit]
    if number.places > most or not 0 < value <= LONGEST_MM:
        return None
    return int(value.quantize(Decimal(1), "ROUND_HALF_UP")) or None


def _unit(word: str | None) -> str:
    if not word:
        return ""
    plain = word.lower()
    if plain in ('"', "''"):
        return "in"
    return _UNITS.get(plain[:3]) or _UNITS.get(plain[:2]) or _UNITS[plain[:1]]


def _part(text: str | None) -> Decimal:
    if not text:
        return Decimal(0)
    plain = text.lower().strip(" -")
    if plain in _FRACTIONS:
        return _FRACTIONS[plain]
    if tenth := re.search(r"(?:point|komma)\s+(\d)", plain):
        return Decimal(tenth[1]) / 10
    if slash := re.search(r"(\d)/(\d{1,2})", plain):
        return Decimal(slash[1]) / Decimal(slash[2]) if int(slash[2]) else Decimal(0)
    if "three" in plain:
        return Decimal("0.75")
    return Decimal("0.25") if "quarter" in plain else Decimal("0.5")


def _plain(match: re.Match[str]) -> Number | None:
    text, unit = match["number"], _unit(match["unit"])
    thousands = re.fullmatch(r"(\d{1,2}),(\d{3})", text) if unit == "mm" else None
    figure = Decimal(text.replace(",", "") if thousands else text.replace(",", "."))
    if len(re.sub(r"\D", "", text)) > 6:
        return None
    places = 0 if thousands else len(text.replace(",", ".").partition(".")[2])
    part = _part(match["part"]) + _part(match["late"])
    if part and places:
        return None
    inwards = unit == "in" and bool(_INWARDS.search(match[0])) and not _RUNS.match(match.string, match.end())
    return Number(
        match.start(), match.end(), match[0].strip(), figure + part, unit, max(places, _places(part)), inwards
    )


def _places(part: Decimal) -> int:
    return 0 if not part else 1 if (part * 10) % 1 == 0 else 2


def _thousands(match: re.Match[str]) -> Number | None:
    figure = Decimal(match["thousands"]) * 1000 + Decimal(match["rest"])
    return Number(match.start(), match.end(), match[0].strip(), figure, "mm", 0)


def _feet(match: re.Match[str]) -> Number | None:
    inches = Decimal((match["inches"] or "0").replace(",", ".")) + _part(match["part"]) + _part(match["late"])
    inches += _part(match["bit"])
    if inches >= INCHES or (inches and match["more"]):
        return None
    feet = Decimal(match["feet"]) + _part(match["more"])
    return Number(match.start(), match.end(), match[0].strip(), feet * 12 + inches, "in", 0)


def _metres_and(match: re.Match[str]) -> Number | None:
    rest, unit = match["rest"].replace(",", "."), _unit(match["unit"])
    digits = len(rest.partition(".")[0])
    if (digits == 1 and not unit) or (unit == "mm" and digits == 2) or (unit == "cm" and digits == 3):
        return None
    in_cm = unit == "cm" or (not unit and digits == 2)
    part = _part(match["early"]) + _part(match["part"])
    figure = Decimal(match["metres"]) * 1000 + (Decimal(rest) + part) * (10 if in_cm else 1)
    return Number(match.start(), match.end(), match[0].strip(), figure, "mm", 0)


def _cm_and_mm(match: re.Match[str]) -> Number | None:
    figure = Decimal(match["cm"]) * 10 + Decimal(match["mm"])
    return Number(match.start(), match.end(), match[0].strip(), figure, "mm", 0)


def _none(match: re.Match[str]) -> Number | None:
    return None


_MAKERS = (
    (_THOUSANDS, _thousands), (_FEET, _feet), (_METRES_AND, _metres_and), (_CM_AND_MM, _cm_and_mm),
    (NO_LENGTH, _none), (_PLAIN, _plain),
)  # fmt: skip


def _with_shared_unit(text: str, found: Sequence[Number]) -> tuple[Number, ...]:
    """ "103.5, 108 and 12 cm": a unit written once, at the end of a list, is of the whole list."""
    shared = list(found)
    for at in range(len(shared) - 2, -1, -1):
        between = text[shared[at].end : shared[at + 1].start]
        if (
            not shared[at].unit
            and shared[at + 1].unit in ("mm", "cm")
            and re.fullmatch(r"[,/&]|,? ?and|und|[/,] ?[abc][:.)]?", between.strip())
        ):
            shared[at] = replace(shared[at], unit=shared[at + 1].unit)
    return tuple(shared)
