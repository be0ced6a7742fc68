"""What a designer writes to a customer: the waiting letter in other words, released or held back, and letters of the
desk's own: free words, the measuring guide, the invitation to the design call."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from intake.model.checklist import RoomKind
from intake.model.errors import NotFound
from intake.model.job import Event, EventKind
from intake.model.letter import Ask, Letter, LetterKind, LetterState
from intake.store.accounts import Accounts
from intake.store.letters import KeptLetter
from intake.store.records import LETTER
from intake.wording.desk import worded
from intake.work.decide import NotPossible
from intake.work.designers_words import questions, with_cautions_of
from intake.work.examine import letter_to, with_thread
from intake.work.job_file import JobFile, open_file
from intake.work.services import Services

LONGEST_TEXT = 4000
MOST_OWN_ASKS = 5
"""Requests of a designer's own in one letter."""
TOO_MANY = f"More than {MOST_OWN_ASKS} requests of your own are too many for one letter"


@dataclass(frozen=True)
class Edit:
    """A letter as a designer changed it: the opening words, and each ask that stays, by its place in the letter."""

    thanks: str
    asks: Mapping[int, tuple[str, str]]
    """Place (from 0) to (question, how)."""
    note: str = ""
    """Words of the designer's own, in paragraphs."""
    own: Sequence[tuple[str, str]] = ()
    """Further requests of the designer's own: (question, how)."""


def edit_letter(services: Services, job: str, letter_id: int, edit: Edit, by: str) -> None:
    """Write a waiting letter anew with a designer's words; its references, crops and cautions stay."""
    kept = _letter_of(services, job, letter_id)
    asks = [_edited(ask, edit.asks[n]) for n, ask in enumerate(kept.letter.asks) if n in edit.asks]
    gone = [ask for n, ask in enumerate(kept.letter.asks) if n not in edit.asks]
    thanks, opening = _words(edit.thanks), kept.letter.opening or kept.letter.thanks
    letter = replace(
        kept.letter,
        thanks=thanks,
        opening="" if thanks == _words(opening) else opening,
        note=paragraphs(edit.note),
        asks=(*with_cautions_of(services, asks, gone), *own_asks(edit.own)),
        unasked=(*kept.letter.unasked, *questions(gone)),
    )
    if sum(not ask.item for ask in letter.asks) > MOST_OWN_ASKS:
        raise NotPossible(TOO_MANY, "Send the rest later")
    written = services.pen.write(letter, services.clock())
    values = {
        "body": LETTER.write(letter),
        "asks": list(letter.items),
        "message_id": written.message_id,
        "text": written.text,
        "html": written.html,
        "raw": written.raw,
        "edited": True,
    }
    _change_letter(
        services, kept, (LetterState.DRAFT, LetterState.HELD), values, by, EventKind.EDITED, "Letter edited."
    )


def _edited(ask: Ask, words: tuple[str, str]) -> Ask:
    question, how = (_words(w) for w in words)
    question = question or ask.question
    if (question, how) == (_words(ask.question), _words(ask.how)):
        return ask
    return replace(ask, question=question, how=how, reworded=ask.reworded or ask.question if ask.item else "")


def _words(text: str) -> str:
    return " ".join(text.split())[:LONGEST_TEXT]


def release_letter(services: Services, job: str, letter_id: int, by: str, sure: bool = False) -> None:
    """Let a waiting letter go. `sure`: the designer vouches for the address of a letter that the rules hold back."""
    kept = _letter_of(services, job, letter_id)
    if kept.state is LetterState.HELD and not sure:
        raise NotPossible(
            f"It is held back: {worded(kept.held_because)}", "Say that you are sure of the address"
        )
    values = {"state": LetterState.DUE, "due_at": services.clock()}
    though = worded(kept.held_because)
    text = f"Letter released, though: {though}" if though else "Letter released."
    _change_letter(services, kept, (kept.state,), values, by, EventKind.RELEASED, text)


def hold_letter(services: Services, job: str, letter_id: int, by: str) -> None:
    """Take a released letter back before it goes."""
    kept = _letter_of(services, job, letter_id)
    values = {"state": LetterState.HELD if kept.held_because else LetterState.DRAFT, "due_at": None}
    _change_letter(
        services, kept, (LetterState.DUE,), values, by, EventKind.HELD, "Letter taken back before it went."
    )


def _letter_of(services: Services, job: str, letter_id: int) -> KeptLetter:
    with services.store.reading() as tables:
        kept = tables.letters.get(letter_id)
    if kept is None or kept.job != job:
        raise NotFound("There is no such letter")
    return kept


