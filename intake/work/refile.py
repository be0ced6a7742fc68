"""Merge, split and move: which job a message belongs to, by a designer's word. Each can be undone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from intake.model.errors import IntakeError, NotFound
from intake.model.job import Event, Job, JobState
from intake.model.message import Address
from intake.store.accounts import Accounts
from intake.store.database import Tables
from intake.store.filing import Filing
from intake.store.jobs import Decision
from intake.store.lists import Lists
from intake.store.messages import KeptMessage
from intake.work.examine import examine
from intake.work.services import Services
from intake.work.take_in import TakenIn, merge, new_reference, take_in


class CannotRefile(IntakeError):
    """A merge, split or move that makes no sense; the sentence is for the person who asked."""


def merge_jobs(services: Services, home: str, other: str, by: str) -> int:
    """Merge the job `other` into `home`; later mail for either comes to `home`. Returns the decision's id."""
    now = services.clock()
    with services.store.transaction() as tables:
        kept, gone = _job(tables, home), _job(tables, other)
        if kept.id == gone.id:
            raise CannotRefile(f"{home} and {other} are one job already")
        filing = Filing(tables.db)
        messages = [m.sha256 for m in tables.messages.of_job(gone.id)]
        carried = filing.on_pictures(gone.id, filing.pictures(messages)) + _on_the_room(
            filing, gone.id, kept.id
        )
        addresses = [a for a in gone.addresses if a not in kept.addresses]
        merge(tables, gone.id, kept.id, "A designer said that they are one room.", now, by)
        filing.carry(carried, kept.id)
        value = {"messages": messages, "decisions": carried, "addresses": addresses}
        key = tables.jobs.decide(kept.id, "merge", gone.id, value, by, now)
        Accounts(tables.db).note(by, "merge", kept.id, f"merged {gone.id} into {kept.id}", now)
    examine(services, kept.id)
    return key


def _on_the_room(filing: Filing, gone: str, kept: str) -> list[int]:
    """What was decided of the room itself goes along; a room typed by hand, where the other job has none of its own."""
    typed = [] if filing.on_the_room(kept, ["room-file"]) else filing.on_the_room(gone, ["room-file"])
    return filing.on_the_room(gone, ["item", "height"]) + typed


