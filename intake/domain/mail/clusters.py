"""Grouping a neighbourhood of messages into clusters, each of which is one job.

The steps run from the surest evidence to the weakest, each in an order that depends on the messages alone. Who may join
whom is asked at every step: an id, a thread or a reference can be copied by anybody, so they open the door only to an
address that the job's own correspondence knows. What nobody vouches for, and what a machine wrote, joins at the end,
each by itself, and never brings two clusters together.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import pairwise

from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.model.job import PlacementRule
from intake.model.phrase import Phrase, phrase

Why = tuple[PlacementRule, Phrase]


@dataclass(eq=False)
class Cluster:
    """Messages of one job. `job` is set where it is fixed. `why` holds each message's (rule, reason).

    `maybe` are messages, `maybe_jobs` jobs, that it may belong with as well. `known` are the addresses whose mail
    belongs here: those that wrote it and whom they themselves wrote to. Where one message is `sound`, only such say
    which rooms it is about and who is known.
    """

    cards: list[Card]
    job: str = ""
    why: dict[str, Why] = field(default_factory=dict)
    maybe: set[str] = field(default_factory=set)
    maybe_jobs: set[str] = field(default_factory=set)
    sound: bool = field(init=False)
    rooms: set[RoomKind] = field(init=False)
    known: set[str] = field(init=False)

    def __post_init__(self) -> None:
        sound = [c for c in self.cards if c.sound]
        counted = sound or [c for c in self.cards if not c.automatic]
        self.sound = bool(sound)
        self.rooms = {card.room for card in counted} - {RoomKind.UNKNOWN}
        named = {email for card in sound if not card.via for email in card.recipients}
        self.known = ({card.author for card in counted} | named) - {""}

    def take(self, other: Cluster) -> None:
        """Takes in the other cluster's messages."""
        for card in other.cards:
            insort(self.cards, card, key=_order)
        if other.sound == self.sound:
            self.rooms |= other.rooms
            self.known |= other.known
        elif other.sound:
            self.sound, self.rooms, self.known = True, {*other.rooms}, {*other.known}

    @property
    def keys(self) -> set[str]:
        return {card.key for card in self.cards}


def cluster(
    cards: Sequence[Card], letters: Mapping[str, str], named: Mapping[str, str], window: timedelta
) -> list[Cluster]:
    """The clusters of a neighbourhood. `letters` are our letters' jobs by Message-ID, `named` jobs by reference."""
    table = _Table(sorted(cards, key=_order), window, letters, named)
    table.keep_fixed()
    table.follow_all()
    loose = [card for card in table.cards if not card.sound and not card.fixed]
    for card in sorted(loose, key=lambda c: c.automatic):  # people's first: machines' lie beside them
        table.attach(card)
    return table.clusters


def _order(card: Card) -> tuple[object, str]:
    return card.at, card.key


def _by(name: Callable[[Card], str], cards: Iterable[Card]) -> dict[str, list[Card]]:
    """The cards of each name that is one, in their order."""
    found: dict[str, list[Card]] = {}
    for card in cards:
        if name(card):
            found.setdefault(name(card), []).append(card)
    return found


