"""Tells the owner by mail what is wrong: once when it has lasted a while, and once when it is over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, make_msgid

from intake.postbox.outcome import Handed, Postbox
from intake.store.ticks import Alarm, Ticks
from intake.work.health import Trouble
from intake.work.services import Services

LASTED = timedelta(minutes=15)
"""What is over sooner is not worth a mail; common practice, no source."""

Tell = Callable[[str, str], bool]
"""Sends the owner a mail with that subject and text; False where it did not go."""


def watch(services: Services, wrong: Sequence[Trouble], tell: Tell) -> None:
    """Note what is wrong now and tell of what lasts, and of what is over. What could not be told is told the next
    time."""
    now = services.clock()
    with services.store.transaction() as tables:
        ticks = Ticks(tables.db)
        ticks.raise_alarms({trouble.what: trouble.line for trouble in wrong}, now)
        standing = ticks.alarms()
    now_wrong = {trouble.what for trouble in wrong}
    for alarm in standing:
        if alarm.what not in now_wrong:
            _end(services, alarm, tell)
        elif alarm.told_at is None and now - alarm.since >= LASTED:
            _tell(services, alarm, tell)


def _tell(services: Services, alarm: Alarm, tell: Tell) -> None:
    with services.store.transaction() as tables:
        mine = Ticks(tables.db).take_to_tell(alarm.what, services.clock())
    if mine and not tell(
        f"Survey intake needs you: {alarm.what}", f"{alarm.line}\n\nSince {_at(alarm.since)}."
    ):
        with services.store.transaction() as tables:
            Ticks(tables.db).tell_later(alarm.what)


def _end(services: Services, alarm: Alarm, tell: Tell) -> None:
    with services.store.transaction() as tables:
        mine = Ticks(tables.db).end_alarm(alarm.what)
    if mine and alarm.told_at is not None:
        tell(f"Over: {alarm.what}", f"This is over:\n\n{alarm.line}\n\nIt began {_at(alarm.since)}.")


def _at(moment: datetime) -> str:
    return f"{moment:%d %B %Y %H:%M} UTC"


def by_mail(postbox: Postbox, sender: str, owner: str, clock: Callable[[], datetime]) -> Tell:
    """Tells by mail. RFC 3834 5: a mail that no message caused is auto-generated, so that nobody's program answers
    it."""

    def tell(subject: str, text: str) -> bool:
        mail = EmailMessage(policy=SMTP)
        mail["From"], mail["To"], mail["Subject"] = sender, owner, subject
        mail["Date"] = format_datetime(clock())
        mail["Message-ID"] = make_msgid("alarm", sender.partition("@")[2] or "localhost")
        mail["Auto-Submitted"] = "auto-generated"
        mail.set_content(text)
        return postbox.send((owner,), mail.as_bytes()).state is Handed.SENT

    return tell
