"""Fits what can be fitted of the readers to one showroom's labels, on a processor in minutes.

A light head on each network's features, against forgetting fitted on crops of the shipped kind as well; a temperature;
a line over the certainty (Platt 1999; from memory); the odds of roles. Each is tested on labels that were held back and
on the shipped test set, and refused where it is not better on both.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from intake.model.reading import Role
from intake.reading.adapted import Adapted, weighed
from intake.reading.own import MEMBERS, FeatureHead, Member, OwnReader, inked_of, softmax
from intake.reading.readers import Grey
from intake.reading.texts import same_number

SHIPPED = Path(__file__).parent / "shipped" / "crops.npz"
"""Crops, certainties and roles of the validation split to fit beside, and of the test split to test on
(fixtures/training/shipped.py)."""
LEAST = 150
"""Fewer labels than this teach nothing that could be told from chance."""
HELD_BACK = 3
"""Every third sketch's labels are held back."""
BESIDE = 5.0
"""How much a crop of the shipped kind weighs beside one of the showroom's own: nothing is to be forgotten."""
PULL = 100.0
"""How hard the head is pulled to nothing, in frames."""
TEMPERATURES = (0.7, 0.85, 1.0, 1.2, 1.4, 1.7)
ENOUGH_OF_A_ROLE = 10.0
SURE = 0.9
_FAINT = 1e-4
_NOTHING = 1e-30
_Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LabelledCrop:
    """A crop (grey, ink dark) with what it says; `sketch` tells which crops are of one hand."""

    crop: Grey
    text: str
    sketch: str


@dataclass(frozen=True)
class LabelledNumber:
    """A number read in its sketch: its certainty and whether it was right (None: not known), and the chances of its
    role with the true one (None: not known)."""

    sketch: str
    certainty: float = 0.5
    right: bool | None = None
    roles: Mapping[Role, float] | None = None
    role: Role | None = None


@dataclass(frozen=True)
class Labels:
    crops: tuple[LabelledCrop, ...]
    numbers: tuple[LabelledNumber, ...]

    def parted(self) -> tuple[Labels, Labels]:
        """Those to fit on, and those held back: whole sketches, so that no hand is in both."""
        sketches = sorted({c.sketch for c in self.crops} | {n.sketch for n in self.numbers})
        back = set(sketches[::HELD_BACK])
        return self._of(lambda s: s not in back), self._of(lambda s: s in back)

    def _of(self, wanted: Callable[[str], bool]) -> Labels:
        return Labels(
            tuple(c for c in self.crops if wanted(c.sketch)),
            tuple(n for n in self.numbers if wanted(n.sketch)),
        )


@dataclass(frozen=True)
class Trial:
    """How one thing that was fitted did: mean log loss and, of texts, how many were wrong and how many of these surely;
    before and after, on the labels held back and on the shipped test set, which have so many."""

    what: str
    held_back: tuple[float, float]
    shipped: tuple[float, float]
    wrong_held_back: tuple[int, int] = (0, 0)
    wrong_shipped: tuple[int, int] = (0, 0)
    surely_held_back: tuple[int, int] = (0, 0)
    surely_shipped: tuple[int, int] = (0, 0)
    of: tuple[int, int] = (0, 0)

    @property
    def better(self) -> bool:
        """On both: heads by fewer wrong texts here and no more (surely) wrong ones there; the rest by a lower loss."""
        wrong = (self.wrong_held_back, self.wrong_shipped, self.surely_shipped)
        if any(after > before for before, after in wrong) or self.held_back[1] >= self.held_back[0]:
            return False
        if self.what == "heads":
            return self.wrong_held_back[1] < self.wrong_held_back[0]
        return self.shipped[1] < self.shipped[0]


def shipped(split: str) -> Labels:
    """The labels that came with the program, of the validation or the test split."""
    with np.load(SHIPPED, allow_pickle=False) as kept:
        flat, widths, texts = kept[f"{split}_ink"], kept[f"{split}_widths"], kept[f"{split}_texts"]
        ends = np.cumsum(widths)
        crops = tuple(
            LabelledCrop(np.ascontiguousarray(flat[:, end - width : end]), str(text), f"{split}-{n // 20}")
            for n, (end, width, text) in enumerate(zip(ends, widths, texts, strict=True))
        )
        sure, right = kept[f"{split}_certainty"], kept[f"{split}_right"]
        roles, true = kept[f"{split}_roles"], kept[f"{split}_role"]
    order = list(Role)
    numbers = tuple(
        LabelledNumber(f"{split}-{n // 20}", float(c), bool(r), dict(zip(order, map(float, p), strict=True)), Role(t))
        for n, (c, r, p, t) in enumerate(zip(sure, right, roles, true, strict=True))
    )  # fmt: skip
    return Labels(crops, numbers)


