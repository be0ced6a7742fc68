"""How a customer wrote a length: in which unit, how finely, and how another length would be written the same way."""

from __future__ import annotations

import math
import re

from intake.domain.lengths.notation import MM_IN, format_cm

_MARKS = re.compile(r"['\"’”′″]|\b\d*\s*(?:ft|feet|foot|ins?|inch|inches)\b", re.IGNORECASE)
INCH_MM = float(MM_IN["in"])
COARSENESS_MM = {"m": 10.0, "in": INCH_MM, "ft": INCH_MM}
"""The step to which lengths are written in these units. In cm and mm it is half a centimetre, which the usual standard
deviation has in it already."""


def in_feet_or_inches(text: str) -> bool:
    """Whether a length carries marks of feet or inches itself."""
    return bool(_MARKS.search(text))


def written_sigma(base_mm: float, text: str, unit: str) -> float:
    """The standard deviation of a length that was written as `text` among lengths in `unit`: a length written to a step
    has the step's own, step / sqrt 12, beside that of measuring."""
    step = INCH_MM if in_feet_or_inches(text) else COARSENESS_MM.get(unit, 0.0)
    return math.hypot(base_mm, step / math.sqrt(12.0))


def written_alike(text: str, value_mm: int | None, other_mm: int) -> str:
    """`other_mm` in the manner in which `value_mm` was written as `text`; in centimetres where that is not plain, and
    where it is less than half an inch among inches."""
    if in_feet_or_inches(text) and (whole := round(other_mm / INCH_MM)):
        feet, inches = divmod(whole, 12)
        return f"{feet}ft {inches}" if feet else f"{inches}in"
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return format_cm(other_mm)
    if number > 0 and value_mm and math.isclose(value_mm / number, 1.0):
        return str(other_mm)
    if number > 0 and value_mm and math.isclose(value_mm / number, 1000.0):
        return f"{other_mm / 1000:g}"
    return format_cm(other_mm)
