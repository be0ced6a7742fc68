"""The protocol that every reader keeps, so that any of them may be missing.

A crop is a grey picture (uint8, height x width, paper near 255, ink dark) with the text upright, reading
left to right, cut with a small margin. A reader answers each crop with its n-best list, best first; the
confidences are probabilities that add up to at most 1, and what is left over is the reader's belief that
the ink says none of these.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative, Role
from intake.reading.ctc import Sign
from intake.reading.own import CropReading

Grey = NDArray[np.uint8]
T = TypeVar("T")
_LOG = logging.getLogger(__name__)

VOTE = 2.0
"""How much the vote of the project's own recogniser counts beside another's: it was trained on such crops."""

NUMBER_SIGNS = "0123456789.,"
"""What a bare number is written with."""

LABELLED_SIGNS = NUMBER_SIGNS + "'\"Hhcmfti= "
"""What a number with its label or unit is written with: "H=236", "95.5 cm", 5'3"."""

FRACTION = "½%/"
"""What a half behind a number looks like to a reader of everything."""

HALF_SIGN = "½"

KEYBOARD = NUMBER_SIGNS + HALF_SIGN + "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz'\"=:/+-()& "


class CropReader(Protocol):
    """Reads crops of single numbers."""

    @property
    def name(self) -> str: ...

    def read(self, crops: Sequence[Grey]) -> list[tuple[Alternative, ...]]:
        """One n-best list a crop, in the order given; an empty list where it sees no number."""
        ...


class FirstReader(CropReader, Protocol):
    """Says as well how sure it is that a crop is no number, so that it can be asked first."""

    def read_crops(self, crops: Sequence[Grey]) -> list[CropReading]: ...


class WordReader(CropReader, Protocol):
    """Shows what it sees frame by frame, with no limit on the characters: it tells words from numbers."""

    def frames(self, crops: Sequence[Grey]) -> list[NDArray[np.float32]]:
        """One time x characters array a crop."""
        ...

    def word(self, frames: NDArray[np.float32]) -> Alternative: ...

    def number(self, frames: NDArray[np.float32], signs: str | None = None) -> tuple[Alternative, ...]: ...

    def belief(self, frames: NDArray[np.float32], signs: str) -> float: ...

    def spell(self, frames: NDArray[np.float32]) -> list[Sign]: ...


@dataclass(frozen=True)
class Readers:
    """What there is to read with, any of it or none: those in `crops` vote, `own` is asked first, `words` tells words
    from numbers. `missing` says in a sentence each what is not there and what that costs."""

    crops: tuple[CropReader, ...]
    words: WordReader | None = None
    missing: tuple[str, ...] = ()
    own: FirstReader | None = None
    roles: Mapping[Role, float] = field(default_factory=dict)
    """How many times likelier each role is here than where the readers were trained."""
    slips: Mapping[str, float] = field(default_factory=dict)
    """How many times likelier each kind of slip is here than the catalogue has it (domain/room/catalogue)."""
    vote: float = VOTE
    """How much `own`'s vote counts beside another's."""
    taught: Readers | None = None
    """Those that learned of hands which the others do not know, for sheets in such a hand (texts.is_unknown)."""


class Attendance:
    """Who answers: a reader that fails once is asked no more on this page, and the others go on."""

    def __init__(self) -> None:
        self.failed: dict[str, str] = {}

    def ask(
        self, name: str, answer: Callable[[Sequence[Grey]], list[T]], crops: Sequence[Grey], none: T
    ) -> list[T]:
        """The reader's answers, one a crop; `none` for each where it fails or has failed."""
        if name not in self.failed:
            try:
                found = answer(crops)
                if len(found) != len(crops):
                    raise ValueError(f"{len(found)} answers to {len(crops)} crops")
                return found
            except Exception as why:  # whatever an engine's own library raises
                _LOG.exception("the reader %s failed", name)
                self.failed[name] = (
                    f"The reader {name} failed ({type(why).__name__}); numbers are read without it."
                )
        return [none] * len(crops)
