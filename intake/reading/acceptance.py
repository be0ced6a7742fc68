"""How sure a reading is, and whether it may be used without a person looking.

A logistic model over what the readers, their witness, the cut and the sums say, fitted by fixtures.training.acceptance
on sheets of the validation split, and reported on those of the test split (docs/reading.md). Its weights lie beside the
recognisers' and hold for these alone: for others nothing is accepted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from intake.domain.lengths.notation import of_a_room, usual_form
from intake.domain.lengths.written import in_feet_or_inches
from intake.domain.sketch.meaning import ALONG, Meaning
from intake.domain.sketch.settled import MAYBE_OF_A_WALL, settled
from intake.domain.sketch.what_numbers_measure import Inferred as Decision
from intake.domain.sketch.what_numbers_measure import Sums
from intake.model.reading import Alternative, Role
from intake.reading.installed import MOST, STRANGE, UNPROVEN, VOUCHED, WITNESSED, logit, rule, vouched
from intake.reading.own import OwnReader
from intake.reading.texts import ReadText, bears_out, is_half, same_number

_DOUBTED = 0.02
"""The least that a witness's chance counts for."""
_UNRULED = 0.75
"""The most that a reading's chance counts for where no rule holds: a number, but a sure one to nobody."""
_MARK, _RIVAL = 0.15, 0.3
_HALF = 0.5
"""A reading without the point, or with one, that has this share of the chance of the one chosen is as good."""
_READS_ON = 0.3
"""The chance from which on a witness's reading that goes on behind the one chosen leaves it open: such ink is cut off,
or a fraction that one reader does not know (52½ as 52, and as 521)."""
_LETTER, _DIGIT = 0.03, 0.02
"""A sign beside the number that may be a letter with the one chance and a digit with the other is not settled."""


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


def evidence(text: ReadText, decision: Decision, sheet: RestOfSheet) -> dict[str, float]:
    """What speaks for a reading and against it, by name; chances as log odds."""
    key = _plain(decision.text)
    own = next((texts for name, texts in text.votes if name == OwnReader.name), ())
    unproven = sheet.unproven(decision)
    return {
        "together": logit(decision.probability, MOST),
        "own": logit(_chance(own, key), MOST),
        "witness": _vouched([_borne_out(text, key, exactly=unproven >= UNPROVEN)] if text.witness else []),
        "short": float(_digits(key) <= 2 and not in_feet_or_inches(key)),
        "close": float(text.close),
        "height": abs(math.log(max(text.height, 1.0) / max(sheet.usual, 1.0))),
        "strange": text.strange,
        "unproven": unproven,
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


def _borne_out(text: ReadText, key: str, exactly: bool = False) -> float:
    """The chance that the witness gives a text; of a half, unless `exactly`, the chance of its whole part. Where sums
    vouch for nothing, 915 does not bear out 91 and a small raised 5."""
    says = same_number if exactly else bears_out
    return sum(a.confidence for a in text.witness if says(a.text, key))


def _vouched(chances: Sequence[float]) -> float:
    """The log odds of a chance, neither way where nobody was asked."""
    return sum(logit(max(p, _DOUBTED), VOUCHED) for p in chances)


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
    """Whether the certainty alone decides over the reading, by the usual bar: its hand is neither strange nor unproven,
    the plan as a whole vouches for it, and nothing speaks for a person."""
    usual = text.strange < STRANGE and sheet.unproven(decision) < UNPROVEN
    vouches = usual and vouched(evidence(text, decision, sheet))
    return rule() is not None and vouches and not never(text, decision, unit)


def never(text: ReadText, decision: Decision, unit: str) -> bool:
    """Whether a person must look, however sure the readers are: a single digit may be the rest of a longer number,
    nobody writes such a form, no room has such a length in the sketch's unit, ink is cut off or struck out, it reads as
    well another way up, or with a digit less and no sums come out with it, or with a point more or less, sums speak
    against it and its witness not for it, it is left out of a wall that it may be a piece of, or may be of another."""
    return (
        _spoken_against(text, decision)
        or maybe_of_a_wall(decision)
        or _unsettled(decision)
        or text.rival > _RIVAL
        or (text.shorter > _RIVAL and decision.sums is not Sums.COME_OUT)
        or _digits(decision.text) < 2
        or not of_a_room(decision.text, unit)
        or not usual_form(decision.text, unit)
        or doubtful_ink(text, decision.text)
    )


def maybe_of_a_wall(decision: Decision) -> bool:
    """Whether a number that is taken for no length of a wall may be a section of one: the wall would be too short, and
    the room may close nevertheless where the wall over against it lacks as much."""
    taken = decision.meaning.role in (Role.SECTION, Role.OVERALL)
    return not taken and any(
        m.role is Role.SECTION and chance >= MAYBE_OF_A_WALL for m, chance in decision.others
    )


def _unsettled(decision: Decision) -> bool:
    """Whether a length along a wall may as well be another wall's, or no wall's."""
    meaning = decision.meaning
    others = ((m.role, _where(m), chance) for m, chance in decision.others)
    return meaning.role in ALONG and not settled(_where(meaning), decision.sure, others)


def _where(meaning: Meaning) -> int | tuple[int, int] | None:
    return meaning.levels if meaning.wall is None else meaning.wall


def _spoken_against(text: ReadText, decision: Decision) -> bool:
    """Whether the sums that a number is part of do not come out, and its witness is not sure of it: of 164 accepted
    numbers of 239 sheets drawn by somebody else with which sums miss this was so of 22, four of them wrong, and two of
    the rest."""
    return decision.sums is Sums.MISS and _borne_out(text, _plain(decision.text)) < WITNESSED


def doubtful_ink(text: ReadText, chosen: str) -> bool:
    """Whether the ink is cut off or struck out, or says as well something else than the text chosen."""
    return (
        max(text.own.cut, text.own.struck) > _MARK
        or text.more_in_line
        or _by_its_point_alone(text, _plain(chosen))
        or _by_a_letter_alone(text, _plain(chosen))
        or _read_on(text, _plain(chosen))
    )


def _read_on(text: ReadText, key: str) -> bool:
    """Whether the witness reads more digits behind those of the text chosen. Sums do not tell half a centimetre: of
    1,143 accepted numbers on 80 sheets drawn by somebody else this was so of five, four of them wrong, and of 3,605 on
    239 by another of one, which was right."""
    longer = (a.confidence for a in text.witness if _goes_on(_plain(a.text), key))
    return key.isdigit() and sum(longer) >= _READS_ON


def _goes_on(other: str, key: str) -> bool:
    return other.startswith(key) and _digits(other) > _digits(key)


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
    read wrongly from millimetres written among centimetres. Of a half the project's own recogniser says so, since to
    PP-OCR a small raised 5 is one of the digits."""
    alone = is_half(key) and text.own.alternatives
    chances = {_plain(a.text): a.confidence for a in (text.own.alternatives if alone else text.numbers)}
    others = (
        p for other, p in chances.items() if other != key and _without_point(other) == _without_point(key)
    )
    return max(others, default=0.0) > _HALF * chances.get(key, 0.0)


def _without_point(key: str) -> str:
    return key.replace(".", "")


def _digits(text: str) -> int:
    return sum(c.isdigit() for c in text)


def _plain(text: str) -> str:
    return text.replace(",", ".").replace(" ", "")
