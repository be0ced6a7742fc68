"""Why the rules hold a letter back until a person has looked."""

from __future__ import annotations

from collections.abc import Sequence

from intake.model.answering import Answering
from intake.model.checklist import RoomKind
from intake.model.job import PlacementRule
from intake.model.letter import LetterState
from intake.model.phrase import Phrase, as_said, phrase
from intake.store.letters import KeptLetter
from intake.store.messages import KeptMessage
from intake.work.job_file import JobFile
from intake.work.send import BEFORE_A_RESTORE
from intake.work.services import Services


def why_held(services: Services, file: JobFile, answered: KeptMessage) -> Phrase | None:
    """Why the letter that answers this message is held back; None where it is not."""
    if answered.answering == Answering.HOLD:
        return as_said(answered.answering_why)
    if doubt := _doubt_since_restore(file.letters, answered.key):
        return doubt
    if any(m.rule == PlacementRule.STRANGER and m.offers for m in file.messages):
        return phrase("another-job")
    if file.rivals:
        return whose_job(file)
    about_a_room = file.pictures or file.survey.statements or file.job.room is not RoomKind.UNKNOWN
    if services.policy.automatic and not about_a_room:
        return phrase("about-no-room")
    return None


def whose_job(file: JobFile) -> Phrase:
    """That several may be the job's customer."""
    return phrase("whose-job", people=(file.job.customer.email, *file.rivals))


def _doubt_since_restore(letters: Sequence[KeptLetter], answered: str) -> Phrase | None:
    """A letter that answers the same message and may have gone out before a restore holds back the next one too,
    until a person has released one of them."""
    same = [k for k in letters if k.in_reply_to in (answered, "")]
    if not same or same[-1].state not in (LetterState.HELD, LetterState.SUPERSEDED):
        return None
    why = same[-1].held_because
    return why if why is not None and _is_of_a_restore(why) else None


def _is_of_a_restore(why: Phrase) -> bool:
    """An older row says so in words."""
    return why.key in BEFORE_A_RESTORE or "before a restore" in str(why.gap("words"))
