"""The project's own recogniser of handwritten dimensions, run by ONNX Runtime (docs/recogniser.md is its
card).

It answers a crop in two ways: how the ink is spelt, as an n-best list, and what the crop is: an upright
number, a number cut off by the crop's edge, one crossed out, a number lying on its side or upside down, or
none at all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative
from intake.reading.ctc import n_best
from intake.reading.letters import parted
from intake.reading.session import opened, with_output

WEIGHTS = Path(__file__).parent / "weights" / "recogniser.onnx"
MEMBERS = (WEIGHTS, WEIGHTS.with_name("recogniser-second.onnx"))
HEIGHT = 40
NARROWEST, WIDEST = 32, 256
STRUCK = "~"
"""How the network spells a crossed-out character; it is no part of the text that is handed on."""

FEATURES = "/norm/LayerNormalization_output_0"
"""What the networks call what they see of a crop before they spell it (fixtures/training/network.py)."""
NO_HEADS: Mapping[str, FeatureHead] = {}
_BATCH = 8
_STEP = 32
_KEPT = 10
_FAINTEST = 1e-4
_BLANK = 0.3
"""Ink that nowhere reaches this, a fiftieth darker than the paper, is none."""

Strokes = NDArray[np.float32]
Logits = NDArray[np.float32]


@dataclass(frozen=True)
class CropReading:
    """What one crop says. All are probabilities from 0 to 1.

    `alternatives` are texts, best first; they add up to at most 1 - `not_a_number`. Crossed-out characters
    are left out of them, and so are letters that stand beside the number ("S" of "S 98"): `letters` are these with
    their chances. `as_written` is the best text whole, "~" where a character was crossed out. `cut`: a part of the
    number lies outside the crop; `struck`: the whole number is crossed out; both count as not (wholly) a
    number here. `turns` are the chances that the text, if it is any, must be turned 0, 1, 2 or 3 quarters
    anticlockwise to stand upright.
    """

    alternatives: tuple[Alternative, ...]
    not_a_number: float
    cut: float = 0.0
    struck: float = 0.0
    turns: tuple[float, float, float, float] = (0.25, 0.25, 0.25, 0.25)
    as_written: str = ""
    letters: tuple[Alternative, ...] = ()


NOTHING = CropReading((), 1.0)


@dataclass(frozen=True)
class FeatureHead:
    """What is added to a network's spelling, before softmax, for each frame: its features and a 1, by `weight`
    ((features + 1) x classes); and the temperature of the sum, relative to the network's own."""

    weight: NDArray[np.float32]
    temperature: float = 1.0

    def added(self, features: NDArray[np.float32]) -> NDArray[np.float32]:
        return np.asarray(features @ self.weight[:-1] + self.weight[-1], np.float32)


