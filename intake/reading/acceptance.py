"""How sure a reading is, and whether it may be used without a person looking.

A logistic model over what the readers, their witness, the cut and the sums say, fitted by fixtures.training.acceptance
on sheets of the validation split, and reported on those of the test split (docs/reading.md). Its weights lie beside the
recognisers' and hold for these alone: for others nothing is accepted.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from intake.domain.lengths.notation import of_a_room, usual_form
from intake.domain.lengths.written import in_feet_or_inches
from intake.domain.sketch.what_numbers_measure import Inferred as Decision
from intake.domain.sketch.what_numbers_measure import Sums
from intake.model.reading import Alternative
from intake.reading.own import MEMBERS, OwnReader
from intake.reading.texts import ReadText, same_number

RULE = MEMBERS[0].with_name("acceptance.json")
STALE = "The acceptance rule was fitted for other weights of the recogniser; no number is accepted by itself."
_MOST = 0.999
_FAINTEST = 1e-4
"""The most and the least chance that is turned into log odds."""
_DOUBTED, _VOUCHED = 0.02, 0.98
"""The least and the most that a witness's chance counts for."""
STRANGE = 0.3
"""From this share on (texts.ReadText.strange) a sheet's hand is strange to the recogniser (docs/reading.md)."""
UNPROVEN = 0.75
"""From this on (RestOfSheet.unproven) nothing but the ink vouches for a number."""
WITNESSED = 0.95
"""The chance that the witness must give such a number."""
_WHOLE = 0.9
"""The least chance after the inference of a reading that is accepted."""
_UNRULED = 0.75
"""The most that a reading's chance counts for where no rule holds: a number, but a sure one to nobody."""
_MARK, _RIVAL = 0.15, 0.3
_HALF = 0.5
"""A reading without the point, or with one, that has this share of the chance of the one chosen is as good."""
_LETTER, _DIGIT = 0.03, 0.02
"""A sign beside the number that may be a letter with the one chance and a digit with the other is not settled."""


@dataclass(frozen=True)
class AcceptanceRule:
    """The weight of each evidence, the level, and the chance from which on a reading is accepted, usually, where sums
    vouch neither for it nor for its hand, and in a hand that is strange to the recogniser; 1 where none is."""

    weights: Mapping[str, float]
    level: float
    enough: float
    enough_unproven: float
    enough_strange: float

    def bar(self, strange: float, unproven: float) -> float:
        usual = self.enough_unproven if unproven >= UNPROVEN else self.enough
        return self.enough_strange if strange >= STRANGE else usual

    def chance(self, seen: Mapping[str, float]) -> float:
        """The chance that a reading is right for which this speaks."""
        weighed = self.level + sum(self.weights[name] * value for name, value in seen.items())
        return 1 / (1 + math.exp(-weighed))

    def accepts(self, seen: Mapping[str, float]) -> bool:
        return vouched(seen) and self.chance(seen) >= self.bar(seen["strange"], seen["unproven"])


@dataclass(frozen=True)
class RestOfSheet:
    """What the rest of a sheet says for one of its numbers. `usual` is the height of most numbers on the page, in the
    same pixels as the number's; `proven` the share of its other numbers with which sums come out: how well this hand is
    read, by a teacher who is no reader."""

    usual: float
    proven: float

    def unproven(self, decision: Decision) -> float:
        """How little the sums vouch for a number and for its hand, from 0 to 1."""
        return 0.0 if decision.sums is Sums.COME_OUT else 1.0 - self.proven


def vouched(seen: Mapping[str, float]) -> bool:
    """Whether not the project's own recogniser alone speaks for a reading: the plan as a whole gives it most of the
    chance, and sums vouch for it or its hand, or else its witness does."""
    whole = seen["together"] >= _logit(_WHOLE, _MOST)
    return whole and (seen["unproven"] < UNPROVEN or seen["witness"] >= _logit(WITNESSED, _VOUCHED))


def rule_of(file: Path, networks: Sequence[Path]) -> AcceptanceRule | None:
    """The rule in a file; None where it was fitted for other networks, or some of these are missing: one alone is surer
    than both together. Where none is there, the other readers are judged by it."""
    told = json.loads(file.read_text())
    there = [path for path in networks if path.exists()]
    if 0 < len(there) < len(networks) or any(
        told["fitted_for"].get(path.name) != digest(path) for path in there
    ):
        return None
    bars = (told["enough"], told["enough_unproven"], told["enough_strange"])
    return AcceptanceRule(told["weights"], told["level"], *bars)


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@lru_cache(maxsize=1)
def rule() -> AcceptanceRule | None:
    """The rule that holds for the weights installed here; None where there is none."""
    return rule_of(RULE, MEMBERS) if RULE.exists() else None


