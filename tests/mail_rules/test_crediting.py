"""To whom a message is credited, when it was sent, what it is about and which telephone it names."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from intake.domain.mail.answering import is_automatic, standing_of, thread_of
from intake.domain.mail.crediting import card_of, credited_to, told_by_a_form, when
from intake.domain.mail.phone import phone_numbers
from intake.domain.mail.which_room import room_of
from intake.model.answering import Answering
from intake.model.checklist import RoomKind
from tests.mail_rules.messages import NOW, SERVER, US, mail

OURS = "surveys@hollin.example"
ANN, STAFF = "From: Ann Lee <ann@x.example>", f"From: Hollin <{OURS}>"


@pytest.mark.parametrize(
    ("headers", "whose", "via", "others"),
    [
        ((ANN,), "ann@x.example", "", ()),
        ((ANN, f"To: {OURS}, bo@y.example", "Cc: ann@x.example"), "ann@x.example", "", ("bo@y.example",)),
        # Our own staff write to one customer: it is that customer's. To several: nobody's.
        ((STAFF, "To: bo@y.example"), "bo@y.example", "", ()),
        ((STAFF, "To: bo@y.example, cy@z.example"), "", "", ("bo@y.example", "cy@z.example")),
        ((STAFF, f"To: {OURS}"), "", "", ()),
        # A web form of ours names the customer in Reply-To; one of somebody else's only where nobody reads answers.
        ((STAFF, f"To: {OURS}", "Reply-To: bo@y.example"), "bo@y.example", "", ()),
        (
            (STAFF, f"To: {OURS}", "Reply-To: bo@y.example, cy@z.example"),
            "bo@y.example",
            "",
            ("cy@z.example",),
        ),
        (
            ("From: noreply@forms.example", "Reply-To: bo@y.example"),
            "bo@y.example",
            "noreply@forms.example",
            (),
        ),
        (
            ("From: noreply@forms.example", "Reply-To: bo@y.example, cy@z.example"),
            "bo@y.example",
            "noreply@forms.example",
            ("cy@z.example",),
        ),
        ((ANN, "Reply-To: bo@y.example"), "ann@x.example", "", ("bo@y.example",)),
        ((STAFF, "To: bo@y.example", f"Reply-To: {OURS}"), "bo@y.example", "", ()),
    ],
)
def test_whose_a_message_is(headers: tuple[str, ...], whose: str, via: str, others: tuple[str, ...]) -> None:
    card = card_of(mail(*headers), US)
    assert (card.sender, card.via, card.recipients) == (whose, via, others)
    assert card.vouched and not card.automatic, "what nothing else is known of"
    assert credited_to(mail(*headers), US).email == whose


@pytest.mark.parametrize(
    ("headers", "form"),
    [
        ((STAFF, f"To: {OURS}", "Reply-To: bo@y.example"), True),
        ((STAFF, "To: bo@y.example"), False),
        ((STAFF, "To: bo@y.example", f"Reply-To: {OURS}"), False),
        ((ANN, "Reply-To: bo@y.example"), False),
        ((ANN, "Reply-To: ann@x.example"), False),
    ],
)
def test_only_our_own_form_names_a_customer_whom_nobody_vouches_for(
    headers: tuple[str, ...], form: bool
) -> None:
    assert told_by_a_form(mail(*headers), US) is form


@pytest.mark.parametrize(
    ("date", "believed"),
    [
        ("Mon, 2 Mar 2026 08:55:00 +0000", datetime(2026, 3, 2, 8, 55, tzinfo=UTC)),
        ("Sun, 1 Mar 2026 08:55:00 -0500", datetime(2026, 3, 1, 13, 55, tzinfo=UTC)),
        ("Mon, 2 Mar 2026 09:05:00 +0000", datetime(2026, 3, 2, 9, 5, tzinfo=UTC)),
        ("Tue, 3 Mar 2026 08:55:00 +0000", datetime(2026, 3, 3, 8, 55, tzinfo=UTC)),
        ("Tue, 3 Mar 2026 09:05:00 +0000", NOW),
        ("Fri, 6 Mar 2026 09:05:00 +0000", NOW),
        ("Thu, 1 Jan 1970 00:00:00 +0000", NOW),
        ("no date at all", NOW),
    ],
)
def test_a_date_that_cannot_be_is_not_believed(date: str, believed: datetime) -> None:
    """Clocks are wrong by minutes, by a zone, by a day; not by several, and there was no such mail in 1970."""
    assert when(mail(f"Date: {date}")) == believed
    assert when(mail(f"Date: {date}")) - NOW <= timedelta(days=1)


def test_a_letters_thread_is_the_messages_own_and_its_parents() -> None:
    """RFC 5322 3.6.4: where References is missing, In-Reply-To stands for it if it holds one id."""
    first, second = "<a@y.example>", "<b@y.example>"
    assert thread_of(mail(), US).references == ("<1@x.example>",)
    assert thread_of(mail(f"References: {first} {second}"), US).references == (first, second, "<1@x.example>")
    assert thread_of(mail(f"In-Reply-To: {first}"), US).references == (first, "<1@x.example>")
    assert thread_of(mail(f"In-Reply-To: {first} {second}"), US).references == ("<1@x.example>",)
    assert thread_of(mail("-Message-ID", f"In-Reply-To: {first}"), US).references == (first,)


def test_a_machines_mail_opens_no_job_and_an_address_that_cannot_be_written_to_does() -> None:
    robot = standing_of(mail("Auto-Submitted: auto-replied"), US, SERVER)
    assert robot.verdict is Answering.NEVER and is_automatic(robot)
    person = standing_of(mail("From: Ann <ann@stra\u1e9ee.example>"), US, SERVER)
    assert not is_automatic(person)
    assert not is_automatic(standing_of(mail(), US, SERVER))


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("Ring me on 01632 960123 or (0115) 496 0999.", ("01632 960123", "(0115) 496 0999")),
        ("+44 20 7946 0018 again +44 20 7946 0018", ("+44 20 7946 0018",)),
        ("0123 456", ()),
        ("012 34 56", ()),
        ("0123 4567", ("0123 4567",)),
        ("01234567", ()),
        ("012345678", ("012345678",)),
        ("+123456789012345", ("+123456789012345",)),
        ("+1234567890123456", ()),
        ("The wall is 386.5, the window 120.", ()),
    ],
)
def test_telephone_numbers(words: str, found: tuple[str, ...]) -> None:
    """The numbers are Ofcom's for drama (01632 960, 0115 496, 020 7946); ITU-T E.164 allows 15 digits."""
    assert phone_numbers(words) == found


@pytest.mark.parametrize(
    ("subject", "words", "room"),
    [
        ("Our kitchen", "The bathroom comes later.", RoomKind.KITCHEN),
        ("Our kitchen and the bathroom", "The kitchen.", RoomKind.UNKNOWN),
        ("Our plan", "It is for the bedroom.", RoomKind.BEDROOM),
        ("Our plan", "The boiler is in the kitchen.", RoomKind.UNKNOWN),
        ("Our plan", "The boiler is in the kitchen. We want a new bathroom.", RoomKind.BATHROOM),
        ("Our plan", "The kitchen door opens into it. It is a shower room.", RoomKind.BATHROOM),
        ("Our plan", "Kitchen or bedroom, we cannot decide.", RoomKind.UNKNOWN),
        ("Our plan", "", RoomKind.UNKNOWN),
    ],
)
def test_which_room_it_is_about(subject: str, words: str, room: RoomKind) -> None:
    assert room_of(subject, words) is room
