"""Whom not to answer, rule by rule of RFC 3834, 5321, 6522, 8098, 8601, 2369 and 2919."""

from __future__ import annotations

from datetime import timedelta

import authres
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.domain.mail.answering import answer, standing_of, thread_of, too_many_today, vouched_for
from intake.domain.mail.authentication import results, without_comments
from intake.model.message import Address
from tests.mail_rules.messages import NOW, PASS, SERVER, US, mail

NEVER = {
    "RFC 3834 5, auto-replied": ["Auto-Submitted: auto-replied"],
    "RFC 3834 5, with a comment and a parameter": ["Auto-Submitted: (x) auto-generated; a=b"],
    "RFC 3834 5, an extension": ["Auto-Submitted: auto-notified"],
    "RFC 5321 4.5.5, null reverse-path": ["Return-Path: <>"],
    "RFC 2369": ["List-Unsubscribe: <mailto:x@x.example>"],
    "RFC 2919": ["List-Id: <a.x.example>"],
    "RFC 3834 2, bulk": ["Precedence: bulk"],
    "RFC 3834 2, list": ["Precedence: list"],
    "RFC 3834 2, junk": ["Precedence: Junk"],
    "RFC 6522": ['Content-Type: multipart/report; report-type=delivery-status; boundary="x"'],
    "RFC 8098": ['Content-Type: multipart/report; report-type=disposition-notification; boundary="x"'],
    "RFC 8098, quoted": [
        'Content-Type: multipart/report; boundary=x; report-type="Disposition-Notification"'
    ],
    "mail system": ["From: Mail Delivery Subsystem <MAILER-DAEMON@x.example>"],
    "ourselves": ["From: surveys@hollin.example"],
    "a colleague": ["From: jo@hollin.example"],
    "a colleague to a customer, answers to us": [
        "From: jo@hollin.example",
        "To: ann@x.example",
        "Cc: surveys@hollin.example",
        "Reply-To: surveys@hollin.example",
        f"Authentication-Results: {SERVER}; dmarc=pass header.from=hollin.example",
    ],
    "automatic by its subject": ["Subject: Automatic reply: Your kitchen"],
    "automatic in German": ["Subject: Abwesenheitsnotiz: Re: Küche"],
    "no reply wanted": ["From: no-reply@x.example"],
    "nobody": ["-From"],
}
HOLD = {
    "RFC 5321 4.4": ["-Return-Path"],
    "RFC 3834 2, not to us": ["To: undisclosed-recipients:;"],
    "RFC 7489 6.6.1": ["From: ann@x.example, bob@x.example"],
    "no authentication": ["-Authentication-Results"],
    "RFC 8601 5, another's server": [
        "Authentication-Results: mx.other.example; dmarc=pass header.from=x.example"
    ],
    "RFC 7489 6.6.2": [
        f"Authentication-Results: {SERVER}; dmarc=fail header.from=x.example; spf=pass smtp.mailfrom=x.example"
    ],
    "SPF of another domain": [f"Authentication-Results: {SERVER}; spf=pass smtp.mailfrom=bulk.example"],
    "DKIM of another domain": [f"Authentication-Results: {SERVER}; dkim=pass header.d=bulk.example"],
    "SPF of all of a top-level domain": [
        f"Authentication-Results: {SERVER}; spf=pass smtp.mailfrom=eve@example"
    ],
    "SPF softfail": [f"Authentication-Results: {SERVER}; spf=softfail smtp.mailfrom=x.example"],
    "nothing checked": [f"Authentication-Results: {SERVER}; none"],
    "pass in a comment": [f"Authentication-Results: {SERVER}; dmarc=none (dmarc=pass header.from=x.example)"],
    "pass in a quoted reason": [
        f'Authentication-Results: {SERVER}; spf=fail reason="x; dmarc=pass" smtp.mailfrom=x.example'
    ],
    "answers to elsewhere": ["Reply-To: eve@e.example"],
}
MAY = {
    "as it is": [],
    "a bare dmarc=pass where nothing else stands": [f"Authentication-Results: {SERVER}; dmarc=pass"],
    "no policy, the rest in order": [
        f"Authentication-Results: {SERVER}; dkim=pass (2048-bit key) header.d=x.example; dmarc=none; "
        "spf=none (no record) smtp.mailfrom=x@x.example"
    ],
    "a bare dmarc=pass beside the sender's signature": [
        f"Authentication-Results: {SERVER}; dkim=pass header.d=x.example; dmarc=pass"
    ],
    "RFC 3834 5, no": ["Auto-Submitted: no"],
    "Precedence: normal": ["Precedence: first-class"],
    "in Cc": ["To: bob@x.example", "Cc: surveys@hollin.example"],
    "to our address with a detail": ["To: surveys+r-7k2m4@hollin.example"],
    "DKIM of the sender's domain": [f"Authentication-Results: {SERVER}; dkim=pass header.d=x.example"],
    "SPF below the sender's domain": [
        f"Authentication-Results: {SERVER}; spf=pass smtp.mailfrom=b@mail.x.example"
    ],
    "server name in capitals, version": [
        f"Authentication-Results: {SERVER.upper()} 1; dmarc=pass header.from=x.example"
    ],
    "out of something else": ["Subject: Out of square walls"],
    "a talk of delivery": ["Subject: Worktop delivery failed to arrive"],
}