@lru_cache(maxsize=1)
def version() -> str:
    """A name of the readers installed here, which changes with any of their weights and with the rule."""
    there = [path for path in sorted(RULE.parent.iterdir()) if path.suffix in (".onnx", ".npz", ".json")]
    whole = hashlib.sha256("".join(f"{path.name} {digest(path)}" for path in there).encode())
    return f"v-{whole.hexdigest()[:8]}"


def evidence(text: ReadText, decision: Decision, sheet: RestOfSheet) -> dict[str, float]:
    """What speaks for a reading and against it, by name; chances as log odds."""
    key = _plain(decision.text)
    own = next((texts for name, texts in text.votes if name == OwnReader.name), ())
    return {
        "together": _logit(decision.probability, _MOST),
        "own": _logit(_chance(own, key), _MOST),
        "witness": _vouched([_chance(text.witness, key)] if text.witness else []),
        "short": float(_digits(key) <= 2 and not in_feet_or_inches(key)),
        "close": float(text.close),
        "height": abs(math.log(max(text.height, 1.0) / max(sheet.usual, 1.0))),
        "strange": text.strange,
        "unproven": sheet.unproven(decision),
    }


EVIDENCE = (
    "together",
    "own",
    "witness",
    "short",
    "close",
    "height",
    "strange",
    "unproven",
)


def _chance(texts: Sequence[Alternative], key: str) -> float:
    """The chance that an n-best list gives a text."""
    return sum(a.confidence for a in texts if same_number(a.text, key))


def _vouched(chances: Sequence[float]) -> float:
    """The log odds of a chance, neither way where nobody was asked."""
    return sum(_logit(max(p, _DOUBTED), _VOUCHED) for p in chances)


def certainty(text: ReadText, decision: Decision, sheet: RestOfSheet) -> float:
    """The chance from 0 to 1 that the reading is right; what the sums leave it where no rule holds."""
    holds = rule()
    if holds is None:
        return min(decision.probability, _UNRULED)
    return holds.chance(evidence(text, decision, sheet))


def accepted(text: ReadText, decision: Decision, unit: str, sheet: RestOfSheet) -> bool:
    """Whether the reading may be used as it is: likely enough, and with none of the marks of a wrong cut."""
    holds = rule()
    if holds is None or never(text, decision, unit):
        return False
    return holds.accepts(evidence(text, decision, sheet))


def eligible(text: ReadText, decision: Decision, unit: str, sheet: RestOfSheet) -> bool:
    """Whether the certainty alone decides over the reading, by the usual bar: its hand is neither strange nor unproven
    and nothing speaks for a person."""
    usual = text.strange < STRANGE and sheet.unproven(decision) < UNPROVEN
    return rule() is not None and usual and not never(text, decision, unit)


def never(text: ReadText, decision: Decision, unit: str) -> bool:
    """Whether a person must look, however sure the readers are: a single digit may be the rest of a longer number,
    nobody writes such a form, no room has such a length in the sketch's unit, ink is cut off or struck out, or it
    reads as well another way up, or with a point more or less."""
    return (
        _digits(decision.text) < 2
        or not of_a_room(decision.text, unit)
        or not usual_form(decision.text, unit)
        or doubtful_ink(text, decision.text)
    )


def doubtful_ink(text: ReadText, chosen: str) -> bool:
    """Whether the ink is cut off or struck out, or says as well something else than the text chosen."""
    return (
        max(text.own.cut, text.own.struck) > _MARK
        or text.rival > _RIVAL
        or _by_its_point_alone(text, _plain(chosen))
        or _by_a_letter_alone(text, _plain(chosen))
    )


def _by_a_letter_alone(text: ReadText, key: str) -> bool:
    """Whether a sign beside the number may be a letter or a digit of it: "S 89.5" or 589.5."""
    if max((a.confidence for a in text.letters), default=0.0) < _LETTER:
        return False
    others = [a for a in text.own.alternatives if a.confidence > _DIGIT and not same_number(a.text, key)]
    return any(
        _plain(a.text).endswith(key) or _plain(a.text).startswith(key) or key.endswith(_plain(a.text))
        for a in others
    )


def _by_its_point_alone(text: ReadText, key: str) -> bool:
    """Whether the ink may as well say the same digits without their point, or with one: the sums cannot tell a point
    read wrongly from millimetres written among centimetres."""
    chances = {_plain(a.text): a.confidence for a in text.numbers}
    others = (p for other, p in chances.items() if other != key and _bare(other) == _bare(key))
    return max(others, default=0.0) > _HALF * chances.get(key, 0.0)


def _bare(key: str) -> str:
    return key.replace(".", "")


def _digits(text: str) -> int:
    return sum(c.isdigit() for c in text)


def _plain(text: str) -> str:
    return text.replace(",", ".").replace(" ", "")


def _logit(p: float, most: float) -> float:
    inside = min(max(p, _FAINTEST), most)
    return math.log(inside / (1 - inside))
