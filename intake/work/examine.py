"""Examine one job: read its sketches, close the room, assess the checklist, and decide the letter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from intake.domain.mail.answering import answer_to
from intake.domain.mail.rhythm import Next, what_next
from intake.domain.said.typed_room import evidence_of_heights, evidence_of_room
from intake.domain.survey.asking import letter_for, what_to_ask
from intake.domain.survey.readiness import not_ready
from intake.domain.survey.standings import assess
from intake.model.answering import AT_THE_DESK
from intake.model.checklist import ItemStanding, ItemState, RoomKind, StatementKind
from intake.model.finding import Finding
from intake.model.job import Event, JobState
from intake.model.letter import Ask, Letter, LetterState
from intake.model.need import Need, NeedKind
from intake.store.database import Tables
from intake.store.letters import BEFORE_A_RESTORE, OUT, WAITING, KeptLetter
from intake.store.messages import KeptMessage
from intake.work.contact import covered_in_words
from intake.work.job_file import JobFile, may_bear_labels, open_file
from intake.work.services import Services

MOST_LABELLED = 40
"""Photographs of a job in which labels are looked for at one examination: about a third of a second each."""


def examine(services: Services, job_id: str) -> None:
    """Bring everything that follows from a job's material up to date. Repeating it changes nothing.

    Reading is done outside any transaction; standings, letter, state and timeline are written in one, unless a later
    state of the material has been examined meanwhile. Raises NotFound for a job that is not there.
    """
    _read_sketches(services, job_id)
    _read_labels(services, job_id)
    _compare_views(services, job_id)
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
        version = tables.jobs.version(file.job.id)
    standings = _standings(services, file)
    asks = asks_of(services, file, standings)
    ready = is_ready(file, standings)
    letter = _letter(services, file, ready, asks)
    needs = (*file.needs, *_unsettled(file, ready, letter))
    if letter is not None and not _said_already(file.letters, letter):
        letter = with_crops(services, file, letter)
    with services.store.transaction() as tables:
        job = file.job.id
        if not tables.jobs.begin_examined(job, version):
            return
        tables.jobs.set_standings(job, standings)
        tables.jobs.set_needs(job, needs)
        _queue(tables, services, file, letter)
        state = _state(tables, file, ready, len(needs) > len(file.needs) - len(file.blocking) or not asks)
        tables.jobs.change(job, room=file.job.room, state=state)
        tables.jobs.set_customer(job, file.job.customer)
        tables.jobs.end_examined(job, version, services.clock())
        for event in _events(services.clock(), file, standings):
            tables.jobs.add_event(job, event)


def _read_sketches(services: Services, job_id: str) -> None:
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
    for picture in (p for p in file.pictures if p.id in file.waiting):
        jpeg = full_picture(services, picture.message, picture.id)
        if jpeg is None:
            continue
        reading = services.eyes.read(jpeg)
        with services.store.transaction() as tables:
            tables.pictures.keep_reading(picture.id, reading, services.clock())


def _read_labels(services: Services, job_id: str) -> None:
    """Look for labels in the photographs that have not been looked at yet, a few dozen in one go at most."""
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
        files = {k.picture.id: k.display_file for k in tables.pictures.of_job(file.job.id)}
    new = [p.id for p in file.pictures if p.labels is None and not p.same_as and may_bear_labels(p)]
    for picture in new[:MOST_LABELLED]:
        display = files[picture]
        path = services.store.files.picture_path(display) if display else None
        found = services.eyes.labels(path.read_bytes()) if path is not None and path.is_file() else ()
        with services.store.transaction() as tables:
            tables.pictures.keep_labels(picture, found)


def _compare_views(services: Services, job_id: str) -> None:
    """See how the room's photographs overlap, where there are others than last time."""
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
        files = {k.picture.id: k.display_file for k in tables.pictures.of_job(file.job.id)}
    ids = tuple(p.id for p in file.views)
    if len(ids) < 2 or (file.panorama and file.panorama[0] == ids) or not all(files[i] for i in ids):
        return
    shown = [services.store.files.picture_path(files[i]).read_bytes() for i in ids]
    panorama = services.eyes.compare(shown, [p.facts.focal_length_35mm for p in file.views])
    with services.store.transaction() as tables:
        tables.pictures.keep_panorama(file.job.id, ids, panorama)


def full_picture(services: Services, message: str, picture: str) -> bytes | None:
    """A sketch at full resolution: kept from last time, else decoded anew from the raw message."""
    path = services.store.files.picture_path(f"{picture}-full.jpg")
    if not path.exists():
        with services.store.reading() as tables:
            kept = tables.messages.get(message)
        raw = services.store.files.raw_path(message)
        if kept is None or not raw.exists():
            return None
        parsed = services.parse(raw, kept.received_at, message)
        jpeg = services.eyes.full(parsed, picture)
        if jpeg is None:
            return None
        services.store.files.keep_picture(path.name, jpeg)
    return path.read_bytes()


