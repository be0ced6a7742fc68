"""A real SMTP server (aiosmtpd) on loopback whose faults a test sets."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from tests.servers.ports import free_port


@dataclass
class Received:
    sender: str
    recipients: tuple[str, ...]
    content: bytes


@dataclass
class Faults:
    """What the server answers at each stage ("" for as usual): an SMTP answer, "drop" or "hang".

    `text` comes before the message is taken, `after` once it is taken.
    """

    connect: str = ""
    mail: str = ""
    rcpt: str = ""
    text: str = ""
    after: str = ""


@dataclass
class Server:
    """Takes letters as a mail server does. `choose` may set other faults for each letter."""

    faults: Faults = field(default_factory=Faults)
    taken: list[Received] = field(default_factory=list)
    choose: Callable[[], Faults] | None = None
    port: int = 0

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if self.choose is not None:
            self.faults = self.choose()
        if fault := self.faults.mail:
            return await self._fail(server, fault)
        envelope.mail_from = address
        return "250 OK"

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if fault := self.faults.rcpt:
            return await self._fail(server, fault)
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        if fault := self.faults.text:
            return await self._fail(server, fault)
        content = envelope.content
        assert isinstance(content, bytes)
        self.taken.append(Received(envelope.mail_from or "", tuple(envelope.rcpt_tos), content))
        if fault := self.faults.after:
            return await self._fail(server, fault)
        return "250 taken"

    async def _fail(self, server: SMTP, fault: str) -> str:
        if fault == "drop":
            transport: Any = server.transport
            transport.abort()
            return "421 gone"
        if fault == "hang":
            await asyncio.sleep(5)
        return fault


@contextlib.contextmanager
def smtp_server() -> Iterator[Server]:
    handler = Server(port=free_port())
    controller = Controller(handler, hostname="127.0.0.1", port=handler.port, ready_timeout=10)
    controller.start()
    try:
        yield handler
    finally:
        controller.stop()
