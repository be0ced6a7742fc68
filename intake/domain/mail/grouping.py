"""Which job a message belongs to, and why. Never by subject alone; where it is unsure it offers and does not merge.

The jobs are a function of the set of messages, whatever order they arrive in: the neighbourhood of a new message
(what shares its sender or its thread) is grouped as a whole, and what was placed before is moved where the whole
shows better.
What a designer decided, or what a letter has gone out about, stays where it is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import timedelta
from typing import Protocol

from intake.domain.mail.clusters import Cluster, cluster
from intake.domain.mail.which_room import room_named, rooms_in
from intake.model.card import Card
from intake.model.job import Move, Placement, PlacementRule
from intake.model.phrase import phrase

__all__ = ["MOST_CARDS", "JobIndex", "place", "room_named", "rooms_in"]

NEW = phrase("new-job")
MOST_CARDS = 300
"""Cards of one neighbourhood that are grouped together; one sender with more is a robot, not a customer."""


class JobIndex(Protocol):
    """Indexed look-ups into what is already filed; each costs the same however many jobs there are."""

    def of_sender(self, email: str, most: int) -> Sequence[Card]:
        """Messages credited to an address or forwarded by it, the latest `most` of them."""
        ...

    def of_job(self, job: str, most: int) -> Sequence[Card]:
        """The messages of a job, the latest `most` of them."""
        ...

    def linked(self, ids: Collection[str], own: Collection[str], most: int) -> Sequence[Card]:
        """Messages that bear one of `ids`, or that refer to one of `ids` or `own`."""
        ...

    def letters(self, ids: Collection[str]) -> Mapping[str, str]:
        """The jobs of our own letters among these Message-IDs."""
        ...

    def wider(self) -> JobIndex:
        """The same, with what machines wrote and lies in no job."""
        ...

    def jobs(self, references: Collection[str]) -> Mapping[str, str]:
        """The job references that exist, each with the job it stands for now that merges are followed."""
        ...


def place(card: Card, index: JobIndex, days: int = 21) -> Placement:
    """Where a message goes. `days`: how long a sender who writes without a thread is taken to mean the same job."""
    # What machines wrote brings nothing together, so it is looked for on behalf of people's mail only.
    cards = _neighbourhood(card, index if card.automatic else index.wider())
    letters = index.letters({i for c in cards for i in c.refers})
    named = index.jobs({name for c in cards for name in c.named})
    clusters = cluster(cards, letters, named, timedelta(days=days))
    mine = next(c for c in clusters if card.key in c.keys)
    return _placement(card, mine, clusters, _homes(clusters))


def _neighbourhood(card: Card, index: JobIndex) -> list[Card]:
    """The card with all that may belong with it, directly or through another: wave after wave of what is near."""
    found = {card.key: card}
    senders, jobs, wave = set[str](), set[str](), [card]
    while wave and len(found) < MOST_CARDS:
        refers = {i for c in wave for i in c.refers}
        near = list(index.linked(refers, {c.id for c in wave} - {""}, MOST_CARDS))
        for email in sorted({e for c in wave for e in (c.sender, c.via)} - senders - {""}):
            senders.add(email)
            near += index.of_sender(email, MOST_CARDS)
        named = index.jobs({name for c in wave for name in c.named}).values()
        for job in sorted({*(c.job for c in wave), *named, *index.letters(refers).values()} - jobs - {""}):
            jobs.add(job)
            near += index.of_job(job, MOST_CARDS)
        new = {c.key: c for c in near if c.key not in found}
        found |= new
        wave = list(new.values())
    return list(found.values())


def _homes(clusters: Sequence[Cluster]) -> dict[int, str]:
    """The job that each cluster keeps: the one it is fixed in, else the one that most of its messages lie in."""
    homes: dict[int, str] = {}
    taken: set[str] = set()
    for number, c in enumerate(clusters):
        if c.job:
            homes[number] = c.job
            taken.add(c.job)
    claims = sorted(
        (-sum(card.job == job for card in c.cards), min(card.at for card in c.cards), job, number)
        for number, c in enumerate(clusters)
        for job in {card.job for card in c.cards} - {""}
    )
    for _, _, job, number in claims:
        if number not in homes and job not in taken:
            homes[number] = job
            taken.add(job)
    return homes


def _placement(card: Card, mine: Cluster, clusters: Sequence[Cluster], homes: Mapping[int, str]) -> Placement:
    home = homes.get(clusters.index(mine))
    emptied = _emptied(card, clusters, homes)
    merges = tuple(sorted(job for job, there in emptied.items() if there is mine))
    moves = tuple(_moves(card, clusters, homes, {*merges}))
    rule, reason = mine.why.get(card.key, (PlacementRule.NEW, NEW))
    if home is None and rule not in (PlacementRule.UNSURE, PlacementRule.STRANGER):
        rule, reason = PlacementRule.NEW, NEW
    offers = tuple(sorted(_offers(mine, clusters, homes) - {home, *merges}))
    return Placement(home, rule, reason, offers, merges, moves)


def _emptied(card: Card, clusters: Sequence[Cluster], homes: Mapping[int, str]) -> dict[str, Cluster]:
    """Jobs that no cluster keeps and whose messages all lie in one cluster now."""
    kept = set(homes.values())
    holders: dict[str, list[Cluster]] = {}
    for c in clusters:
        for job in {other.job for other in c.cards if other.key != card.key} - {""} - kept:
            holders.setdefault(job, []).append(c)
    return {job: found[0] for job, found in holders.items() if len(found) == 1}


def _moves(
    card: Card, clusters: Sequence[Cluster], homes: Mapping[int, str], merged: Collection[str]
) -> Iterable[Move]:
    for number, c in enumerate(clusters):
        home = homes.get(number)
        strays = [o for o in c.cards if o.key != card.key and o.job and o.job != home and o.job not in merged]
        if home is None and all(o.automatic for o in c.cards):
            continue  # what machines wrote opens no job
        if home or card.key in c.keys:
            strays += [o for o in c.cards if o.key != card.key and not o.job and o.automatic]
        if strays:
            reason = c.why.get(strays[0].key, ("", phrase("late-shows")))[1]
            yield Move(tuple(sorted(o.key for o in strays)), "" if card.key in c.keys else home, reason)


def _offers(mine: Cluster, clusters: Sequence[Cluster], homes: Mapping[int, str]) -> set[str]:
    jobs = {
        homes[n]
        for n, c in enumerate(clusters)
        if n in homes and (c.keys & mine.maybe or mine.keys & c.maybe)
    }
    return jobs | mine.maybe_jobs