class _Table:
    def __init__(
        self, cards: Sequence[Card], window: timedelta, letters: Mapping[str, str], named: Mapping[str, str]
    ) -> None:
        self.cards = cards
        self.sound = [card for card in cards if card.sound]
        self.window = window
        self.letters = letters
        self.named = named
        self.of = {card.key: Cluster([card]) for card in cards}
        self.holders = _by(lambda c: c.id, cards)
        people = [c for c in cards if not c.automatic]
        self.people = _by(lambda c: c.author, people)
        self.settled = _by(lambda c: c.author, [c for c in people if c.vouched or c.fixed])
        self.laid: dict[str, dict[Cluster, Card]] = {}
        """By writer, the last of their loose messages that was laid into each cluster."""

    @property
    def clusters(self) -> list[Cluster]:
        """Every cluster once, the one with the earliest message first."""
        return list(dict.fromkeys(self.of[card.key] for card in self.cards))

    def follow_all(self) -> None:
        """Until nothing joins any more: whom a job knows grows with it."""
        joined = -1
        while joined != (joined := len({id(c) for c in self.of.values()})):
            self.follow_letters()
            self.follow_threads()
            self.follow_names()
            self.follow_senders()
            self.follow_forwarders()

    def join(self, home: Cluster, other: Cluster, why: Callable[[], Why], later: Card) -> None:
        """Takes another cluster in, or notes that they may be one where rooms or decisions speak against it."""
        if home is other:
            return
        if (home.job and other.job and home.job != other.job) or not _rooms_agree(home, other):
            home.maybe |= other.keys
            return
        home.take(other)
        home.job = home.job or other.job
        home.why |= other.why
        if home.why.get(later.key, (PlacementRule.STRANGER,))[0] is PlacementRule.STRANGER:
            home.why[later.key] = why()
        home.maybe |= other.maybe
        home.maybe_jobs |= other.maybe_jobs
        for card in other.cards:
            self.of[card.key] = home

    def keep_fixed(self) -> None:
        """A designer's decision, or a letter that went out, holds a job's messages together."""
        first: dict[str, Cluster] = {}
        for card in (c for c in self.cards if c.fixed and c.job):
            mine = self.of[card.key]
            mine.job = card.job
            home = first.setdefault(card.job, mine)
            if home is not mine:
                home.take(mine)
                self.of |= dict.fromkeys((c.key for c in mine.cards), home)

    def follow_letters(self) -> None:
        """An answer to a letter of ours belongs to the job the letter was about."""
        for card in self.sound:
            for job in _jobs_answered(card, self.letters):
                self.join_job(card, job, _answers(job))

    def join_job(self, card: Card, job: str, why: Why) -> None:
        """Puts a card's cluster into a job that exists and knows its writer, unless its room or a decision speaks
        against it."""
        mine, home = self.of[card.key], self._home(job, card)
        if home is None or card.author not in home.known:
            self._offer(card, job)
            return
        if not home.job and _rooms_agree(home, mine):
            home.job = job
        if home.job == job:
            self.join(home, mine, lambda: why, card)
        else:
            mine.maybe_jobs.add(job)

    def _offer(self, card: Card, job: str) -> None:
        mine = self.of[card.key]
        mine.maybe_jobs.add(job)
        mine.why.setdefault(card.key, _stranger(job))

    def _home(self, job: str, card: Card) -> Cluster | None:
        """The cluster that a job's messages lie in, where this card is to join others."""
        members = [c for c in self.cards if c.job == job and c.key != card.key]
        fixed = next((c for c in self.clusters if c.job == job), None)
        return fixed or (self.of[next((c for c in members if c.sound), members[0]).key] if members else None)

    def follow_threads(self) -> None:
        """RFC 5322 3.6.4: a message belongs with those it answers or cites."""
        for card in self.sound:
            for other in self._cited(card):
                theirs, mine = self.of[other.key], self.of[card.key]
                if card.author in theirs.known or self._know_each_other(card, other):
                    self.join(theirs, mine, lambda: _THREAD, card)
                else:
                    mine.maybe |= theirs.keys
                    mine.why.setdefault(card.key, _stranger(other.job))
        for one, other in self._siblings():
            if self._know_each_other(one, other):
                self.join(self.of[one.key], self.of[other.key], lambda: _SIBLING, other)

    def _cited(self, card: Card) -> Iterable[Card]:
        for cited in sorted(card.refers):
            yield from (c for c in _trusted(card, self.holders.get(cited, [])) if c.sound)

    def _siblings(self) -> Iterable[tuple[Card, Card]]:
        """Messages that cite the same one."""
        citing: dict[str, list[Card]] = {}
        for card in self.sound:
            for cited in card.refers:
                citing.setdefault(cited, []).append(card)
        for together in citing.values():
            for at, other in enumerate(together):
                yield from ((one, other) for one in together[:at])

    def _know_each_other(self, one: Card, other: Card) -> bool:
        """Anybody can cite, answer or name somebody: each must have written to the other, or answered the other."""
        if one.author == other.author:
            return True
        return other.author in self._met(one) and one.author in self._met(other)

    def _met(self, card: Card) -> set[str]:
        mine = self.of[card.key]
        return mine.known | {other.author for c in mine.cards if c.sound for other in self._cited(c)}

    def follow_names(self) -> None:
        """The job reference that our letters carry, in the subject or the text."""
        for card in self.sound:
            jobs = {self.named[name] for name in card.named if name in self.named}
            if len(jobs) == 1:
                job = next(iter(jobs))
                self.join_job(card, job, _names(job))
            else:
                self.of[card.key].maybe_jobs |= jobs

    def follow_senders(self) -> None:
        """The same sender within the window, unless another room is named."""
        for _, theirs in sorted(_by(lambda c: c.sender, self.sound).items()):
            for at, card in enumerate(theirs):
                self._follow_sender(card, theirs[:at])

    def _may_be_one(self, one: Card, other: Card) -> bool:
        """Whether the hands that one customer's mail came through are known to the rest of it."""
        return all(
            not here.via or here.via == there.via or here.via in self.of[there.key].known
            for here, there in ((one, other), (other, one))
        )

    def _follow_sender(self, card: Card, before: Sequence[Card]) -> None:
        mine = self.of[card.key]
        if any(_order(c) < _order(card) and c.sender == card.sender and c.sound for c in mine.cards):
            return
        earlier = [c for c in before if self.of[c.key] is not mine and self._may_be_one(card, c)]
        mine.maybe |= {c.key for c in earlier if _rooms_agree(self.of[c.key], mine)}
        near = [c for c in _chained([*earlier, card], self.window) if c is not card]
        options = list(dict.fromkeys(self.of[c.key] for c in near))
        chosen = _choose(card, mine, options)
        if chosen is not None:
            reason = _sender_reason(card, mine)
            self.join(chosen, mine, lambda: reason, card)
        elif len(options) > 1:
            mine.why.setdefault(card.key, _UNSURE)

    def follow_forwarders(self) -> None:
        """A forward whose first writer has no job of their own goes with the forwarder's, where there is just one."""
        for card in (c for c in self.sound if c.via):
            mine = self.of[card.key]
            if any(c.sender == card.sender and not c.via for c in mine.cards):
                continue
            theirs = [c for c in self.sound if c.sender == card.via and abs(c.at - card.at) <= self.window]
            options = list(dict.fromkeys(self.of[c.key] for c in theirs if self.of[c.key] is not mine))
            if len(options) == 1:
                self.join(options[0], mine, lambda: _FORWARD, card)
            else:
                mine.maybe |= {c.key for c in theirs}

    def attach(self, card: Card) -> None:
        """Lay a message that nobody vouches for, or that a machine wrote, beside those that it belongs to."""
        mine = self.of[card.key]
        found = self._answered_by(card) or self._written_by(card)
        if found is not None and found[0] is not mine:
            home, why = found
            home.take(mine)
            home.why |= mine.why | {card.key: why}
            home.maybe_jobs |= mine.maybe_jobs - {home.job}
            self.of |= dict.fromkeys((c.key for c in mine.cards), home)
        if card.author:
            self.laid.setdefault(card.author, {})[self.of[card.key]] = card

    def _answered_by(self, card: Card) -> tuple[Cluster, Why] | None:
        """By one of our letters, whose id nobody can guess; by a thread or a reference, where its writer is known."""
        for job in _jobs_answered(card, self.letters):
            home = self._home(job, card)
            if home is not None and (card.automatic or card.author in home.known):
                return home, _answers(job)
        for cited in sorted(card.refers):
            for other in _trusted(card, self.holders.get(cited, [])):
                if not other.automatic and card.author in self.of[other.key].known:
                    return self.of[other.key], _THREAD
        for job in sorted({self.named[name] for name in card.named if name in self.named}):
            home = self._home(job, card)
            if home is not None and card.author in home.known:
                return home, _names(job)
            if not card.automatic:
                self._offer(card, job)
        return None

    def _written_by(self, card: Card) -> tuple[Cluster, Why] | None:
        """By the same writer near in time: a machine's with the nearest, a person's as any other of theirs."""
        theirs = self.people.get(card.author, ()) if card.automatic else self._in_place(card)
        near = [c for c in theirs if abs(c.at - card.at) <= self.window]
        if not near:
            return None
        if card.automatic:
            nearest = min(near, key=lambda c: (abs(c.at - card.at), c.key))
            return self.of[nearest.key], _sender_reason(card, self.of[nearest.key])
        mine, options = self.of[card.key], list(dict.fromkeys(self.of[c.key] for c in near))
        vouched = [c for c in options if c.sound]
        chosen = _choose(card, mine, vouched or options)
        if chosen is None or not (chosen.rooms >= mine.rooms or not chosen.rooms):
            mine.maybe |= {c.key for c in near}
            return None
        return chosen, _sender_reason(card, mine)

    def _in_place(self, card: Card) -> Iterable[Card]:
        """A person's own messages that lie somewhere when theirs without a voucher comes: of those before it that
        nobody vouches for either the last in each cluster, so that a flood of them costs no more than its clusters."""
        yield from (c for c in self.settled.get(card.author, ()) if c.vouched or _order(c) < _order(card))
        yield from self.laid.get(card.author, {}).values()


