"""Originals are kept for as long as the settings say after a job's last message, then deleted.

The original is the message as it came, with its pictures and all that a camera writes into them, and the copies at full
resolution that were made for the readers. The clean copies that the desk shows stay with the job.
"""

from __future__ import annotations

from intake.work.services import Services

AT_ONCE = 200
"""Messages in one transaction."""


def purge(services: Services) -> int:
    """Delete the originals whose time is over; returns of how many messages. Repeating it is harmless."""
    if services.policy.retention is None:
        return 0
    before, done = services.clock() - services.policy.retention, 0
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
