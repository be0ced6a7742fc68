"""The faces that drawings are lettered in, and how wide their letters are."""

from __future__ import annotations

import unicodedata
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

FACES = (("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"), ("Vera.ttf", "VeraBd.ttf"))
"""The first pair found in ReportLab's search path; the second comes with it. They have the same widths."""
CAP_SHARE = 0.73
"""Height of a capital over the size of the type in these faces; ISO 3098 counts the capital's height."""


@cache
def faces() -> tuple[str, str]:
    """Names of the registered regular and bold face."""
    for regular, bold in FACES:
        try:
            for name in (regular, bold):
                pdfmetrics.registerFont(TTFont(name, name))
        except TTFError:
            continue
        return regular, bold
    raise RuntimeError("ReportLab's own faces are missing")


def printable(text: str, bold: bool = False) -> str:
    """The text in characters that the face has: others lose their accents, what is left becomes a question mark."""
    glyphs = pdfmetrics.getFont(faces()[bold]).face.charToGlyph

    def fit(c: str) -> str:
        if ord(c) in glyphs:
            return c
        return "".join(p for p in unicodedata.normalize("NFKD", c) if ord(p) in glyphs) or "?"

    return "".join(fit(c) for c in text)


@cache
def text_width(text: str, height: float, bold: bool = False) -> float:
    """Width in mm of a line of lettering whose capitals are `height` mm high."""
    return float(pdfmetrics.stringWidth(printable(text, bold), faces()[bold], height / CAP_SHARE))


LONGEST = 400
"""Characters of one line on a sheet: it was fitted to its place before."""


def clean(text: str, limit: int = 120) -> str:
    """A customer's words fit to print: one line, no control or direction-changing characters, not endless."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= limit else line[: limit - 1] + "…"


def shortened(text: str, height: float, width: float, bold: bool = False) -> str:
    """The text cut to fit a width, with an ellipsis where it was cut."""
    if text_width(text, height, bold) <= width:
        return text
    while text and text_width(text + "…", height, bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, height: float, width: float, bold: bool = False) -> list[str]:
    """The text in lines that fit a width; a word too long for a line is cut."""
    lines: list[str] = []
    for word in text.split():
        word = shortened(word, height, width, bold)
        if lines and text_width(f"{lines[-1]} {word}", height, bold) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
