"""Why each letter has not gone, in words for whoever asks."""

from __future__ import annotations

from datetime import datetime

from intake.model.errors import IntakeError
from intake.model.letter import LetterState
from intake.store.database import Store
from intake.store.letters import WAITING, KeptLetter
from intake.wording.desk import worded
from intake.work.send import check_not_restored

PLAIN = {
    LetterState.DRAFT: "waits for a designer's release",
    LetterState.CLAIMED: "is just being handed over",
    LetterState.SUPERSEDED: "a newer decision stands for it",
}


def lines(store: Store, now: datetime) -> list[list[str]]:
    """Every letter as cells: job, state, to, subject, and why it has not gone."""
    stop = _stopped(store)
    with store.reading() as tables:
        letters = tables.letters.all()
    return [[k.job, k.state.value, ", ".join(k.to), k.subject, why(k, now, stop)] for k in letters]


def what_waits(store: Store, now: datetime) -> list[str]:
    """The letters that wait, one line a reason, with how many they are."""
    stop = _stopped(store)
    with store.reading() as tables:
        waiting = tables.letters.in_states(WAITING)
    reasons = [why(kept, now, stop) for kept in waiting]
    return [f"{reasons.count(reason)} more: {reason}" for reason in dict.fromkeys(reasons)]


def _stopped(store: Store) -> str:
    try:
        check_not_restored(store)
    except IntakeError as held:
        return held.line()
    return ""


def why(kept: KeptLetter, now: datetime, stop: str = "") -> str:
    """Why one letter has not gone (or that it has); `stop` is why nothing goes at all."""
    if kept.state is LetterState.HELD:
        return worded(kept.held_because) or "held back by a designer"
    if kept.state is LetterState.DUE:
        return stop or _due(kept, now)
    if kept.state is LetterState.SENT:
        return f"went {_at(kept.sent_at)}"
    if kept.state is LetterState.FAILED:
        return f"refused: {kept.answer}"
    if kept.state is LetterState.IN_DOUBT:
        return f"may or may not have gone ({kept.answer.rstrip('.')}); settle it on the job's page"
    return PLAIN[kept.state]


def _due(kept: KeptLetter, now: datetime) -> str:
    later = kept.due_at is not None and kept.due_at > now
    when = f"goes {_at(kept.due_at)}" if later else "goes at the next look"
    tried = (
        f"not taken yet, tried {kept.attempts} times ({kept.answer.rstrip('.')}); " if kept.attempts else ""
    )
    return tried + when


def _at(moment: datetime | None) -> str:
    return f"{moment:%d %B %Y %H:%M} UTC" if moment else "at an unknown time"