@pytest.mark.parametrize(
    ("verdict", "headers"),
    [pytest.param(verdict, headers, id=f"{verdict}: {name}")
     for verdict, cases in (("never", NEVER), ("hold", HOLD), ("may", MAY)) for name, headers in cases.items()],
)  # fmt: skip
def test_rule(verdict: str, headers: list[str]) -> None:
    standing = standing_of(mail(*headers), US, SERVER)
    assert standing.verdict == verdict, standing
    assert bool(standing.reason) == (verdict != "may")


def test_a_forged_result_below_our_servers_own_does_not_count() -> None:
    """RFC 8601 5: a header is written on top, so what a stranger wrote in lies below."""
    ours, forged = f"Authentication-Results: {SERVER}; dmarc=fail header.from=x.example", PASS
    assert standing_of(mail(ours, forged), US, SERVER).verdict == "hold"


def test_without_a_server_of_ours_nothing_vouches_for_anybody() -> None:
    standing = standing_of(mail(), US, "")
    assert (standing.verdict, standing.rule) == ("hold", "unauthenticated")


def test_a_forward_is_held_and_goes_to_the_first_writer() -> None:
    head = "---------- Forwarded message ---------\r\nFrom: Ann Lee <ann@y.example>\r\nSubject: Kitchen"
    body = f"See below.\r\n\r\n{head}\r\n\r\nHi"
    message = mail("From: jo@hollin.example", "Subject: Fwd: Kitchen", body=body)
    assert standing_of(message, US, SERVER).rule == "forwarded"
    assert answer(thread_of(message, US), "", vouched=True).to.email == "ann@y.example"


def test_reply_to_is_used_within_the_senders_domain_only() -> None:
    assert (
        answer(thread_of(mail("Reply-To: lee@x.example"), US), "", vouched=True).to.email == "lee@x.example"
    )
    assert (
        answer(thread_of(mail("Reply-To: eve@e.example"), US), "", vouched=True).to.email == "ann@x.example"
    )


def test_reply_to_of_a_sender_whom_nobody_vouches_for_is_not_used() -> None:
    thread = thread_of(mail("Reply-To: lee@x.example"), US)
    assert answer(thread, "", vouched=False).to.email == "ann@x.example"


def test_the_brake_counts_a_day_back() -> None:
    hours = [timedelta(hours=h) for h in (1, 2, 23, 25)]
    assert too_many_today([NOW - h for h in hours], NOW, 4) is None
    assert too_many_today([NOW - h for h in hours], NOW, 3) is not None


WORDS = st.sampled_from(["pass", "fail", "none", "softfail", "neutral", "temperror"])
METHODS = st.sampled_from(["dkim", "spf", "dmarc", "iprev", "auth"])
PROPERTIES = st.sampled_from(
    [
        "",
        " header.d=x.example",
        " smtp.mailfrom=ann@x.example",
        ' header.i="@x.example"',
        " (a (nested) comment) header.b=abc",
    ]
)


@given(st.lists(st.tuples(METHODS, WORDS, PROPERTIES), min_size=1, max_size=5), st.booleans())
def test_results_are_read_as_authres_reads_them(found: list[tuple[str, str, str]], version: bool) -> None:
    """Oracle: the authres library, an independent parser of RFC 8601."""
    value = f"{SERVER}{' 1' if version else ''}; " + "; ".join(f"{m}={r}{p}" for m, r, p in found)
    theirs = authres.AuthenticationResultsHeader.parse(f"Authentication-Results: {value}")
    name, ours = results(value)
    assert name == theirs.authserv_id
    assert [(r.method, r.result) for r in ours] == [(t.method, t.result) for t in theirs.results]
    for mine, other in zip(ours, theirs.results, strict=True):
        assert mine.properties == tuple((f"{p.type}.{p.name}", str(p.value)) for p in other.properties)


@given(st.text(alphabet='()"\\; =ab', max_size=40))
def test_comments_never_leave_a_half(value: str) -> None:
    assert results(value) is not None
    if '"' not in value and "\\" not in value:
        assert without_comments(value).count("(") == 0


