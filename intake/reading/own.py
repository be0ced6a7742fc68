"""The project's own recogniser of handwritten dimensions, run by ONNX Runtime (docs/recogniser.md is its
card).

It answers a crop in two ways: how the ink is spelt, as an n-best list, and what the crop is: an upright
number, a number cut off by the crop's edge, one crossed out, a number lying on its side or upside down, or
none at all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative
from intake.reading.ctc import n_best
from intake.reading.installed import MEMBERS, WEIGHTS
from intake.reading.kind_letters import parted
from intake.reading.session import opened, with_output

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

STRONGEST_PERCENTILE, FAINTEST_INK = 98.5, 0.06
"""The share of a crop's pixels that are no stronger than its ink, and the least that ink stands out from the paper. The
networks were trained on crops made so: another value asks for other networks (fixtures/training/supply.py)."""

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
    alone: float = 1.0
    """The chance that the networks give their best text without what was learned here; 1 where nothing was."""
    voice: float = 1.0
    """How much it counts beside another network's."""


NOTHING = CropReading((), 1.0)


@dataclass(frozen=True)
class FeatureHead:
    """What is added to a network's spelling, before softmax, for each frame: its features and a 1, by `weight`
    ((features + 1) x classes)."""

    weight: NDArray[np.float32]

    def over(self, seen: Glance) -> Logits:
        """The spelling with it."""
        return np.asarray(seen.spelling + seen.features @ self.weight[:-1] + self.weight[-1], np.float32)


@dataclass(frozen=True)
class Glance:
    """A network's bare answer to one crop: spelling (time x classes) and verdict (classes), both before softmax, and,
    where it was asked for, what it saw before it spelt (time x features)."""

    spelling: Logits
    verdict: Logits
    features: NDArray[np.float32] = field(default_factory=lambda: np.zeros((0, 0), np.float32))


class Member:
    """One network of the recogniser. Opens its weights on first use; one thread."""

    def __init__(self, weights: Path = WEIGHTS) -> None:
        self._weights = weights

    @property
    def name(self) -> str:
        return self._weights.name

    @cached_property
    def _session(self) -> Any:
        return opened(self._weights)

    @cached_property
    def _looking_inside(self) -> Any:
        """The network with its features as a third output."""
        return opened(with_output(self._weights.read_bytes(), FEATURES))

    @cached_property
    def _notes(self) -> dict[str, str]:
        return dict(self._session.get_modelmeta().custom_metadata_map)

    @property
    def symbols(self) -> str:
        """The signs that it spells with; class 0 is the blank, the first sign's class 1."""
        return self._notes["symbols"]

    @property
    def spelling_temperature(self) -> float:
        return float(self._notes["spelling_temperature"])

    def look(self, inked: Mapping[int, Strokes], inside: bool = False) -> dict[int, Glance]:
        """What it sees of each crop's ink (HEIGHT x W); with its features where `inside`."""
        session = self._looking_inside if inside else self._session
        found: dict[int, Glance] = {}
        for part in _alike({i: ink.shape[1] for i, ink in inked.items()}):
            outputs = session.run(None, {"ink": _side_by_side([inked[i] for i in part])})
            found |= {i: Glance(*(output[k] for output in outputs)) for k, i in enumerate(part)}
        return found

    def reading(self, spelling: Logits, verdict: Logits, temperature: float = 1.0) -> CropReading:
        """What an answer says; `temperature` is relative to the network's own."""
        notes = self._notes
        found = reading_of(
            softmax(spelling / (temperature * self.spelling_temperature)),
            softmax(verdict / float(notes["verdict_temperature"])),
            notes["symbols"],
            notes["verdicts"].split(","),
        )
        return replace(found, voice=float(notes.get("voice", 1.0)))


