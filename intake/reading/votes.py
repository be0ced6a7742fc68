"""How what several readers say of one crop is put together."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.lengths.notation import likelihood_of_form
from intake.model.reading import Alternative
from intake.reading.own import CropReading

_ENOUGH = 0.95
"""A reading that the project's own recogniser is so sure of stands without other votes."""
_HANDED_ON = 0.7
"""How much of the chance that strange forms lose goes to the ordinary ones (set by hand)."""


def stands_alone(own: CropReading) -> bool:
    """Whether the project's own recogniser is so sure of a text that no other reader votes on it."""
    return bool(own.alternatives) and min(own.alternatives[0].confidence, own.alone) >= _ENOUGH


def as_number(own: CropReading) -> tuple[Alternative, ...]:
    """What the project's own recogniser says, given that the crop is a number."""
    return scaled(own.alternatives, 1 / max(1 - own.not_a_number, 1e-6))


def scaled(alternatives: Sequence[Alternative], by: float) -> tuple[Alternative, ...]:
    """The same texts, each with so many times its chance, which is 1 at most."""
    return tuple(Alternative(a.text, min(1.0, a.confidence * by)) for a in alternatives)


def agreed(
    lists: Sequence[Sequence[Alternative]], weights: Sequence[float] = (), feet: bool = False
) -> tuple[Alternative, ...]:
    """The mean of several n-best lists, a strange form (on a sketch in `feet` or not) losing; a comma and a point say
    the same, and are spelled as the likelier one was."""
    if not lists:
        return ()
    whole = sum(weights) or float(len(lists))
    total: dict[str, float] = {}
    spelled: dict[str, Alternative] = {}
    for alternatives, weight in zip(lists, weights or [1.0] * len(lists), strict=True):
        for a in alternatives:
            key = a.text.replace(",", ".").replace(" ", "")
            total[key] = total.get(key, 0.0) + a.confidence * weight / whole
            if key not in spelled or a.confidence > spelled[key].confidence:
                spelled[key] = a
    believed = {key: p * likelihood_of_form(spelled[key].text, feet) for key, p in total.items()}
    # What a strange form loses goes to the ordinary ones only in part: the rest says "none of these".
    lost = 1 - _HANDED_ON * (sum(total.values()) - sum(believed.values()))
    ranked = sorted(believed.items(), key=lambda kv: -kv[1])
    return tuple(
        Alternative(spelled[key].text, min(1.0, p / max(lost, 1 - _HANDED_ON))) for key, p in ranked[:10]
    )
