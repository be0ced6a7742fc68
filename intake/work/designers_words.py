"""What a designer did to a waiting letter stands in the one that takes its place: words and requests of their own, an
opening and requests in other words, and those that are not to be asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from intake.model.letter import Ask, Letter
from intake.store.letters import WAITING, KeptLetter
from intake.work.services import Services


def with_own_words(services: Services, letter: Letter, letters: Sequence[KeptLetter]) -> Letter:
    """The letter with what a designer had changed in the one of `letters` that waits and that it takes the place of.

    A request that the program words otherwise now is another, and is asked in its words; what a designer left out is
    asked again once the customer has written anew, and thanked for in the program's words.
    """
    waits = next((k.letter for k in reversed(letters) if k.state in WAITING and not k.by_desk), None)
    if waits is None:
        return letter
    same_message = waits.in_reply_to == letter.in_reply_to
    unasked = waits.unasked if same_message else ()
    if same_message and waits.opening:
        letter = replace(letter, thanks=waits.thanks, opening=letter.opening or letter.thanks)
    theirs = {ask.reworded: ask for ask in waits.asks if ask.reworded}
    ours = [ask for ask in letter.asks if ask.item]
    asks = [_reworded(ask, theirs.get(ask.question)) for ask in ours if ask.question not in unasked]
    kept = with_cautions_of(services, asks, [ask for ask in ours if ask.question in unasked])
    own = [ask for ask in waits.asks if not ask.item]
    return replace(letter, note=waits.note, asks=(*kept, *own), unasked=unasked)


def _reworded(ask: Ask, theirs: Ask | None) -> Ask:
    if theirs is None:
        return ask
    return replace(ask, question=theirs.question, how=theirs.how, reworded=ask.question)


def with_cautions_of(services: Services, asks: Sequence[Ask], gone: Sequence[Ask]) -> list[Ask]:
    """The requests that stay. A caution stands beside the first that needs it: where that one goes, beside the next."""
    kept = list(asks)
    for ask in (a for a in gone if a.caution):
        dangers = _dangers(services, ask)
        place = next((n for n, other in enumerate(kept) if dangers & _dangers(services, other)), None)
        if place is not None and ask.caution not in kept[place].caution:
            kept[place] = replace(kept[place], caution=f"{kept[place].caution} {ask.caution}".strip())
    return kept


def _dangers(services: Services, ask: Ask) -> frozenset[str]:
    """The kinds of caution that the items of a request call for."""
    items = (c.item(i) for c in services.checklists.values() for i in ask.items)
    return frozenset(item.caution for item in items if item is not None and item.caution)


def questions(asks: Sequence[Ask]) -> list[str]:
    """What is asked, in the program's own words; a designer's own requests are left out."""
    return [ask.reworded or ask.question for ask in asks if ask.item]
