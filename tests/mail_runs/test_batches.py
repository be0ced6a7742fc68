"""Messages are kept and filed several at a time; what goes wrong with one of them touches no other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from intake.mailbox.protocol import Delivery
from intake.model.errors import MailboxUnreachable, MessageStuck, StoreFull
from intake.model.message import Locator
from intake.store.messages import Messages
from intake.work.collect import TOGETHER_BYTES, collect
from intake.work.services import Services
from tests.mail_runs.test_outbox import mail
from tests.mail_runs.zygote import open_services

NOW = datetime(2026, 3, 2, 10, tzinfo=UTC)


@dataclass(frozen=True)
class Lying:
    """A message in a mailbox; where it has no bytes, the server falls silent over it."""

    locator: Locator
    raw: bytes
    wants_mark: bool = False

    def fetch(self, to: Path) -> datetime:
        if not self.raw:
            raise MailboxUnreachable("The server fell silent", "It is tried again")
        to.write_bytes(self.raw)
        return NOW

    def mark(self) -> None:
        """Nothing is asked for."""


class Box:
    def __init__(self, *raws: bytes) -> None:
        self.raws = raws

    def deliveries(self) -> Iterator[Delivery]:
        for n, raw in enumerate(self.raws):
            yield Lying(Locator("a", "INBOX", 1, str(n)), raw)

    def holding(self, message_ids: Sequence[str], since: datetime) -> set[str]:
        return set()

    def close(self) -> None:
        """Nothing is held open."""


@pytest.fixture
def services(tmp_path: Path) -> Iterator[Services]:
    opened = open_services(str(tmp_path / "data"))
    yield opened
    opened.store.close()


def letters(count: int) -> list[bytes]:
    return [mail(f"c{n}@x.example", n) for n in range(count)]


def states(services: Services) -> list[str]:
    with services.store.reading() as tables:
        found = [
            m.state
            for state in ("kept", "filed", "apart", "set-aside")
            for m in tables.messages.in_state(state)
        ]
    return found


def test_more_than_one_batch_is_taken(services: Services, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("intake.work.collect.TOGETHER", 4)
    done = collect(Box(*letters(11)), services)
    assert (done.taken, done.already_taken, done.set_aside) == (11, 0, ())
    assert states(services) == ["filed"] * 11


def test_what_was_fetched_before_the_server_fell_silent_is_kept_and_filed(services: Services) -> None:
    first, second, third = letters(3)
    with pytest.raises(MailboxUnreachable):
        collect(Box(first, second, b"", third), services)
    assert states(services) == ["filed", "filed"]
    done = collect(Box(first, second, mail("late@x.example", 9), third), services)
    assert (done.taken, done.already_taken) == (2, 2)


def test_a_fault_of_ours_over_one_message_sets_that_one_aside(
    services: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Messages.file_in

    def file_in(self: Messages, message: object, *rest: object) -> None:
        real(self, message, *rest)  # type: ignore[arg-type]
        if message.sender.email == "c3@x.example":  # type: ignore[attr-defined]
            raise ZeroDivisionError

    monkeypatch.setattr(Messages, "file_in", file_in)
    done = collect(Box(*letters(6)), services)
    assert (done.taken, len(done.set_aside), len(done.jobs)) == (6, 1, 5)
    assert "fault of ours" in done.set_aside[0].why
    assert states(services) == ["filed"] * 5 + ["set-aside"]


def test_a_full_disk_in_the_middle_loses_nothing(services: Services, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("intake.store.files._settle", full)
        with pytest.raises(StoreFull, match="No space left"):
            collect(Box(*letters(3)), services)
    assert states(services) == []
    assert list((services.store.files.root / "spool").iterdir()) == []
    assert collect(Box(*letters(3)), services).taken == 3


def test_the_same_bytes_twice_are_one_message_with_two_deliveries(services: Services) -> None:
    [raw] = letters(1)
    done = collect(Box(raw, raw, raw), services)
    assert (done.taken, done.already_taken, len(done.jobs)) == (1, 2, 1)
    assert collect(Box(raw, raw, raw), services).already_taken == 3


def test_a_large_message_goes_by_itself(services: Services, monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: list[list[int]] = []
    real = services.store.files.settle

    def settle(spooled: Sequence[object]) -> None:
        sizes.append([each.size for each in spooled])  # type: ignore[attr-defined]
        real(spooled)  # type: ignore[arg-type]

    monkeypatch.setattr(services.store.files, "settle", settle)
    large = mail("big@x.example", 50, "x" * TOGETHER_BYTES)
    first, *rest = letters(3)
    assert collect(Box(first, large, *rest), services).taken == 4
    assert [len(batch) for batch in sizes] == [1, 1, 2]


def test_a_message_that_cannot_be_fetched_is_named_and_the_others_are_taken(services: Services) -> None:
    class Stuck(Box):
        def deliveries(self) -> Iterator[Any]:
            for delivery in super().deliveries():
                if delivery.locator.uid == "1":
                    object.__setattr__(delivery, "fetch", _stuck)
                yield delivery

    done = collect(Stuck(*letters(3)), services)
    assert done.taken == 2
    assert [(a.file, a.why) for a in done.set_aside] == [("1", "message 1 cannot be fetched: NO [SERVERBUG]")]
    assert done.stuck == ("message 1 cannot be fetched: NO [SERVERBUG]",)


def _stuck(to: Path) -> datetime:
    raise MessageStuck("message 1 cannot be fetched: NO [SERVERBUG]")
