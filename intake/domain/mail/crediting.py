"""Whose message it is: the customer it is credited to, whoever's hands it came through."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from itertools import pairwise

from intake.domain.mail.subject import job_references, topic
from intake.domain.mail.which_room import room_of
from intake.model.card import Card
from intake.model.message import Address, Message

EARLIEST = datetime.fromisoformat("1995-01-01T00:00:00+00:00")
CLOCK_ERROR = timedelta(days=1)

_ROBOT_WORDS = frozenset(
    re.findall(
        r"\w+",
        """
noreply donotreply dontreply nereply neatbildet autoreply autoresponder autoresponse autoanswer automated automailer
notification notifications notify notifier notificaciones benachrichtigung alerts mailer newsletter newsletters
unsubscribe daemon postmaster bounce bounces mdaemon
""",
    )
)
_ROBOT_PAIRS = (("no", "reply"), ("not", "reply"), ("dont", "reply"), ("auto", "reply"), ("mail", "daemon"))


def takes_no_replies(email: str) -> bool:
    """Whether an address says by its own name that nobody reads it: no.reply@, orders-noreply@, notifications@, ...
    Common practice, no source."""
    words = re.split(r"[^a-z0-9]+", email.partition("@")[0].lower())
    return (
        any(w in _ROBOT_WORDS or w.startswith(("noreply", "donotreply")) for w in words)
        or any(w.endswith("noreply") for w in words)
        or any(pair in _ROBOT_PAIRS for pair in pairwise(words))
    )


def is_ours(address: Address, ours: frozenset[str]) -> bool:
    """One of our addresses, or a colleague's at a domain that is ours alone."""
    return address.email in ours or address.domain in our_domains(ours)


def our_domains(ours: frozenset[str]) -> frozenset[str]:
    """The domains of our addresses, without those that mail providers share between strangers."""
    return frozenset(email.rpartition("@")[2] for email in ours) - SHARED_DOMAINS


def credited_to(message: Message, ours: frozenset[str]) -> Address:
    """The customer whose message it is.

    A forward is credited to the sender it names. Mail of our own staff to one customer is that customer's; so is a
    form's mail with the customer in Reply-To. An empty address where it is nobody's.
    """
    origin = message.forwarded_from
    if origin is not None and origin.email and not is_ours(origin, ours):
        return origin
    replies = tuple(a for a in message.reply_to if not is_ours(a, ours))
    if is_ours(message.sender, ours):
        others = {a.email: a for a in (*message.to, *message.cc) if not is_ours(a, ours)}
        if replies:
            return replies[0]
        return next(iter(others.values())) if len(others) == 1 else Address("", "")
    if replies and takes_no_replies(message.sender.email):
        return replies[0]
    return message.sender


def told_by_a_form(message: Message, ours: frozenset[str]) -> bool:
    """Whether our own form names the customer in Reply-To: whoever fills it in may give any address."""
    named = any(not is_ours(a, ours) for a in message.reply_to)
    return named and is_ours(message.sender, ours) and credited_to(message, ours) in message.reply_to


def when(message: Message) -> datetime:
    """When it was sent, as far as its own date can be believed; else when it arrived."""
    sent = message.sent_at
    if sent is None or not EARLIEST <= sent <= message.received_at + CLOCK_ERROR:
        return message.received_at
    return sent


def card_of(message: Message, ours: frozenset[str], vouched: bool = True, automatic: bool = False) -> Card:
    """The index card of a message that is not yet filed."""
    sender = credited_to(message, ours)
    forwarder = message.sender.email
    passed_on = forwarder != sender.email and not is_ours(message.sender, ours)
    others = {a.email for a in (*message.to, *message.cc, *message.reply_to) if not is_ours(a, ours)}
    return Card(
        key=message.sha256,
        id=message.message_id,
        refers=tuple(dict.fromkeys((*message.references, *message.in_reply_to, *message.returned_ids))),
        sender=sender.email,
        via=forwarder if passed_on else "",
        recipients=tuple(sorted(others - {sender.email})),
        room=room_of(message.subject, message.own_words),
        topic=topic(message.subject),
        named=job_references(f"{message.subject}\n{message.own_words[:4000]}"),
        at=when(message),
        vouched=vouched,
        automatic=automatic,
    )


SHARED_DOMAINS = frozenset(
    {
        "gmail.com",
        "googlemail.com",
        "outlook.com",
        "hotmail.com",
        "hotmail.co.uk",
        "live.com",
        "live.co.uk",
        "msn.com",
    }
    | {
        "yahoo.com",
        "yahoo.co.uk",
        "ymail.com",
        "icloud.com",
        "me.com",
        "mac.com",
        "aol.com",
        "btinternet.com",
    }
    | {
        "sky.com",
        "talktalk.net",
        "virginmedia.com",
        "ntlworld.com",
        "proton.me",
        "protonmail.com",
        "gmx.com",
        "gmx.de",
    }
    | {
        "web.de",
        "mail.com",
        "zoho.com",
        "fastmail.com",
        "orange.fr",
        "wanadoo.fr",
        "t-online.de",
        "libero.it",
    }
)
"""Large mail providers: an address there says nothing of its neighbours. From memory; common practice, no source."""