def _standings(services: Services, file: JobFile) -> tuple[ItemStanding, ...]:
    examination, checklist = file.examination(), services.checklists[file.job.room]
    whole = examination if file.typed is not None else None
    return assess(
        checklist,
        file.readings,
        file.pictures,
        file.statements,
        examination.findings if examination else (),
        file.confirmations,
        evidence_of_room(whole.survey, checklist) if whole else evidence_of_heights(file.typed_heights()),
        whole is not None,
    )


def is_ready(file: JobFile, standings: Sequence[ItemStanding]) -> bool:
    """Whether nothing more is wanted before the design can start."""
    return not wanting(file, standings)


def wanting(file: JobFile, standings: Sequence[ItemStanding]) -> tuple[Finding, ...]:
    """What keeps the job from being ready to design."""
    plan = file.readings[file.sketch] if file.sketch and file.typed is None else None
    return not_ready(standings, file.examination(), plan, file.blocking)


def _unsettled(file: JobFile, ready: bool, letter: Letter | None) -> list[Need]:
    """Guesses in reply to our letter, where no further letter is going to ask again."""
    asked_at = file.situation(ready, ()).letter_at
    if ready or letter is not None or asked_at is None or file.stopped:
        return []
    since = {m.key for m in file.answerable if m.received_at > asked_at}
    why = "What the customer answered settles nothing, and no further letter asks again."
    found = [s for s in file.statements if s.message in since and s.kind is StatementKind.DOUBTFUL]
    needs = [Need(NeedKind.UNSETTLED, s.text, why, s.message, items=(s.item,)) for s in found]
    return [n for n in dict.fromkeys(needs) if n.key not in file.seen]


def asks_of(services: Services, file: JobFile, standings: Sequence[ItemStanding]) -> tuple[Ask, ...]:
    """What the job's customer is to be asked for."""
    # Once a designer has typed the room nothing rests on the ink any more, so nobody is asked what it says.
    readings = file.readings if file.typed is None else {}
    return what_to_ask(standings, readings, file.pictures, services.pen.wording(), file.examination())


def _letter(services: Services, file: JobFile, ready: bool, asks: tuple[Ask, ...]) -> Letter | None:
    """The letter that the job calls for now, without its crops; None for none."""
    if not file.answerable or not services.store.files.raw_path(file.answered.sha256).exists():
        return None
    kind = "complete" if ready else "follow-up"
    situation = file.situation(ready, _items(asks))
    next_ = what_next(situation, services.policy.rhythm, _quiet(services, file))
    if next_.action == "write" and not asks:
        return None
    return letter_to(services, file, kind, asks, next_) if next_.action in ("write", "thank") else None


def _items(asks: tuple[Ask, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item for ask in asks for item in ask.items))


def _quiet(services: Services, file: JobFile) -> datetime:
    """The letter is decided at once for the moment when the customer will have been quiet long enough."""
    return max(services.clock(), file.last_message_at + services.policy.rhythm.quiet)


def letter_to(services: Services, file: JobFile, kind: str, asks: tuple[Ask, ...], next_: Next) -> Letter:
    """The letter of a kind to the job's customer, answering the latest message that may be answered."""
    kept = file.answered
    path = services.store.files.raw_path(kept.sha256)
    newest = services.parse(path, kept.received_at, kept.sha256)
    met = kept.answering_rule == AT_THE_DESK
    letter = letter_for(file.job, asks, file.unthanked, [newest], services.pen.wording(), kind, met)
    customer = file.job.customer
    to = customer if met else answer_to(newest, services.policy.addresses, vouched=kept.vouched)
    guide = file.job.room if _wants_guide(services, file, letter) else None
    return replace(
        letter,
        to=(to,),
        greeted=_greeted(file),
        held_because=_held(services, file, kept),
        due_at=next_.at,
        guide=guide,
    )


def _greeted(file: JobFile) -> tuple[str, ...]:
    """The names of those who wrote since our last letter, the latest first."""
    gone = [k.sent_at or k.decided_at for k in file.letters if k.state in OUT]
    since = [m for m in file.answerable if not gone or m.received_at > gone[-1]]
    return tuple(dict.fromkeys(m.sender_name for m in reversed(since) if m.sender_name))


def _wants_guide(services: Services, file: JobFile, letter: Letter) -> bool:
    """At first contact: nothing has gone to the customer yet, and a plan is still to be drawn."""
    gone = any(k.state in OUT for k in file.letters)
    return services.policy.send_guide and not gone and not file.sketch and "sketch" in letter.items


def with_crops(services: Services, file: JobFile, letter: Letter) -> Letter:
    """The letter with the ink that each of its asks is about."""
    asks = (replace(ask, crop=ask.crop or _crop(services, file, ask)) for ask in letter.asks)
    return replace(letter, asks=tuple(asks))


def _crop(services: Services, file: JobFile, ask: Ask) -> bytes | None:
    picture = next((p for p in file.pictures if p.id == ask.picture), None)
    if picture is None or ask.number is None:
        return None
    jpeg = full_picture(services, picture.message, picture.id)
    return services.eyes.crop(jpeg, file.readings[picture.id].numbers[ask.number].box) if jpeg else None