class Member:
    """One network of the recogniser, with a head on its features or without. Opens its weights on first use; one
    thread."""

    def __init__(self, weights: Path = WEIGHTS, head: FeatureHead | None = None) -> None:
        self._weights, self._head = weights, head

    @cached_property
    def _session(self) -> Any:
        return opened(self._weights) if self._head is None else self._looking_inside

    @cached_property
    def _looking_inside(self) -> Any:
        """The network with its features as a third output."""
        return opened(with_output(self._weights.read_bytes(), FEATURES))

    @property
    def symbols(self) -> str:
        """The signs that it spells with; class 0 is the blank, the first sign's class 1."""
        return self._notes["symbols"]

    @property
    def spelling_temperature(self) -> float:
        return float(self._notes["spelling_temperature"])

    @property
    def shape(self) -> tuple[int, int]:
        """How many features it has, and how many classes it spells with."""
        blank = {0: np.zeros((HEIGHT, NARROWEST), np.float32)}
        return self.features(blank)[0].shape[1], len(self.symbols) + 1

    def features(self, inked: Mapping[int, Strokes]) -> dict[int, NDArray[np.float32]]:
        """What the network sees of each crop's ink before it spells: time x features."""
        found: dict[int, NDArray[np.float32]] = {}
        for part in _alike({i: ink.shape[1] for i, ink in inked.items()}):
            seen = self._looking_inside.run([FEATURES], {"ink": _side_by_side([inked[i] for i in part])})[0]
            found |= {i: seen[k] for k, i in enumerate(part)}
        return found

    @cached_property
    def _notes(self) -> dict[str, str]:
        return dict(self._session.get_modelmeta().custom_metadata_map)

    def answers(self, inked: Mapping[int, Strokes]) -> dict[int, tuple[Logits, Logits]]:
        """The network's bare answer to each crop's ink (HEIGHT x W): spelling (time x classes) and verdict (classes),
        both before softmax."""
        found: dict[int, tuple[Logits, Logits]] = {}
        for part in _alike({i: ink.shape[1] for i, ink in inked.items()}):
            ink = {"ink": _side_by_side([inked[i] for i in part])}
            spelling, verdict, *features = self._session.run(None, ink)
            if self._head is not None:
                spelling = (spelling + self._head.added(features[0])) / self._head.temperature
            found |= {i: (spelling[k], verdict[k]) for k, i in enumerate(part)}
        return found

    def read(self, inked: Mapping[int, Strokes]) -> dict[int, CropReading]:
        return {i: self._reading(*answer) for i, answer in self.answers(inked).items()}

    def _reading(self, spelling: Logits, verdict: Logits) -> CropReading:
        notes = self._notes
        return reading_of(
            softmax(spelling / float(notes["spelling_temperature"])),
            softmax(verdict / float(notes["verdict_temperature"])),
            notes["symbols"],
            notes["verdicts"].split(","),
        )


class OwnReader:
    """Reads crops (uint8, grey HxW or RGB HxWx3, any size, dark ink): the mean of what its networks say, which were
    trained apart, so that what only one of them sees is not believed. With heads, they answer once more with these:
    what was learned of one hand is heard beside what was known before."""

    name = "own"

    def __init__(
        self, weights: Sequence[Path] = MEMBERS, heads: Mapping[str, FeatureHead] = NO_HEADS
    ) -> None:
        taught = [Member(path, heads[path.name]) for path in weights if path.name in heads]
        self._members = [*(Member(path) for path in weights), *taught]

    def read(self, crops: Sequence[NDArray[np.uint8]]) -> list[tuple[Alternative, ...]]:
        """One n-best list a crop, best first; what the confidences leave to 1 is "not a number"."""
        return [reading.alternatives for reading in self.read_crops(crops)]

    def read_crops(self, crops: Sequence[NDArray[np.uint8]]) -> list[CropReading]:
        """One reading a crop, in the order given. A crop without pixels or ink is nothing."""
        inked = inked_of(crops)
        read = [member.read(inked) for member in self._members]
        return [together([each[i] for each in read]) if i in inked else NOTHING for i in range(len(crops))]


def inked_of(crops: Sequence[NDArray[np.uint8]]) -> dict[int, Strokes]:
    """The ink of each crop that has any, by its place in `crops`."""
    return {i: ink for i, crop in enumerate(crops) if crop.size and (ink := normalised(crop)).max() > _BLANK}


def together(readings: Sequence[CropReading]) -> CropReading:
    """The mean of several networks' readings of one crop."""
    share = 1 / len(readings)
    texts = merged([(a.text, share * a.confidence) for r in readings for a in r.alternatives])
    a, b, c, d = (share * sum(r.turns[k] for r in readings) for k in range(4))
    return CropReading(
        tuple(Alternative(text, p) for text, p in texts[:_KEPT]),
        share * sum(r.not_a_number for r in readings),
        share * sum(r.cut for r in readings),
        share * sum(r.struck for r in readings),
        (a, b, c, d),
        readings[0].as_written,
        _ranked([(a.text, share * a.confidence) for r in readings for a in r.letters]),
    )


def _ranked(found: Sequence[tuple[str, float]]) -> tuple[Alternative, ...]:
    """The chances of like texts added up, likeliest first."""
    total: dict[str, float] = {}
    for text, p in found:
        total[text] = total.get(text, 0.0) + p
    return tuple(Alternative(text, p) for text, p in sorted(total.items(), key=lambda kv: -kv[1]))