def adapt(labels: Labels, beside: Labels, test: Labels) -> tuple[Adapted, list[Trial]]:
    """What is better on both, and how each did. `beside` are shipped labels to fit on as well, `test` those to test
    on."""
    fit, back = labels.parted()
    found, outcomes = Adapted(), []
    steps = (_with_heads, _with_temperature) if fit.crops else ()
    for what in (*steps, _with_line, _with_roles):
        tried = what(found, fit, beside)
        outcome = _outcome(what.__name__.removeprefix("_with_"), found, tried, back, test)
        outcomes.append(outcome)
        found = tried if outcome.better else found
    return found, outcomes


# The networks


def _with_heads(now: Adapted, fit: Labels, beside: Labels) -> Adapted:
    crops = [*fit.crops, *beside.crops]
    inked = inked_of([c.crop for c in crops])
    weights = [1.0 if i < len(fit.crops) else BESIDE for i in range(len(crops))]
    heads = {path.name: _head(Member(path), inked, crops, weights) for path in MEMBERS}
    return replace(now, heads=heads)


def _head(
    member: Member,
    inked: dict[int, NDArray[np.float32]],
    crops: Sequence[LabelledCrop],
    weights: Sequence[float],
) -> FeatureHead:
    """A linear head that makes each frame's true sign likelier, where that may be by all ways to spell the text."""
    answers, features = member.answers(inked), member.features(inked)
    symbols, cool = member.symbols, member.spelling_temperature
    seen, told, true, weight = [], [], [], []
    for i, (spelling, _) in answers.items():
        way = occupied(np.log(softmax(spelling / cool) + _NOTHING).astype(float), crops[i].text, symbols)
        if way is not None:
            seen.append(np.hstack([features[i], np.ones((len(way), 1))]))
            told.append(spelling / cool)
            true.append(way)
            weight.append(np.full(len(way), weights[i]))
    fitted = _softmax_head(
        np.vstack(seen).astype(float), np.vstack(told).astype(float), np.vstack(true), np.concatenate(weight)
    )
    # The head is added before the network's own temperature.
    return FeatureHead(np.asarray(fitted * cool, np.float32))


def _softmax_head(seen: _Floats, told: _Floats, true: _Floats, weight: _Floats) -> _Floats:
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
        return value + PULL / 2 * float(flat @ flat), (
            seen.T @ (chance * weight[:, None])
        ).ravel() + PULL * flat

    found = minimize(
        loss, np.zeros(shape[0] * shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 40}
    )
    return np.asarray(found.x.reshape(shape))


def occupied(logs: _Floats, text: str, symbols: str) -> _Floats | None:
    """The chance of each class in each frame, given that the text stands there: forward and backward over the ways to
    spell it in connectionist temporal classification (Graves et al. 2006, 4.1). A point may be spelt as a comma. `logs`
    are the logarithms of the chances (frames x classes). None where there is no way."""
    ways = [_ways(logs, each, symbols) for each in dict.fromkeys((text, text.replace(".", ",")))]
    best = max((way for way in ways if way is not None), key=lambda way: way[0], default=None)
    return None if best is None else best[1]


def _ways(logs: _Floats, text: str, symbols: str) -> tuple[float, _Floats] | None:
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
    found = np.full(logs.shape, -np.inf)
    found[0, :2] = logs[0, :2]
    for t in range(1, len(logs)):
        before = found[t - 1]
        one, two = np.r_[-np.inf, before[:-1]], np.r_[-np.inf, -np.inf, before[:-2]]
        came = np.logaddexp(np.logaddexp(before, one), np.where(may_skip, two, -np.inf))
        found[t] = came + logs[t]
    return found


def _with_temperature(now: Adapted, fit: Labels, beside: Labels) -> Adapted:
    crops = [*fit.crops, *beside.crops]
    tried = {t: text_score(_cooled(now, t), crops).losses.mean() for t in TEMPERATURES}
    return _cooled(now, min(tried, key=lambda t: tried[t]))


