"""Originals are kept for as long as the settings say after a job's last message, then deleted.

The original is the message as it came, with its pictures and all that a camera writes into them, and the copies at full
resolution that were made for the readers. The clean copies that the desk shows stay with the job.
"""

from __future__ import annotations

from datetime import datetime

from intake.model.errors import IntakeError
from intake.work.services import Services

AT_ONCE = 200
"""Messages in one transaction."""
SHARE = 4
"""A purge of more than one original in so many waits for a person's word: a slip in a setting must not destroy."""


class PurgeHeld(IntakeError):
    """So large a part of the originals would go that a person is to say that it is meant."""


def purge(services: Services, sure: bool = False) -> int:
    """Delete the originals whose time is over; returns of how many messages. Repeating it is harmless.

    `sure`: a person has said that it is meant, however many they are. Raises PurgeHeld.
    """
    if services.policy.retention is None:
        return 0
    before, done = services.clock() - services.policy.retention, 0
    if not sure:
        _brake(services, before)
    while True:
        with services.store.reading() as tables:
            past = tables.messages.past_retention(before, AT_ONCE)
            pictures = {sha256: tables.pictures.of_message(sha256) for sha256 in past}
        if not past:
            return done
        for sha256 in past:
            services.store.files.drop_raw(sha256)
            for picture in pictures[sha256]:
                services.store.files.drop_picture(f"{picture}-full.jpg")
        with services.store.transaction() as tables:
            tables.messages.note_purged(past, services.clock())
        done += len(past)


def _brake(services: Services, before: datetime) -> None:
    with services.store.reading() as tables:
        past, kept = tables.messages.count_past_retention(before), tables.messages.count_originals()
    if past * SHARE > kept:
        raise PurgeHeld(
            f"{past} of {kept} originals would be deleted at once, more than a quarter; none was",
            "Check retention_days; if it is meant, run `intake purge --sure`",
        )
