"""Fits what can be fitted of the readers to one showroom's labels, on a processor in minutes.

A light head on each network's features, against forgetting fitted on crops of the shipped kind as well, and a
temperature, heard of those hands alone that the networks do not know; a line over the certainty (Platt 1999; from
memory); the odds of roles and of slips. Each is tested on labels that were held back and on the shipped test set, and
refused where it is not shown to be better here and not worse there.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from intake.domain.room.slip_chances import KNOWN_SLIP, UNKNOWN_SLIP
from intake.domain.sketch.written_slips import WRITTEN
from intake.model.examination import SlipKind
from intake.model.reading import Role
from intake.reading.adapted import Adapted, weighed
from intake.reading.heads import LabelledCrop, LookedAt, TextScore, fitted
from intake.reading.own import FeatureHead
from intake.reading.readers import VOTE

SHIPPED = Path(__file__).parent / "shipped" / "crops.npz"
"""Crops, certainties and roles of the validation split to fit beside, and of the test split to test on
(fixtures/training/shipped.py)."""
FEWEST = 30
"""Fewer labels held back than this show of nothing that it is better: a line over the certainty that six had spoken for
took a quarter of what is accepted from other hands (python -m tests.inspection.learning --hand pen-50006)."""
HELD_BACK = 3
"""Every third sketch's labels are held back."""
MOST = 3000
"""So many crops at most are fitted to and held back, of sketches drawn by lot: minutes, and 1.2 GB. With 600
and 3,000 of them 313 and 243 of 1,500 strings of other writers are wrong (docs/measuring.md)."""
PULLS = (100.0, 30.0, 10.0, 3.0)
"""How hard heads may be pulled to nothing, in frames: by 100 they mend least, and may be the only ones that do other
hands no harm (docs/measuring.md)."""
VOTES = (1.0, VOTE, 4.0, 8.0)
"""How much the vote of the networks may count beside PP-OCR's."""
SLOPES, LEVELS = (0.2, 3.0), (-4.0, 4.0)
"""How far the line over the log odds of certainty may turn and move (set by hand)."""
TEMPERATURES = (0.7, 0.85, 1.0, 1.2, 1.4, 1.7)
ENOUGH_OF_A_ROLE = 10.0
ONE_SIDED = 1.645
"""Standard errors of a limit that holds 19 times in 20."""
HARM, MORE_WRONG = 0.03, 0.02
"""How much the mean log loss, and the share of wrong texts, of the shipped test set may have risen for all that is
known, at most (judgement): on less than a thousand crops chance alone would exceed it."""
_FAINT = 1e-4
"""The least chance that a log loss is taken of (a guard)."""
_Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LabelledNumber:
    """A number read in its sketch: its certainty and whether it was right (None: not known), the chances of its role
    with the true one (None: not known), and the kind of slip that it is, "" for none (None: not known)."""

    sketch: str
    certainty: float = 0.5
    right: bool | None = None
    roles: Mapping[Role, float] | None = None
    role: Role | None = None
    slip: str | None = None


@dataclass(frozen=True)
class Labels:
    crops: tuple[LabelledCrop, ...]
    numbers: tuple[LabelledNumber, ...]

    def parted(self, every: int) -> tuple[Labels, Labels]:
        """These without every third sketch, say, and those alone: whole sketches, so that no hand is in both."""
        sketches = sorted({c.sketch for c in self.crops} | {n.sketch for n in self.numbers})
        back = set(sketches[::every])
        return self._of_sketches(lambda s: s not in back), self._of_sketches(lambda s: s in back)

    def _of_sketches(self, wanted: Callable[[str], bool]) -> Labels:
        return Labels(
            tuple(c for c in self.crops if wanted(c.sketch)),
            tuple(n for n in self.numbers if wanted(n.sketch)),
        )

    def with_few_crops(self, most: int) -> Labels:
        """These with so many crops at most, whole sketches, drawn by their names: those of pictures are digests."""
        if len(self.crops) <= most:
            return self
        many = Counter(c.sketch for c in self.crops)
        taken = {
            name
            for name, n in zip(sorted(many), np.cumsum([many[k] for k in sorted(many)]), strict=True)
            if n <= most
        }
        return Labels(tuple(c for c in self.crops if c.sketch in taken), self.numbers)


TEXTS = ("heads", "temperature", "vote")


