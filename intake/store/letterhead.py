"""The letterhead as it was set at the desk: one row, over the settings file."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from intake.model.letterhead import Letterhead
from intake.store import schema as t

TEXTS = ("name", "phone", "designer", "signature", "hours", "days")


class KeptLetterhead:
    """Within one transaction. The one place that decides between what the desk said and what the settings say."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def over(self, settings: Letterhead) -> Letterhead:
        """What holds: each thing as the desk set it, else as the settings have it."""
        row = self.db.execute(select(t.letterhead)).first()
        if row is None:
            return settings
        said = {key: row.body[key] for key in TEXTS if row.body.get(key)}
        return replace(settings, **said, sentences=dict(row.body.get("sentences", {})), logo=row.logo or b"")

    def set_at_desk(self) -> Mapping[str, Any]:
        """What the desk has set, by name; sentences under "sentences"."""
        return self.db.execute(select(t.letterhead.c.body)).scalar() or {}

    def keep(
        self, texts: Mapping[str, str], sentences: Mapping[str, str], logo: bytes, by: str, at: datetime
    ) -> None:
        """Set it all; an empty text leaves that to the settings."""
        row = {"id": 1, "body": {**texts, "sentences": dict(sentences)}, "logo": logo, "by": by, "at": at}
        self.db.execute(delete(t.letterhead))
        self.db.execute(insert(t.letterhead), [row])

    def bear(self, logo: str, at: datetime) -> None:
        """Letters bore a logo with that SHA-256: what comes back with an answer is ours."""
        if logo not in self.logos():
            self.db.execute(insert(t.logos), [{"sha256": logo, "at": at}])

    def logos(self) -> Collection[str]:
        return {sha256 for (sha256,) in self.db.execute(select(t.logos.c.sha256))}
