"""Dataclasses to plain JSON values and back, by their type hints."""

from __future__ import annotations

import base64
import types
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import Enum
from functools import cache, partial
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
    write = _writer(type(value))  # type: ignore[arg-type]  # a class is hashable; the stub does not know
    return value if write is None else write(value, words)


@cache
def _writer(kind: Any) -> Callable[[Any, Words | None], Any] | None:
    """What makes a value of a type plain; None where it is."""
    if is_dataclass(kind):
        names = tuple(f.name for f in fields(kind))
        return lambda value, words: {name: to_plain(getattr(value, name), words) for name in names}
    if issubclass(kind, Enum):
        return lambda value, words: value.value
    if issubclass(kind, datetime):
        return lambda value, words: rfc3339(value)
    if issubclass(kind, bytes):
        return lambda value, words: base64.b64encode(value).decode("ascii")
    if issubclass(kind, dict):
        return lambda value, words: {str(k): to_plain(v, words) for k, v in value.items()}
    if issubclass(kind, list | tuple | set | frozenset):
        return lambda value, words: [to_plain(v, words) for v in value]
    return None


def from_plain(kind: type[T], value: Any) -> T:
    """The inverse of to_plain for a dataclass type. Keys that the type no longer has are passed over."""
    revivers = _revivers(kind)  # type: ignore[arg-type]  # as above
    return kind(**{k: _revived(revivers[k], v) for k, v in value.items() if k in revivers})


Reviver = Callable[[Any], Any] | None
"""What makes a value of a plain one; None where it is the same."""


def _revived(revive: Reviver, value: Any) -> Any:
    return value if revive is None or value is None else revive(value)


@cache
def _revivers(kind: Any) -> dict[str, Reviver]:
    hints = get_type_hints(kind)
    return {f.name: _reviver(hints[f.name]) for f in fields(kind)}


def _reviver(hint: Any) -> Reviver:
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        one = _reviver(next(a for a in args if a is not type(None)))
        return (lambda value: None if value == "" else _revived(one, value)) if Phrase in args else one
    if origin is tuple and args[-1] is not Ellipsis:
        each = [_reviver(a) for a in args]
        return lambda value: tuple(_revived(r, v) for r, v in zip(each, value, strict=True))
    if origin in (tuple, list):
        inner, made = _reviver(args[0]), origin
        return lambda value: made([_revived(inner, v) for v in value])
    if origin is dict:
        inner = _reviver(args[1])
        return lambda value: {k: _revived(inner, v) for k, v in value.items()}
    return _reviver_of_type(hint) if isinstance(hint, type) else None


def _reviver_of_type(hint: type) -> Reviver:
    if hint is Phrase:
        return phrase_of
    if is_dataclass(hint):
        return partial(from_plain, hint)
    if issubclass(hint, Enum):
        return hint
    if issubclass(hint, datetime):
        return datetime.fromisoformat
    if issubclass(hint, bytes):
        return base64.b64decode
    return float if hint is float else None


def phrase_of(value: Any) -> Phrase:
    """A phrase as it lies in a record; older ones hold the words themselves."""
    if isinstance(value, str):
        return as_said(value)
    return Phrase(value["key"], tuple((name, _gap(gap)) for name, gap in value["gaps"]))


def _gap(value: Any) -> Gap:
    if isinstance(value, list):
        return tuple(_gap(each) for each in value)
    return phrase_of(value) if isinstance(value, dict) else value
