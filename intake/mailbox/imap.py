"""A shared mailbox by IMAP4rev1 (RFC 3501), through imapclient.

`\\Seen` is never used and never set: people read the same mailbox. Messages are fetched by BODY.PEEK in chunks.
"""

from __future__ import annotations

import errno
import re
import ssl
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, BinaryIO

from imapclient import IMAPClient, SocketTimeout
from imapclient.exceptions import IMAPClientAbortError, IMAPClientError, LoginError

from intake.model.bearer import Bearer, mechanism_of
from intake.model.errors import MailboxUnreachable, MessageGone, MessageStuck
from intake.model.message import Locator

CHUNK = 1 << 20
SENT = b"\\Sent"
"""The folder's use by RFC 6154 2; imapclient guesses by its name where the server does not say."""
DAY = timedelta(days=1)
"""SINCE goes by the server's day, whatever its time zone (RFC 3501 6.4.4)."""
_ID_FIELD = "BODY.PEEK[HEADER.FIELDS (MESSAGE-ID)]"
OUR_DISK = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EFBIG)
"""Faults of the disk that a message is written to, which are not the server's."""
MOST_FAULTS = 50
"""Faults over messages that one pass puts up with before it leaves the server alone."""
AHEAD, AHEAD_BYTES = 20, 1 << 16
"""Messages whose beginnings are fetched in one command, and bytes of each: most mail is no longer than that."""


@dataclass(frozen=True)
class ImapAccount:
    """How to reach a mailbox. `security` is tls, starttls or none; `token` is an OAuth 2 access token and replaces
    the password. `keyword` is set on, or `move_to` receives, each message that was taken in ("" for neither)."""

    host: str
    port: int
    user: str
    password: str = ""
    token: str = ""
    security: str = "tls"
    folder: str = "INBOX"
    timeout: float = 30.0
    keyword: str = ""
    move_to: str = ""
    ca_file: str = ""

    @property
    def name(self) -> str:
        return f"imap:{self.user}@{self.host}:{self.port}"


@dataclass(frozen=True)
class ImapDelivery:
    mailbox: ImapMailbox
    locator: Locator
    wants_mark: bool = False

    def fetch(self, to: Path) -> datetime:
        return self.mailbox.fetch(self.locator, to)

    def mark(self) -> None:
        self.mailbox.mark(self.locator)


