"""What is wrong with the customer's material, as a value. An exception means that our own system failed."""

from __future__ import annotations

from dataclasses import dataclass

from intake.model.phrase import Phrase


@dataclass(frozen=True)
class Finding:
    """`code` is a stable kebab-case word; `text` what to say of it; `numbers` index the reading's numbers."""

    code: str
    text: Phrase
    numbers: tuple[int, ...] = ()