def unmerge(tables: Tables, decision: Decision, by: str, now: datetime) -> Sequence[str]:
    """Give the merged job its messages and decisions back."""
    other, value = decision.target, decision.value
    tables.jobs.change(other, merged_into=None)
    _return(tables, decision.job, other, value, by)
    Filing(tables.db).drop_addresses(decision.job, value.get("addresses", []))
    _say(
        tables,
        decision.job,
        "unmerged",
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
        carried = _take(tables, old.id, new, chosen, "split", f"A designer split {old.id}.", by)
        value = {"messages": [m.sha256 for m in chosen], "decisions": carried}
        tables.jobs.decide(old.id, "split", new, value, by, now)
        _say(tables, old.id, "split", f"{len(chosen)} of its messages went to a new job, {new}.", by, now)
        _say(tables, new, "split", f"Opened from messages of {old.id}.", by, now)
        Accounts(tables.db).note(by, "split", old.id, f"split {new} from {old.id}", now)
    for changed in (old.id, new):
        examine(services, changed)
    return new


def unsplit(tables: Tables, decision: Decision, by: str, now: datetime) -> Sequence[str]:
    """Take the messages of a split job back; the new job stands for the old from then on."""
    new, old = decision.target, decision.job
    _return(tables, new, old, decision.value, by)
    if not tables.messages.of_job(new):
        tables.letters.withdraw(new)
        tables.jobs.change(new, merged_into=old)
    _say(tables, old, "unsplit", f"The split of {new} was undone.", by, now)
    return [old] if tables.messages.of_job(new) == [] else [old, new]


def move_message(services: Services, sha256: str, to: str, by: str) -> int:
    """Put one message into the job `to`; returns the decision's id."""
    now = services.clock()
    with services.store.transaction() as tables:
        message, target = tables.messages.get(sha256), _job(tables, to)
        if message is None or message.state not in ("filed", "apart"):
            raise CannotRefile("That message cannot be moved: it was never read")
        if message.job == target.id:
            raise CannotRefile(f"It is in {target.id} already")
        left = message.job or ""
        carried = _take(tables, left, target.id, [message], "placed", "A designer put it here.", by)
        emptied = bool(left) and not tables.messages.of_job(left)
        if emptied:
            tables.letters.withdraw(left)
            tables.jobs.change(left, merged_into=target.id)
        value = {"job": target.id, "from": left, "decisions": carried, "emptied": emptied}
        key = tables.jobs.decide(target.id, "place", sha256, value, by, now)
        _say(tables, target.id, "moved", f"A message came here from {left or 'outside any job'}.", by, now)
        Accounts(tables.db).note(by, "move", target.id, f"moved {sha256[:12]} from {left or 'no job'}", now)
    for changed in [target.id, *([left] if left and not emptied else [])]:
        examine(services, changed)
    return key


def unplace(tables: Tables, decision: Decision, by: str, now: datetime) -> Sequence[str]:
    """Put a moved message back where it came from."""
    left = decision.value.get("from") or ""
    if decision.value.get("emptied"):
        tables.jobs.change(left, merged_into=None)
    tables.messages.move(decision.target, left or None, "put-back", "A designer's move was undone.", by)
    Filing(tables.db).carry(decision.value.get("decisions", []), left or decision.job)
    _say(tables, decision.job, "moved", f"A message went back to {left or 'no job'}.", by, now)
    return [left] if left else []


def vouch(services: Services, job: str, sha256: str, by: str) -> int:
    """Say that a message which nobody vouches for is the customer's: it counts from now on; the decision's id."""
    with services.store.transaction() as tables:
        message = tables.messages.get(sha256)
        if message is None or message.job != job or message.automatic:
            raise NotFound("There is no such message in this job")
        if message.vouched:
            raise CannotRefile("It counts already")
        tables.messages.vouch(sha256, True)
        key = tables.jobs.decide(job, "vouch", sha256, {"from": message.sender_email}, by, services.clock())
        _say(
            tables,
            job,
            "vouched",
            f"A designer said that it is the customer's: “{message.subject}”.",
            by,
            services.clock(),
        )
        Accounts(tables.db).note(by, "vouch", job, f"vouched for {sha256[:12]}", services.clock())
    examine(services, job)
    return key


def unvouch(tables: Tables, decision: Decision, by: str, now: datetime) -> Sequence[str]:
    """The message counts no longer."""
    tables.messages.vouch(decision.target, False)
    return ()


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
        Filing(tables.db).set_offers(left)
        key = tables.jobs.decide(job, "apart", other, {"messages": list(offers)}, by, now)
        _say(tables, job, "kept-apart", f"A designer said that {other} is another room.", by, now)
        Accounts(tables.db).note(by, "apart", job, f"kept apart from {other}", now)
    return key


def unapart(tables: Tables, decision: Decision, by: str, now: datetime) -> Sequence[str]:
    """Make the offer again."""
    found = [m for sha in decision.value["messages"] if (m := tables.messages.get(sha)) is not None]
    Filing(tables.db).set_offers({m.sha256: [*m.offers, decision.target] for m in found})
    return ()


def read_again(services: Services, sha256: str, by: str) -> TakenIn:
    """Try once more to file a message that was set aside."""
    with services.store.transaction() as tables:
        kept = tables.messages.get(sha256)
        if kept is None or kept.state != "set-aside":
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


def _take(
    tables: Tables, left: str, to: str, messages: Sequence[KeptMessage], rule: str, reason: str, by: str
) -> list[int]:
    """Move messages with the decisions on their pictures; returns the ids of those decisions."""
    filing = Filing(tables.db)
    carried = filing.on_pictures(left, filing.pictures([m.sha256 for m in messages])) if left else []
    for message in messages:
        tables.messages.move(message.sha256, to, rule, reason, by)
        tables.jobs.add_address(to, message.sender_email)
        tables.jobs.note_message(to, message.at)
    filing.carry(carried, to)
    return carried


def _return(tables: Tables, holder: str, owner: str, value: Any, by: str) -> None:
    """Give `owner` those of the messages and decisions that `holder` still has."""
    held = {m.sha256 for m in tables.messages.of_job(holder)}
    for sha256 in value["messages"]:
        if sha256 in held:
            tables.messages.move(sha256, owner, "put-back", "A designer's decision was undone.", by)
    Filing(tables.db).carry(value.get("decisions", []), owner)


def _open_for(tables: Tables, messages: Sequence[KeptMessage]) -> str:
    while tables.jobs.get(new := new_reference()) is not None:
        continue
    first = messages[0]
    customer = Address(first.sender_name, first.sender_email)
    at = [m.at for m in messages]
    tables.jobs.open(Job(new, first.room, JobState.ARRIVING, customer, (customer.email,), min(at), max(at)))
    return new


def _say(tables: Tables, job: str, kind: str, text: str, by: str, now: datetime) -> None:
    tables.jobs.add_event(job, Event(now, kind, text, by))
