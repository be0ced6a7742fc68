"""A job index in memory, and a desk that files cards by the rules as the program does."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from intake.domain.mail.grouping import place
from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.model.job import Placement

START = datetime(2026, 3, 2, 9, tzinfo=UTC)


def card(key: str, sender: str = "ann@x.example", hours: float = 0, **more: object) -> Card:
    given: dict[str, object] = {
        "key": key, "id": f"<{key}@x>", "refers": (), "sender": sender, "via": "", "recipients": (),
        "room": RoomKind.UNKNOWN, "topic": "", "named": (), "at": START + timedelta(hours=hours),
    }  # fmt: skip
    return Card(**(given | more))  # type: ignore[arg-type]


@dataclass
class Desk:
    """Files cards and applies what each placement says."""

    filed: dict[str, Card] = field(default_factory=dict)
    sent: dict[str, str] = field(default_factory=dict)
    merged: dict[str, str] = field(default_factory=dict)
    opened: int = 0
    apart: dict[str, Card] = field(default_factory=dict)

    def of_sender(self, email: str, most: int) -> Sequence[Card]:
        return [c for c in self.filed.values() if email in (c.sender, c.via)][-most:]

    def of_job(self, job: str, most: int) -> Sequence[Card]:
        return [c for c in self.filed.values() if c.job == job][-most:]

    def linked(self, ids: Collection[str], own: Collection[str], most: int) -> Sequence[Card]:
        both = {*ids, *own}
        return [c for c in self.filed.values() if c.id in ids or both & {*c.refers}][-most:]

    def wider(self) -> Desk:
        return replace(self, filed=self.filed | self.apart)

    def letters(self, ids: Collection[str]) -> Mapping[str, str]:
        return {i: self.now(self.sent[i]) for i in ids if i in self.sent}

    def jobs(self, references: Collection[str]) -> Mapping[str, str]:
        known = {c.job for c in self.filed.values()} | set(self.merged)
        return {r: self.now(r) for r in references if r in known}

    def now(self, job: str) -> str:
        while job in self.merged:
            job = self.merged[job]
        return job

    def file(self, new: Card) -> Placement:
        found = place(new, self)
        if found.job is None and new.automatic:
            self.apart[new.key] = new
            return found
        job = found.job or self._open()
        self.filed[new.key] = replace(new, job=job)
        for gone in found.merges:
            self.merged[gone] = job
            for c in self.of_job(gone, 10**6):
                self.filed[c.key] = replace(c, job=job)
        for move in found.moves:
            to = job if move.job == "" else move.job or self._open()
            for key in move.messages:
                self.filed[key] = replace(self.filed.get(key) or self.apart.pop(key), job=to)
        return found

    def write(self, job: str, letter: str) -> None:
        """A letter about a job goes out: what it is about stays together from now on."""
        self.sent[letter] = job
        for c in self.of_job(job, 10**6):
            self.filed[c.key] = replace(c, fixed=True)

    def _open(self) -> str:
        self.opened += 1
        return f"R-{self.opened:05d}"

    def partition(self) -> frozenset[frozenset[str]]:
        jobs = {c.job for c in self.filed.values()}
        grouped = {frozenset(c.key for c in self.of_job(job, 10**6)) for job in jobs}
        return frozenset(grouped | {frozenset({key}) for key in self.apart})


def filed(cards: Iterable[Card]) -> Desk:
    desk = Desk()
    for each in cards:
        desk.file(each)
    return desk
