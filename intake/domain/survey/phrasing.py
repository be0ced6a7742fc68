"""How the parts of a letter's sentences are put together, in any language."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.lengths.notation import format_cm
from intake.model.checklist import ChecklistItem
from intake.model.letter import Ask
from intake.model.wording import Wording


def joined(parts: Sequence[str], joint: str, wording: Wording) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return wording.say(joint, first=", ".join(parts[:-1]), last=parts[-1])


def small(title: str, wording: Wording) -> str:
    """A title inside a sentence; German keeps its capitals, and "WC" everywhere."""
    return title[:1].lower() + title[1:] if wording.language == "en" and not title[:2].isupper() else title


def offered(value_mm: int, unit: str) -> str:
    """A length as one would write it on a plan in this unit, named unless that is centimetres."""
    return {"mm": f"{value_mm} mm", "m": f"{value_mm / 1000:g} m"}.get(unit, format_cm(value_mm))


def written(value_mm: int, unit: str) -> str:
    """The same with its unit always."""
    text = offered(value_mm, unit)
    return text if text.endswith("m") else f"{text} cm"


def ask_for(item: ChecklistItem, wording: Wording) -> Ask:
    """The request for an item in the checklist's words."""
    return Ask(
        item.id,
        wording.of(item, "ask"),
        wording.of(item, "how"),
        wording.of(item, "why"),
        drawing=item.drawing,
    )