_THREAD = (PlacementRule.THREAD, phrase("answers-a-message"))
_SIBLING = (PlacementRule.THREAD, phrase("same-exchange"))
_FORWARD = (PlacementRule.FORWARD, phrase("forwarded-by-a-writer"))
_UNSURE = (PlacementRule.UNSURE, phrase("which-job-untold"))


def _answers(job: str) -> Why:
    return PlacementRule.OUR_LETTER, phrase("answers-our-letter", job=job)


def _names(job: str) -> Why:
    return PlacementRule.REFERENCE, phrase("names-the-job", job=job)


def _stranger(job: str) -> Why:
    return PlacementRule.STRANGER, phrase("stranger", job=job) if job else phrase("stranger-to-another")


def _jobs_answered(card: Card, letters: Mapping[str, str]) -> Iterable[str]:
    return dict.fromkeys(letters[i] for i in sorted(card.refers) if i in letters)


def _sender_reason(card: Card, mine: Cluster) -> Why:
    room = next(iter(mine.rooms)).value if len(mine.rooms) == 1 else ""
    if room and card.room is not RoomKind.UNKNOWN:
        return PlacementRule.SAME_SENDER, phrase("same-sender-same-room", room=room)
    return PlacementRule.SAME_SENDER, phrase("same-sender")


def _rooms_agree(one: Cluster, other: Cluster) -> bool:
    return one.rooms <= other.rooms or other.rooms <= one.rooms


def _trusted(card: Card, holders: Sequence[Card]) -> Sequence[Card]:
    """Who bears the cited id. An id borne by several senders' messages proves nothing except to its own sender."""
    if len({holder.author for holder in holders if holder.sound}) > 1:
        return [holder for holder in holders if holder.author == card.author]
    return [holder for holder in holders if holder.key != card.key]


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
    if card.topic:
        fitting = [c for c in fitting if any(o.topic == card.topic for o in c.cards)] or fitting
    if len(fitting) > 1 and not mine.rooms:
        waiting = [c for c in options if not c.rooms]
        return waiting[0] if len(waiting) == 1 else None
    return fitting[0] if len(fitting) == 1 else None