def _held(services: Services, file: JobFile, answered: KeptMessage) -> str | None:
    """Why the rules hold a letter back, or None."""
    if answered.answering == "hold":
        return answered.answering_why
    if doubt := _doubt_since_restore(file.letters, answered.key):
        return doubt
    if any(m.rule == "stranger" and m.offers for m in file.messages):
        return "It may belong to another job, which does not know its address: say whether it does."
    about_a_room = file.pictures or file.statements or file.job.room is not RoomKind.UNKNOWN
    if services.policy.automatic and not about_a_room:
        return "Nothing in the job says that it is about a room survey."
    return None


def _doubt_since_restore(letters: Sequence[KeptLetter], answered: str) -> str | None:
    """A letter that answers the same message and may have gone out before a restore holds back the next one too,
    until a person has released one of them."""
    same = [k for k in letters if k.in_reply_to in (answered, "")]
    if not same or same[-1].state not in (LetterState.HELD, LetterState.SUPERSEDED):
        return None
    why = same[-1].held_because or ""
    return why if BEFORE_A_RESTORE in why else None


def _queue(tables: Tables, services: Services, file: JobFile, letter: Letter | None) -> None:
    """Queue the letter unless one that says the same waits or has gone; withdraw what no longer holds."""
    job, now = file.job.id, services.clock()
    if letter is None:
        tables.letters.withdraw(job)
        return
    if _said_already(tables.letters.of_job(job), letter):
        return
    written = services.pen.write(with_crops(services, file, letter), now)
    tables.letters.queue(written, first_state(services, file, letter), now)
    titles = {i.id: i.title for i in services.checklists[file.job.room].items}
    wants = ", ".join(titles.get(i, i) for i in letter.items) or "nothing"
    tables.jobs.add_event(
        job, Event(now, "letter", f"A {letter.kind} letter was drafted; it asks for {wants}.")
    )


def _said_already(letters: Sequence[KeptLetter], letter: Letter) -> bool:
    """Whether the job's latest letter, waiting or gone, says what this one would."""
    latest = next((k for k in reversed(letters) if k.state in (*WAITING, *OUT)), None)
    return latest is not None and _says_the_same(latest, letter)


def _says_the_same(kept: KeptLetter, letter: Letter) -> bool:
    """The same asks, to the same message; once it has gone, the same asks are enough (RFC 3834 2: not again)."""
    same_asks = kept.letter.kind == letter.kind and [a.question for a in kept.letter.asks] == [
        a.question for a in letter.asks
    ]
    same_message = kept.in_reply_to == letter.in_reply_to and kept.held_because == letter.held_because
    return same_asks and (kept.state in OUT or same_message)


def first_state(services: Services, file: JobFile, letter: Letter) -> LetterState:
    """A letter goes by itself only where the settings say so and no answer to an earlier one waits for a person."""
    if letter.held_because:
        return LetterState.HELD
    # The first letter says what is wanted, whatever else the customer wrote; an answer is read before we write again.
    waits = bool(file.blocking) and any(k.state in OUT for k in file.letters)
    # Nobody but the designer who typed the address has vouched for it.
    waits = waits or file.answered.answering_rule == AT_THE_DESK
    return LetterState.DUE if services.policy.automatic and not waits else LetterState.DRAFT


def _state(tables: Tables, file: JobFile, ready: bool, waits: bool) -> JobState:
    if file.in_danger:
        return JobState.TO_CHECK
    if file.stopped:
        return JobState.STOPPED
    if ready:
        return JobState.COMPLETE
    if waits:
        return JobState.TO_CHECK
    states = [k.state for k in tables.letters.of_job(file.job.id) if k.state in (*WAITING, *OUT)]
    if states and states[-1] in OUT:
        return JobState.ASKED
    return JobState.ARRIVING if states and states[-1] is LetterState.DUE else JobState.TO_CHECK


def _events(now: datetime, file: JobFile, standings: tuple[ItemStanding, ...]) -> list[Event]:
    """The timeline's lines on what was read and on what is wanting."""
    events = []
    for picture, reading in file.read.items():
        sure = sum(n.accepted for n in reading.numbers)
        name = next(p.name for p in file.pictures if p.id == picture) or "a sketch"
        text = f"Read {len(reading.numbers)} numbers off {name}, {sure} of them sure."
        events.append(Event(now, "reading", " ".join([text, *(f.text for f in reading.findings)])))
    if covered := covered_in_words(file):
        events.append(Event(now, "pictures", covered))
    wanting = [s.item.title for s in standings if s.state in (ItemState.MISSING, ItemState.DOUBTFUL)]
    settled = len(standings) - len(wanting)
    text = f"{settled} of {len(standings)} items settled" + (
        f"; wanting: {', '.join(wanting)}." if wanting else "."
    )
    return [*events, Event(now, "checklist", text)]
