"""How sure a reading is, and whether it may be used without a person looking.

A logistic model over what the readers, the cut and the sums say, fitted on hands, papers and layouts of the
validation split and reported on those of the test split (docs/reading.md: reliability diagram, how to fit it
again).
"""

from __future__ import annotations

import math

from intake.reading.texts import ReadText
from intake.rules.decoding import Decision
from intake.rules.notation import likelihood_of_form

ENOUGH = 0.995


def evidence(text: ReadText, decision: Decision) -> dict[str, float]:
    """What speaks for a reading and against it, by name."""
    key = _plain(decision.text)
    chances = [sum(a.confidence for a in texts if _plain(a.text) == key) for _, texts in text.votes]
    firsts = [_plain(texts[0].text) == key for _, texts in text.votes if texts]
    return {
        "together": _logit(decision.probability),
        "alone": _logit(decision.alone),
        "least": _logit(min(chances, default=0.0)),
        "agree": float(bool(firsts) and all(firsts)),
        "fits": float(min(decision.fits, 2)),
        "number": _logit(text.belief),
        "cut": text.own.cut,
        "struck": text.own.struck,
        "clean": text.cutting.clean,
        "edge": text.cutting.edge,
        "point": float("." in key),
        "length": float(len(key)),
        "labelled": float(bool(text.label)),
        "form": float(likelihood_of_form(decision.text) >= 1),
    }


def certainty(text: ReadText, decision: Decision) -> float:
    """The chance from 0 to 1 that the reading is right."""
    return float(min(decision.probability, 0.999))


def accepted(sure: float) -> bool:
    return sure >= ENOUGH


def _plain(text: str) -> str:
    return text.replace(",", ".").replace(" ", "")


def _logit(p: float) -> float:
    inside = min(max(p, 1e-4), 1 - 1e-4)
    return math.log(inside / (1 - inside))