@dataclass(frozen=True)
class Trial:
    """How one thing that was fitted did, before and after: mean log loss, and how many texts were wrong, on the labels
    held back and on the shipped test set, which have so many; how many of the latter went wrong that had been right,
    and the other way, and how many became wrong and surely said, and ceased to be. `least_gain`: by how much the loss
    held back has fallen at least; `most_harm`: by how much that of the shipped set has risen at most (each 19 times in
    20)."""

    what: str
    held_back: tuple[float, float]
    shipped: tuple[float, float]
    wrong_held_back: tuple[int, int] = (0, 0)
    wrong_shipped: tuple[int, int] = (0, 0)
    turned_shipped: tuple[int, int] = (0, 0)
    surely_turned: tuple[int, int] = (0, 0)
    of: tuple[int, int] = (0, 0)
    least_gain: float = 0.0
    most_harm: float = 0.0

    @property
    def better(self) -> bool:
        """Told by FEWEST labels held back or more. Of texts: likelier here beyond chance and fewer wrong ones, no more
        by a temperature; on the shipped test set, for all that is known, no worse than by HARM and MORE_WRONG, and
        not beyond one standard error more wrong ones that are surely said. Of all else a lower loss on both."""
        if self.of[0] < FEWEST:
            return False
        if self.what not in TEXTS:
            return all(after < before for before, after in (self.held_back, self.shipped))
        before, after = self.wrong_held_back
        fewer = after <= before if self.what == "temperature" else after < before
        gains = self.least_gain > 0 and fewer
        sound = not _is_more(*self.surely_turned)
        return gains and sound and self.most_harm <= HARM and self.most_more_wrong <= MORE_WRONG

    @property
    def most_more_wrong(self) -> float:
        """By what share the wrong texts of the shipped test set have become more, at most."""
        lost, won = self.turned_shipped
        return (lost - won + ONE_SIDED * math.sqrt(lost + won)) / max(self.of[1], 1)


def shipped(split: str) -> Labels:
    """The labels that came with the program, of the validation or the test split."""
    with np.load(SHIPPED, allow_pickle=False) as kept:
        flat, widths = kept[f"{split}_ink"], kept[f"{split}_widths"]
        ends, texts, hands = np.cumsum(widths), kept[f"{split}_texts"], kept[f"{split}_hands"]
        crops = tuple(
            LabelledCrop(np.ascontiguousarray(flat[:, end - width : end]), str(text), str(hand))
            for end, width, text, hand in zip(ends, widths, texts, hands, strict=True)
        )
        sure, right = kept[f"{split}_certainty"], kept[f"{split}_right"]
        roles, true = kept[f"{split}_roles"], kept[f"{split}_role"]
        slips = kept[f"{split}_slips"]
    order = list(Role)
    numbers = tuple(
        LabelledNumber(f"{split}-{n // 20}", float(c), bool(r), dict(zip(order, map(float, p), strict=True)), Role(t))
        for n, (c, r, p, t) in enumerate(zip(sure, right, roles, true, strict=True))
    )  # fmt: skip
    slipped = tuple(LabelledNumber(f"{split}-{n // 20}", slip=str(slip)) for n, slip in enumerate(slips))
    return Labels(crops, numbers + slipped)


def adapt(labels: Labels, beside: Labels, test: Labels) -> tuple[Adapted, list[Trial]]:
    """What is better, and how each did. `beside` are shipped labels to fit on as well, `test` those to test
    on."""
    fit, back = labels.with_few_crops(MOST).parted(HELD_BACK)
    found, outcomes = _networks(fit, beside, back, test) if fit.crops else (Adapted(), [])
    # Certainty was said by readers without what has just been learned: of those with it, it tells nothing.
    for what in (_with_line, _with_roles, _with_slips) if found == Adapted() else (_with_roles, _with_slips):
        tried = what(found, [*fit.numbers, *beside.numbers])
        outcome = _outcome(what.__name__.removeprefix("_with_"), found, tried, back, test)
        outcomes.append(outcome)
        found = tried if outcome.better else found
    return found, outcomes


# The networks


