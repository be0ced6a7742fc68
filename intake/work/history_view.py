"""What people decided of a job, in sentences, as its page and its pack show it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.domain.said.plan_numbers import (
    joined_over,
)
from intake.model.word import (
    AddedNumber,
    Archived,
    Assigned,
    Brought,
    Confirmation,
    CustomerWord,
    HeightWord,
    KeptApart,
    Merged,
    Moved,
    NeedSeen,
    NeedTaken,
    Note,
    NumberWord,
    PlanNumber,
    RoomWord,
    ShownSubject,
    Split,
    Stop,
    TypedRoom,
    Vouched,
    Word,
)
from intake.store.jobs import Decision
from intake.store.words import to_row
from intake.work.services import Services
from intake.work.sketch_view import SketchView


@dataclass(frozen=True)
class Trace:
    """One decision with its sentence, for the history; `undone` says by whom, "" where it stands."""

    id: int
    text: str
    by: str
    at: datetime
    undone: str
    is_note: bool = False


def standing_decisions(decisions: Sequence[Decision]) -> list[Decision]:
    """What holds of the decisions of a job: those undone left out, and all about one thing joined in its last."""
    holds: dict[object, Decision] = {}
    for decision in (d for d in decisions if d.undone_at is None):
        row = to_row(decision.word)
        about = row.kind, decision.id if isinstance(decision.word, AddedNumber) else row.target
        earlier = holds.pop(about, None)
        if earlier and isinstance(earlier.word, NumberWord) and isinstance(decision.word, NumberWord):
            decision = replace(decision, word=joined_over(earlier.word, decision.word))
        holds[about] = decision
    return list(holds.values())


def traces(
    decisions: Sequence[Decision], sketches: Sequence[SketchView], services: Services
) -> tuple[Trace, ...]:
    """Every decision with its sentence, the latest first."""
    read_as = {n.name: n.read_as for s in sketches for n in s.numbers}
    titles = {i.id: i.title for c in services.checklists.values() for i in c.items}
    return tuple(
        Trace(
            d.id, _sentence(d.word, read_as, titles), d.by, d.at, d.undone_by or "", isinstance(d.word, Note)
        )
        for d in reversed(decisions)
    )


def _sentence(word: Word, read_as: Mapping[PlanNumber, str], titles: Mapping[str, str]) -> str:
    match word:
        case NumberWord():
            return _number_sentence(word, read_as.get(word.number, "a number"))
        case AddedNumber():
            return f"{word.text} added: it is on the sketch and was not read"
        case HeightWord():
            return f"{_as_words(word.role).capitalize()}: {word.text}"
        case TypedRoom():
            return "The room typed by hand"
        case Confirmation():
            note = f" ({word.note})" if word.note else ""
            return f"{titles.get(word.item, word.item)}: {_as_words(word.state)}{note}"
        case NeedTaken():
            item = word.statement.item
            return f"{titles.get(item, item)} taken from “{word.statement.text}”"
        case NeedSeen():
            return f"Dealt with: “{_words_of(word.need)}”" + (f" ({word.note})" if word.note else "")
    return _job_sentence(word)


def _job_sentence(word: Word) -> str:
    """Of a word on the job itself, or on where messages belong."""
    match word:
        case ShownSubject():
            return f"A picture shows: {_as_words(word.subject)}"
        case RoomWord():
            return f"The room is a {word.room}"
        case Note():
            return word.text
        case Stop():
            return f"No more letters: {word.reason}"
        case Vouched():
            return f"A message from {word.sender} is the customer's"
        case CustomerWord():
            return f"The customer is {', '.join(filter(None, (word.name, word.email, word.phone)))}"
        case Assigned():
            return f"Assigned to {word.designer}" if word.designer else "Assigned to nobody"
        case Archived():
            return "Archived"
        case Brought():
            return (
                f"Added {word.files} files at the desk" if word.files else "Wrote down the customer's words"
            )
        case KeptApart():
            return f"{word.other} is another room"
        case Merged():
            return f"Merged {word.other} into this job"
        case Split():
            return f"Moved {_messages(word.messages)} to a new job, {word.new}"
        case Moved():
            return f"Moved a message here from {word.left or 'outside any job'}"
    raise TypeError(f"{type(word).__name__} has no sentence")


def _words_of(need: str) -> str:
    """The customer's words in the key of a need (model/need.py)."""
    return need.split(" ", 2)[-1]


def _number_sentence(word: NumberWord, read: str) -> str:
    if word.not_a_number:
        return f"“{read}” is no length"
    what = f" ({_as_words(word.opening or word.role)})" if word.role else ""
    if word.text:
        return f"“{read}” is {word.text}{what}"
    if word.confirmed:
        return f"“{read}” confirmed as read{what}"
    return f"“{read}” measures something else{what}"


def _as_words(word: object) -> str:
    return str(word).replace("-", " ")


def _messages(found: Sequence[str]) -> str:
    return f"{len(found)} message{'s' if len(found) != 1 else ''}"
