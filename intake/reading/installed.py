"""Which of the project's own readers are installed here, and the rule that holds for them.

Apart from the readers themselves, which take half a second to load: whoever files mail or sends a letter asks for no
more than these.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from intake.reading.adapted import Adapted

WEIGHTS = Path(__file__).parent / "weights" / "recogniser.onnx"
MEMBERS = (WEIGHTS, WEIGHTS.with_name("recogniser-second.onnx"))
RULE = WEIGHTS.with_name("acceptance.json")
STALE = "The acceptance rule was fitted for other weights of the recogniser; no number is accepted by itself."
MOST = 0.999
_FAINTEST = 1e-4
"""The most and the least chance that is turned into log odds."""
VOUCHED = 0.98
"""The most that a witness's chance counts for."""
STRANGE = 0.3
"""From this share on (texts.ReadText.strange) a sheet's hand is strange to the recogniser (docs/reading.md)."""
UNPROVEN = 0.75
"""From this on (RestOfSheet.unproven) nothing but the ink vouches for a number."""
WITNESSED = 0.95
"""The chance that the witness must give such a number."""
_WHOLE = 0.9
"""The least chance after the inference of a reading that is accepted."""


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
        bar = self.bar(seen["strange"], seen["unproven"])
        return vouched(seen) and bar < 1 and self.chance(seen) >= bar


def vouched(seen: Mapping[str, float]) -> bool:
    """Whether not the project's own recogniser alone speaks for a reading: the plan as a whole gives it most of the
    chance, and sums vouch for it or its hand, or else its witness does."""
    whole = seen["together"] >= logit(_WHOLE, MOST)
    return whole and (seen["unproven"] < UNPROVEN or seen["witness"] >= logit(WITNESSED, VOUCHED))


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


def version_of(adapted: Adapted | None) -> str:
    """The version of the readers with what was learned laid over them."""
    return version() if adapted is None else f"{version()}+{adapted.name}"


def logit(p: float, most: float) -> float:
    """The log odds of a chance, not beyond the faintest and the most."""
    inside = min(max(p, _FAINTEST), most)
    return math.log(inside / (1 - inside))
