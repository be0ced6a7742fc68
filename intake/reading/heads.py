"""Light heads on the networks' features, fitted to crops with their texts on a processor in a minute.

Each is a multinomial logistic regression on frames that are aligned to the text, pulled to nothing. What the networks
see of the crops is looked at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from intake.domain.lengths.written import in_feet_or_inches
from intake.model.reading import Alternative
from intake.reading.installed import MEMBERS
from intake.reading.own import NO_HEADS, CropReading, FeatureHead, Glance, Member, heard, inked_of, softmax
from intake.reading.ppocr import RECOGNISER, PaddleReader, weights_folder
from intake.reading.readers import VOTE, Grey
from intake.reading.texts import SURE, is_unknown, same_number, signs_of
from intake.reading.votes import agreed, as_number, stands_alone

PULL = 100.0
"""How hard the head is pulled to nothing, in frames, where nothing else is asked."""
SPREAD = 0.72
"""The spread of the features that the head is pulled for, whatever a network's own is."""
STEPS = 40
_FAINT = 1e-4
_NOTHING = 1e-30
"""Steps of the fit at most, the least chance that a log loss is taken of, and a guard against the log of 0 (set by
hand)."""
_Floats = NDArray[np.float64]
Heads = Mapping[str, FeatureHead]


@dataclass(frozen=True)
class LabelledCrop:
    """A crop (grey, ink dark) with what it says; `sketch` tells which crops are of one hand. Of `others` more numbers
    on that sketch nobody said anything: they were not doubted."""

    crop: Grey
    text: str
    sketch: str
    others: int = 0


@dataclass(frozen=True)
class TextScore:
    """Of some crops: minus the log of the chance that the true text is given, each; with what chance a wrong best text
    was said, each, 0 where it is right."""

    losses: _Floats
    misread: _Floats

    @property
    def loss(self) -> float:
        """The mean; 0 where there are no crops."""
        return float(self.losses.sum()) / max(len(self.losses), 1)

    @property
    def wrong(self) -> int:
        return int((self.misread > 0).sum())

    @property
    def surely(self) -> int:
        """How many wrong texts were said with SURE or more."""
        return int((self.misread >= SURE).sum())

    def new(self, before: TextScore) -> NDArray[np.intp]:
        """Which texts are wrong and were not before."""
        return np.flatnonzero((self.misread > 0) & (before.misread == 0))

    def newly_sure(self, before: TextScore) -> NDArray[np.intp]:
        """Which texts are wrong and said with SURE or more, and were not both before."""
        return np.flatnonzero((self.misread >= SURE) & (before.misread < SURE))

    def __add__(self, other: TextScore) -> TextScore:
        return TextScore(
            np.concatenate([self.losses, other.losses]), np.concatenate([self.misread, other.misread])
        )


