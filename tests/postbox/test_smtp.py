"""Handing letters to a real SMTP server that fails at each stage (aiosmtpd)."""

from __future__ import annotations

import socket
from collections.abc import Iterator

import pytest

from intake.postbox.smtp import SmtpPostbox, SmtpServer
from tests.servers.smtp import Faults, Server, smtp_server

LETTER = b"From: s@s.example\r\nTo: ann@x.example\r\nMessage-ID: <1@s.example>\r\n\r\nHello\r\n.dot\r\n..two\r\nend\r\n"
TO = ("ann@x.example",)


@pytest.fixture
def server() -> Iterator[Server]:
    with smtp_server() as running:
        yield running


def postbox(server: Server, timeout: float = 30.0) -> SmtpPostbox:
    return SmtpPostbox(SmtpServer("127.0.0.1", server.port, "s@s.example", security="none", timeout=timeout))


def test_a_letter_arrives_byte_for_byte(server: Server) -> None:
    outcome = postbox(server).send(TO, LETTER)
    assert outcome.state == "sent"
    [received] = server.taken
    assert (received.sender, received.recipients, received.content) == ("s@s.example", TO, LETTER)


@pytest.mark.parametrize(
    ("faults", "state"),
    [
        (Faults(mail="550 5.7.1 no"), "refused"),
        (Faults(mail="451 4.3.0 later"), "try-again"),
        (Faults(mail="drop"), "try-again"),
        (Faults(mail="hang"), "try-again"),
        (Faults(rcpt="550 5.1.1 unknown"), "refused"),
        (Faults(rcpt="451 4.7.1 greylisted"), "try-again"),
        (Faults(rcpt="452 4.2.2 full"), "try-again"),
        (Faults(rcpt="drop"), "try-again"),
        (Faults(text="552 5.3.4 too big"), "refused"),
        (Faults(text="452 4.3.1 disk"), "try-again"),
        (Faults(text="drop"), "in-doubt"),
        (Faults(text="hang"), "in-doubt"),
        (Faults(after="drop"), "in-doubt"),
        (Faults(after="hang"), "in-doubt"),
        (Faults(after="421 4.3.2 going down"), "in-doubt"),
    ],
)
def test_every_fault_has_one_meaning(server: Server, faults: Faults, state: str) -> None:
    server.faults = faults
    hangs = "hang" in (faults.mail, faults.text, faults.after)
    outcome = postbox(server, timeout=1.0 if hangs else 30.0).send(TO, LETTER)
    assert outcome.state == state, outcome.answer
    assert outcome.answer


@pytest.mark.parametrize(
    ("said", "state", "taken"),
    [
        (("550 5.1.1 unknown", ""), "refused", []),
        (("451 4.7.1 later", ""), "try-again", []),
        (("", "550 5.1.1 unknown"), "sent", [TO]),
    ],
)
def test_who_is_answered_must_be_reached_and_a_refused_copy_keeps_it_from_nobody(
    server: Server, said: tuple[str, str], state: str, taken: list[tuple[str, ...]]
) -> None:
    """A letter that went to a copy alone must not count as sent."""
    answers = iter(said)

    async def rcpt(server_: object, session: object, envelope: object, address: str, options: object) -> str:
        answer = next(answers)
        if answer:
            return answer
        envelope.rcpt_tos.append(address)  # type: ignore[attr-defined]
        return "250 OK"

    server.handle_RCPT = rcpt  # type: ignore[method-assign, assignment]
    outcome = postbox(server).send((*TO, "jo@x.example"), LETTER)
    assert outcome.state == state
    assert [t.recipients for t in server.taken] == taken
    assert ("no copy was taken for jo@x.example" in outcome.answer) == (state == "sent")


def test_a_server_that_is_not_there_or_says_nothing_is_tried_again() -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        port = silent.getsockname()[1]
        silent_box = SmtpPostbox(SmtpServer("127.0.0.1", port, "", security="none", timeout=0.2))
        assert silent_box.send(TO, LETTER).state == "try-again"
    assert silent_box.send(TO, LETTER).state == "try-again"


def test_starttls_that_the_server_does_not_offer_sends_nothing(server: Server) -> None:
    box = SmtpPostbox(SmtpServer("127.0.0.1", server.port, "", security="starttls", timeout=1))
    assert box.send(TO, LETTER).state == "try-again"
    assert server.taken == []
