"""Examine one job: read its sketches, close the room, assess the checklist, decide the letter and whether it waits
for a designer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from intake.domain.mail.answering import answer, thread_of
from intake.domain.mail.rhythm import Action, what_next
from intake.domain.sketch.drawn_openings import box_of_opening
from intake.domain.survey.asking import letter_for, needed, requests_of, what_to_ask
from intake.domain.survey.readiness import not_ready
from intake.domain.words.taken_together import meanings
from intake.model.answering import AnsweringRule
from intake.model.checklist import ItemStanding, ItemState
from intake.model.finding import Finding
from intake.model.job import Event, EventKind, JobState
from intake.model.letter import Ask, Letter, LetterKind, LetterState
from intake.model.message import Address
from intake.model.need import Need, NeedKind
from intake.model.phrase import Phrase, phrase
from intake.model.word import Statement, StatementKind
from intake.store.database import Tables
from intake.store.jobs import as_examined
from intake.store.letters import OUT, WAITING, KeptLetter, is_replaced
from intake.wording.desk import worded
from intake.work.contact import covered_in_words
from intake.work.designers_words import questions, with_own_words
from intake.work.job_file import JobFile, lay_out, load
from intake.work.look import full_picture, is_seen, look
from intake.work.looks import (
    answered_in_vain,
    measures_to_look_at,
    numbers_to_look_at,
    openings_to_look_at,
)
from intake.work.measure import keep_tally
from intake.work.services import Services
from intake.work.showroom import rhythm
from intake.work.what_counts import counted
from intake.work.why_held import whose_job, why_held


def examine(services: Services, job_id: str) -> None:
    """Bring everything that follows from a job's material up to date: load, look, fold, examine, write. Repeating it
    changes nothing.

    Looking is done outside any transaction, and later where somebody waits; standings, letter, state and timeline are
    written in one, unless a later state of the material has been examined meanwhile. Raises NotFound for a job that is
    not there.
    """
    with services.store.reading() as tables:
        rows = load(tables, job_id)
    if services.later is None:
        rows = look(services, rows)
    seen = services.later is None or is_seen(rows)
    file = with_thread(services, lay_out(rows, services.checklists))
    found = _found(services, file)
    with services.store.transaction() as tables:
        if not tables.jobs.begin_examined(file.job.id, rows.version):
            return
        _write(tables, services, file, found, as_examined(rows.version, services.clock()) if seen else {})
    if services.later is not None and not seen:
        # Until then it counts as not examined, so that no letter goes out.
        services.later(file.job.id)


@dataclass(frozen=True)
class _Found:
    """What an examination comes to: where every item stands, whether the job is ready, the letter that is due with the
    job, what waits for a person, and whether the job waits for that."""

    standings: tuple[ItemStanding, ...]
    ready: bool
    letter: Letter | None
    needs: tuple[Need, ...]
    waits: bool


def _found(services: Services, file: JobFile) -> _Found:
    standings = file.survey.standings()
    asks = asks_of(services, file, standings)
    ready = is_ready(file, standings)
    looks, openings = numbers_to_look_at(file, asks), openings_to_look_at(file, standings)
    letter = _letter(services, file, ready, asks, bool(looks or openings))
    gone = False
    if letter is not None:
        letter = with_own_words(services, letter, file.letters)
        same = _said_already(file.written, letter)
        gone = same is not None and same.state in OUT
        letter = letter if same else with_crops(services, file, letter)
    settles = _unsettled(file, standings, asks) if letter is None or gone else []
    openings = openings if letter or file.needs or settles or answered_in_vain(file) else []
    measures = measures_to_look_at(file)
    needs = (*file.needs, *measures, *settles, *openings, *(looks if letter else ()))
    waits = len(needs) > len(file.needs) - len(file.blocking) or not needed(asks)
    return _Found(standings, ready, letter, needs, waits)


def _write(
    tables: Tables, services: Services, file: JobFile, found: _Found, examined: Mapping[str, Any]
) -> None:
    """Write what an examination came to, and the columns that say so."""
    job, now = file.job.id, services.clock()
    letters, drafted = _queue(tables, services, file, found.letter)
    state = _state(letters, file, found.ready, found.waits)
    photographs, sketches = counted(file.pictures)
    tables.jobs.keep_found(
        job,
        found.standings,
        found.needs,
        file.job.customer,
        room=file.job.room,
        state=state,
        designer=file.designer,
        photographs=photographs,
        sketches=sketches,
        **examined,
    )
    keep_tally(tables, file, state is JobState.COMPLETE, now)
    tables.jobs.add_events(job, [*drafted, *_events(now, file, found.standings)])


def is_ready(file: JobFile, standings: Sequence[ItemStanding]) -> bool:
    """Whether nothing more is wanted before the design can start."""
    return not wanting(file, standings)


def wanting(file: JobFile, standings: Sequence[ItemStanding]) -> tuple[Finding, ...]:
    """What keeps the job from being ready to design."""
    survey = file.survey
    whose = (Finding("whose-job", whose_job(file)),) if file.rivals else ()
    return (*whose, *not_ready(standings, survey.examination(), survey.plan, file.blocking))


def _unsettled(file: JobFile, standings: Sequence[ItemStanding], asks: Sequence[Ask]) -> list[Need]:
    """Of a job to which no further letter is going: guesses in reply to the one that went, and what keeps the job from
    being ready that no letter asks for."""
    lacking = wanting(file, standings)
    asked_at = file.situation(not lacking, ()).letter_at
    if not lacking or file.stopped:
        return []
    needs = [] if needed(asks) else [_not_asked(f) for f in lacking if not f.code.startswith(_TOLD_ELSEWHERE)]
    if asked_at is not None:
        since = {m.key for m in file.answerable if m.received_at > asked_at}
        why = phrase("need-settles-nothing")
        found = [s for s in file.survey.statements if s.message in since and s.kind is StatementKind.DOUBTFUL]
        needs += [_guess(told, why) for told in meanings(found)]
    return [n for n in dict.fromkeys(needs) if n.key not in file.seen]


def _guess(told: Sequence[Statement], why: Phrase) -> Need:
    """What a designer may take with one key: one of the meanings `told`."""
    values = tuple(dict.fromkeys(s.value_mm for s in told if s.value_mm is not None))
    return Need(NeedKind.UNSETTLED, told[0].text, why, told[0].message, values, (told[0].item,))


_TOLD_ELSEWHERE = ("waits-", "whose-job", "item-")
"""What the desk says already: what waits for a person, and the checklist."""


def _not_asked(finding: Finding) -> Need:
    return Need(
        NeedKind.UNSETTLED,
        worded(finding.text),
        phrase("need-not-asked"),
    )


def asks_of(services: Services, file: JobFile, standings: Sequence[ItemStanding]) -> tuple[Ask, ...]:
    """What the job's customer is to be asked for."""
    # Once a designer has typed the room nothing rests on the ink any more, so nobody is asked what it says.
    survey = file.survey
    readings = survey.readings if survey.typed is None else {}
    wording = services.pen.wording()
    return what_to_ask(standings, readings, survey.pictures, wording, survey.examination(), file.passed_over)


