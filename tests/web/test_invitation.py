"""The invitation to the design call, read back by the icalendar library and held to RFC 5545's own limits."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from intake.work.invitation import Invitation, icalendar
from tests.web.world import NOW

oracle = pytest.importorskip("icalendar")
AWKWARD = 'Größe; 3,5 m\\Wand "oben"\r\nzweite Zeile 🛁 ' + "lang " * 40


def _invitation(**changes: object) -> Invitation:
    values: dict[str, object] = {
        "uid": "call-R-7K2M4@alder.example",
        "starts_at": datetime(2026, 7, 1, 14, 30, tzinfo=ZoneInfo("Europe/London")),
        "lasts": timedelta(minutes=45),
        "summary": AWKWARD,
        "description": AWKWARD,
        "organiser": ('Maya "Alder"; Row', "surveys@alder.example"),
        "guest": ("Inès, Marlow", "ines@marlow.example"),
        "location": "By telephone",
        "revision": 3,
    }
    return Invitation(**(values | changes))  # type: ignore[arg-type]


def test_another_reader_understands_it() -> None:
    calendar = oracle.Calendar.from_ical(icalendar(_invitation(), NOW))
    (event,) = calendar.walk("VEVENT")
    # Summer time: 14:30 in London is 13:30 UTC.
    assert event.decoded("DTSTART") == datetime(2026, 7, 1, 13, 30, tzinfo=UTC)
    assert event.decoded("DTEND") - event.decoded("DTSTART") == timedelta(minutes=45)
    assert str(event["SUMMARY"]) == AWKWARD.replace("\r\n", "\n")
    assert str(event["ATTENDEE"]) == "mailto:ines@marlow.example"
    assert event["ATTENDEE"].params["CN"] == "Inès, Marlow"
    assert calendar["METHOD"] == "REQUEST" and event["SEQUENCE"] == 3


def test_lines_are_no_longer_than_75_octets_and_end_in_crlf() -> None:
    # RFC 5545 3.1
    body = icalendar(_invitation(), NOW)
    assert body.endswith(b"\r\n") and body.count(b"\n") == body.count(b"\r\n")
    for line in body.split(b"\r\n"):
        assert len(line) <= 75
        line.decode()


def test_words_cannot_add_lines_of_their_own() -> None:
    evil = "x\r\nATTENDEE:mailto:evil@evil.example\nEND:VEVENT"
    body = icalendar(_invitation(summary=evil, location=evil, guest=(evil, "a@b.example")), NOW)
    (event,) = oracle.Calendar.from_ical(body).walk("VEVENT")
    assert str(event["ATTENDEE"]) == "mailto:a@b.example"


def test_without_an_address_of_ours_it_is_only_published() -> None:
    # RFC 5546 3.2.1: PUBLISH has no attendees.
    calendar = oracle.Calendar.from_ical(icalendar(_invitation(organiser=("Maya", "")), NOW))
    assert calendar["METHOD"] == "PUBLISH" and "ATTENDEE" not in calendar.walk("VEVENT")[0]
