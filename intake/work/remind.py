"""Remind customers who have not answered, by the rhythm that the settings give."""

from __future__ import annotations

from intake.domain.mail.rhythm import Action, what_next
from intake.domain.survey.asking import needed, requests_of
from intake.model.job import Event, EventKind, JobState
from intake.model.letter import LetterKind
from intake.wording.desk import worded
from intake.work.examine import asks_of, first_state, is_ready, letter_to, with_crops, with_thread
from intake.work.job_file import open_file
from intake.work.services import Services
from intake.work.showroom import rhythm


def remind(services: Services) -> list[str]:
    """Queue a reminder for every job whose customer has been silent too long; returns the jobs."""
    with services.store.reading() as tables:
        asked = tables.jobs.in_state(JobState.ASKED)
    return [job for job in asked if _remind(services, job)]


def _remind(services: Services, job_id: str) -> bool:
    with services.store.reading() as tables:
        file = open_file(tables, job_id, services.checklists)
        standings = tables.jobs.standings(job_id, file.survey.checklist)
    file = with_thread(services, file)
    asks = asks_of(services, file, standings)
    wanted = requests_of(needed(asks))
    next_ = what_next(file.situation(is_ready(file, standings), wanted), rhythm(services), services.clock())
    if (
        next_.action is not Action.REMIND
        or not wanted
        or not file.answerable
        or file.answered.thread is None
        or file.blocking
    ):
        return False
    letter = with_crops(services, file, letter_to(services, file, LetterKind.REMINDER, asks, next_.at))
    written = services.pen.write(letter, services.clock())
    with services.store.transaction() as tables:
        tables.letters.queue(written, first_state(services, file, letter), services.clock())
        tables.jobs.change(job_id, reminders=next_.reminders)
        tables.jobs.add_event(
            job_id,
            Event(services.clock(), EventKind.LETTER, f"A reminder was drafted: {worded(next_.reason)}"),
        )
    return True