def _letter(
    services: Services, file: JobFile, ready: bool, asks: tuple[Ask, ...], looks: bool
) -> Letter | None:
    """The letter that the job calls for now, without its crops; None for none. It leaves a designer the time for one
    look where that may settle some of it; none goes for the sake of what is only a help."""
    if file.archived or not file.answerable or file.answered.thread is None:
        return None
    kind = LetterKind.COMPLETE if ready else LetterKind.FOLLOW_UP
    pace = rhythm(services)
    next_ = what_next(file.situation(ready, requests_of(needed(asks))), pace, _quiet(services, file))
    if next_.action is Action.THANK or (next_.action is Action.WRITE and needed(asks)):
        if looks and next_.at is not None:
            next_ = replace(next_, at=pace.hours.after(next_.at, pace.look))
        return letter_to(services, file, kind, asks, next_.at)
    return None


def with_thread(services: Services, file: JobFile) -> JobFile:
    """The file with what a letter needs of the message that it answers: an older version filed mail without it, and it
    is told by the original, once."""
    if not file.answerable or file.answered.thread is not None:
        return file
    kept = file.answered
    path = services.store.files.raw_path(kept.sha256)
    if not path.exists():
        return file
    thread = thread_of(services.parse(path, kept.received_at, kept.sha256), services.policy.addresses)
    with services.store.transaction() as tables:
        tables.messages.keep_thread(kept.sha256, thread)
    return replace(file, messages=tuple(replace(m, thread=thread) if m == kept else m for m in file.messages))


