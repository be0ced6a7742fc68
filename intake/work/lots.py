"""Lots for the numbers of a sketch just read, and what blind looks have shown to be misread."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from random import SystemRandom

from intake.domain.inspection.evidence import Evidence, accepted, evidence
from intake.domain.inspection.looks import is_wrong, settled_as
from intake.domain.inspection.lots import drawn, hand_of, share, taking_part
from intake.model.inspection import Lot
from intake.model.need import Need, NeedKind
from intake.model.reading import SketchReading
from intake.model.word import NumberWord, PlanNumber, Word
from intake.store.database import Tables
from intake.store.inspection import Inspection
from intake.work.services import Services

MISREAD = "Two blind looks at an accepted number read something else than the program did."


def draw_lots(services: Services, tables: Tables, picture: str, reading: SketchReading) -> None:
    """Draw lots for the numbers of a sketch that was just read: those on which they fall will be looked at."""
    first = services.policy.inspection.first
    numbers = taking_part(reading)
    if not first or not numbers:
        return
    known = known_of(tables, reading.version, services.clock())
    hand = hand_of(reading)
    chance = share(hand, known.seen(accepted), first, services.policy.inspection.promise)
    lot = Lot(
        picture,
        services.clock(),
        reading.version,
        reading.paper,
        hand,
        reading.unit,
        chance,
        tuple(numbers.values()),
    )
    taken = drawn(list(numbers), [SystemRandom().random() for _ in numbers], chance)
    Inspection(tables.db).draw(lot, {i: (reading.numbers[i].text, numbers[i]) for i in taken})


def known_of(tables: Tables, version: str | None, now: datetime) -> Evidence:
    """What lots and looks tell of the readers of one version, or of all."""
    rows = Inspection(tables.db)
    return evidence(rows.lots(version), rows.checks(version), now)


def misread(tables: Tables, pictures: Sequence[str], words: Sequence[Word]) -> list[Need]:
    """What waits for a person because blind looks have shown that it was misread, and nobody has settled it since."""
    rows = Inspection(tables.db)
    settled = {w.number for w in words if isinstance(w, NumberWord) and (w.says or w.not_a_number)}
    found = []
    for check in rows.checks_on(pictures) if pictures else ():
        lot = rows.lot(check.picture)
        if lot is None or not check.weighed.accepted or PlanNumber(check.picture, check.number) in settled:
            continue
        if is_wrong(check, lot.unit):
            text = f"{check.read} was accepted; looked at blind it says {settled_as(check)}."
            found.append(Need(NeedKind.MISREAD, text, MISREAD, f"{check.picture}#{check.number}"))
    return found
