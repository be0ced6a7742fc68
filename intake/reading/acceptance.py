"""How sure a reading is, and whether it may be used without a person looking.

A logistic model over what the readers, the cut and the sums say, fitted by fixtures.training.acceptance on sketches
and plain plans of the validation split, and reported on those of the test split (docs/reading.md).
"""

from __future__ import annotations

import math

from intake.domain.lengths.notation import of_a_room, usual_form
from intake.domain.lengths.written import in_feet_or_inches
from intake.domain.sketch.inference import Inferred as Decision
from intake.reading.own import OwnReader
from intake.reading.texts import ReadText

ENOUGH = 0.96
"""From this chance on a reading is accepted; chosen on the validation split for half a per cent of silent
errors."""
_WEIGHTS = {
    "together": 0.704,
    "own": 0.061,
    "short": -0.565,
    "close": -0.239,
    "height": -2.246,
}
_LEVEL = 0.989
_MOST = 0.999
_MARK, _RIVAL = 0.15, 0.3
_HALF = 0.5
"""A reading without the point, or with one, that has this share of the chance of the one chosen is as good."""


def evidence(text: ReadText, decision: Decision, usual: float) -> dict[str, float]:
    """What speaks for a reading and against it, by name; chances as log odds. `usual` is the height of most numbers on
    the page, in the same pixels as the text's."""
    key = _plain(decision.text)
    own = next((texts for name, texts in text.votes if name == OwnReader.name), ())
    return {
        "together": _logit(decision.probability, _MOST),
        "own": _logit(sum(a.confidence for a in own if _plain(a.text) == key), _MOST),
        "short": float(_digits(key) <= 2 and not in_feet_or_inches(key)),
        "close": float(text.close),
        "height": abs(math.log(max(text.height, 1.0) / max(usual, 1.0))),
    }


EVIDENCE = tuple(_WEIGHTS)


def certainty(text: ReadText, decision: Decision, usual: float) -> float:
    """The chance from 0 to 1 that the reading is right."""
    weighed = _LEVEL + sum(_WEIGHTS[name] * value for name, value in evidence(text, decision, usual).items())
    return 1 / (1 + math.exp(-weighed))


def accepted(text: ReadText, decision: Decision, unit: str, usual: float) -> bool:
    """Whether the reading may be used as it is: likely enough, and with none of the marks of a wrong cut."""
    return not never(text, decision, unit) and certainty(text, decision, usual) >= ENOUGH


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
    inside = min(max(p, 1e-4), most)
    return math.log(inside / (1 - inside))
