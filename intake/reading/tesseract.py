"""Tesseract through pytesseract, as a second reader of crops.

Tesseract was trained on print; on handwriting it is the weakest reader by far, and its worth is that it
needs no weights of ours and fails differently. All crops go to it on one sheet, because starting the
program costs more than reading.
"""

from __future__ import annotations

import shutil
from collections.abc import Sequence

import cv2
import numpy as np

from intake.model.reading import Alternative
from intake.reading.readers import Grey

_ROW = 72
_PAPER = 255
"""Pixels from line to line of the sheet on which crops are read together, and its grey (set by hand)."""
_CHARACTERS = "tessedit_char_whitelist=0123456789."


def tesseract_missing() -> str:
    """Why Tesseract cannot be used, in a sentence; empty where it can."""
    if shutil.which("tesseract") is None:
        return "Tesseract is not installed, so numbers are read without it (Debian package tesseract-ocr)."
    return ""


class TesseractReader:
    """Reads each crop as a line of its own on one sheet (page segmentation mode 6)."""

    name = "tesseract"

    def read(self, crops: Sequence[Grey]) -> list[tuple[Alternative, ...]]:
        if not crops:
            return []
        import pytesseract

        sheet = _sheet(crops)
        found = pytesseract.image_to_data(
            sheet, config=f"--psm 6 -c {_CHARACTERS}", output_type=pytesseract.Output.DICT
        )
        rows: dict[int, list[tuple[str, float]]] = {}
        for text, confidence, top, height in zip(
            found["text"], found["conf"], found["top"], found["height"], strict=True
        ):
            if text.strip() and float(confidence) >= 0:
                rows.setdefault(int((top + height / 2) // _ROW), []).append((text.strip(), float(confidence)))
        return [_as_number(rows.get(i, [])) for i in range(len(crops))]


def _as_number(words: list[tuple[str, float]]) -> tuple[Alternative, ...]:
    if not words:
        return ()
    text = "".join(w for w, _ in words)
    return (Alternative(text, min(c for _, c in words) / 100),)


def _sheet(crops: Sequence[Grey]) -> Grey:
    inside = _ROW - 24
    sized = [cv2.resize(c, (max(8, round(c.shape[1] * inside / c.shape[0])), inside)) for c in crops]
    sheet = np.full((_ROW * len(crops), max(c.shape[1] for c in sized) + 40), _PAPER, np.uint8)
    for i, crop in enumerate(sized):
        sheet[i * _ROW + 12 : i * _ROW + 12 + inside, 20 : 20 + crop.shape[1]] = crop
    return sheet
