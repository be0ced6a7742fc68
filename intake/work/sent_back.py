"""Replies in which nothing but a question of ours comes back: whoever sent one may believe that they have answered. Our
whole letter is what a mail program puts under a reply."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.mail.rhythm import LONGEST_WISH
from intake.domain.words.ours import only_ours
from intake.model.need import Need, NeedKind
from intake.model.phrase import phrase
from intake.model.picture import Picture
from intake.store.messages import KeptMessage


def sent_back(
    whole: Sequence[KeptMessage], own: Sequence[KeptMessage], pictures: Sequence[Picture]
) -> list[Need]:
    """What a person must see of the messages `whole`, which are `own` without what stands in our letters: those that
    are ours from end to end, no longer than a need shows, and bring no picture."""
    bring = {p.message for p in pictures}
    return [
        Need(NeedKind.UNREAD, as_it_came.own_words.strip(), phrase("need-sent-back"), left.key)
        for as_it_came, left in zip(whole, own, strict=True)
        if left.counts and left.sha256 not in bring and len(as_it_came.own_words.strip()) <= LONGEST_WISH
        if only_ours(as_it_came.own_words, left.own_words)
    ]
