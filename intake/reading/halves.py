"""A fraction that stands apart from its number ("77 1/2") is shown to the readers as they know it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from intake.reading.readers import Grey
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import with_gap_closed

_SURE = 0.5
"""A number and its half are read as surely as this (set by hand)."""


def with_spaced_halves(page: Grey, texts: Sequence[ReadText], eyes: CropReaders, unit: str) -> list[ReadText]:
    """The texts, those behind which a half stands apart read with it, the gap closed; `page` bears writing alone."""
    whole = [t for t in texts if unit == "cm" and t.strength > _SURE and t.numbers[0].text.isdigit()]
    closed = [(text, cutting) for text in whole if (cutting := with_gap_closed(page, text.box))]
    read = eyes.look([cutting for _, cutting in closed])
    halved = {
        id(text): replace(half, rival=text.rival, shorter=text.shorter, label=text.label)
        for (text, _), half in zip(closed, read, strict=True)
        if half.strength > _SURE and half.numbers[0].text.replace(",", ".") in _halves_of(text)
    }
    return [halved.get(id(text), text) for text in texts]


def _halves_of(text: ReadText) -> set[str]:
    """What a text says with a half behind it, whose 1 may have been taken for its last digit."""
    digits = text.numbers[0].text
    return {f"{digits}.5", f"{digits.removesuffix('1')}.5"}
