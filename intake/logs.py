"""The log: what happened and where, and nothing of what customers wrote."""

from __future__ import annotations

import json
import logging
import re
import traceback
from datetime import UTC, datetime
from types import TracebackType

from intake.model.errors import IntakeError

_ADDRESS = re.compile(r"(?<![\w.+%'-])[\w.+%'-]++@(?=[\w-]++\.[\w-])")
OURS_TO_TELL = (OSError, IntakeError)
"""Faults whose sentence is the system's or ours; that of any other may hold a customer's words (a database's holds
them all)."""

_Info = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class Formatter(logging.Formatter):
    """One line a record, or one JSON object a line; of an e-mail address only the domain is told."""

    def __init__(self, as_json: bool) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")
        self._as_json = as_json

    def format(self, record: logging.LogRecord) -> str:
        text = super().format(record) if not self._as_json else self._json(record)
        return _ADDRESS.sub("…@", text)

    def _json(self, record: logging.LogRecord) -> str:
        told: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        if record.exc_info:
            told["fault"] = self.formatException(record.exc_info).splitlines()
        return json.dumps(told, ensure_ascii=False)

    def formatException(self, ei: _Info) -> str:
        """Where it happened and what kind of fault it was, causes first."""
        lines: list[str] = []
        error = ei[1]
        while error is not None:
            lines[:0] = _lines_of_fault(error)
            error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        return "\n".join(lines)


def _lines_of_fault(error: BaseException) -> list[str]:
    frames = traceback.extract_tb(error.__traceback__)
    said = f": {' '.join(str(error).split())}" if isinstance(error, OURS_TO_TELL) else ""
    return [f"  {f.filename}:{f.lineno} in {f.name}" for f in frames] + [f"{type(error).__qualname__}{said}"]


def begin(log_format: str = "text") -> None:
    """Log warnings and worse to standard error."""
    handler = logging.StreamHandler()
    handler.setFormatter(Formatter(log_format == "json"))
    logging.basicConfig(level=logging.WARNING, handlers=[handler])
