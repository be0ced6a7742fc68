"""Dataclasses to plain JSON values and back, by their type hints."""

from __future__ import annotations

import base64
import types
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import Enum
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from intake.model.phrase import Gap, Phrase, as_said

T = TypeVar("T")
Words = Callable[[Phrase], str]


def rfc3339(moment: datetime) -> str:
    """An aware time as RFC 3339 in UTC with a trailing Z."""
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def to_plain(value: Any, words: Words | None = None) -> Any:
    """Dataclasses, enums, times, bytes and tuples to what json.dumps takes; with `words` a phrase is what it says."""
    if words is not None and isinstance(value, Phrase):
        return words(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name), words) for f in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        return rfc3339(value)
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    if isinstance(value, dict):
        return {str(k): to_plain(v, words) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [to_plain(v, words) for v in value]
    return value


@cache
def _hints(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {f.name: hints[f.name] for f in fields(kind)}


def from_plain(kind: type[T], value: Any) -> T:
    """The inverse of to_plain for a dataclass type. Keys that the type no longer has are passed over."""
    hints = _hints(kind)  # type: ignore[arg-type]  # a class is hashable; the stub does not know
    return kind(**{k: _revive(hints[k], v) for k, v in value.items() if k in hints})


def _revive(hint: Any, value: Any) -> Any:
    if value is None:
        return None
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        if Phrase in args and value == "":
            return None
        return _revive(next(a for a in args if a is not type(None)), value)
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return tuple(_revive(args[0], v) for v in value)
        return tuple(_revive(a, v) for a, v in zip(args, value, strict=True))
    if origin is list:
        return [_revive(args[0], v) for v in value]
    if origin is dict:
        return {k: _revive(args[1], v) for k, v in value.items()}
    if isinstance(hint, type):
        return _revive_type(hint, value)
    return value


def _revive_type(hint: type, value: Any) -> Any:
    if hint is Phrase:
        return phrase_of(value)
    if is_dataclass(hint):
        return from_plain(hint, value)
    if issubclass(hint, Enum):
        return hint(value)
    if issubclass(hint, datetime):
        return datetime.fromisoformat(value)
    if issubclass(hint, bytes):
        return base64.b64decode(value)
    return float(value) if hint is float else value


def phrase_of(value: Any) -> Phrase:
    """A phrase as it lies in a record; older ones hold the words themselves."""
    if isinstance(value, str):
        return as_said(value)
    return Phrase(value["key"], tuple((name, _gap(gap)) for name, gap in value["gaps"]))


def _gap(value: Any) -> Gap:
    if isinstance(value, list):
        return tuple(_gap(each) for each in value)
    return phrase_of(value) if isinstance(value, dict) else value
