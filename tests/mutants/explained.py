"""Faults that change nothing that anybody could see, found when no test noticed them; each with the reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Explained:
    """The line, without the blanks round it, and what it becomes."""

    line: str
    becomes: str
    why: str


EXPLAINED: Mapping[str, tuple[Explained, ...]] = {}
"""By file of the domain."""