def _change_letter(
    services: Services,
    kept: KeptLetter,
    only_from: tuple[LetterState, ...],
    values: Mapping[str, Any],
    by: str,
    kind: EventKind,
    text: str,
) -> None:
    """Change a letter where it still stands as the designer saw it. Raises NotPossible where it does not."""
    now = services.clock()
    with services.store.transaction() as tables:
        if not tables.letters.change(kept.id, only_from=only_from, **values):
            raise NotPossible("The letter has changed meanwhile", "Look at it again")
        tables.jobs.add_event(kept.job, Event(now, kind, text, by))
        Accounts(tables.db).note(by, f"letter {kind}", kept.job, f"letter {kept.revision}", now)


def own_asks(given: Sequence[tuple[str, str]]) -> tuple[Ask, ...]:
    """Requests of a designer's own; those without a question are passed over. Raises NotPossible for too many."""
    asks = tuple(Ask("", _words(question), _words(how)) for question, how in given if question.strip())
    if len(asks) > MOST_OWN_ASKS:
        raise NotPossible(TOO_MANY, "Send the rest later")
    return asks


def paragraphs(text: str) -> str:
    """Free words as they are kept: lines without trailing blanks and control signs, paragraphs apart by one empty
    line."""
    lines = ("".join(c for c in line if c.isprintable()).strip() for line in text[:LONGEST_TEXT].splitlines())
    return "\n\n".join(filter(None, (p.strip("\n") for p in "\n".join(lines).split("\n\n"))))


def write_own(services: Services, job: str, note: str, asks: Sequence[tuple[str, str]], by: str) -> int:
    """Draft a letter of a designer's own words and requests; returns its id. It waits for release like any other and
    replaces none. Raises NotPossible where it says nothing or nobody can be written to."""
    said, wanted = paragraphs(note), own_asks(asks)
    if not (said or wanted):
        raise NotPossible("There is nothing in the letter", "Write something, or ask for something")
    return _draft(
        services, job, by, LetterKind.OWN, lambda file: {"thanks": "", "note": said, "asks": wanted}
    )


def send_guide(services: Services, job: str, by: str) -> int:
    """Draft the letter with which the measuring guide and the sheet go; returns its id."""

    def words(file: JobFile) -> dict[str, Any]:
        room = file.job.room
        if room is RoomKind.UNKNOWN:
            raise NotPossible("Nobody has said which room it is", "Say it under Hand over")
        return {"thanks": services.pen.wording().say("guide-letter"), "guide": room}

    return _draft(services, job, by, LetterKind.GUIDE, words)


def send_call(
    services: Services, job: str, calendar: str, starts_at: datetime, lasts: timedelta, by: str
) -> int:
    """Draft the letter with which the invitation to the design call goes; returns its id. `calendar` is the iCalendar
    object, `starts_at` the time by the showroom's own clock."""
    say = services.pen.wording().say
    day = {
        "weekday": say("weekdays").split()[starts_at.weekday()],
        "day": starts_at.day,
        "month": say("months").split()[starts_at.month - 1],
        "year": starts_at.year,
        "time": f"{starts_at:%H:%M}",
        "minutes": round(lasts.total_seconds() / 60),
    }
    words = {"thanks": say("call-letter", **day), "calendar": calendar}
    return _draft(services, job, by, LetterKind.CALL, lambda file: words)


def _draft(services: Services, job: str, by: str, kind: LetterKind, words: Any) -> int:
    """Queue a letter of the desk's own to the job's customer. Raises NotFound, NotPossible."""
    with services.store.reading() as tables:
        file = open_file(tables, job, services.checklists)
    file = with_thread(services, file)
    if file.stopped:
        raise NotPossible(f"No letters go out: {file.stopped}", "Undo that under History first")
    if not file.answerable or file.answered.thread is None:
        raise NotPossible("There is no address to write to", "Give the customer's e-mail address")
    letter: Letter = replace(letter_to(services, file, kind, (), None), **words(file))
    now = services.clock()
    written = services.pen.write(letter, now)
    state = LetterState.HELD if letter.held_because else LetterState.DRAFT
    with services.store.transaction() as tables:
        key = tables.letters.queue(written, state, now)
        what = {
            LetterKind.OWN: "A letter",
            LetterKind.GUIDE: "A letter with the measuring guide",
            LetterKind.CALL: "An invitation to the design call",
        }
        tables.jobs.add_event(
            file.job.id, Event(now, EventKind.LETTER, f"{what[kind]} was drafted at the desk.", by)
        )
        Accounts(tables.db).note(by, "letter drafted", file.job.id, kind, now)
    return key


def drop_letter(services: Services, job: str, letter_id: int, by: str) -> None:
    """Throw a letter of the desk's own away before it goes."""
    kept = _letter_of(services, job, letter_id)
    if not kept.by_desk:
        raise NotPossible("That letter is the program's own", "Hold it back, or stop the letters")
    values = {"state": LetterState.SUPERSEDED}
    only_from = (LetterState.DRAFT, LetterState.HELD, LetterState.DUE)
    _change_letter(
        services, kept, only_from, values, by, EventKind.DROPPED, "Letter thrown away before it went."
    )
