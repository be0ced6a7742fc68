"""A second look at every channel by which a stranger could pass for a customer: headers, forms, forwards, crowds."""

from __future__ import annotations

from datetime import timedelta
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP

import pytest

from intake.work.report import job_whole
from tests.work.mail import OURS, SERVER, START, message, picture
from tests.work.test_strangers import EVE, SILL, TOM, World, world

__all__ = ["world"]

PLAN = (("plan.jpg", picture(9)),)
WORD = "=?utf-8?q?x=3Bdkim=3Dpass_header.d=3Dhale.example_z.z=3D?="
PATH = "=?utf-8?q?tom=40hale.example_x.y=3D?="
"""Encoded words: an RFC 5321 local part without any sign that a server would have to quote."""


def _from(sender: str, results: str, *lines: str, subject: str = "Re: Our kitchen") -> bytes:
    """A message written by hand, so that its header is just this."""
    head = [
        "Return-Path: <eve@evil.example>", f"Authentication-Results: {SERVER}; {results}", *lines,
        f"From: {sender}", f"To: {OURS}", f"Subject: {subject}", "Message-ID: <9@evil.example>",
        "Date: Mon, 02 Mar 2026 14:00:00 +0000",
    ]  # fmt: skip
    return ("\r\n".join(head) + f"\r\n\r\n{SILL}\r\n").encode()


EVES = "dmarc=pass header.from=evil.example"


def _attached() -> bytes:
    mail = EmailMessage(policy=SMTP)
    mail["Return-Path"], mail["Authentication-Results"] = "<eve@evil.example>", f"{SERVER}; {EVES}"
    mail["From"], mail["To"], mail["Subject"] = EVE, OURS, "Fwd: Our kitchen"
    mail["Date"], mail["Message-ID"] = "Mon, 02 Mar 2026 14:00:00 +0000", "<9@evil.example>"
    mail.set_content("See below.")
    mail.add_attachment(
        message_from_bytes(message(TOM, "Our kitchen", SILL, 1, "<8@hale.example>", PLAN), policy=SMTP)
    )
    return mail.as_bytes()


def _form(**more: str) -> bytes:
    """Our own web form takes any address that is typed into it."""
    return message(
        "Form <form@rooms.example>", "Our kitchen", SILL, 5, "<9@rooms.example>", PLAN, Reply_To=TOM, **more
    )


def _staffs(passed: bool) -> bytes:
    words = (
        f"See below.\n\n---------- Forwarded message ---------\nFrom: {TOM}\nSubject: Our kitchen\n\n{SILL}"
    )
    return message(
        "Ines <ines@rooms.example>", "Fwd: Our kitchen", words, 5, "<9@evil.example>", PLAN, passed=passed
    )


CHANNELS = {
    "an encoded word within a result": _from(
        "tom@hale.example", f"dkim=pass header.i={WORD}@evil.example header.d=evil.example"
    ),
    "an encoded word within an envelope": _from("tom@hale.example", f"spf=pass smtp.mailfrom={PATH}@evil.example"),
    "the customer in Sender": _from(EVE, EVES, f"Sender: {TOM}"),
    "the customer in From, herself in Sender": _from(TOM, EVES, f"Sender: {EVE}"),
    "the customer in Sender alone": _from("", EVES, f"Sender: {TOM}"),
    "two From headers": _from(TOM, EVES, f"From: {EVE}"),
    "two writers": _from(f"{EVE}, {TOM}", "dmarc=pass header.from=hale.example"),
    "a group": _from("Friends: tom@hale.example, eve@evil.example;", "dmarc=pass header.from=hale.example"),
    "an address as a name": _from('"tom@hale.example" <eve@evil.example>', EVES),
    "an encoded address as a name": _from("=?utf-8?q?Tom_=3Ctom=40hale.example=3E=2C?= <eve@evil.example>", EVES),
    "two addresses in one": _from("<tom@hale.example> <eve@evil.example>", EVES),
    "a route": _from("<@evil.example:tom@hale.example>", EVES),
    "a comment": _from("eve@evil.example (tom@hale.example)", EVES),
    "another letter of the alphabet": _from("Tom <tom@h\u0430le.example>", "dmarc=pass header.from=xn--hle.example"),
    "resent": _from(EVE, EVES, f"Resent-From: {TOM}", f"Resent-Sender: {TOM}"),
    "an original address": _from(
        EVE, EVES, "X-Original-To: tom@hale.example", "Delivered-To: tom@hale.example",
        "X-Forwarded-For: tom@hale.example survey@rooms.example",
    ),
    "a list's headers": _from(EVE, EVES, "List-Id: <hale.example>", f"List-Post: <mailto:{OURS}>"),
    "both to be answered": _from(EVE, EVES, f"Reply-To: {TOM}, {EVE}", f"Cc: {TOM}"),
    "an attached message": _attached(),
    "our own form": _form(),
    "our own form, in the thread": _form(In_Reply_To="<1@hale.example>"),
    "a colleague whom nobody vouches for": _staffs(passed=False),
}  # fmt: skip


@pytest.mark.parametrize("channel", CHANNELS)
def test_nobody_passes_for_the_customer(world: World, channel: str) -> None:
    world.take(CHANNELS[channel])
    world.unharmed()
    world.take(message(TOM, "Our kitchen again", "More to follow.", 7, "<2@hale.example>"))
    world.unharmed()
    assert "<2@hale.example>" in world.row["messages"], "and the customer's own mail still finds its job"


def test_what_a_form_was_told_waits_for_a_person(world: World) -> None:
    """Whoever fills it in may give any address: the letter to a new one is held, and the words count by a click."""
    new = "Ann <ann@lee.example>"
    (job,) = world.take(
        message(
            "Form <form@rooms.example>",
            "A kitchen",
            "Our kitchen",
            5,
            "<f@rooms.example>",
            PLAN,
            Reply_To=new,
        )
    )
    shown = job_whole(world.services, job)
    assert [m["counted"] for m in shown["mail"]] == [False]
    assert [k["state"] for k in shown["letters"]] == ["held"] and "form" in shown["letters"][0][
        "held_because"
    ]


def test_a_crowd_of_forged_letters_does_not_keep_the_customer_from_the_job(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("intake.domain.mail.grouping.MOST_CARDS", 30)
    crowd = [
        message(TOM, f"Re: Our kitchen {n}", "Hello", 6 + n / 100, f"<f{n}@evil.example>", passed=False)
        for n in range(33)
    ]
    world.take(*crowd)
    world.take(message(TOM, "Our kitchen again", "The sill is 99 cm.", 12, "<2@hale.example>"))
    assert "<2@hale.example>" in world.row["messages"]


def test_an_old_date_keeps_no_original_from_its_time(world: World) -> None:
    """Purging goes by when mail came, not by the date that its writer gave it."""
    world.take(message(EVE, "Our bathroom", "Hello", -24 * 365 * 20, "<old@evil.example>"))
    with world.services.store.reading() as tables:
        newest = tables.messages.newest()
        assert newest is not None
        past = tables.messages.past_retention(newest - timedelta(days=30), 10)
    assert START.year == 2026 and past == []