class OwnReader:
    """Reads crops (uint8, grey HxW or RGB HxWx3, any size, dark ink): the mean of what its networks say, which were
    trained apart, so that what only one of them sees is not believed. Those that have one of the `heads`, by the name
    of their weights, answer with it; how sure they all were without is kept (CropReading.alone)."""

    name = "own"

    def __init__(
        self,
        weights: Sequence[Path] = MEMBERS,
        heads: Mapping[str, FeatureHead] = NO_HEADS,
        temperature: float = 1.0,
    ) -> None:
        self._members = [Member(path) for path in weights]
        self._heads, self._temperature = heads, temperature

    def read(self, crops: Sequence[NDArray[np.uint8]]) -> list[tuple[Alternative, ...]]:
        """One n-best list a crop, best first; what the confidences leave to 1 is "not a number"."""
        return [reading.alternatives for reading in self.read_crops(crops)]

    def read_crops(self, crops: Sequence[NDArray[np.uint8]]) -> list[CropReading]:
        """One reading a crop, in the order given. A crop without pixels or ink is nothing."""
        inked = inked_of(crops)
        bare: list[dict[int, CropReading]] = []
        taught: list[dict[int, CropReading]] = []
        for member in self._members:
            head = self._heads.get(member.name)
            seen, t = member.look(inked, inside=head is not None), self._temperature
            bare.append({i: member.reading(s.spelling, s.verdict, t) for i, s in seen.items()})
            spelt = {i: head.over(s) if head is not None else s.spelling for i, s in seen.items()}
            if self._heads:
                taught.append({i: member.reading(spelt[i], s.verdict, t) for i, s in seen.items()})
        return [
            heard([b[i] for b in bare], [t[i] for t in taught]) if i in inked else NOTHING
            for i in range(len(crops))
        ]


def heard(bare: Sequence[CropReading], taught: Sequence[CropReading] = ()) -> CropReading:
    """The mean of several networks' readings of one crop, each by its voice: of those `taught` where there are any."""
    by_themselves = together(bare, _shares(bare))
    if not taught:
        return by_themselves
    alone = max((a.confidence for a in by_themselves.alternatives), default=0.0)
    return replace(together(taught, _shares(taught)), alone=alone)


def _shares(readings: Sequence[CropReading]) -> list[float]:
    whole = sum(r.voice for r in readings)
    return [r.voice / whole for r in readings]


def inked_of(crops: Sequence[NDArray[np.uint8]]) -> dict[int, Strokes]:
    """The ink of each crop that has any, by its place in `crops`."""
    return {i: ink for i, crop in enumerate(crops) if crop.size and (ink := normalised(crop)).max() > _BLANK}


def together(readings: Sequence[CropReading], shares: Sequence[float]) -> CropReading:
    """The mean of readings of one crop, each counting for its share; these add up to 1."""
    each = list(zip(readings, shares, strict=True))
    texts = merged([(a.text, share * a.confidence) for r, share in each for a in r.alternatives])
    a, b, c, d = (sum(share * r.turns[k] for r, share in each) for k in range(4))
    return CropReading(
        tuple(Alternative(text, p) for text, p in texts[:_KEPT]),
        sum(share * r.not_a_number for r, share in each),
        sum(share * r.cut for r, share in each),
        sum(share * r.struck for r, share in each),
        (a, b, c, d),
        readings[0].as_written,
        _ranked([(a.text, share * a.confidence) for r, share in each for a in r.letters]),
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
    """Adds up spellings that say the same: crossed-out characters, letters beside and a stroke at the end left out, a
    comma for a point."""
    total: dict[str, float] = {}
    likeliest: dict[str, str] = {}
    for text, p in found:
        bare = parted(text.replace(STRUCK, "").strip(" /"))[1]
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
    strongest = max(float(np.percentile(ink, STRONGEST_PERCENTILE)), FAINTEST_INK)
    return np.asarray(np.clip(ink / strongest, 0, 1), np.float32)


def _at_height(crop: NDArray[np.uint8]) -> NDArray[np.uint8]:
    rows, columns = crop.shape[:2]
    width = int(np.clip(round(columns * HEIGHT / rows), 8, WIDEST))
    shrinks = rows > HEIGHT or columns > width
    sized = cv2.resize(crop, (width, HEIGHT), interpolation=cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR)
    return np.asarray(sized, np.uint8)