def _cooled(now: Adapted, temperature: float) -> Adapted:
    features, classes = Member().shape

    def head(name: str) -> FeatureHead:
        return now.heads.get(name) or FeatureHead(np.zeros((features + 1, classes), np.float32))

    return replace(
        now, heads={path.name: replace(head(path.name), temperature=temperature) for path in MEMBERS}
    )


@dataclass(frozen=True)
class TextScore:
    """Of some crops: minus the log of the chance that the true text is given, each; how many best texts are wrong, and
    how many of these were said with SURE or more."""

    losses: _Floats
    wrong: int
    surely: int


def text_score(adapted: Adapted, crops: Sequence[LabelledCrop]) -> TextScore:
    losses, wrong = [], []
    reader = OwnReader(heads=adapted.heads)
    for crop, reading in zip(crops, reader.read_crops([c.crop for c in crops]), strict=True):
        right = sum(a.confidence for a in reading.alternatives if same_number(a.text, crop.text))
        losses.append(-np.log(min(max(right, _FAINT), 1.0)))
        best = next(iter(reading.alternatives), None)
        if best is None or not same_number(best.text, crop.text):
            wrong.append(best.confidence if best else 0.0)
    return TextScore(np.asarray(losses), len(wrong), sum(p >= SURE for p in wrong))


# Certainty and roles


def _with_line(now: Adapted, fit: Labels, beside: Labels) -> Adapted:
    """The line over the log odds of certainty that makes what was right likeliest, pulled to leaving it as it is."""
    known = [n for n in (*fit.numbers, *beside.numbers) if n.right is not None]
    odds = _odds([n.certainty for n in known])
    right = np.array([bool(n.right) for n in known], float)

    def loss(line: _Floats) -> float:
        z = line[0] * odds + line[1]
        return float((np.logaddexp(0, z) - right * z).sum() + (line[0] - 1) ** 2 * 5 + line[1] ** 2)

    found = minimize(loss, np.array([1.0, 0.0]), method="L-BFGS-B", bounds=[(0.2, 3.0), (-4.0, 4.0)])
    return replace(now, slope=float(found.x[0]), level=float(found.x[1]))


def _odds(certainties: Sequence[float]) -> _Floats:
    inside = np.clip(np.asarray(certainties, float), _FAINT, 1 - _FAINT)
    return np.asarray(np.log(inside / (1 - inside)))


def _line_losses(adapted: Adapted, numbers: Sequence[LabelledNumber]) -> _Floats:
    known = [n for n in numbers if n.right is not None]
    z = adapted.slope * _odds([n.certainty for n in known]) + adapted.level
    return np.asarray(np.logaddexp(0, z) - np.array([bool(n.right) for n in known], float) * z)


def _with_roles(now: Adapted, fit: Labels, beside: Labels) -> Adapted:
    """How many times oftener each role is the true one than the chances say."""
    known = [n for n in (*fit.numbers, *beside.numbers) if n.roles and n.role]
    said, true = dict.fromkeys(Role, ENOUGH_OF_A_ROLE), dict.fromkeys(Role, ENOUGH_OF_A_ROLE)
    for number in known:
        assert number.roles is not None and number.role is not None
        true[number.role] += 1
        for role, p in number.roles.items():
            said[role] += p
    return replace(now, roles={role: true[role] / said[role] for role in Role})


def _role_losses(adapted: Adapted, numbers: Sequence[LabelledNumber]) -> _Floats:
    return np.array([
        -np.log(max(weighed(n.roles, adapted.roles).get(n.role, 0.0), _FAINT)) for n in numbers if n.roles and n.role
    ])  # fmt: skip


def _outcome(what: str, before: Adapted, after: Adapted, back: Labels, test: Labels) -> Trial:
    if what in ("line", "roles"):
        losses = _line_losses if what == "line" else _role_losses

        def both(labels: Labels) -> tuple[float, float]:
            return _mean(losses(before, labels.numbers)), _mean(losses(after, labels.numbers))

        of = len(losses(before, back.numbers)), len(losses(before, test.numbers))
        return Trial(what, both(back), both(test), of=of)
    (a, b), (c, d) = ([text_score(each, labels.crops) for each in (before, after)] for labels in (back, test))
    return Trial(
        what,
        (_mean(a.losses), _mean(b.losses)),
        (_mean(c.losses), _mean(d.losses)),
        (a.wrong, b.wrong),
        (c.wrong, d.wrong),
        (a.surely, b.surely),
        (c.surely, d.surely),
        (len(back.crops), len(test.crops)),
    )


def _mean(losses: _Floats) -> float:
    return float(losses.mean()) if len(losses) else 0.0
