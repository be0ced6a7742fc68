"""Merge, split and move: which job a message belongs to, by a designer's word. Each can be undone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from intake.model.errors import IntakeError, NotFound
from intake.model.job import Event, EventKind, Job, JobState, PlacementRule
from intake.model.message import Address, MessageState
from intake.model.word import Confirmation, HeightWord, KeptApart, Merged, Moved, Split, TypedRoom, Vouched
from intake.store.accounts import Accounts
from intake.store.database import Tables
from intake.store.lists import Lists
from intake.store.messages import KeptMessage
from intake.store.refiling import Refiling
from intake.work.examine import examine
from intake.work.services import Services
from intake.work.take_in import TakenIn, merge, new_reference, take_in
from intake.work.what_counts import settled_job


class CannotRefile(IntakeError):
    """A merge, split or move that makes no sense; the sentence is for the person who asked."""


def merge_jobs(services: Services, home: str, other: str, by: str) -> int:
    """Merge the job `other` into `home`; later mail for either comes to `home`. Returns the decision's id."""
    now = services.clock()
    with services.store.transaction() as tables:
        kept, gone = _job(tables, home), _job(tables, other)
        if kept.id == gone.id:
            raise CannotRefile(f"{home} and {other} are one job already")
        filing = Refiling(tables.db)
        messages = [m.sha256 for m in tables.messages.of_job(gone.id)]
        carried = filing.on_pictures(gone.id, filing.pictures(messages)) + _on_the_room(
            filing, gone.id, kept.id
        )
        addresses = [a for a in gone.addresses if a not in kept.addresses]
        merge(tables, gone.id, kept.id, "A designer said that they are one room.", now, by)
        filing.carry(carried, kept.id)
        word = Merged(gone.id, tuple(messages), tuple(carried), tuple(addresses), by=by, at=now)
        key = tables.jobs.decide(kept.id, word)
        Accounts(tables.db).note(by, "merge", kept.id, f"merged {gone.id} into {kept.id}", now)
    examine(services, kept.id)
    return key


def _on_the_room(filing: Refiling, gone: str, kept: str) -> list[int]:
    """What was decided of the room itself goes along; a room typed by hand, where the other job has none of its own."""
    typed = [] if filing.on_the_room(kept, (TypedRoom,)) else filing.on_the_room(gone, (TypedRoom,))
    return filing.on_the_room(gone, (Confirmation, HeightWord)) + typed


def unmerge(tables: Tables, job: str, word: Merged, by: str, now: datetime) -> Sequence[str]:
    """Give the merged job its messages and decisions back."""
    other = word.other
    tables.jobs.change(other, merged_into=None)
    _return(tables, job, other, word, by)
    Refiling(tables.db).drop_addresses(job, word.addresses)
    _note_event(
        tables,
        job,
        EventKind.UNMERGED,
        f"The merge of {other} was undone; messages that came since stay here.",
        by,
        now,
    )
    return [other]


def split_job(services: Services, job: str, messages: Sequence[str], by: str) -> str:
    """Move some of a job's messages to a new job; returns its reference. Later answers to them go there."""
    now = services.clock()
    with services.store.transaction() as tables:
        old = _job(tables, job)
        chosen = [m for m in tables.messages.of_job(old.id) if m.sha256 in set(messages)]
        if not chosen or len(chosen) == len(tables.messages.of_job(old.id)):
            raise CannotRefile(
                "A new job needs some of the messages, not all", "Tick those that belong elsewhere"
            )
        new = _open_for(tables, chosen)
        carried = _take(tables, old.id, new, chosen, PlacementRule.SPLIT, f"A designer split {old.id}.", by)
        word = Split(new, tuple(m.sha256 for m in chosen), tuple(carried), by=by, at=now)
        tables.jobs.decide(old.id, word)
        _note_event(
            tables,
            old.id,
            EventKind.SPLIT,
            f"{len(chosen)} of its messages went to a new job, {new}.",
            by,
            now,
        )
        _note_event(tables, new, EventKind.SPLIT, f"Opened from messages of {old.id}.", by, now)
        Accounts(tables.db).note(by, "split", old.id, f"split {new} from {old.id}", now)
    for changed in (old.id, new):
        examine(services, changed)
    return new


def unsplit(tables: Tables, old: str, word: Split, by: str, now: datetime) -> Sequence[str]:
    """Take the messages of a split job back; the new job stands for the old from then on."""
    new = word.new
    _return(tables, new, old, word, by)
    if not tables.messages.of_job(new):
        tables.letters.withdraw(new)
        tables.jobs.change(new, merged_into=old)
    _note_event(tables, old, EventKind.UNSPLIT, f"The split of {new} was undone.", by, now)
    return [old] if tables.messages.of_job(new) == [] else [old, new]


def move_message(services: Services, sha256: str, to: str, by: str) -> int:
    """Put one message into the job `to`; returns the decision's id."""
    now = services.clock()
    with services.store.transaction() as tables:
        message, target = tables.messages.get(sha256), _job(tables, to)
        if message is None or message.state not in (MessageState.FILED, MessageState.APART):
            raise CannotRefile("That message cannot be moved: it was never read")
        if message.job == target.id:
            raise CannotRefile(f"It is in {target.id} already")
        left = message.job or ""
        carried = _take(
            tables, left, target.id, [message], PlacementRule.PLACED, "A designer put it here.", by
        )
        emptied = bool(left) and not tables.messages.of_job(left)
        if emptied:
            tables.letters.withdraw(left)
            tables.jobs.change(left, merged_into=target.id)
        word = Moved(sha256, left, tuple(carried), emptied, by=by, at=now)
        key = tables.jobs.decide(target.id, word)
        _note_event(
            tables,
            target.id,
            EventKind.MOVED,
            f"A message came here from {left or 'outside any job'}.",
            by,
            now,
        )
        Accounts(tables.db).note(by, "move", target.id, f"moved {sha256[:12]} from {left or 'no job'}", now)
    for changed in [target.id, *([left] if left and not emptied else [])]:
        examine(services, changed)
    return key