class ImapMailbox:
    """One connection, opened when needed and thrown away after any fault. Use each from one thread only."""

    def __init__(self, account: ImapAccount) -> None:
        self.account = account
        self._client: Any = None
        self._uidvalidity = 0
        self._listed: list[int] = []
        self._ahead: dict[int, tuple[datetime, bytes]] = {}
        self._step = AHEAD
        self._faults = 0

    def deliveries(self) -> Iterator[ImapDelivery]:
        """Lists the whole folder at each poll: a UID that a fault left behind is found again."""
        with _Faults(self):
            if self._client is not None:
                self._client.noop()
            self._ahead.clear()
            self._faults = 0
            self._listed = uids = sorted(self._ready().search("ALL"))
            unmarked = self._unmarked()
        uidvalidity = self._uidvalidity
        for uid in uids:
            locator = Locator(self.account.name, self.account.folder, uidvalidity, str(uid))
            yield ImapDelivery(self, locator, uid in unmarked)

    def _unmarked(self) -> set[int]:
        """What is still to be moved (all that lies here), or does not bear the keyword."""
        if self.account.move_to:
            return set(self._client.search("ALL"))
        if self.account.keyword:
            return set(self._client.search(["UNKEYWORD", self.account.keyword]))
        return set()

    def fetch(self, locator: Locator, to: Path) -> datetime:
        """In smaller steps after a fault: what was fetched before is kept, and one message that the server cannot hand
        out (or over which it drops the connection) holds up none other."""
        try:
            return self._fetch(locator, to)
        except MailboxUnreachable as fault:
            self._again(fault)
        try:
            return self._fetch(locator, to)
        except MailboxUnreachable as fault:
            self._again(fault)
            raise MessageStuck(f"message {locator.uid} cannot be fetched: {fault}") from fault

    def _again(self, fault: MailboxUnreachable) -> None:
        """Connect anew, for one message at a time. Raises MailboxUnreachable where the server itself is gone."""
        self._ahead.clear()
        self._step = 1
        self._faults += 1
        if self._faults > MOST_FAULTS:
            raise fault
        with _Faults(self):
            self._ready().noop()

    def _fetch(self, locator: Locator, to: Path) -> datetime:
        with _Faults(self):
            client = self._selected(locator)
            with to.open("wb") as file:
                arrived = self._copy(client, int(locator.uid), file)
        self._step = min(AHEAD, 2 * self._step)
        return arrived

    def mark(self, locator: Locator) -> None:
        """Sets the keyword or moves (RFC 6851). A message that is no longer there has been moved already."""
        if not (self.account.keyword or self.account.move_to):
            return
        with _Faults(self):
            client, uid = self._selected(locator), int(locator.uid)
            try:
                if self.account.keyword:
                    client.add_flags([uid], [self.account.keyword.encode("ascii")], silent=True)
                if self.account.move_to:
                    self._move(client, uid)
            except IMAPClientError as refusal:
                # Dovecot refuses to move what another session has just moved ([EXPUNGEISSUED], RFC 5530 3).
                client.noop()
                if uid in client.search("ALL"):
                    raise
                raise MessageGone(f"message {uid} was moved or deleted meanwhile") from refusal

    def holding(self, message_ids: Sequence[str], since: datetime) -> set[str]:
        """Searches the folder, where taken mail is moved to, and the Sent folder (RFC 6154), in that order."""
        account, missing, day = self.account, dict.fromkeys(message_ids), since.date() - DAY
        with _Faults(self):
            client = self._ready()
            folders = [account.folder, account.move_to, client.find_special_folder(SENT) or ""]
            for folder in filter(None, dict.fromkeys(folders)):
                if not _opens(client, folder):
                    continue
                for message_id in [m for m in missing if _bears(client, m, day)]:
                    del missing[message_id]
            self.close()  # another folder is selected now than the rest works in
        return set(message_ids) - missing.keys()

    def close(self) -> None:
        """Says goodbye; a server that does not answer is left without."""
        client, self._client = self._client, None
        if client is not None:
            try:
                client.logout()
            except (IMAPClientError, OSError):
                _discard(client)

    def discard(self) -> None:
        """Throws the connection away: after a fault its answers can no longer be told apart."""
        client, self._client = self._client, None
        if client is not None:
            _discard(client)

    def _copy(self, client: Any, uid: int, file: BinaryIO) -> datetime:
        """Chunk by chunk until one is short (RFC 3501 6.4.5: only the message's end cuts a partial fetch off)."""
        if uid not in self._ahead:
            self._read_ahead(client, uid)
        if uid not in self._ahead:
            # Dovecot answers once with NIL for a message that another session has expunged, then not at all.
            raise MessageGone(f"message {uid} was moved or deleted during the poll")
        arrived, chunk = self._ahead.pop(uid)
        file.write(chunk)
        offset, wanted = len(chunk), AHEAD_BYTES
        while len(chunk) == wanted:
            wanted = CHUNK
            answer = client.fetch([uid], [f"BODY.PEEK[]<{offset}.{CHUNK}>"]).get(uid, {})
            chunk = answer.get(b"BODY[]<%d>" % offset)
            if chunk is None:
                raise MessageGone(f"message {uid} was moved or deleted during the poll")
            file.write(chunk)
            offset += len(chunk)
        return arrived

    def _read_ahead(self, client: Any, uid: int) -> None:
        """Fetch the beginning of a message, and of those listed after it, which are likely to be new as well."""
        at = bisect_left(self._listed, uid)
        uids = [uid, *self._listed[at + 1 : at + self._step]]
        answers = client.fetch(uids, ["INTERNALDATE", f"BODY.PEEK[]<0.{AHEAD_BYTES}>"])
        self._ahead = {
            key: (_utc(answer.get(b"INTERNALDATE")), answer[b"BODY[]<0>"])
            for key, answer in answers.items()
            if answer.get(b"BODY[]<0>") is not None
        }

    def _move(self, client: Any, uid: int) -> None:
        target = self.account.move_to
        if client.has_capability("MOVE"):
            client.move([uid], target)
            return
        client.copy([uid], target)
        client.delete_messages([uid], silent=True)
        if client.has_capability("UIDPLUS"):
            client.uid_expunge([uid])

    def _selected(self, locator: Locator) -> Any:
        """The connection, if the folder still numbers its messages as it did when the locator was made."""
        client = self._ready()
        if self._uidvalidity != locator.uidvalidity:
            raise MessageGone("the mailbox was numbered anew during the poll")
        return client

    def _ready(self) -> Any:
        if self._client is None:
            self._client = self._connect()
            self._log_in(self._client)
            self._select(self._client)
        return self._client

    def _select(self, client: Any) -> None:
        """EXAMINE unless something is to be marked, so that nothing can be changed by accident."""
        writes = bool(self.account.keyword or self.account.move_to)
        if self.account.move_to and not client.folder_exists(self.account.move_to):
            self._create(client, self.account.move_to)
        state = client.select_folder(self.account.folder, readonly=not writes)
        self._uidvalidity = int(state.get(b"UIDVALIDITY", 0))

    @staticmethod
    def _create(client: Any, folder: str) -> None:
        """Makes a folder that is not there, unless another worker makes it meanwhile (ALREADYEXISTS of RFC 5530; not
        every server says so)."""
        try:
            client.create_folder(folder)
        except IMAPClientError:
            if not client.folder_exists(folder):
                raise

    def _connect(self) -> Any:
        account = self.account
        timeout = SocketTimeout(connect=account.timeout, read=account.timeout)
        context = ssl.create_default_context(cafile=account.ca_file or None)
        tls = account.security == "tls"
        client = IMAPClient(
            account.host,
            account.port,
            use_uid=True,
            ssl=tls,
            ssl_context=context if tls else None,
            timeout=timeout,
        )
        if account.security == "starttls":
            client.starttls(context)
        client.normalise_times = False
        return client

    def _log_in(self, client: Any) -> None:
        account = self.account
        if not account.token:
            client.login(account.user, account.password)
            return
        offered = [c.decode("ascii", "replace").upper() for c in client.capabilities()]
        mechanism = mechanism_of([c.removeprefix("AUTH=") for c in offered if c.startswith("AUTH=")])
        bearer = Bearer(mechanism, account.user, account.token, account.host, account.port)
        try:
            client.sasl_login(mechanism, bearer)
        except LoginError as refused:
            raise LoginError(f"{bearer.refusal} {refused}".strip()) from refused


