"""How sure a reading is, and whether it may be used without a person looking.

A logistic model over what the readers, the cut and the sums say, fitted by fixtures.training.acceptance on sketches
and plain plans of the validation split, and reported on those of the test split (docs/reading.md).
"""

from __future__ import annotations

import math
import re

from intake.reading.own import OwnReader
from intake.reading.texts import ReadText
from intake.rules.decoding import Decision
from intake.rules.notation import parse_length, usual_form
from intake.rules.written import in_feet_or_inches

ENOUGH = 0.95
"""From this chance on a reading is accepted; chosen on the validation split for half a per cent of silent
errors."""
_WEIGHTS = {
    "together": 0.975,
    "own": 0.071,
    "short": -0.645,
    "edge": -1.137,
    "close": -0.464,
    "height": -1.116,
}
_LEVEL = 0.423
_MOST = 0.999
_MARK, _RIVAL = 0.15, 0.3
_LEAST_MM, _MOST_MM = 15, 10_000
"""Lengths on a plan of a kitchen, bedroom or bathroom lie between these (common practice, no source)."""


def evidence(text: ReadText, decision: Decision, usual: float) -> dict[str, float]:
    """What speaks for a reading and against it, by name; chances as log odds. `usual` is the height of most numbers on
    the page, in the same pixels as the text's."""
    key = _plain(decision.text)
    own = next((texts for name, texts in text.votes if name == OwnReader.name), ())
    return {
        "together": _logit(decision.probability, _MOST),
        "own": _logit(sum(a.confidence for a in own if _plain(a.text) == key), _MOST),
        "short": float(_digits(key) <= 2 and not in_feet_or_inches(key)),
        "edge": float(text.cutting.edge > 0),
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
    reads as well another way up."""
    return (
        _digits(decision.text) < 2
        or not _of_a_room(decision.text, unit)
        or not usual_form(decision.text, unit)
        or max(text.own.cut, text.own.struck) > _MARK
        or text.rival > _RIVAL
    )


def _of_a_room(text: str, unit: str) -> bool:
    """Whether a tape read to half a centimetre gives such a length in a room: "2.51" on a sheet in centimetres has a
    point that is none, "145" on one in metres has lost its own."""
    length = parse_length(text, unit)
    decimals = len(re.sub(r"[^\d.,]", "", text).replace(",", ".").partition(".")[2])
    most = {"mm": 0, "cm": 1}.get(unit, 3)
    return length is not None and _LEAST_MM <= length <= _MOST_MM and decimals <= most


def _digits(text: str) -> int:
    return sum(c.isdigit() for c in text)


def _plain(text: str) -> str:
    return text.replace(",", ".").replace(" ", "")


def _logit(p: float, most: float) -> float:
    inside = min(max(p, 1e-4), most)
    return math.log(inside / (1 - inside))
