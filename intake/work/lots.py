"""Lots for the numbers of a sketch just read, and what blind looks have shown to be misread."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from random import SystemRandom

from intake.domain.inspection.evidence import Evidence, accepted
from intake.domain.inspection.looks import IN_TIME, is_slip, is_wrong, settled_as, verdict
from intake.domain.inspection.lots import drawn, hand_of, share, taking_part
from intake.domain.inspection.packing import packed, waiting_in, with_verdicts
from intake.model.inspection import CountedLot, Lot, Verdict
from intake.model.need import Need, NeedKind
from intake.model.phrase import phrase
from intake.model.reading import SketchReading
from intake.model.word import NumberWord, PlanNumber, Word
from intake.store.database import Tables
from intake.store.inspection import Inspection
from intake.work.services import Services

MISREAD = phrase("need-misread")


def draw_lots(services: Services, tables: Tables, picture: str, reading: SketchReading) -> None:
    """Draw lots for the numbers of a sketch that was just read: those on which they fall will be looked at."""
    first = services.policy.inspection.first
    numbers = taking_part(reading)
    if not first or not numbers:
        return
    known = known_of(tables, reading.version, services.clock())
    hand = hand_of(reading)
    chance = share(hand, known.seen(accepted), first, services.policy.inspection.promise)
    lot = Lot(picture, services.clock(), reading.version, reading.paper, hand, reading.unit, chance)
    taken = drawn(list(numbers), [SystemRandom().random() for _ in numbers], chance)
    read = {i: (reading.numbers[i].text, numbers[i]) for i in taken}
    Inspection(tables.db).draw(lot, packed(numbers, taken), read)


def known_of(tables: Tables, version: str | None, now: datetime) -> Evidence:
    """What lots and looks tell of the readers of one version, or of all."""
    waits = Inspection(tables.db).open_lots(now - IN_TIME, version)
    return _up_to(waits, Inspection(tables.db).counted(None, _first(waits), version))


def known_of_one(tables: Tables, version: str, whole: Evidence, now: datetime) -> Evidence:
    """What they tell of the readers of one version, where it is known what they tell of all: these wait for numbers of
    other versions, too."""
    rows = Inspection(tables.db)
    every, waits = rows.open_lots(now - IN_TIME), rows.open_lots(now - IN_TIME, version)
    after = rows.counted(_first(every), _first(waits), version) if every else []
    return _up_to(waits, [*(lot for lot in whole.lots if lot.version == version), *after])


def _first(waits: Sequence[tuple[datetime, bytes]]) -> datetime | None:
    return waits[0][0] if waits else None


def _up_to(waits: Sequence[tuple[datetime, bytes]], lots: Sequence[CountedLot]) -> Evidence:
    return Evidence(tuple(lots), sum(waiting_in(numbers) for _, numbers in waits))


def settle_looks(tables: Tables, lot: Lot, now: datetime) -> None:
    """Keep with a lot what the looks at its numbers say now."""
    rows = Inspection(tables.db)
    numbers = rows.hold(lot.picture)
    said = {
        check.number: (verdict(check, lot.unit, lot.at, now), is_slip(check, lot.unit))
        for check in rows.checks_on([lot.picture])
    }
    open_ = any(each is Verdict.WAITING for each, _ in said.values())
    rows.settle(lot.picture, with_verdicts(numbers, said), open_)


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
