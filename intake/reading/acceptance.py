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
from intake.domain.sketch.inference import Inferred as Decision
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
_MARK, _RIVAL = 0.15, 0.3
_HALF = 0.5
"""A reading without the point, or with one, that has this share of the chance of the one chosen is as good."""
_LETTER, _DIGIT = 0.03, 0.02
"""A sign beside the number that may be a letter with the one chance and a digit with the other is not settled."""


@dataclass(frozen=True)
class AcceptanceRule:
    """The weight of each evidence, the level, and the chance from which on a reading is accepted, on most sheets and on
    those in a hand that is strange to the recogniser; 1 where none is."""

    weights: Mapping[str, float]
    level: float
    enough: float
    enough_strange: float

    def bar(self, strange: float) -> float:
        return self.enough_strange if strange >= STRANGE else self.enough


def rule_of(file: Path, networks: Sequence[Path]) -> AcceptanceRule | None:
    """The rule in a file; None where it was fitted for other networks than those of these that are there."""
    told = json.loads(file.read_text())
    there = [path for path in networks if path.exists()]
    if any(told["fitted_for"].get(path.name) != digest(path) for path in there):
        return None
    return AcceptanceRule(told["weights"], told["level"], told["enough"], told["enough_strange"])


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


def evidence(text: ReadText, decision: Decision, usual: float) -> dict[str, float]:
    """What speaks for a reading and against it, by name; chances as log odds. `usual` is the height of most numbers on
    the page, in the same pixels as the text's."""
    key = _plain(decision.text)
    own = next((texts for name, texts in text.votes if name == OwnReader.name), ())
    return {
        "together": _logit(decision.probability, _MOST),
        "own": _logit(_chance(own, key), _MOST),
        "witness": _vouched([_chance(text.witness, key)] if text.witness else []),
        "short": float(_digits(key) <= 2 and not in_feet_or_inches(key)),
        "close": float(text.close),
        "height": abs(math.log(max(text.height, 1.0) / max(usual, 1.0))),
        "strange": text.strange,
    }


EVIDENCE = ("together", "own", "witness", "short", "close", "height", "strange")


def _chance(texts: Sequence[Alternative], key: str) -> float:
    """The chance that an n-best list gives a text."""
    return sum(a.confidence for a in texts if same_number(a.text, key))


def _vouched(chances: Sequence[float]) -> float:
    """The log odds of a chance, neither way where nobody was asked."""
    return sum(_logit(max(p, _DOUBTED), _VOUCHED) for p in chances)


def certainty(text: ReadText, decision: Decision, usual: float) -> float:
    """The chance from 0 to 1 that the reading is right; what the sums leave it where no rule holds."""
    holds = rule()
    if holds is None:
        return min(decision.probability, _HALF)
    seen = evidence(text, decision, usual)
    weighed = holds.level + sum(holds.weights[name] * value for name, value in seen.items())
    return 1 / (1 + math.exp(-weighed))


def accepted(text: ReadText, decision: Decision, unit: str, usual: float) -> bool:
    """Whether the reading may be used as it is: likely enough, and with none of the marks of a wrong cut."""
    holds = rule()
    if holds is None or never(text, decision, unit):
        return False
    return certainty(text, decision, usual) >= holds.bar(text.strange)


def eligible(text: ReadText, decision: Decision, unit: str) -> bool:
    """Whether the certainty alone decides over the reading: its hand is not strange and nothing speaks for a
    person."""
    return rule() is not None and text.strange < STRANGE and not never(text, decision, unit)


def never(text: ReadText, decision: Decision, unit: str) -> bool:
    """Whether a person must look, however sure the readers are: a single digit may be the rest of a longer number,
    nobody writes such a form, no room has such a length in the sketch's unit, ink is cut off or struck out, or it
    reads as well another way up, or with a point more or less."""
    return (
        _digits(decision.text) < 2
        or not of_a_room(decision.text, unit)
        or not usual_form(decision.text, unit)
        or max(text.own.cut, text.own.struck) > _MARK
        or text.rival > _RIVAL
        or _by_its_point_alone(text, _plain(decision.text))
        or _by_a_letter_alone(text, _plain(decision.text))
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
