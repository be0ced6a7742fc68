"""What tests of one process share, so that each is not made anew for every one of hundreds of installations: the
processes of the cell, what was seen on a picture, the tables of an empty database, the PostgreSQL server, and a cheap
hash of passwords.

Each stands in for the same thing made anew, by the same code and of the same bytes. A test that is about making it
asks for it itself, in a process of its own or below what is replaced here.
"""

from __future__ import annotations

import hashlib
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar
from unittest import mock

from argon2 import PasswordHasher
from sqlalchemy import Connection

from intake import eyes
from intake.cell.keeper import Keeper
from intake.model.message import Message
from intake.model.reading import Box
from intake.reading.sorter import Sorter
from intake.store import migrate
from intake.store.database import open_engine
from tests.servers import postgres

Child = subprocess.Popen[bytes]


class LentKeeper(Keeper):
    """A keeper that takes over a child that another one has closed, and leaves its own to the next."""

    idle: ClassVar[dict[tuple[object, ...], list[tuple[Child, tuple[str, ...]]]]] = {}

    def _kind(self) -> tuple[object, ...]:
        return self._module, self.seconds, tuple(sorted(self._environment.items()))

    def _new_child(self) -> Child:
        waiting = self.idle.get(self._kind(), [])
        while waiting:
            child, self._without = waiting.pop()
            if child.poll() is None:
                return child
        return super()._new_child()

    def close(self) -> None:
        with self._lock:
            child, self._child = self._child, None
            if child is not None:
                self.idle.setdefault(self._kind(), []).append((child, self._without))

    @classmethod
    def end(cls) -> None:
        for child, _ in (each for some in cls.idle.values() for each in some):
            child.kill()
            child.communicate()
        cls.idle.clear()


def remembered(method: Callable[..., Any], key: Callable[..., object]) -> Callable[..., Any]:
    """A method of the eyes that answers what it answered before to the same; they see and read alike each time."""
    kept: dict[object, Any] = {}

    def answer(me: Any, *given: Any) -> Any:
        asked = key(me, *given)
        if asked not in kept:
            kept[asked] = method(me, *given)
        return kept[asked]

    return answer


def _picture(me: eyes.SharedEyes, jpeg: bytes) -> object:
    return hashlib.sha256(jpeg).digest(), me._adapted.name if me._adapted else ""


def _box(me: eyes.SharedEyes, jpeg: bytes, box: Box) -> object:
    return hashlib.sha256(jpeg).digest(), box


def _parts(me: eyes.SharedEyes, message: Message) -> object:
    return tuple(replace(part, content=hashlib.sha256(part.content).digest()) for part in message.parts)


def _several(
    me: eyes.SharedEyes,
    displays: Sequence[bytes],
    focals: Sequence[float | None],
    known: Collection[int] = (),
) -> object:
    return tuple(hashlib.sha256(d).digest() for d in displays), tuple(focals), frozenset(known)


def _page(me: object, page: Any) -> object:
    return me.__dict__.get("_weights"), page.shape, hashlib.sha256(page.tobytes()).digest()


ANSWERS = {"labels": _picture, "read": _picture, "look": _parts, "compare": _several, "crop": _box}
"""What the eyes are asked, and what the answer depends on. Below them the sorter is asked about a page."""


class Tables:
    """The statements that make an empty database's tables, as the migrations left them."""

    def __init__(self) -> None:
        self.to_step, self.made = migrate.to_step, tuple[str, ...]()

    def upgraded(self, connection: Connection, step: str = migrate.HEAD) -> None:
        """As migrate.to_step."""
        new = connection.dialect.name == "sqlite" and step == migrate.HEAD
        if not new or connection.exec_driver_sql("SELECT 1 FROM sqlite_master").first():
            self.to_step(connection, step)
            return
        for statement in self.made or self._make():
            connection.exec_driver_sql(statement)

    def _make(self) -> tuple[str, ...]:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "empty.db"
            engine = open_engine(f"sqlite:///{path}")
            with engine.begin() as connection:
                self.to_step(connection)
            engine.dispose()
            kept = sqlite3.connect(path)
            self.made = tuple(s for s in kept.iterdump() if s not in ("BEGIN TRANSACTION;", "COMMIT;"))
            kept.close()
        return self.made


@contextmanager
def shared() -> Iterator[None]:
    """Everything shared within."""
    cheap = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    with ExitStack() as stack:
        for where, what, by in (
            ("intake.mailbox.reader", "Keeper", LentKeeper),
            ("intake.imaging.decode", "Keeper", LentKeeper),
            *(
                ("intake.eyes.SharedEyes", name, remembered(getattr(eyes.SharedEyes, name), key))
                for name, key in ANSWERS.items()
            ),
            ("intake.reading.sorter.Sorter", "sort", remembered(Sorter.sort, _page)),
            ("intake.store.migrate", "to_step", Tables().upgraded),
            ("intake.work.accounts", "_hasher", cheap),
        ):
            stack.enter_context(mock.patch(f"{where}.{what}", by))
        try:
            yield
        finally:
            LentKeeper.end()
            postgres.stop()