def _networks(fit: Labels, beside: Labels, back: Labels, test: Labels) -> tuple[Adapted, list[Trial]]:
    """Heads, a temperature and a vote, each taken where it is better."""
    halves = [
        Half(*(LookedAt(part.crops) for part in pair))
        for pair in zip(*(each.parted(2) for each in (fit, beside)), strict=True)
    ]
    tested = LookedAt(back.crops), LookedAt(test.crops)
    found, outcomes = Adapted(), []
    for what, tried in (("heads", _with_heads), ("temperature", _with_temperature), ("vote", _with_vote)):
        after = tried(found, halves)
        outcome = _trial(what, found, after, *tested)
        outcomes.append(outcome)
        found = after if outcome.better else found
    return found, outcomes


@dataclass(frozen=True)
class Half:
    """Half of the hands to fit on: the showroom's own, and those of the shipped kind."""

    own: LookedAt
    beside: LookedAt

    def heads(self, pull: float) -> dict[str, FeatureHead]:
        """Fitted to it, crops of the shipped kind beside the showroom's own, so that nothing is forgotten."""
        return fitted([(self.own, 1.0), (self.beside, 1.0)], pull)


def _with_heads(now: Adapted, halves: Sequence[Half]) -> Adapted:
    """Heads, and how hard they are pulled: of those that do texts of the shipped kind no harm, those that make the
    showroom's own likeliest. That is told by heads fitted to one half of the hands on the other half."""
    own, beside = _of_both(now, halves)
    tried = dict[float, float]()
    for pull in PULLS:
        crossed = [(other.heads(pull), one) for one, other in (halves, halves[::-1])]
        if _is_harmless(beside, _added([half.beside.score(heads) for heads, half in crossed])):
            tried[pull] = _added([half.own.score(heads) for heads, half in crossed]).loss
    pull = min(tried, key=lambda each: tried[each], default=PULLS[0])
    if tried.get(pull, own.loss) >= own.loss:
        return now
    return replace(
        now, heads=fitted([(each, 1.0) for half in halves for each in (half.own, half.beside)], pull)
    )


def _is_harmless(before: TextScore, after: TextScore) -> bool:
    """Whether texts are no less likely and no more of them wrong, each within one standard error (Breiman et al. 1984;
    from memory)."""
    more = after.losses - before.losses
    spread = float(more.std()) / math.sqrt(max(len(more), 1))
    return float(more.mean()) <= spread and not _is_more(len(after.new(before)), len(before.new(after)))


def _is_more(lost: int, won: int) -> bool:
    """Whether more went wrong than right by over one standard error (McNemar, Psychometrika 12, 1947)."""
    return lost - won > math.sqrt(lost + won)


def _added(parts: Sequence[TextScore]) -> TextScore:
    return sum(parts[1:], parts[0])


def _with_temperature(now: Adapted, halves: Sequence[Half]) -> Adapted:
    """The temperature that makes all texts likeliest, those of the shipped kind counting as many as here."""

    def loss(t: float) -> float:
        own, beside = _of_both(replace(now, temperature=t), halves)
        return own.loss + beside.loss

    return replace(now, temperature=min(TEMPERATURES, key=loss))


def _with_vote(now: Adapted, halves: Sequence[Half]) -> Adapted:
    """The vote of the networks beside PP-OCR's that makes the showroom's own texts likeliest and does those of the
    shipped kind no harm."""
    tried = {vote: _of_both(replace(now, vote=vote), halves) for vote in VOTES}
    harmless = [vote for vote, (_, beside) in tried.items() if _is_harmless(tried[now.vote][1], beside)]
    return replace(now, vote=min(harmless, key=lambda vote: tried[vote][0].loss))


def _of_both(adapted: Adapted, halves: Sequence[Half]) -> tuple[TextScore, TextScore]:
    """How right all texts of the showroom's own are, and all of the shipped kind."""
    own, beside = (
        [scored(adapted, looked) for looked in side]
        for side in ([half.own for half in halves], [half.beside for half in halves])
    )
    return _added(own), _added(beside)


def scored(adapted: Adapted, looked: LookedAt) -> TextScore:
    """How right the program's texts are with what was learned."""
    return looked.score(adapted.heads, adapted.temperature, adapted.vote)


def _trial(what: str, before: Adapted, after: Adapted, back: LookedAt, test: LookedAt) -> Trial:
    (a, b), (c, d) = ([scored(each, looked) for each in (before, after)] for looked in (back, test))
    return Trial(
        what,
        (a.loss, b.loss),
        (c.loss, d.loss),
        (a.wrong, b.wrong),
        (c.wrong, d.wrong),
        (len(d.new(c)), len(c.new(d))),
        (len(d.newly_sure(c)), len(c.newly_sure(d))),
        (len(back.crops), len(test.crops)),
        -_most(b.losses - a.losses, back.crops),
        _most(d.losses - c.losses, test.crops),
    )


