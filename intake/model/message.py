"""A message as it arrived, reduced to what the rules ask of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

_WRITABLE = re.compile(r"[^\s<>\"(),:;@\x00-\x20\x7f-\U0010ffff]{1,64}@[A-Za-z0-9.-]{1,253}")


class MessageState(StrEnum):
    """What became of a message; its bytes are kept whatever that is."""

    KEPT = "kept"
    """Its bytes are, and nothing has looked inside yet."""
    FILED = "filed"
    """It lies in a job."""
    APART = "apart"
    """It belongs to no job: a delivery report, an automatic reply, list mail."""
    SET_ASIDE = "set-aside"
    """It could not be read."""
    ERASED = "erased"
    """Only its hash is left, so that it is not taken again while it lies in the mailbox."""


@dataclass(frozen=True)
class Address:
    """A mailbox address (RFC 5322 3.4). `email` is lower case; `name` is the display name, decoded, may be empty."""

    name: str
    email: str

    @property
    def domain(self) -> str:
        return self.email.rpartition("@")[2]

    @property
    def wire(self) -> str:
        """The address as any mail server takes it: ASCII, its domain in A-labels (RFC 5890 2.3.2.1, from memory); ""
        where there is no such form, or where it reads back as another domain (ß as ss)."""
        local, _, domain = self.email.rpartition("@")
        try:
            name = domain.encode("idna")
            same = domain.isascii() or name.decode("idna") == domain
        except UnicodeError:
            return ""
        plain = f"{local}@{name.decode('ascii')}"
        return plain if same and _WRITABLE.fullmatch(plain) else ""


@dataclass(frozen=True)
class Locator:
    """Where one delivery lies. `uid` is the IMAP UID in figures, or the file's name in a folder.

    For a folder of files `uidvalidity` is the file's modification time in nanoseconds (a file written over is a new
    delivery); for a Maildir, whose names are never used again, it is 0.
    """

    account: str
    folder: str
    uidvalidity: int
    uid: str


@dataclass(frozen=True)
class Part:
    """One leaf of a message's MIME tree that is not its running text.

    `path` locates it in the tree ("1.2"); `name` is the sender's file name, for showing only and never used as a path.
    """

    path: str
    name: str
    media_type: str
    content: bytes = field(repr=False)
    inline: bool = False
    content_id: str = ""


@dataclass(frozen=True)
class Message:
    """One e-mail. Ids keep their angle brackets; `key` is the Message-ID, or `sha256:` and the hex of the raw bytes.

    `text` is the plain text as sent (HTML reduced to text where there is no plain part). `own_words` is `text` without
    what was quoted from earlier letters. `forwarded_from` names the original sender of a forward.
    `headers` are (lower-case name, value as written) in order, for the rules on whom to answer. Of a delivery report
    (RFC 3464), `returned_ids` are the ids of the messages it reports on and `report_actions` what became of them
    (failed, delayed, delivered, relayed, expanded).
    """

    key: str
    sha256: str
    message_id: str
    in_reply_to: tuple[str, ...]
    references: tuple[str, ...]
    sender: Address
    from_all: tuple[Address, ...]
    reply_to: tuple[Address, ...]
    to: tuple[Address, ...]
    cc: tuple[Address, ...]
    subject: str
    sent_at: datetime | None
    received_at: datetime
    text: str
    own_words: str
    parts: tuple[Part, ...]
    headers: tuple[tuple[str, str], ...]
    return_path: str | None
    """None: no Return-Path header; "": the null reverse-path <> (RFC 5321 4.5.5)."""
    forwarded_from: Address | None = None
    returned_ids: tuple[str, ...] = ()
    report_actions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    """What reading it left out or had to guess, in sentences."""

    def header(self, name: str) -> str:
        """The first value of a header, or an empty string."""
        return next((v for k, v in self.headers if k == name.lower()), "")

    def all_headers(self, name: str) -> tuple[str, ...]:
        return tuple(v for k, v in self.headers if k == name.lower())
