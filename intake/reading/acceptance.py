"""How sure a reading is, and whether it may be used without a person looking.

A logistic model over what the readers, the cut and the sums say, fitted on hands, papers and layouts of the
validation split and on plainer plans, and reported on those of the test split (docs/reading.md: how it was
fitted, reliability diagram).
"""

from __future__ import annotations

import math

from intake.reading.texts import ReadText
from intake.rules.decoding import Decision
from intake.rules.notation import likelihood_of_form

ENOUGH = 0.95
"""From this chance on a reading is accepted; chosen on the validation split for half a per cent of silent
errors."""
_WEIGHTS = {
    "together": 0.318,
    "least": 0.0,
    "agree": 0.33,
    "fits": 0.45,
    "short": -1.663,
    "edge": -1.353,
    "labelled": 0.0,
    "number": 0.303,
}
_LEVEL = 0.636
_MOST = 0.999
_MARK, _RIVAL = 0.15, 0.3


def evidence(text: ReadText, decision: Decision) -> dict[str, float]:
    """What speaks for a reading and against it, by name; chances as log odds."""
    key = _plain(decision.text)
    chances = [sum(a.confidence for a in texts if _plain(a.text) == key) for _, texts in text.votes]
    firsts = [_plain(texts[0].text) == key for _, texts in text.votes if texts]
    return {
        "together": _logit(decision.probability, _MOST),
        "least": _logit(min(chances, default=0.0), _MOST),
        "agree": float(bool(firsts) and all(firsts)),
        "fits": float(min(decision.fits, 2)),
        "short": float(_digits(key) <= 2),
        "edge": float(text.cutting.edge > 0),
        "labelled": float(bool(text.label)),
        "number": _logit(text.belief, 0.99),
    }


def certainty(text: ReadText, decision: Decision) -> float:
    """The chance from 0 to 1 that the reading is right."""
    weighed = _LEVEL + sum(_WEIGHTS[name] * value for name, value in evidence(text, decision).items())
    return 1 / (1 + math.exp(-weighed))


def accepted(text: ReadText, decision: Decision) -> bool:
    """Whether the reading may be used as it is: likely enough, and with none of the marks of a wrong cut.

    A single digit may be the rest of a longer number, readers that differ have seen different ink, and 61
    upside down is 19: such readings a person looks at, however sure the readers are.
    """
    doubtful = (
        _digits(decision.text) < 2
        or likelihood_of_form(decision.text) < 1
        or not evidence(text, decision)["agree"]
        or max(text.own.cut, text.own.struck) > _MARK
        or text.rival > _RIVAL
    )
    return not doubtful and certainty(text, decision) >= ENOUGH


def _digits(text: str) -> int:
    return sum(c.isdigit() for c in text)


def _plain(text: str) -> str:
    return text.replace(",", ".").replace(" ", "")


def _logit(p: float, most: float) -> float:
    inside = min(max(p, 1e-4), most)
    return math.log(inside / (1 - inside))
