"""Which parts of a job are past their time, and their deletion, within one transaction. Originals: see Messages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, func, or_, select, tuple_, update

from intake.model.letter import LetterState
from intake.store import schema as t
from intake.store.records import LETTER

PICTURES, WORDS, LETTERS = "pictures", "words", "letters"
_GONE = (LetterState.SENT, LetterState.FAILED, LetterState.SUPERSEDED)
_HAS: dict[str, ColumnElement[bool]] = {
    PICTURES: t.pictures.c.display_file != "",
    WORDS: or_(t.messages.c.own_words != "", t.messages.c.subject != ""),
    LETTERS: and_(t.letters.c.text != "", t.letters.c.state.in_(_GONE)),
}
_FROM: dict[str, Select[Any]] = {
    PICTURES: select(t.pictures.c.id, t.pictures.c.message, t.messages.c.job)
    .join(t.messages, t.messages.c.sha256 == t.pictures.c.message)
    .join(t.jobs, t.jobs.c.id == t.messages.c.job),
    WORDS: select(t.messages.c.sha256, t.messages.c.job).join(t.jobs, t.jobs.c.id == t.messages.c.job),
    LETTERS: select(t.letters.c.id, t.letters.c.job).join(t.jobs, t.jobs.c.id == t.letters.c.job),
}


class Retention:
    """The parts of jobs whose last message came long ago."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def count(self, kind: str, before: datetime | None = None) -> int:
        """How many pictures, messages or letters still hold theirs; of jobs whose last message came before `before`."""
        return self.db.execute(
            select(func.count()).select_from(self._over(kind, before).subquery())
        ).scalar_one()

    def over(self, kind: str, before: datetime, limit: int) -> Sequence[Any]:
        """The rows to delete from: their key, and their job."""
        return self.db.execute(self._over(kind, before).limit(limit)).all()

    def _over(self, kind: str, before: datetime | None) -> Select[Any]:
        query = _FROM[kind].where(_HAS[kind])
        return query if before is None else query.where(t.jobs.c.last_message_at < before)

    def drop(self, kind: str, rows: Sequence[Any]) -> None:
        """Delete that part of the rows; what was concluded from it stays."""
        if kind == PICTURES:
            these = tuple_(t.pictures.c.id, t.pictures.c.message).in_([(row.id, row.message) for row in rows])
            self.db.execute(update(t.pictures).where(these).values(display_file="", reading_file=""))
        elif kind == WORDS:
            these = t.messages.c.sha256.in_([row.sha256 for row in rows])
            self.db.execute(update(t.messages).where(these).values(own_words="", subject="", topic=""))
        else:
            for row in rows:
                self._blank_letter(row.id)

    def _blank_letter(self, letter: int) -> None:
        """That it went, to whom and when stays: a restored database is told by it."""
        found = t.letters.c.id == letter
        body = LETTER.read(self.db.execute(select(t.letters.c.body).where(found)).scalar_one())
        bare = LETTER.write(replace(body, asks=(), thanks="", subject="", cautions=()))
        blank = {"text": "", "html": "", "raw": b"", "subject": "", "body": bare}
        self.db.execute(update(t.letters).where(found).values(**blank))
