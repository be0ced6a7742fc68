"""What a length written on a sketch says, in integer millimetres, and in which unit a whole sheet is written.

A comma is a decimal comma, never a thousands separator: "95,5" is 95.5 (practice of the decimal comma: ISO
80000-1, 7.3.2; that a customer's "1,450" may not be read as 1450 is this project's own rule). An inch is
25.4 mm exactly and a foot twelve inches (international yard and pound agreement, 1959; from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from statistics import median

AGREE_MM = 25
"""Two readings of one length to half a centimetre agree within 3.29 x 5 mm x sqrt 2 = 23 mm (99.9 %), so say 25."""
MM_IN = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "in": Decimal("25.4"),
    "ft": Decimal("304.8"),
}
"""Millimetres in one of each unit that a sketch may be written in."""

LONGEST_MM = 100_000
"""Nothing in a home is longer; more digits than that are no length."""

_DECIMALS = {"mm": 1, "cm": 2, "m": 3, "in": 3, "ft": 0}
"""Finer than this no tape is read, so more places mean that it is no length in that unit. Decimal feet are
refused: "14.6" may be 14 ft 6 in as well."""

_LEAST_MM, _MOST_MM = 15, 10_000
"""Lengths on a plan of a kitchen, bedroom or bathroom lie between these (common practice, no source)."""

_LIKENESSES = str.maketrans(
    {
        "’": "'",
        "‘": "'",
        "′": "'",
        "`": "'",
        "´": "'",
        "“": '"',
        "”": '"',
        "″": '"',
        "·": ".",
        "•": ".",
        "˙": ".",
        "∙": ".",
    }
    | {"⋅": ".", "，": ",", "．": ".", "：": ":", "＝": "=", "×": "x"}
)
_FRACTIONS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}

_NUMBER = r"(?:0|[1-9]\d{0,5})(?:[.,]\d{1,4})?"
_WHOLE = r"(?:0|[1-9]\d{0,3})"
_FRACTION = r"(?:\s+(?P<over>\d{1,2})/(?P<under>[248]|16|32))?"
_FEET = r"(?:'|ft\.?|feet|foot)"
_INCH = r"(?:\"|''|ins?\.?|inch|inches)"
_UNIT = r"(?P<unit>mms?|cms?|m|metres?|meters?|centimetres?|centimeters?|millimetres?|millimeters?)\.?"

_LABEL = re.compile(r"^(?P<label>[a-z][a-z/ .]{0,60}?)\s{0,9}[=:.\-]?\s{0,9}(?=\d)")
_METRIC = re.compile(rf"^(?P<number>{_NUMBER}){_FRACTION}\s*(?:{_UNIT})?$")
_METRES_AND = re.compile(r"^(?P<metres>\d{1,2})\s*m\s*(?P<rest>\d{2,3})(?:\s*(?P<unit>cm|mm))?$")
_FEET_INCHES = re.compile(
    rf"^(?P<feet>{_WHOLE})\s*{_FEET}\s*(?:(?P<inches>{_WHOLE}(?:[.,]\d{{1,3}})?){_FRACTION}\s*{_INCH}?)?$"
)
_INCHES = re.compile(rf"^(?P<inches>{_WHOLE}(?:[.,]\d{{1,3}})?){_FRACTION}\s*{_INCH}$")
_UNIT_NOTE = re.compile(
    r"\b(?:all|in|dimensions?|measurements?|sizes?)\b.{0,200}\b(mm|cm|m|millimetres?|centimetres?|metres?)\b"
)


@lru_cache(maxsize=4096)
def parse_length(text: str, unit: str) -> int | None:
    """The millimetres that `text` says on a sketch whose bare numbers are in `unit` (mm, cm, m, in or ft).

    A suffix or a foot mark on the number itself wins over `unit`; a label before it ("H=", "ceiling") is
    passed over. None where it says no length: words, two points, a zero, leading zeros, more places than a
    tape has, 12 inches or more after feet, or more than a hundred metres.
    """
    plain = _split(text)[1]
    for reading in (_feet_and_inches, _metres_and_rest):
        if (length := reading(plain)) is not None:
            return _whole_mm(length)
    return _whole_mm(_plain_length(plain, unit))


ODD_FORM, NO_FORM = 0.1, 0.02
"""How likely a length is written in a way that is a number and no usual one, and in no way of numbers (common practice,
no source)."""


def likelihood_of_form(text: str, feet: bool = False) -> float:
    """How likely a customer is to write a length in this form, 1 for an ordinary one (common practice, no
    source); `feet` says that the sketch is in feet and inches.

    "061", "12.", "1.2.3" and "31001" are hardly ever meant; readers offer them for upside-down or ill-cut
    ink.
    """
    plain = _split(text)[1]
    bare = re.sub(r" ?(?:mm|cm|m)$", "", plain)
    if re.fullmatch(r"[1-9]\d{0,2}(?:[.,]\d)?|0[.,]\d{1,3}|[1-9][.,]\d{2,3}|[1-9]\d{3}", bare):
        return 1.0
    if any(pattern.match(plain) for pattern in (_FEET_INCHES, _INCHES, _METRES_AND)):
        return 1.0 if feet else 0.5
    return ODD_FORM if _METRIC.match(plain) else NO_FORM


def usual_form(text: str, unit: str) -> bool:
    """Whether a length is written as people write it on a sketch in this unit: on one in feet, feet and inches with
    their signs ("2'11\"", "6ft 8"), for a bare number there may be the rest of one."""
    if unit not in ("ft", "in"):
        return likelihood_of_form(text) == 1
    return _feet_and_inches(_split(text)[1]) is not None


def of_a_room(text: str, unit: str) -> bool:
    """Whether a tape read to half a centimetre gives such a length in a room: "2.51" on a sheet in centimetres has a
    point that is none, "145" on one in metres has lost its own."""
    length = parse_length(text, unit)
    decimals = len(re.sub(r"[^\d.,]", "", text).replace(",", ".").partition(".")[2])
    most = {"mm": 0, "cm": 1}.get(unit, 3)
    return length is not None and _LEAST_MM <= length <= _MOST_MM and decimals <= most


def split_label(text: str) -> tuple[str, str]:
    """The words before a number and the number itself, both cleaned: "H= 236" gives ("h", "236")."""
    return _split(text)


def infer_unit(texts: Iterable[str]) -> str:
    """The unit of a whole sketch's bare numbers: mm, cm, m, in or ft; cm where nothing tells (the trade's
    habit).

    A note ("all sizes in mm") decides; else what most numbers carry; else the size of the middle bare
    number, taking it that half of what is written on a plan lies near 1.2 m (common practice, no source).
    """
    plain = [_clean(t) for t in texts]
    for text in plain:
        if text in MM_IN or (note := _UNIT_NOTE.search(text)):
            return text if text in MM_IN else _metric_unit(note[1] if note else "cm")
    carried = [u for u in (_unit_carried(_split(t)[1]) for t in plain) if u is not None]
    marked = [u for u in carried if u]
    if marked and 2 * len(marked) > len(carried):
        return max(sorted(set(marked)), key=marked.count)
    bare = [_bare_value(_split(t)[1]) for t in plain]
    return _unit_by_size([v for v in bare if v is not None])


def format_cm(mm: int) -> str:
    """Centimetres as the trade writes them, without the unit: 3865 is "386.5", 1200 is "120"."""
    whole, tenth = divmod(abs(mm), 10)
    return f"{'-' if mm < 0 else ''}{whole}" + (f".{tenth}" if tenth else "")


def _clean(text: str) -> str:
    plain = text.translate(_LIKENESSES).lower()
    for sign, fraction in _FRACTIONS.items():
        plain = plain.replace(sign, fraction)
    plain = re.sub(r"\s+", " ", plain).strip()
    return re.sub(r"(?<=\d) ?([.,]) ?(?=\d)", r"\1", plain)


def _split(text: str) -> tuple[str, str]:
    plain = _clean(text)
    label = _LABEL.match(plain)
    if label is None:
        return "", plain
    return label["label"].strip(" ."), plain[label.end() :]


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))


def _part(match: re.Match[str]) -> Decimal:
    return Decimal(match["over"]) / Decimal(match["under"]) if match["over"] else Decimal(0)


def _feet_and_inches(plain: str) -> Decimal | None:
    if match := _FEET_INCHES.match(plain):
        inches = (_decimal(match["inches"]) if match["inches"] else Decimal(0)) + _part(match)
        return (
            Decimal(match["feet"]) * MM_IN["ft"] + inches * MM_IN["in"] if inches < INCHES_IN_A_FOOT else None
        )
    if match := _INCHES.match(plain):
        return (_decimal(match["inches"]) + _part(match)) * MM_IN["in"]
    return None


def _metres_and_rest(plain: str) -> Decimal | None:
    """ "2m36" and "1m450": two digits after the m are centimetres, three are millimetres."""
    match = _METRES_AND.match(plain)
    if match is None or match["unit"] == ("mm" if len(match["rest"]) == 2 else "cm"):
        return None
    rest = Decimal(match["rest"]) * (10 if len(match["rest"]) == 2 else 1)
    return Decimal(match["metres"]) * 1000 + rest


def _plain_length(plain: str, unit: str) -> Decimal | None:
    match = _METRIC.match(plain)
    if match is None:
        return None
    written = _metric_unit(match["unit"]) if match["unit"] else unit
    places = len(re.split("[.,]", match["number"])[1]) if re.search("[.,]", match["number"]) else 0
    if places > _DECIMALS[written] or (places and match["over"]):
        return None
    return (_decimal(match["number"]) + _part(match)) * MM_IN[written]


def _metric_unit(word: str) -> str:
    return "mm" if word.startswith(("mm", "mil")) else "cm" if word.startswith("c") else "m"


def _whole_mm(length: Decimal | None) -> int | None:
    if length is None or not 0 < length <= LONGEST_MM:
        return None
    return int(length.quantize(Decimal(1), ROUND_HALF_UP)) or None


def _unit_carried(plain: str) -> str | None:
    """The unit written on a number, "" on a bare one, None where it is no number."""
    if _FEET_INCHES.match(plain):
        return "ft"
    if _INCHES.match(plain):
        return "in"
    if _METRES_AND.match(plain):
        return "m"
    match = _METRIC.match(plain)
    return None if match is None else _metric_unit(match["unit"]) if match["unit"] else ""


def _bare_value(plain: str) -> float | None:
    match = _METRIC.match(plain)
    return float(_decimal(match["number"]) + _part(match)) if match and not match["unit"] else None


INCHES_IN_A_FOOT = 12
LONGEST_M, MIDDLE_CM = 12, 380
"""The middle of a plan's lengths is below 12 m, and in centimetres seldom beyond 380 (common practice, no source)."""


def _unit_by_size(values: list[float]) -> str:
    if not values:
        return "cm"
    middle = median(values)
    if middle < LONGEST_M:
        return "m"
    halves = sum(v != int(v) for v in values)
    return "mm" if middle > MIDDLE_CM and 5 * halves < len(values) else "cm"
