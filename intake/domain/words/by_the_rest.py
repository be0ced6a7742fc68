"""What the rest of a message makes doubtful of what one sentence says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from intake.domain.words.clause import Clause
from intake.domain.words.contradictions import (
    TWO_HEIGHTS,
    ToldLength,
    burns_gas,
    contradicted,
    unsure_of_all,
)
from intake.domain.words.taken import TOLD, Taken
from intake.domain.words.to_come import altered, implausible
from intake.domain.words.waiting import ReadSentence
from intake.domain.words.weighing import (
    ANOTHER_BESIDE,
    CHANGING,
    NOT_ALL_KNOWN,
    SAID_OTHERWISE,
    UNCERTAIN,
    UNUSUAL,
)
from intake.model.checklist import Checklist
from intake.model.need import Need
from intake.model.word import StatementKind

GAS_METER = "gas-meter"


def doubt_what_others_say(
    taken: Taken, own: str, wholes: Sequence[Clause], lengths: Sequence[ToldLength], checklist: Checklist
) -> None:
    """Weaken what another sentence contradicts, or a word on all of the message `own`; `wholes` are its sentences."""
    taken.weaken(contradicted(lengths, taken.every()), TWO_HEIGHTS)
    if unsure_of_all(own):
        taken.weaken(taken.every(), UNCERTAIN)
    if burns_gas(own):
        taken.weaken([s for s in taken.every() if s.item == GAS_METER], SAID_OTHERWISE)
    taken.weaken(implausible(own, taken.every(), taken.asks, checklist), UNUSUAL)
    taken.weaken(altered(wholes, taken.every(), taken.asks, checklist), CHANGING, TOLD)
    taken.doubt_what_differs()


def doubt_where_a_person_looks(
    taken: Taken, judged: Sequence[tuple[ReadSentence, Need | None]], needs: Sequence[Need]
) -> None:
    """Weaken a length of an answer in a sentence that a person must read, and all of a sentence with a length that
    nothing explains where something else of the message is doubtful.

    A person looks there anyway, so it costs no call, and what is wrong stands in such sentences more often than in
    others: docs/letters.md has the counts, and those of what was tried and not kept.
    """
    told: defaultdict[str, set[int]] = defaultdict(set)
    for said in taken.every():
        if said.value_mm is not None:
            told[said.text].add(said.value_mm)
    doubtful = any(s.kind is StatementKind.DOUBTFUL for s in taken.every())
    for sentence, need in judged:
        lengths = {v.number.figure for v in sentence.reader.whole.lengths}
        explained = set[int]().union(*(told[s.text] for s in sentence.said))
        if doubtful and len(lengths) > len(explained):
            taken.weaken(sentence.said, ANOTHER_BESIDE, TOLD)
        elif need in needs and taken.asks:
            taken.weaken(sentence.said, NOT_ALL_KNOWN, (StatementKind.VALUE,))
