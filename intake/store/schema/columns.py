"""What every table is made with: where it is listed, and its kinds of time and of phrase."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, MetaData, Text, TypeDecorator
from sqlalchemy.engine import Dialect

from intake.model.phrase import Phrase
from intake.store.as_json import phrase_of, to_plain

metadata = MetaData()


class Moment(TypeDecorator[datetime]):
    """An aware UTC time on every database; SQLite itself would drop the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return value.astimezone(UTC) if value is not None else None

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        return (
            None
            if value is None
            else value.replace(tzinfo=UTC)
            if value.tzinfo is None
            else value.astimezone(UTC)
        )


class Because(TypeDecorator[Phrase]):
    """A phrase by its key and gaps, as JSON; an older row holds the words themselves."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Phrase | None, dialect: Dialect) -> str | None:
        return json.dumps(to_plain(value)) if value is not None else None

    def process_result_value(self, value: str | None, dialect: Dialect) -> Phrase | None:
        return phrase_of(json.loads(value) if value.startswith("{") else value) if value else None
