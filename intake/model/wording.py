"""The words of one language, for letters and for the desk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from intake.model.phrase import Gap, Phrase

if TYPE_CHECKING:
    from intake.model.checklist import ChecklistItem


@dataclass(frozen=True)
class Wording:
    """`sentences` and `cautions` are by key, with {named} gaps; `items` holds
    (item id, field) with field title, ask, how or why, where they are not the checklist's own."""

    language: str
    sentences: Mapping[str, str]
    cautions: Mapping[str, str]
    items: Mapping[tuple[str, str], str]

    def say(self, key: str, /, **gaps: object) -> str:
        """The sentence `key` with its gaps filled. Raises KeyError where the key or a gap is unknown."""
        return self.sentences[key].format(**gaps)

    def worded(self, phrase: Phrase) -> str:
        """The phrase in words; a gap without any leaves no blank. Raises KeyError where a key of it is unknown."""
        gaps = {name: self._filled(gap) for name, gap in phrase.gaps}
        return " ".join(self.say(phrase.key, **gaps).split())

    def _filled(self, gap: Gap) -> str | int:
        if isinstance(gap, tuple):
            return ", ".join(str(self._filled(each)) for each in gap)
        return self.worded(gap) if isinstance(gap, Phrase) else gap

    def of(self, item: ChecklistItem, field: str) -> str:
        """The words of an item: title, ask, how or why."""
        return self.items.get((item.id, field)) or str(getattr(item, field))
