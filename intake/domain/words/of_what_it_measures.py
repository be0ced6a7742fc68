"""What a customer answers when we ask what a number of the plan measures."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.lengths.notation import parse_length
from intake.domain.words.concepts import Concept as C
from intake.domain.words.said_of_items import SentenceReader
from intake.model.checklist import ChecklistItem
from intake.model.word import Statement, StatementKind


def answer_what_it_measures(reader: SentenceReader, items: Sequence[ChecklistItem]) -> list[Statement]:
    """What a sentence says to the question what a number measures: the customer's words, for a designer to look at, who
    alone settles it; a sentence with other lengths waits for a person besides."""
    if reader.asked:
        return []
    if reader.whole.has(C.COULD_NOT):
        return [Statement(item.id, StatementKind.COULD_NOT, reader.text) for item in items]
    repeated = parse_length(reader.text.strip(" .!"), "cm")
    for told in reader.told:
        told.used |= repeated is not None or not told.clause.lengths
    return [Statement(item.id, StatementKind.SAID, reader.text, repeated) for item in items]
