"""How values lie in the database: records of a numbered schema, apart from the classes that live in the program.

A record names its schema; one that does not is of schema 1. What a schema is, tests/store/shapes.json keeps: where a
class changes its shape, its schema gets the next number, with a step that brings a record of the old one along, and a
row of the old one is kept to be read for ever (tests/store/rows).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from intake.model.answering import Thread
from intake.model.checklist import ItemEvidence, ItemState
from intake.model.letter import Letter
from intake.model.need import Need
from intake.model.phrase import NOTHING, Phrase
from intake.model.picture import Panorama, Picture
from intake.model.reading import SUM_MISSES, OpeningKind, SketchReading
from intake.store.as_json import from_plain, to_plain

T = TypeVar("T")
Record = dict[str, Any]
Step = Callable[[Record], Record]
"""From a record of one schema to the next."""


@dataclass(frozen=True)
class Schema(Generic[T]):
    """The schema of one kind of record: its number now, and the steps by the number that each starts from. A schema
    that only has further keys, which the class fills where they are missing, needs no step."""

    kind: type[T]
    number: int = 1
    steps: Mapping[int, Step] = field(default_factory=dict)

    def write(self, value: T) -> Record:
        plain: Record = to_plain(value)
        return plain if self.number == 1 else {"schema": self.number} | plain

    def read(self, record: Record) -> T:
        for number in range(record.get("schema", 1), self.number):
            record = self.steps.get(number, dict)(record)
        return from_plain(self.kind, record)


@dataclass(frozen=True)
class KeptStanding:
    """Where one item stands; the item itself is the checklist's, by its id in the row."""

    state: ItemState
    evidence: tuple[ItemEvidence, ...] = ()
    reason: Phrase = NOTHING


def _without_its_item(record: Record) -> Record:
    """Schema 1 held a copy of the checklist's item."""
    return {key: value for key, value in record.items() if key != "item"}


def _words_by_themselves(record: Record) -> Record:
    """Schema 3 held sentences; the customer's own words stand in quotation marks in them."""

    def told(text: str) -> Record | str:
        begins, _, words = text.partition("the customer writes “")
        quoted = {"key": "customer-writes", "gaps": [["words", words.removesuffix("”")]]}
        return text if begins or not words else quoted

    return record | {"evidence": [e | {"text": told(e["text"])} for e in record.get("evidence", ())]}


_ASKS = {
    "shrunk": "picture-shrunk",
    "too-small-to-read": "picture-too-small",
    "blurred": "plan-blurred",
    "dark": "picture-dark",
    "glare": "picture-glare",
    "damaged": "picture-cut-short",
}


def _verdicts_by_key(record: Record) -> Record:
    """Schema 1 held the sentence to the customer, in English; now it is the key of one in config/letters."""
    verdicts = [
        v | {"ask": _ASKS.get(v["code"], "") if v.get("ask") else ""} for v in record.get("verdicts", ())
    ]
    return record | {"verdicts": verdicts}


def _openings_alone(record: Record) -> Record:
    """Schema 2 named the kind of a feature by any word; now each is an opening."""
    outline = record["outline"]
    openings = [f for f in outline.get("features", ()) if f["kind"] in set(OpeningKind)]
    return record | {"outline": outline | {"features": openings}}


def _sums_by_key(record: Record) -> Record:
    """Schema 5 held what the sums said in English; that one misses is told from all else."""

    def told(number: Record) -> Record:
        read = re.fullmatch("Read as (.*); a sum that it is part of does not come out.", number["arithmetic"])
        missed = {"key": SUM_MISSES, "gaps": [["read", read[1]]]} if read else number["arithmetic"]
        return number | {"arithmetic": missed}

    return record | {"numbers": [told(number) for number in record["numbers"]]}


STANDING = Schema(KeptStanding, 4, {1: _without_its_item, 3: _words_by_themselves})
NEED = Schema(Need, 2)
LETTER = Schema(Letter, 9)
PICTURE = Schema(Picture, 5, {1: _verdicts_by_key})
PANORAMA = Schema(Panorama)
READING = Schema(SketchReading, 6, {2: _openings_alone, 5: _sums_by_key})
THREAD = Schema(Thread)
SCHEMAS: Mapping[str, Schema[Any]] = {
    "standing": STANDING,
    "need": NEED,
    "letter": LETTER,
    "picture": PICTURE,
    "panorama": PANORAMA,
    "reading": READING,
    "thread": THREAD,
}