def reading_of(frames: Logits, chances: Logits, symbols: str, verdicts: Sequence[str]) -> CropReading:
    """Puts the two probabilities together: `frames` (time x (blank, symbols)) and `chances` (one a verdict)."""
    kind = dict(zip(verdicts, (float(c) for c in chances), strict=True))
    found = n_best(frames, symbols)
    texts = [(text, p * kind["NUMBER"]) for text, p in merged(found)[:_KEPT]]
    alternatives = tuple(Alternative(text, p) for text, p in texts if p > _FAINTEST)
    # What no spelling of any weight stands for is no number either: a bare stroke, say.
    number = min(kind["NUMBER"], sum(p for _, p in texts))
    ways = (
        kind["NUMBER"] + kind["CUT"] + kind["STRUCK"],
        kind["TURNED_1"],
        kind["TURNED_2"],
        kind["TURNED_3"],
    )
    total = max(sum(ways), 1e-9)
    a, b, c, d = (way / total for way in ways)
    written = found[0][0] if found else ""
    beside = [(parted(text.replace(STRUCK, "").strip())[0], p) for text, p in found]
    letters = tuple(a for a in _ranked(beside) if a.text and a.confidence > _FAINTEST)
    return CropReading(alternatives, 1 - number, kind["CUT"], kind["STRUCK"], (a, b, c, d), written, letters)


def merged(found: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """Adds up spellings that say the same: crossed-out characters and letters beside left out, a comma for a point."""
    total: dict[str, float] = {}
    likeliest: dict[str, str] = {}
    for text, p in found:
        bare = parted(text.replace(STRUCK, "").strip())[1]
        if not bare:
            continue
        key = bare.replace(",", ".")
        total[key] = total.get(key, 0.0) + p
        likeliest.setdefault(key, bare)
    return sorted(((likeliest[key], p) for key, p in total.items()), key=lambda text: -text[1])


def softmax(logits: Logits) -> Logits:
    powers = np.exp(logits - logits.max(axis=-1, keepdims=True))
    return np.asarray(powers / powers.sum(axis=-1, keepdims=True), np.float32)


def _alike(widths: dict[int, int]) -> list[list[int]]:
    """The crops in batches of nearly one width: much blank paper beside a short number unsettles the network."""
    steps: dict[int, list[int]] = {}
    for i, width in widths.items():
        steps.setdefault(-(-width // _STEP), []).append(i)
    return [each[k : k + _BATCH] for each in steps.values() for k in range(0, len(each), _BATCH)]


def _side_by_side(inked: Sequence[Strokes]) -> Strokes:
    """One batch (Nx1xHEIGHTxW), each crop at the left, blank paper to its right."""
    widest = max(NARROWEST, max(ink.shape[1] for ink in inked))
    batch = np.zeros((len(inked), 1, HEIGHT, -(-widest // _STEP) * _STEP), np.float32)
    for row, ink in zip(batch, inked, strict=True):
        row[0, :, : ink.shape[1]] = ink
    return batch


def normalised(crop: NDArray[np.uint8]) -> Strokes:
    """A crop (grey HxW or RGB HxWx3, dark ink) as ink: HEIGHT rows, 0 paper to 1 ink, whatever the light was.

    Each pixel is set against the paper round it; the strongest ink of the crop is 1.
    """
    light = _at_height(crop).astype(np.float32) + 1.0
    smooth = cv2.GaussianBlur(light, (3, 3), 0)
    paper = cv2.morphologyEx(smooth, cv2.MORPH_CLOSE, np.ones((17, 17), np.uint8))
    paper = cv2.GaussianBlur(paper, (0, 0), 5)
    ink = 1 - light / np.maximum(paper, light)
    if ink.ndim == 3:
        ink = ink.max(axis=2)
    strongest = max(float(np.percentile(ink, 98.5)), 0.06)
    return np.asarray(np.clip(ink / strongest, 0, 1), np.float32)


def _at_height(crop: NDArray[np.uint8]) -> NDArray[np.uint8]:
    rows, columns = crop.shape[:2]
    width = int(np.clip(round(columns * HEIGHT / rows), 8, WIDEST))
    shrinks = rows > HEIGHT or columns > width
    sized = cv2.resize(crop, (width, HEIGHT), interpolation=cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR)
    return np.asarray(sized, np.uint8)
