"""PP-OCRv6: the text recogniser that ships inside the `rapidocr` package, run by ONNX Runtime.

The package's own pipeline gives one text a box; the weights are opened here directly so that the
recogniser's characters can be masked and its second guesses kept.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative
from intake.reading.ctc import Sign, greedy, n_best, path
from intake.reading.readers import KEYBOARD, NUMBER_SIGNS, Grey
from intake.reading.session import opened

RECOGNISER = "PP-OCRv6_rec_small.onnx"
_HEIGHT = 48
_NARROWEST = 48
_WIDEST = 640
_BATCH = 8
_LEAST_CHANCE, _SEEN = 1e-4, 0.1
"""Alternatives below the first are none; a crop in which no frame is surer of a sign than the second is blank. Set by
hand, no source."""


def weights_folder() -> Path | None:
    """Where the package keeps its weights; None where it is not installed."""
    spec = importlib.util.find_spec("rapidocr")
    if spec is None or spec.origin is None:
        return None
    return Path(spec.origin).parent / "models"


class PaddleReader:
    """Reads crops; a number's characters are masked to `NUMBER_SIGNS` plus what `signs` adds."""

    name = "pp-ocrv6"

    def __init__(self, weights: Path, signs: str = NUMBER_SIGNS) -> None:
        self._weights = weights
        self._signs = signs

    @cached_property
    def _session(self) -> Any:
        return opened(self._weights)

    @cached_property
    def _characters(self) -> list[str]:
        """The recogniser's characters in the order of its columns after the blank; the space comes last."""
        listed = self._session.get_modelmeta().custom_metadata_map["character"]
        return [*listed.split("\n"), " "]

    def read(self, crops: Sequence[Grey]) -> list[tuple[Alternative, ...]]:
        return [self.number(frames) for frames in self.frames(crops)]

    def word(self, frames: NDArray[np.float32]) -> Alternative:
        return Alternative(*greedy(frames, self._characters))

    def spell(self, frames: NDArray[np.float32]) -> list[Sign]:
        """The likeliest text in the characters of a keyboard, each with the frame it was seen in."""
        return path(_mask(frames, self._columns(KEYBOARD)), KEYBOARD)

    def number(self, frames: NDArray[np.float32], signs: str | None = None) -> tuple[Alternative, ...]:
        """The n-best list of one crop under the mask."""
        masked = _mask(frames, self._columns(signs or self._signs))
        found = n_best(masked, signs or self._signs)
        return tuple(Alternative(text, p) for text, p in found if text and p > _LEAST_CHANCE)[:8]

    def belief(self, frames: NDArray[np.float32], signs: str) -> float:
        """The share of the probability that lay on `signs` where anything at all was seen."""
        seen = 1 - frames[:, 0]
        if seen.max() < _SEEN:
            return 0.0
        inside = frames[:, self._columns(signs)[1:]].sum(axis=1)
        return float(inside.sum() / max(float(seen.sum()), 1e-6))

    def _columns(self, signs: str) -> list[int]:
        return [0] + [1 + self._characters.index(sign) for sign in signs]

    def frames(self, crops: Sequence[Grey]) -> list[NDArray[np.float32]]:
        """One time x characters array a crop, the probabilities of each frame; crops of like width go
        together."""
        sized = [_fit(crop) for crop in crops]
        order = sorted(range(len(sized)), key=lambda i: sized[i].shape[1])
        answers: dict[int, NDArray[np.float32]] = {}
        for start in range(0, len(order), _BATCH):
            part = order[start : start + _BATCH]
            widest = max(sized[i].shape[1] for i in part)
            batch = np.full((len(part), 3, _HEIGHT, widest), 1.0, np.float32)
            for row, i in enumerate(part):
                batch[row, :, :, : sized[i].shape[1]] = sized[i]
            for row, out in enumerate(self._session.run(None, {"x": batch})[0]):
                answers[part[row]] = out[: -(-sized[part[row]].shape[1] // 8) + 1]
        return [answers[i] for i in range(len(sized))]


def _fit(crop: Grey) -> NDArray[np.float32]:
    """The crop at the recogniser's height, -1 black to 1 white, its width a multiple of eight."""
    height, width = crop.shape
    wide = min(_WIDEST, max(_NARROWEST, -(-round(width * _HEIGHT / max(1, height)) // 8) * 8))
    sized = cv2.resize(crop, (wide, _HEIGHT), interpolation=cv2.INTER_AREA)
    return np.asarray(sized, np.float32) / np.float32(255 / 2) - 1


def _mask(frames: NDArray[np.float32], columns: list[int]) -> NDArray[np.float32]:
    kept = frames[:, columns]
    return np.asarray(kept / np.maximum(kept.sum(axis=1, keepdims=True), 1e-9), np.float32)
