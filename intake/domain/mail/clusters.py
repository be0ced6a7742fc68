"""Grouping a neighbourhood of messages into clusters, each of which is one job.

The steps run from the surest evidence to the weakest, each in an order that depends on the messages alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import pairwise

from intake.model.card import Card
from intake.model.checklist import RoomKind

Why = tuple[str, str]


@dataclass(eq=False)
class Cluster:
    """Messages of one job. `job` is set where it is fixed. `why` holds each message's (rule, reason).

    `maybe` are messages, `maybe_jobs` jobs, that it may belong with as well.
    """

    cards: list[Card]
    job: str = ""
    why: dict[str, Why] = field(default_factory=dict)
    maybe: set[str] = field(default_factory=set)
    maybe_jobs: set[str] = field(default_factory=set)
    rooms: set[RoomKind] = field(init=False)

    def __post_init__(self) -> None:
        self.rooms = {card.room for card in self.cards} - {RoomKind.UNKNOWN}

    def take(self, other: Cluster) -> None:
        """Takes in the other cluster's messages."""
        self.cards = sorted(self.cards + other.cards, key=_order)
        self.rooms |= other.rooms

    @property
    def keys(self) -> set[str]:
        return {card.key for card in self.cards}

    @property
    def senders(self) -> set[str]:
        return {card.sender for card in self.cards} - {""}


def cluster(
    cards: Sequence[Card], letters: Mapping[str, str], named: Mapping[str, str], window: timedelta
) -> list[Cluster]:
    """The clusters of a neighbourhood. `letters` are our letters' jobs by Message-ID, `named` jobs by reference."""
    table = _Table(sorted(cards, key=_order), window)
    table.keep_fixed()
    table.follow_letters(letters)
    table.follow_threads()
    table.follow_names(named)
    table.follow_senders()
    table.follow_forwarders()
    return table.clusters


def _order(card: Card) -> tuple[object, str]:
    return card.at, card.key


class _Table:
    def __init__(self, cards: Sequence[Card], window: timedelta) -> None:
        self.cards = cards
        self.window = window
        self.of = {card.key: Cluster([card]) for card in cards}

    @property
    def clusters(self) -> list[Cluster]:
        """Every cluster once, the one with the earliest message first."""
        return list(dict.fromkeys(self.of[card.key] for card in self.cards))

    def join(self, one: Cluster, other: Cluster, why: Callable[[], Why], later: Card) -> bool:
        """Makes one of two clusters, or notes that they may be one where rooms or decisions speak against it."""
        if one is other:
            return True
        if (one.job and other.job and one.job != other.job) or not _rooms_agree(one, other):
            one.maybe |= other.keys
            return False
        keep, gone = (one, other) if _order(one.cards[0]) <= _order(other.cards[0]) else (other, one)
        keep.take(gone)
        keep.job = keep.job or gone.job
        keep.why |= gone.why
        keep.why.setdefault(later.key, why())
        keep.maybe |= gone.maybe
        keep.maybe_jobs |= gone.maybe_jobs
        for card in gone.cards:
            self.of[card.key] = keep
        return True

    def keep_fixed(self) -> None:
        """A designer's decision, or a letter that went out, holds a job's messages together."""
        first: dict[str, Cluster] = {}
        for card in (c for c in self.cards if c.fixed and c.job):
            mine = self.of[card.key]
            mine.job = card.job
            home = first.setdefault(card.job, mine)
            if home is not mine:
                self._unite_fixed(home, mine)

    def _unite_fixed(self, home: Cluster, mine: Cluster) -> None:
        home.take(mine)
        for card in mine.cards:
            self.of[card.key] = home

    def follow_letters(self, letters: Mapping[str, str]) -> None:
        """An answer to a letter of ours belongs to the job the letter was about."""
        for card in self.cards:
            for job in dict.fromkeys(letters[i] for i in sorted(card.refers) if i in letters):
                self.join_job(card, job, ("our-letter", f"It answers our letter about job {job}."))

    def join_job(self, card: Card, job: str, why: Why) -> None:
        """Puts a card's cluster into a job that exists, unless its room or a decision speaks against it."""
        mine = self.of[card.key]
        home = next((c for c in self.clusters if c.job == job), None)
        if home is None:
            members = [c for c in self.cards if c.job == job and c.key != card.key]
            home = self.of[members[0].key] if members else None
            if home is not None and not home.job and _rooms_agree(home, mine):
                home.job = job
        if home is None or home.job != job or not self.join(home, mine, lambda: why, card):
            if home is None and not mine.job:
                mine.job = job
                mine.why.setdefault(card.key, why)
            elif mine.job != job:
                mine.maybe_jobs.add(job)

    def follow_threads(self) -> None:
        """RFC 5322 3.6.4: a message belongs with those it answers or cites."""
        holders: dict[str, list[Card]] = {}
        for card in self.cards:
            if card.id:
                holders.setdefault(card.id, []).append(card)
        for card in self.cards:
            for cited in sorted(card.refers):
                for other in _trusted(card, holders.get(cited, [])):
                    self.join(self.of[other.key], self.of[card.key], lambda: _THREAD, card)
        for one, other in self._siblings():
            self.join(self.of[one.key], self.of[other.key], lambda: _SIBLING, other)

    def _siblings(self) -> Iterable[tuple[Card, Card]]:
        """Messages that cite the same one. Strangers may all answer one circular, so they must know each other."""
        citing: dict[str, list[Card]] = {}
        for card in self.cards:
            for cited in card.refers:
                citing.setdefault(cited, []).append(card)
        for together in citing.values():
            for at, other in enumerate(together):
                yield from ((one, other) for one in together[:at] if _acquainted(one, other))

    def follow_names(self, named: Mapping[str, str]) -> None:
        """The job reference that our letters carry, in the subject or the text."""
        for card in self.cards:
            jobs = {named[name] for name in card.named if name in named}
            if len(jobs) == 1:
                job = next(iter(jobs))
                self.join_job(card, job, ("reference", f"It names the job reference {job}."))
            else:
                self.of[card.key].maybe_jobs |= jobs

    def follow_senders(self) -> None:
        """The same sender within the window, unless another room is named."""
        by_sender: dict[str, list[Card]] = {}
        for card in self.cards:
            if card.sender:
                by_sender.setdefault(card.sender, []).append(card)
        for sender in sorted(by_sender):
            for at, card in enumerate(by_sender[sender]):
                self._follow_sender(card, by_sender[sender][:at])

    def _follow_sender(self, card: Card, before: Sequence[Card]) -> None:
        mine = self.of[card.key]
        if any(_order(c) < _order(card) and c.sender == card.sender for c in mine.cards):
            return
        earlier = [c for c in before if self.of[c.key] is not mine]
        mine.maybe |= {c.key for c in earlier if _rooms_agree(self.of[c.key], mine)}
        near = [c for c in _chained([*earlier, card], self.window) if c is not card]
        options = list(dict.fromkeys(self.of[c.key] for c in near))
        chosen = _choose(card, mine, options)
        if chosen is not None:
            reason = _sender_reason(card, mine)
            if self.join(chosen, mine, lambda: reason, card):
                chosen.maybe -= chosen.keys
        elif len(options) > 1:
            mine.why.setdefault(card.key, _UNSURE)

    def follow_forwarders(self) -> None:
        """A forward whose first writer has no job of their own goes with the forwarder's, where there is just one."""
        for card in (c for c in self.cards if c.via):
            mine = self.of[card.key]
            if any(c.sender == card.sender and not c.via for c in mine.cards):
                continue
            theirs = [c for c in self.cards if c.sender == card.via and abs(c.at - card.at) <= self.window]
            options = list(dict.fromkeys(self.of[c.key] for c in theirs if self.of[c.key] is not mine))
            if len(options) == 1:
                self.join(options[0], mine, lambda: _FORWARD, card)
            else:
                mine.maybe |= {c.key for c in theirs}