def _quiet(services: Services, file: JobFile) -> datetime:
    """The letter is decided at once for the moment when the customer will have been quiet long enough."""
    return max(services.clock(), file.last_message_at + services.policy.rhythm.quiet)


def letter_to(
    services: Services, file: JobFile, kind: LetterKind, asks: tuple[Ask, ...], due: datetime | None
) -> Letter:
    """The letter of a kind to the job's customer, answering the latest message that may be answered."""
    kept = file.answered
    assert kept.thread is not None, "a message that may be answered is filed with its thread"
    met = file.job.customer if kept.answering_rule == AnsweringRule.AT_THE_DESK else None
    answered = answer(kept.thread, kept.subject, kept.vouched, met)
    letter = letter_for(file.job, asks, file.unthanked, answered, services.pen.wording(), kind)
    guide = file.job.room if _wants_guide(services, file, letter) else None
    return replace(
        letter,
        to=(*letter.to, *_copied(file, letter)),
        greeted=_greeted(file),
        held_because=why_held(services, file, kept),
        due_at=due,
        guide=guide,
    )


MOST_COPIED = 2
"""People beside the customer who get a copy of each letter."""


def _copied(file: JobFile, letter: Letter) -> tuple[Address, ...]:
    """Whoever writes in the job as well, each at the address that they wrote from."""
    there = {a.email for a in letter.to}
    found = [m.thread.writer for m in file.partners if m.thread is not None]
    return tuple(a for a in found if a.email not in there)[-MOST_COPIED:]


def _greeted(file: JobFile) -> tuple[str, ...]:
    """The names of those who wrote since our last letter, the latest first."""
    gone = [k.sent_at or k.decided_at for k in file.letters if k.state in OUT]
    since = [m for m in file.answerable if not gone or m.received_at > gone[-1]]
    return tuple(dict.fromkeys(m.sender_name for m in reversed(since) if m.sender_name))


def _wants_guide(services: Services, file: JobFile, letter: Letter) -> bool:
    """At first contact: nothing has gone to the customer yet, and a plan is still to be drawn."""
    gone = any(k.state in OUT for k in file.letters)
    return services.policy.send_guide and not gone and not file.survey.sketch and "sketch" in letter.items


def with_crops(services: Services, file: JobFile, letter: Letter) -> Letter:
    """The letter with the ink that each of its asks is about."""
    asks = (replace(ask, crop=ask.crop or _crop(services, file, ask)) for ask in letter.asks)
    return replace(letter, asks=tuple(asks))


def _crop(services: Services, file: JobFile, ask: Ask) -> bytes | None:
    picture = next((p for p in file.pictures if p.id == ask.picture), None)
    if picture is None or (ask.number is None and ask.opening is None):
        return None
    jpeg, reading = full_picture(services, picture.message, picture.id), file.survey.readings[picture.id]
    if jpeg is None:
        return None
    if ask.opening is not None:
        return services.eyes.piece(jpeg, box_of_opening(reading, ask.opening))
    return services.eyes.crop(jpeg, reading.numbers[ask.number or 0].box)