def _opens(client: Any, folder: str) -> bool:
    """Selects a folder. False where the server refuses: it is not there, or not ours to read."""
    try:
        client.select_folder(folder, readonly=True)
    except IMAPClientAbortError:
        raise
    except IMAPClientError:
        return False
    return True


def _bears(client: Any, message_id: str, day: date) -> bool:
    """Whether a message of the selected folder has that very id: RFC 3501 6.4.4 searches for a part of a header."""
    likely = client.search(["SINCE", day, "HEADER", "Message-ID", message_id])
    headers = client.fetch(likely, [_ID_FIELD]) if likely else {}
    return any(
        value.partition(b":")[2].strip().decode("ascii", "replace") == message_id
        for found in headers.values()
        for key, value in found.items()
        if key.upper().startswith(b"BODY[HEADER")
    )


class _Faults:
    """Turns whatever the connection raises into one plain line, and throws the connection away."""

    def __init__(self, mailbox: ImapMailbox) -> None:
        self.mailbox = mailbox

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, fault: BaseException | None, trace: object) -> None:
        if fault is None or isinstance(fault, MessageGone):
            return
        self.mailbox.discard()
        plain = _what_to_do(fault, self.mailbox.account)
        if plain is not None:
            raise plain from fault


def _what_to_do(fault: BaseException, account: ImapAccount) -> MailboxUnreachable | None:
    if isinstance(fault, OSError) and fault.errno in OUR_DISK:
        return None
    where = f"{account.host}:{account.port}"
    if isinstance(fault, LoginError) and not _cut_off(fault):
        return MailboxUnreachable(
            f"The mailbox server {where} refused the login of {account.user}: {_short(fault)}",
            "Check the user name and the password or token",
        )
    if isinstance(fault, ssl.SSLError):
        return MailboxUnreachable(
            f"No safe connection to {where}: {_short(fault)}",
            "Check the port, the security setting and the certificate",
        )
    if isinstance(fault, TimeoutError):
        return MailboxUnreachable(
            f"The mailbox server {where} did not answer within {account.timeout:g} seconds",
            "It is tried again",
        )
    if isinstance(fault, IMAPClientError | OSError):
        return MailboxUnreachable(f"The mailbox server {where} failed: {_short(fault)}", "It is tried again")
    return None


def _cut_off(fault: BaseException) -> bool:
    """Whether the connection broke: imapclient calls that a refused login, too, where it happens during one."""
    cause: BaseException | None = fault
    while cause is not None and not isinstance(cause, IMAPClientAbortError):
        cause = cause.__cause__ or cause.__context__
    return cause is not None


def _short(fault: BaseException) -> str:
    text = str(fault) or type(fault).__name__
    return re.sub(r"\s+", " ", text.removeprefix("b'").removesuffix("'"))[:200]


def _discard(client: Any) -> None:
    try:
        client.shutdown()
    except (IMAPClientError, OSError):
        return


def _utc(arrived: datetime | None) -> datetime:
    if arrived is None:
        return datetime.now(UTC)
    return arrived.replace(tzinfo=UTC) if arrived.tzinfo is None else arrived.astimezone(UTC)