class LookedAt:
    """What each network and PP-OCR see of some crops, and what the program makes of it with heads or without: these
    are heard of hands that the networks by themselves do not know (`unknown`, each crop's)."""

    def __init__(self, crops: Sequence[LabelledCrop]) -> None:
        self.crops = tuple(crops)
        inked = inked_of([crop.crop for crop in crops])
        self.members = [_member(path) for path in MEMBERS]
        self.seen: list[dict[int, Glance]] = [member.look(inked, inside=True) for member in self.members]
        self._bare: dict[float, list[dict[int, CropReading]]] = {}
        self._witness = self._witnessed()
        self.unknown = self._of_unknown_hands()

    def _witnessed(self) -> list[tuple[Alternative, ...]]:
        """What PP-OCR says of each crop; nothing where there is no PP-OCR."""
        if (folder := weights_folder()) is None or not self.crops:
            return [()] * len(self.crops)
        paddle, bare = _paddle(folder / RECOGNISER), self.bare(1.0)
        found = []
        for i, crop in enumerate(self.crops):
            own = [b[i] for b in bare if i in b]
            signs = signs_of([a.text for a in own[0].alternatives[:1]] if own else [])
            found.append(paddle.number(paddle.frames([crop.crop])[0], signs))
        return found

    def _of_unknown_hands(self) -> NDArray[np.bool_]:
        doubts: dict[str, list[bool]] = {}
        for i, crop in enumerate(self.crops):
            said = as_number(heard(seen)) if (seen := _of(self.bare(1.0), i)) else ()
            doubts.setdefault(crop.sketch, []).append(max((a.confidence for a in said), default=0.0) < SURE)
        return np.array([is_unknown(doubts[crop.sketch], crop.others) for crop in self.crops], bool)

    def bare(self, temperature: float) -> list[dict[int, CropReading]]:
        """What each network says by itself."""
        if temperature not in self._bare:
            self._bare[temperature] = self._readings(temperature, {})
        return self._bare[temperature]

    def _readings(self, temperature: float, heads: Heads) -> list[dict[int, CropReading]]:
        found = []
        for member, seen in zip(self.members, self.seen, strict=True):
            head = heads.get(member.name)
            spelt = {i: head.over(s) if head else s.spelling for i, s in seen.items()}
            found.append({i: member.reading(spelt[i], s.verdict, temperature) for i, s in seen.items()})
        return found

    def score(self, heads: Heads = NO_HEADS, temperature: float = 1.0, vote: float = VOTE) -> TextScore:
        """How right the program's texts are where of unknown hands these heads are heard, at this temperature, and the
        networks' vote counts so much beside PP-OCR's."""
        known, bare = self.bare(1.0), self.bare(temperature)
        taught = self._readings(temperature, heads) if heads else []
        losses, misread = [], []
        for i, crop in enumerate(self.crops):
            said: Sequence[Alternative] = ()
            if _of(bare, i):
                own = heard(_of(bare, i), _of(taught, i)) if self.unknown[i] else heard(_of(known, i))
                said = voted(own, self._witness[i], vote if self.unknown[i] else VOTE)
            chance = sum(a.confidence for a in said if same_number(a.text, crop.text))
            losses.append(-np.log(min(max(chance, _FAINT), 1.0)))
            right = bool(said) and same_number(said[0].text, crop.text)
            misread.append(0.0 if right else said[0].confidence if said else _FAINT)
        return TextScore(np.asarray(losses, float), np.asarray(misread, float))


def _of(readings: Sequence[Mapping[int, CropReading]], i: int) -> list[CropReading]:
    """What each network says of one crop."""
    return [each[i] for each in readings if i in each]


@lru_cache(maxsize=4)
def _member(weights: Path) -> Member:
    """Opened once for all crops that are looked at: it takes a twentieth of a second, for each of many sketches."""
    return Member(weights)


@lru_cache(maxsize=1)
def _paddle(weights: Path) -> PaddleReader:
    return PaddleReader(weights)


def voted(own: CropReading, witness: Sequence[Alternative], vote: float) -> Sequence[Alternative]:
    """What the program makes of a crop that is one number (texts.CropReaders): PP-OCR, the `witness`, is heard where
    the networks are not sure, and not of feet and inches."""
    feet = bool(own.alternatives) and in_feet_or_inches(own.alternatives[0].text)
    if stands_alone(own) or feet or not witness:
        return as_number(own)
    return agreed([witness, as_number(own)], [1.0, vote])


def fitted(looked: Sequence[tuple[LookedAt, float]], pull: float = PULL) -> dict[str, FeatureHead]:
    """A head for each network, by the name of its weights, fitted to crops of which each counts so much, and pulled to
    nothing so hard."""
    members = looked[0][0].members
    return {
        member.name: _head(member, [(h.seen[n], h.crops, w) for h, w in looked], pull)
        for n, member in enumerate(members)
    }