def _queue(
    tables: Tables, services: Services, file: JobFile, letter: Letter | None
) -> tuple[list[LetterState], list[Event]]:
    """Queue the letter unless one that says the same waits or has gone; withdraw what no longer holds. Returns the
    states of the job's letters to its customer that wait now or went out, and the timeline's line."""
    job, now = file.job.id, services.clock()
    earlier = tables.letters.of_job(job)
    gone = [k.state for k in earlier if k.state in OUT and not k.beside]
    if letter is None:
        if any(map(is_replaced, earlier)):
            tables.letters.withdraw(job, but_of_desk=True)
        return gone, []
    letter = with_own_words(services, letter, earlier)
    if _said_already(replace(file, letters=tuple(earlier)).written, letter):
        return [k.state for k in earlier if is_replaced(k) or (k.state in OUT and not k.beside)], []
    written = services.pen.write(with_crops(services, file, letter), now)
    state = first_state(services, file, letter)
    tables.letters.queue(written, state, now, earlier)
    titles = {i.id: i.title for i in services.checklists[file.job.room].items}
    wants = ", ".join(titles.get(i, i) for i in letter.items) or "nothing"
    return [*gone, state], [
        Event(now, EventKind.LETTER, f"A {letter.kind} letter was drafted; it asks for {wants}.")
    ]


def _said_already(letters: Sequence[KeptLetter], letter: Letter) -> KeptLetter | None:
    """The job's latest letter, waiting or gone, if it says what this one would."""
    latest = next((k for k in reversed(letters) if k.state in (*WAITING, *OUT) and not k.by_desk), None)
    return latest if latest is not None and _says_the_same(latest, letter) else None


def _says_the_same(kept: KeptLetter, letter: Letter) -> bool:
    """The same asks, to the same message; once it has gone, the same asks that matter are enough (RFC 3834 2: not
    again)."""
    if kept.letter.kind != letter.kind:
        return False
    if kept.state in OUT:
        return questions(needed(kept.letter.asks)) == questions(needed(letter.asks))
    return (
        kept.in_reply_to == letter.in_reply_to
        # In words, as an older row holds them.
        and worded(kept.held_because) == worded(letter.held_because)
        and kept.letter.to == letter.to
        and questions(kept.letter.asks) == questions(letter.asks)
    )


def first_state(services: Services, file: JobFile, letter: Letter) -> LetterState:
    """A letter goes by itself only where the settings say so and no answer to an earlier one waits for a person."""
    if letter.held_because:
        return LetterState.HELD
    # The first letter says what is wanted, whatever else the customer wrote; an answer is read before we write again.
    waits = bool(file.blocking) and any(k.state in OUT for k in file.letters)
    # Nobody but the designer who typed the address has vouched for it.
    waits = waits or file.answered.answering_rule == AnsweringRule.AT_THE_DESK
    return LetterState.DUE if services.policy.automatic and not waits else LetterState.DRAFT


def _state(letters: Sequence[LetterState], file: JobFile, ready: bool, waits: bool) -> JobState:
    """`letters`: the states of those to the customer that wait or went out, in order."""
    if file.in_danger:
        return JobState.TO_CHECK
    if file.archived:
        return JobState.ARCHIVED
    if file.stopped:
        return JobState.STOPPED
    if ready:
        return JobState.COMPLETE
    if waits:
        return JobState.TO_CHECK
    if letters and letters[-1] in OUT:
        return JobState.ASKED
    return JobState.ARRIVING if letters and letters[-1] is LetterState.DUE else JobState.TO_CHECK


def _events(now: datetime, file: JobFile, standings: tuple[ItemStanding, ...]) -> list[Event]:
    """The timeline's lines on what was read and on what is wanting."""
    events = []
    for picture, reading in file.survey.read.items():
        sure = sum(n.accepted for n in reading.numbers)
        name = next(p.name for p in file.pictures if p.id == picture) or "a sketch"
        text = f"Read {len(reading.numbers)} numbers off {name}, {sure} of them sure."
        events.append(
            Event(now, EventKind.READING, " ".join([text, *(worded(f.text) for f in reading.findings)]))
        )
    if covered := covered_in_words(file):
        events.append(Event(now, EventKind.PICTURES, covered))
    wanting = [s.item.title for s in standings if s.state in (ItemState.MISSING, ItemState.DOUBTFUL)]
    settled = len(standings) - len(wanting)
    text = f"{settled} of {len(standings)} items settled" + (
        f"; wanting: {', '.join(wanting)}." if wanting else "."
    )
    return [*events, Event(now, EventKind.CHECKLIST, text)]
