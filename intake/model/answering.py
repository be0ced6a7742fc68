"""Whether a message may be answered."""

from __future__ import annotations

from dataclasses import dataclass

AT_THE_DESK = "at-the-desk"
"""The rule of a message that the desk wrote of what came another way than by mail."""


@dataclass(frozen=True)
class Standing:
    """How a message stands to being answered: `verdict` is may, hold or never; `reason` a sentence; `rule` its name."""

    verdict: str
    reason: str = ""
    rule: str = ""
