"""A mailbox on disk: a folder of .eml files, or a Maildir (cr.yp.to/proto/maildir.html)."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from email.parser import BytesHeaderParser
from pathlib import Path

from intake.model.errors import MailboxUnreachable, MessageGone
from intake.model.message import Locator

CHUNK = 1 << 20
LONGEST_NAME = 255
"""Of a file that the database keeps; what is longer goes by its hash."""


@dataclass(frozen=True)
class FileDelivery:
    path: Path
    locator: Locator
    wants_mark: bool = False

    def fetch(self, to: Path) -> datetime:
        """The arrival time of a file is the time it was last written."""
        try:
            with self.path.open("rb") as source, to.open("wb") as target:
                shutil.copyfileobj(source, target, CHUNK)
            return datetime.fromtimestamp(self.path.stat().st_mtime, UTC)
        except FileNotFoundError as gone:
            raise MessageGone(f"{self.path.name} was moved or deleted during the poll") from gone

    def mark(self) -> None:
        """Files are left as they are: the locator says that they were taken."""


class FolderMailbox:
    """Reads the files in `path` that end in .eml, or cur/ and new/ where it is a Maildir; no sub-folders."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def deliveries(self) -> Iterator[FileDelivery]:
        if not self.path.is_dir():
            raise MailboxUnreachable(
                f"There is no folder {self.path}", "Give a folder of .eml files or a Maildir"
            )
        account = f"folder:{self.path.resolve()}"
        found = self._maildir(account) if self._is_maildir() else self._files(account)
        yield from sorted(found, key=_age)

    def holding(self, message_ids: Sequence[str], since: datetime) -> set[str]:
        """Looks into the header of every file here, and of a Maildir++'s folder .Sent."""
        sent = FolderMailbox(self.path / ".Sent")
        lies = [*self.deliveries(), *(sent.deliveries() if sent.path.is_dir() else ())]
        return set(message_ids) & {_message_id(delivery.path) for delivery in lies}

    def close(self) -> None:
        """Nothing is held open."""

    def _is_maildir(self) -> bool:
        return all((self.path / name).is_dir() for name in ("cur", "new"))

    def _maildir(self, account: str) -> Iterator[FileDelivery]:
        """The part of a name before its colon is unique and stays when flags change; a leading dot is no mail."""
        for folder in ("cur", "new"):
            for path in (self.path / folder).iterdir():
                if path.is_file() and not path.name.startswith("."):
                    yield FileDelivery(
                        path, Locator(account, "Maildir", 0, _uid(path.name.partition(":")[0]))
                    )

    def _files(self, account: str) -> Iterator[FileDelivery]:
        for path in self.path.iterdir():
            if path.suffix.lower() == ".eml" and path.is_file():
                yield FileDelivery(path, Locator(account, "files", path.stat().st_mtime_ns, _uid(path.name)))


def _message_id(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return str(BytesHeaderParser().parse(file).get("message-id", "")).strip()
    except FileNotFoundError:
        return ""


def _uid(name: str) -> str:
    """A file's name as text that any database takes: names are bytes, and need not be UTF-8."""
    plain = os.fsencode(name).decode("utf-8", "backslashreplace")
    return (
        plain
        if len(plain) <= LONGEST_NAME
        else f"{plain[:180]}-{hashlib.sha256(os.fsencode(name)).hexdigest()}"
    )


def _age(delivery: FileDelivery) -> tuple[int, str]:
    try:
        return delivery.path.stat().st_mtime_ns, delivery.path.name
    except FileNotFoundError:
        return 0, delivery.path.name