DECEIVING = {
    "a result within an envelope address": "spf=pass smtp.mailfrom=eve;dmarc=pass @evil.example",
    "with its property": "spf=pass smtp.mailfrom=eve;dmarc=pass header.from=x.example@evil.example",
    "with a result behind it": "spf=pass smtp.mailfrom=eve;dmarc=pass header.from=x.example;x=y@evil.example",
    "whose end is one of the grammar": "spf=pass smtp.mailfrom=eve;dmarc=pass header.from=x.example; x=y",
    "another result of the same": "dmarc=none; spf=none smtp.mailfrom=e.example;dmarc=pass header.from=x.example",
    "the same thing checked twice": "spf=pass smtp.mailfrom=a.x.example;spf=fail smtp.mailfrom=z@evil.example",
    "a computer's own name": "spf=fail smtp.helo=evil.example;dmarc=pass",
    "a name that ends its comment": "spf=fail (helo=x);dmarc=pass() smtp.mailfrom=eve@evil.example",
    "and takes another's place": "spf=none (helo=x);dkim=pass header.d=x.example () smtp.mailfrom=eve@evil.example",
    "and leaves the place to another": (
        "spf=none (helo=x);dkim=pass header.d=x.example;auth=none () smtp.mailfrom=eve@evil.example"
    ),
    "and fills its own": (
        "spf=none (helo=x) smtp.mailfrom=e.eu;dkim=pass header.d=x.example;auth=none () smtp.mailfrom=eve@e.eu"
    ),
    "no grammar at all": "dmarc=pass header.from=x.example; and so on",
}


@pytest.mark.parametrize("name", sorted(DECEIVING))
def test_a_strangers_words_within_a_result_pass_for_none(name: str) -> None:
    standing = standing_of(mail(f"Authentication-Results: {SERVER}; {DECEIVING[name]}"), US, SERVER)
    assert (standing.verdict, standing.rule) == ("hold", "unauthenticated")


def test_an_envelope_address_that_is_written_to_deceive_vouches_for_nothing() -> None:
    """Its server wrote it down unquoted, and what it wrote obeys the grammar from end to end."""
    value = (
        "spf=pass smtp.mailfrom=e.example;dmarc=pass header.from=x.example;dkim=pass header.i=z@evil.example"
    )
    path = 'Return-Path: <"e.example;dmarc=pass header.from=x.example;dkim=pass header.i=z"@evil.example>'
    assert standing_of(mail(f"Authentication-Results: {SERVER}; {value}", path), US, SERVER).verdict == "hold"


ROBOTS = (
    "no.reply noreply.orders no_reply_x orders-noreply autoreply notifications noreply no-reply donotreply1"
)


@pytest.mark.parametrize("local", ROBOTS.split())
def test_an_address_that_says_that_nobody_reads_it_is_never_answered(local: str) -> None:
    assert standing_of(mail(f"From: Shop <{local}@x.example>"), US, SERVER).verdict == "never"


@pytest.mark.parametrize(
    "local", ["noreen.plyth", "arnold.reply", "ann.notley", "bo.autry", "alert.smith", "mayor"]
)
def test_a_persons_address_is_not_taken_for_a_machines(local: str) -> None:
    assert standing_of(mail(f"From: {local}@x.example"), US, SERVER).verdict == "may"


@pytest.mark.parametrize(
    "header", ["Precedence: auto_reply", "Precedence: auto-reply", "X-Autoreply-From: a@x.example"]
)
def test_what_says_that_a_machine_wrote_it_is_never_answered(header: str) -> None:
    assert standing_of(mail(header), US, SERVER).verdict == "never"


def test_what_a_service_writes_on_somebodys_behalf_waits_for_a_person() -> None:
    form = mail(
        "From: Forms <noreply@forms.example>",
        "Reply-To: ann@x.example",
        PASS.replace("x.example", "forms.example"),
    )
    assert standing_of(form, US, SERVER).verdict == "hold"
    relay = mail("From: Ann <ann@x.example>", "Sender: robot@relay.example")
    assert standing_of(relay, US, SERVER).rule == "on-behalf"
    shop = mail("From: Shop <noreply@x.example>", "Reply-To: help@x.example")
    assert standing_of(shop, US, SERVER).verdict == "never"


def test_mail_handed_in_with_a_password_is_vouched_for() -> None:
    """RFC 8601 2.7.4."""
    value = f"Authentication-Results: {SERVER}; auth=pass smtp.auth="
    assert standing_of(mail(value + "ann@x.example"), US, SERVER).verdict == "may"
    assert standing_of(mail(value + "bob@x.example"), US, SERVER).verdict == "hold"


def test_a_domain_that_ascii_turns_into_anothers_gets_no_letter() -> None:
    """RFC 5891: ß is a letter of its own; the older IDNA (RFC 3490), which Python speaks, writes ss for it."""
    assert Address("", "ann@stra\u00dfe.example").wire == ""
    assert Address("", "ann@\uff4c\uff45\uff45.example").wire == ""
    assert Address("", "ann@m\u00fcller.example").wire == "ann@xn--mller-kva.example"


def test_what_our_own_form_was_told_is_nobodys_word() -> None:
    form = mail(
        "From: Form <form@hollin.example>",
        "Reply-To: ann@x.example",
        PASS.replace("x.example", "hollin.example"),
    )
    assert standing_of(form, US, SERVER).rule == "form" and not vouched_for(form, US, SERVER)
    colleague = mail(
        "From: Mo <mo@hollin.example>", "To: ann@x.example", PASS.replace("x.example", "hollin.example")
    )
    assert vouched_for(colleague, US, SERVER)