def _head(
    member: Member, some: Sequence[tuple[Mapping[int, Glance], Sequence[LabelledCrop], float]], pull: float
) -> FeatureHead:
    """A linear head that makes each frame's true sign likelier, where that may be by all ways to spell the text."""
    symbols, cool = member.symbols, member.spelling_temperature
    features, told, true, weight = [], [], [], []
    for seen, crops, counts in some:
        for i, each in seen.items():
            way = occupied(
                np.log(softmax(each.spelling / cool) + _NOTHING).astype(float), crops[i].text, symbols
            )
            if way is not None:
                features.append(each.features)
                told.append(each.spelling / cool)
                true.append(way)
                weight.append(np.full(len(way), counts))
    every = np.vstack(features).astype(float)
    scale = SPREAD / max(float(every.std()), _NOTHING)
    found = _softmax_head(
        np.hstack([scale * every, np.ones((len(every), 1))]),
        np.vstack(told).astype(float),
        np.vstack(true),
        np.concatenate(weight),
        pull,
    )
    found[:-1] *= scale
    # The head is added before the network's own temperature.
    return FeatureHead(np.asarray(found * cool, np.float32))


def _softmax_head(seen: _Floats, told: _Floats, true: _Floats, weight: _Floats, pull: float) -> _Floats:
    """The weights W (features x classes) that make softmax(told + seen W) likeliest by the chances `true` of each
    frame's classes, pulled to nothing."""
    shape = seen.shape[1], told.shape[1]

    def loss(flat: _Floats) -> tuple[float, _Floats]:
        w = flat.reshape(shape)
        logits = told + seen @ w
        logits -= logits.max(axis=1, keepdims=True)
        powers = np.exp(logits)
        sums = powers.sum(axis=1)
        value = float((weight * (np.log(sums) - (true * logits).sum(axis=1))).sum())
        chance = powers / sums[:, None] - true
        slope = seen.T @ (chance * weight[:, None])
        return value + pull / 2 * float(flat @ flat), slope.ravel() + pull * flat

    from scipy.optimize import minimize  # a reader that only reads need not wait for it

    found = minimize(
        loss, np.zeros(shape[0] * shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": STEPS}
    )
    return np.asarray(found.x.reshape(shape))


def occupied(logs: _Floats, text: str, symbols: str) -> _Floats | None:
    """The chance of each class in each frame, given that the text stands there: forward and backward over the ways to
    spell it in connectionist temporal classification (Graves et al. 2006, 4.1). A point may be spelt as a comma. `logs`
    are the logarithms of the chances (frames x classes). None where there is no way."""
    ways = [_likelihood(logs, each, symbols) for each in dict.fromkeys((text, text.replace(".", ",")))]
    best = max((way for way in ways if way is not None), key=lambda way: way[0], default=None)
    return None if best is None else best[1]


def _likelihood(logs: _Floats, text: str, symbols: str) -> tuple[float, _Floats] | None:
    if not text or any(sign not in symbols for sign in text):
        return None
    classes = np.array([0] + [c for sign in text for c in (symbols.index(sign) + 1, 0)])
    may_skip = np.r_[False, False, (classes[2:] != 0) & (classes[2:] != classes[:-2])]
    ahead = _summed_ways(logs[:, classes], may_skip)
    # Backwards a state is skipped into from the one that it may skip to.
    back_skip = np.r_[may_skip[2:], False, False][::-1]
    behind = _summed_ways(logs[::-1][:, classes[::-1]], back_skip)[::-1, ::-1]
    total = float(np.logaddexp(ahead[-1, -1], ahead[-1, -2]))
    if not np.isfinite(total):
        return None
    states = np.exp(ahead + behind - logs[:, classes] - total)
    found = np.zeros_like(logs)
    np.add.at(found.T, classes, states.T)
    return total, found / np.maximum(found.sum(axis=1, keepdims=True), _NOTHING)


def _summed_ways(logs: _Floats, may_skip: NDArray[np.bool_]) -> _Floats:
    """The logarithm of the chance of all ways to be in each state at each frame, begun in one of the first two."""
    found = np.full((len(logs), 2 + logs.shape[1]), -np.inf)  # two before the first, from which nothing comes
    found[0, 2:4] = logs[0, :2]
    skipped = np.where(may_skip, 0.0, -np.inf)
    for t in range(1, len(logs)):
        stayed, one, two = (found[t - 1, first : first + logs.shape[1]] for first in (2, 1, 0))
        found[t, 2:] = np.logaddexp(np.logaddexp(stayed, one), two + skipped) + logs[t]
    return found[:, 2:]