_THREAD = ("thread", "It answers a message of this job.")
_SIBLING = ("thread", "It belongs to the same exchange of letters as a message of this job.")
_FORWARD = ("forward", "It was forwarded by somebody who writes about this job.")
_UNSURE = ("unsure", "The sender has several jobs and the message does not say which it is about.")


def _sender_reason(card: Card, mine: Cluster) -> Why:
    room = next(iter(mine.rooms)).value if len(mine.rooms) == 1 else ""
    if room and card.room is not RoomKind.UNKNOWN:
        return "same-sender", f"The same sender wrote about a {room} shortly before."
    return "same-sender", "The same sender wrote shortly before, and it names no other room."


def _rooms_agree(one: Cluster, other: Cluster) -> bool:
    return one.rooms <= other.rooms or other.rooms <= one.rooms


def _trusted(card: Card, holders: Sequence[Card]) -> Sequence[Card]:
    """Who bears the cited id. An id borne by several senders' messages proves nothing except to its own sender."""
    if len({holder.sender for holder in holders}) > 1:
        return [holder for holder in holders if holder.sender == card.sender]
    return [holder for holder in holders if holder.key != card.key]


def _acquainted(one: Card, other: Card) -> bool:
    if one.sender and one.sender == other.sender:
        return True
    return other.sender in one.recipients or one.sender in other.recipients


def _chained(cards: Sequence[Card], window: timedelta) -> list[Card]:
    """The last stretch of cards in which no two neighbours in time are further apart than the window."""
    start = 0
    for at, (before, after) in enumerate(pairwise(cards), 1):
        if after.at - before.at > window:
            start = at
    return list(cards[start:])


def _choose(card: Card, mine: Cluster, options: Sequence[Cluster]) -> Cluster | None:
    """The one earlier cluster of the sender that a cluster belongs to, or None where there is none or no telling."""
    labelled = [c for c in options if c.rooms]
    if mine.rooms:
        same = [c for c in labelled if c.rooms & mine.rooms]
        fitting = same or ([] if labelled else list(options))
    else:
        fitting = labelled or list(options)
    if len(fitting) > 1 and card.topic:
        fitting = [c for c in fitting if any(o.topic == card.topic for o in c.cards)] or fitting
    if len(fitting) > 1 and not mine.rooms:
        waiting = [c for c in options if not c.rooms]
        return waiting[0] if len(waiting) == 1 else None
    return fitting[0] if len(fitting) == 1 else None