def unplace(tables: Tables, job: str, word: Moved, by: str, now: datetime) -> Sequence[str]:
    """Put a moved message back where it came from."""
    left = word.left
    if word.emptied:
        tables.jobs.change(left, merged_into=None)
    tables.messages.move(
        word.message, left or None, PlacementRule.PUT_BACK, "A designer's move was undone.", by
    )
    Refiling(tables.db).carry(word.decisions, left or job)
    _note_event(tables, job, EventKind.MOVED, f"A message went back to {left or 'no job'}.", by, now)
    return [left] if left else []


def vouch(services: Services, job: str, sha256: str, by: str) -> int:
    """Say that a message which does not count is the customer's, or theirs whom the customer means: it counts from now
    on, and so does what else its writer sends where our server vouches for them; the decision's id."""
    with services.store.transaction() as tables:
        message = _message_in(tables, job, sha256)
        if message.counts:
            raise CannotRefile("It counts already")
        word = Vouched(sha256, message.sender_email, message.vouched, by=by, at=services.clock())
        tables.messages.vouch(sha256, True)
        key = tables.jobs.decide(job, word)
        _note_event(
            tables,
            job,
            EventKind.VOUCHED,
            f"A designer said that it is the customer's: “{message.subject}”.",
            by,
            services.clock(),
        )
        Accounts(tables.db).note(by, "vouch", job, f"vouched for {sha256[:12]}", services.clock())
    examine(services, job)
    return key


def keep_apart(services: Services, job: str, other: str, by: str) -> int:
    """Say that two jobs offered for merging are not the same; the offer is not made again."""
    now = services.clock()
    with services.store.transaction() as tables:
        _job(tables, job)
        names = Lists(tables.db).stands_in
        offers = {m.sha256: m.offers for m in tables.messages.of_job(job) if other in map(names, m.offers)}
        if not offers:
            raise CannotRefile(f"{other} is not offered")
        left = {sha: [o for o in found if names(o) != other] for sha, found in offers.items()}
        Refiling(tables.db).set_offers(left)
        key = tables.jobs.decide(job, KeptApart(other, tuple(offers), by=by, at=now))
        _note_event(
            tables, job, EventKind.KEPT_APART, f"A designer said that {other} is another room.", by, now
        )
        Accounts(tables.db).note(by, "apart", job, f"kept apart from {other}", now)
    return key


def unapart(tables: Tables, word: KeptApart) -> None:
    """Make the offer again."""
    found = [m for sha in word.messages if (m := tables.messages.get(sha)) is not None]
    Refiling(tables.db).set_offers({m.sha256: [*m.offers, word.other] for m in found})


def read_again(services: Services, sha256: str, by: str) -> TakenIn:
    """Try once more to file a message that was set aside."""
    with services.store.transaction() as tables:
        kept = tables.messages.get(sha256)
        if kept is None or kept.state is not MessageState.SET_ASIDE:
            raise NotFound("There is no such message set aside")
        Accounts(tables.db).note(by, "read again", sha256[:16], kept.file, services.clock())
    taken = take_in(services, sha256)
    for job in taken.jobs:
        examine(services, job)
    return taken


def _job(tables: Tables, job_id: str) -> Job:
    job = tables.jobs.get(job_id)
    if job is None:
        raise NotFound(f"There is no job {job_id[:16]}", "Look for the customer's name")
    return job


def _message_in(tables: Tables, job_id: str, sha256: str) -> KeptMessage:
    """A person's message in a job, with whether it counts there. Raises NotFound."""
    messages = settled_job(tables, _job(tables, job_id)).heard.messages
    found = next((m for m in messages if m.sha256 == sha256 and not m.automatic), None)
    if found is None:
        raise NotFound("There is no such message in this job")
    return found


def _take(
    tables: Tables,
    left: str,
    to: str,
    messages: Sequence[KeptMessage],
    rule: PlacementRule,
    reason: str,
    by: str,
) -> list[int]:
    """Move messages with the decisions on their pictures; returns the ids of those decisions."""
    filing = Refiling(tables.db)
    carried = filing.on_pictures(left, filing.pictures([m.sha256 for m in messages])) if left else []
    for message in messages:
        tables.messages.move(message.sha256, to, rule, reason, by)
        tables.jobs.add_address(to, message.sender_email)
        tables.jobs.note_message(to, message.at)
    filing.carry(carried, to)
    return carried


def _return(tables: Tables, holder: str, owner: str, word: Merged | Split, by: str) -> None:
    """Give `owner` those of the messages and decisions that `holder` still has."""
    held = {m.sha256 for m in tables.messages.of_job(holder)}
    for sha256 in word.messages:
        if sha256 in held:
            tables.messages.move(
                sha256, owner, PlacementRule.PUT_BACK, "A designer's decision was undone.", by
            )
    Refiling(tables.db).carry(word.decisions, owner)


def _open_for(tables: Tables, messages: Sequence[KeptMessage]) -> str:
    while tables.jobs.get(new := new_reference()) is not None:
        continue
    first = messages[0]
    customer = Address(first.sender_name, first.sender_email)
    at = [m.at for m in messages]
    tables.jobs.open(Job(new, first.room, JobState.ARRIVING, customer, (customer.email,), min(at), max(at)))
    return new


def _note_event(tables: Tables, job: str, kind: EventKind, text: str, by: str, now: datetime) -> None:
    tables.jobs.add_event(job, Event(now, kind, text, by))