def _most(rises: _Floats, crops: Sequence[LabelledCrop]) -> float:
    """The mean of these at most, crops of one sketch, or hand, taken for alike (the variance of a ratio of their sums:
    Cochran, Sampling Techniques, 1977, 6.5; from memory)."""
    if not len(rises):
        return 0.0
    _, hands = np.unique([crop.sketch for crop in crops], return_inverse=True)
    apart = np.bincount(hands, rises - rises.mean())
    return float(rises.mean() + ONE_SIDED * math.sqrt(float((apart**2).sum())) / len(rises))


# Certainty and roles


def _with_line(now: Adapted, numbers: Sequence[LabelledNumber]) -> Adapted:
    """The line over the log odds of certainty that makes what was right likeliest, pulled to leaving it as it is."""
    known = [n for n in numbers if n.right is not None]
    odds = _odds([n.certainty for n in known])
    right = np.array([bool(n.right) for n in known], float)

    def loss(line: _Floats) -> float:
        z = line[0] * odds + line[1]
        return float((np.logaddexp(0, z) - right * z).sum() + (line[0] - 1) ** 2 * 5 + line[1] ** 2)

    found = minimize(loss, np.array([1.0, 0.0]), method="L-BFGS-B", bounds=[SLOPES, LEVELS])
    return replace(now, slope=float(found.x[0]), level=float(found.x[1]))


def _odds(certainties: Sequence[float]) -> _Floats:
    inside = np.clip(np.asarray(certainties, float), _FAINT, 1 - _FAINT)
    return np.asarray(np.log(inside / (1 - inside)))


def _line_losses(adapted: Adapted, numbers: Sequence[LabelledNumber]) -> _Floats:
    known = [n for n in numbers if n.right is not None]
    z = adapted.slope * _odds([n.certainty for n in known]) + adapted.level
    return np.asarray(np.logaddexp(0, z) - np.array([bool(n.right) for n in known], float) * z)


def _with_roles(now: Adapted, numbers: Sequence[LabelledNumber]) -> Adapted:
    """How many times oftener each role is the true one than the chances say."""
    known = [n for n in numbers if n.roles and n.role]
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


# Slips


BEFOREHAND: Mapping[str, float] = {
    **{str(kind): KNOWN_SLIP for kind in WRITTEN},
    str(SlipKind.OTHER): UNKNOWN_SLIP,
}
"""How often each kind of slip is supposed to happen by what the program comes with."""
LIKE_SO_MANY = 1000.0
"""What is supposed of slips weighs as much as this many numbers (judgement, no source)."""


def _with_slips(now: Adapted, numbers: Sequence[LabelledNumber]) -> Adapted:
    """How many times oftener each kind happens than is supposed: the mean of what was counted and what was supposed."""
    counted = Counter(n.slip for n in numbers if n.slip is not None)
    weight = LIKE_SO_MANY / (counted.total() + LIKE_SO_MANY)
    return replace(
        now,
        slips={
            kind: weight + (1 - weight) * counted[kind] / max(counted.total(), 1) / chance
            for kind, chance in BEFOREHAND.items()
        },
    )


def _slip_losses(adapted: Adapted, numbers: Sequence[LabelledNumber]) -> _Floats:
    chances = {kind: p * adapted.slips.get(kind, 1.0) for kind, p in BEFOREHAND.items()}
    chances[""] = 1 - sum(chances.values())
    return np.array([-np.log(max(chances.get(n.slip, 0.0), _FAINT)) for n in numbers if n.slip is not None])


_LOSSES: Mapping[str, Callable[[Adapted, Sequence[LabelledNumber]], _Floats]] = {
    "line": _line_losses,
    "roles": _role_losses,
    "slips": _slip_losses,
}


def _outcome(what: str, before: Adapted, after: Adapted, back: Labels, test: Labels) -> Trial:
    losses = _LOSSES[what]
    (a, b), (c, d) = ([losses(each, labels.numbers) for each in (before, after)] for labels in (back, test))
    return Trial(what, (_mean(a), _mean(b)), (_mean(c), _mean(d)), of=(len(a), len(c)))


def _mean(losses: _Floats) -> float:
    return float(losses.mean()) if len(losses) else 0.0
