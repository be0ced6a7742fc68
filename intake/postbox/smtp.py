"""Handing a letter to a mail server by SMTP (RFC 5321), command by command so that every fault has one meaning."""

from __future__ import annotations

import re
import smtplib
import ssl
from dataclasses import dataclass

from intake.model.bearer import Bearer, mechanism_of
from intake.model.errors import PostboxUnreachable
from intake.postbox.outcome import Handed, Outcome

_DONE, _CLOSING, _FOR_GOOD = 250, 421, range(500, 600)
"""Reply codes (RFC 5321, 4.2): done; the server closes the connection; refused for good."""


@dataclass(frozen=True)
class SmtpServer:
    """How to reach the sending server. `security` is tls, starttls or none; without a user there is no login.
    `token` is an OAuth 2 access token and replaces the password.

    `envelope_from` is where bounces go: our own address, which never answers a bounce, or "" for <> (RFC 3834 3.3, from
    memory).
    `copy_to` gets a copy of each letter ("" for none): found in the mailbox, it proves that the letter was taken.
    """

    host: str
    port: int
    envelope_from: str
    user: str = ""
    password: str = ""
    token: str = ""
    security: str = "starttls"
    timeout: float = 60.0
    ca_file: str = ""
    copy_to: str = ""


class _Answered(Exception):
    """The server answered a command with something other than success."""

    def __init__(self, code: int, text: bytes) -> None:
        super().__init__(f"{code} {_short(text)}")
        self.code = code


class SmtpPostbox:
    """One connection a letter: a fault in one can then not touch the next."""

    def __init__(self, server: SmtpServer) -> None:
        self.server = server

    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        """Until the text has begun to go over, every fault is certain: nothing was accepted. After that, a lost
        connection or a silence leaves it in doubt (RFC 5321 4.5.3.2.6 and 6.1)."""
        try:
            connection = self._connected()
        except (OSError, smtplib.SMTPException) as fault:
            return Outcome(Handed.TRY_AGAIN, f"No connection to {self._where}: {_in_its_words(fault)}")
        try:
            return self._hand_over(connection, recipients, raw)
        finally:
            _leave(connection)

    def greet(self) -> None:
        """Connect, secure, log in and leave. Raises PostboxUnreachable."""
        try:
            _leave(self._connected())
        except (OSError, smtplib.SMTPException) as fault:
            raise PostboxUnreachable(
                f"No connection to {self._where}: {_in_its_words(fault)}",
                "Check smtp_host, smtp_security, user and password",
            ) from fault

    @property
    def _where(self) -> str:
        return f"{self.server.host}:{self.server.port}"

    def _hand_over(self, connection: smtplib.SMTP, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        try:
            _expect(connection.mail(self.server.envelope_from, self._options(connection, raw)))
            _expect(connection.rcpt(recipients[0]))
            # Who is answered must be reached; that a copy is refused keeps the letter from nobody.
            refused = [r for r in recipients[1:] if connection.rcpt(r)[0] not in (250, 251)]
            if self.server.copy_to:
                connection.rcpt(
                    self.server.copy_to
                )  # refused or not: the customer's letter goes all the same
            connection.putcmd("data")
            _expect(connection.getreply(), 354)
        except _Answered as answer:
            return _refused(answer)
        except (OSError, smtplib.SMTPException) as fault:
            return Outcome(
                Handed.TRY_AGAIN, f"The connection to {self._where} was lost: {_in_its_words(fault)}"
            )
        try:
            connection.send(_dotted(raw))
            code, text = connection.getreply()
        except (OSError, smtplib.SMTPException) as fault:
            return Outcome(
                Handed.IN_DOUBT, f"{self._where} took the letter and never said so: {_in_its_words(fault)}"
            )
        if code == _CLOSING:
            # RFC 5321 4.2.3: the server is closing the channel; some do so with the letter already taken.
            return Outcome(Handed.IN_DOUBT, f"{code} {_short(text)}")
        if code != _DONE:
            return _refused(_Answered(code, text))
        without = f"; no copy was taken for {', '.join(refused)}" if refused else ""
        return Outcome(Handed.SENT, f"{code} {_short(text)}{without}")

    def _options(self, connection: smtplib.SMTP, raw: bytes) -> list[str]:
        return [f"SIZE={len(raw)}"] if connection.has_extn("size") else []  # RFC 1870 5

    def _connected(self) -> smtplib.SMTP:
        server = self.server
        context = ssl.create_default_context(cafile=server.ca_file or None)
        connection: smtplib.SMTP
        if server.security == "tls":
            connection = smtplib.SMTP_SSL(server.host, server.port, timeout=server.timeout, context=context)
        else:
            connection = smtplib.SMTP(server.host, server.port, timeout=server.timeout)
        try:
            connection.ehlo_or_helo_if_needed()
            if server.security == "starttls":
                connection.starttls(context=context)
                connection.ehlo()
            self._log_in(connection)
        except (OSError, smtplib.SMTPException):
            connection.close()
            raise
        return connection

    def _log_in(self, connection: smtplib.SMTP) -> None:
        server = self.server
        if server.user and server.token:
            mechanism = mechanism_of(connection.esmtp_features.get("auth", "").split())
            bearer = Bearer(mechanism, server.user, server.token, server.host, server.port)
            connection.auth(mechanism, bearer)
        elif server.user:
            connection.login(server.user, server.password)


def _expect(answer: tuple[int, bytes], wanted: int | None = None) -> None:
    code, text = answer
    if code != wanted if wanted else code not in (250, 251):  # RFC 5321 4.2.2; 251: will forward
        raise _Answered(code, text)


def _refused(answer: _Answered) -> Outcome:
    """RFC 5321 4.2.1: 5yz is permanent, 4yz worth another try."""
    return Outcome(Handed.REFUSED if answer.code in _FOR_GOOD else Handed.TRY_AGAIN, str(answer))


def _dotted(raw: bytes) -> bytes:
    """RFC 5321 4.5.2: a dot before each line that starts with one, and the end of the text."""
    text = re.sub(rb"\r\n|\r|\n", b"\r\n", raw)
    text = re.sub(rb"(?m)^\.", b"..", text)
    return text + (b"" if text.endswith(b"\r\n") else b"\r\n") + b".\r\n"


def _leave(connection: smtplib.SMTP) -> None:
    try:
        connection.quit()
    except (OSError, smtplib.SMTPException):
        connection.close()


def _in_its_words(fault: BaseException) -> str:
    if isinstance(fault, smtplib.SMTPResponseException):
        return f"{fault.smtp_code} {_short(fault.smtp_error)}"
    return _short(str(fault) or type(fault).__name__)


def _short(text: bytes | str) -> str:
    plain = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    return re.sub(r"\s+", " ", plain).strip()[:300]
