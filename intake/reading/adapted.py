"""What was learned on one showroom's own labels, laid over the readers that came with the program.

A head on each network's features (the last layer before its spelling), a temperature and a vote, for sheets whose hand
the networks do not know; a line over the certainty of readings, and how many times likelier each role and each kind of
slip is here. Each holds for the weights that it was fitted for alone.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from intake.model.reading import ReadNumber, Role, SketchReading
from intake.reading.installed import MEMBERS, digest, rule
from intake.reading.own import FeatureHead
from intake.reading.readers import VOTE

_CERTAIN = 1e-4
"""No chance is nearer to 0 or 1 than this when its log odds are taken (a guard)."""
_HEADS, TOLD = "heads.npz", "told.json"


@dataclass(frozen=True)
class Adapted:
    """`heads` are by the file name of the weights; `temperature` is of all spelling, relative to the networks' own; the
    networks' vote counts `vote` beside PP-OCR's; `slope` and `level` make log odds of certainty into those of here;
    `roles` and `slips` are how many times likelier each role and each kind of slip is."""

    heads: Mapping[str, FeatureHead] = field(default_factory=dict)
    temperature: float = 1.0
    slope: float = 1.0
    level: float = 0.0
    roles: Mapping[Role, float] = field(default_factory=dict)
    slips: Mapping[str, float] = field(default_factory=dict)
    vote: float = VOTE

    @property
    def name(self) -> str:
        """A name that changes with anything learned."""
        told: list[object] = [
            self.temperature,
            self.slope,
            self.level,
            sorted(self.roles.items()),
        ]
        told += [sorted(self.slips.items())] if self.slips else []
        told += [self.vote] if self.vote != VOTE else []
        whole = hashlib.sha256(json.dumps(told).encode())
        for key, head in sorted(self.heads.items()):
            whole.update(key.encode() + head.weight.tobytes())
        return f"a-{whole.hexdigest()[:8]}"

    @property
    def spells(self) -> bool:
        """Whether any of it changes what is read."""
        return bool(self.heads) or (self.temperature, self.vote) != (1.0, VOTE)

    def certainty(self, confidence: float) -> float:
        """The certainty of a reading as it is here."""
        inside = min(max(confidence, _CERTAIN), 1 - _CERTAIN)
        odds = self.level + self.slope * math.log(inside / (1 - inside))
        return 1 / (1 + math.exp(-odds))

    def as_shipped(self, number: ReadNumber) -> ReadNumber:
        """A number that was read with this as the readers would have had it that came with the program: its certainty
        and the chances of its roles."""
        inside = min(max(number.confidence, _CERTAIN), 1 - _CERTAIN)
        odds = (math.log(inside / (1 - inside)) - self.level) / self.slope
        seen = number.sighting
        if seen is not None:
            less = {role: 1 / times for role, times in self.roles.items()}
            seen = replace(seen, roles=weighed(seen.roles, less))
        sure = 1 / (1 + math.exp(-odds)) if number.eligible else number.confidence
        return replace(number, confidence=sure, sighting=seen)


def over(reading: SketchReading, adapted: Adapted) -> SketchReading:
    """A reading with the certainty of here, and what is accepted by it."""
    holds = rule()
    enough = holds.enough if holds else 1.0
    numbers = tuple(_certain(number, adapted, enough) for number in reading.numbers)
    return replace(reading, numbers=numbers, version=f"{reading.version}+{adapted.name}")


def _certain(number: ReadNumber, adapted: Adapted, enough: float) -> ReadNumber:
    if not number.eligible:
        return number
    sure = adapted.certainty(number.confidence)
    return replace(number, confidence=sure, accepted=sure >= enough)


def weighed(roles: Mapping[Role, float], odds: Mapping[Role, float]) -> dict[Role, float]:
    """Chances of roles (adding up to 1) by how many times likelier each is here."""
    found = {role: p * odds.get(role, 1.0) for role, p in roles.items()}
    total = sum(found.values())
    return {role: p / total for role, p in found.items()} if total else dict(roles)


def save(adapted: Adapted, folder: Path, report: Mapping[str, object]) -> None:
    """Write it to a folder of its own, with what was measured of it."""
    folder.mkdir(parents=True)
    heads: dict[str, Any] = {key: head.weight for key, head in adapted.heads.items()}
    np.savez_compressed(folder / _HEADS, **heads)
    told = {
        "temperature": adapted.temperature,
        "slope": adapted.slope,
        "level": adapted.level,
        "roles": {role.value: odds for role, odds in adapted.roles.items()},
        "slips": dict(adapted.slips),
        "vote": adapted.vote,
        "fitted_for": {path.name: digest(path) for path in MEMBERS},
        "report": report,
    }
    (folder / TOLD).write_text(json.dumps(told, indent=1) + "\n")


def load(folder: Path) -> Adapted | None:
    """What a folder holds; None where it was fitted for other weights than those installed."""
    told = json.loads((folder / TOLD).read_text())
    if any(told["fitted_for"].get(path.name) != digest(path) for path in MEMBERS):
        return None
    with np.load(folder / _HEADS, allow_pickle=False) as kept:
        heads = {key: FeatureHead(np.asarray(kept[key], np.float32)) for key in kept.files}
    roles = {Role(role): float(odds) for role, odds in told["roles"].items()}
    temperature, slope, level = (float(told[name]) for name in ("temperature", "slope", "level"))
    slips = {str(kind): float(times) for kind, times in told.get("slips", {}).items()}
    return Adapted(heads, temperature, slope, level, roles, slips, float(told.get("vote", VOTE)))
