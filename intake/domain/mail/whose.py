"""Whose job it is, whose words count in it, and when only a person can tell.

A stranger can write first, date a letter back and copy the customer in; the customer's answer then lies in one job with
it. So the job is theirs who sent the plan, and only those count whom they brought in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from intake.model.card import Card


@dataclass(frozen=True)
class Whose:
    """`customer` is the address that letters go to, "" where nobody wrote whom somebody vouches for; `heard` are the
    keys of the messages that count; `rivals` the others who may be the customer as well: a person must say."""

    customer: str
    heard: frozenset[str]
    rivals: tuple[str, ...] = ()


def whose_job(
    cards: Sequence[Card],
    plans: Collection[str],
    pictures: Collection[str],
    let_in: Collection[str] = (),
    chosen: str = "",
    letters: Mapping[str, str] = MappingProxyType({}),
) -> Whose:
    """`cards` are a job's sound messages in the order they were received, not by the date they bear, which is the
    writer's own word (RFC 5322 3.6.1). `plans` and `pictures` are the keys of those with a plan, or with any picture;
    `let_in` of those that a person has put here or vouched for; `chosen` whom a person named the customer; `letters` to
    whom our letters about the job went, by their Message-IDs."""
    written = {c.author for c in cards if not c.via}
    # What a writer of the job forwards is theirs; what comes by forwards alone is its first writer's.
    whose = {c.key: c.author if c.author in written else c.sender for c in cards if c.sender}
    own = [c for c in cards if c.key in whose and c.key not in let_in] or [c for c in cards if c.key in whose]
    named = [c for c in own if whose[c.key] == chosen]
    brought = [c for c in own if c.key in plans] or [c for c in own if c.key in pictures] or own
    first = next(iter(named or brought), None)
    if first is None:
        return Whose("", frozenset(c.key for c in cards))
    customer = whose[first.key]
    begun = {customer, first.author, chosen, *(c.author for c in cards if c.key in let_in)}
    circle = _circle(cards, begun, letters)
    heard = frozenset(c.key for c in cards if c.author in circle)
    rivals = () if chosen else tuple(_rivals(own, whose, customer, plans, letters))
    return Whose(customer, heard, rivals)


def _circle(cards: Sequence[Card], begun: Iterable[str], letters: Mapping[str, str]) -> set[str]:
    """Those whom the customer wrote to, whom these wrote to, and so on.

    A forward brings nobody in: its header is not the writer's whom it is credited to. Nor does an answer to somebody
    outside, or to what we do not hold: it goes to all whom that one wished to have it.
    """
    circle = set(begun)
    wrote = [(i, c.author) for c in cards for i in [c.id] if i] + list(letters.items())
    size = 0
    while size != (size := len(circle)):
        inside = {i for i, _ in wrote} - {i for i, who in wrote if who not in circle}
        ours = [c for c in cards if c.author in circle and not c.via and inside.issuperset(c.refers)]
        circle |= {email for c in ours for email in c.recipients}
    return circle


def _rivals(
    cards: Sequence[Card],
    whose: Mapping[str, str],
    customer: str,
    plans: Collection[str],
    letters: Mapping[str, str],
) -> Iterable[str]:
    """Who sent a plan as well, or began to write as the customer did, where these two have not each brought the
    other in."""
    began = {whose[c.key] for c in cards if not (c.refers or c.named or c.via)}
    drew = {whose[c.key] for c in cards if c.key in plans}
    alike = drew | (began if customer in began else set())
    for other in dict.fromkeys(whose[c.key] for c in cards):
        if other in alike - {customer}:
            theirs, mine = _circle(cards, [other], letters), _circle(cards, [customer], letters)
            if customer not in theirs or other not in mine:
                yield other
