"""When to write, when to remind, when to stop."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.domain.mail.rhythm import (
    OfficeHours,
    Rhythm,
    Situation,
    back_off,
    days_of,
    hours_of,
    phone_asked,
    stop_asked,
    what_next,
)
from intake.model.phrase import phrase

LONDON = OfficeHours(
    time(8), time(18), frozenset(range(5)), ZoneInfo("Europe/London"), frozenset({date(2026, 4, 3)})
)
RHYTHM = Rhythm(timedelta(minutes=30), (timedelta(days=3), timedelta(days=7)), LONDON)
MONDAY = datetime(2026, 3, 2, 10, tzinfo=UTC)
NEW = Situation(MONDAY, complete=False, wanted=("ceiling-height",))
ASKED = replace(NEW, letter_at=MONDAY + timedelta(hours=1), asked=("ceiling-height",))


def test_nothing_is_written_while_parts_may_still_come() -> None:
    soon = what_next(NEW, RHYTHM, MONDAY + timedelta(minutes=29))
    assert (soon.action, soon.at) == ("wait", MONDAY + timedelta(minutes=30))
    later = what_next(NEW, RHYTHM, MONDAY + timedelta(minutes=30))
    assert (later.action, later.at) == ("write", MONDAY + timedelta(minutes=30))


def test_what_was_asked_within_a_week_is_not_asked_again_and_a_new_question_about_a_wall_is() -> None:
    first, second, other = (
        f"wall-sections {q}" for q in ("Is it 38?", "Is it 156?", "Measure the wall again.")
    )
    asked = replace(ASKED, asked=(first, second), last_message_at=MONDAY + timedelta(hours=2))
    later = MONDAY + timedelta(hours=3)
    assert what_next(replace(asked, wanted=(second,)), RHYTHM, later).action == "nothing"
    assert what_next(replace(asked, wanted=(other,)), RHYTHM, later).action == "write"
    assert what_next(replace(asked, wanted=(second,)), RHYTHM, later + timedelta(days=7)).action == "write"


def test_a_night_a_weekend_and_a_holiday_are_kept() -> None:
    friday_night = datetime(2026, 3, 6, 23, tzinfo=UTC)
    assert LONDON.opens(friday_night) == datetime(2026, 3, 9, 8, tzinfo=UTC)
    assert LONDON.opens(datetime(2026, 4, 2, 17, tzinfo=UTC)) == datetime(
        2026, 4, 7, 7, tzinfo=UTC
    ) - timedelta(days=1)


def test_the_clock_change_moves_the_hour_with_it() -> None:
    """British summer time began on 29 March 2026, 01:00 UTC: eight o'clock is then seven in UTC."""
    assert LONDON.opens(datetime(2026, 3, 27, 20, tzinfo=UTC)) == datetime(2026, 3, 30, 7, tzinfo=UTC)


@given(st.datetimes(datetime(2025, 1, 1), datetime(2027, 12, 31), timezones=st.just(UTC)))
def test_a_letter_never_leaves_outside_the_hours_nor_before_its_time(at: datetime) -> None:
    opens = LONDON.opens(at)
    local = opens.astimezone(LONDON.zone)
    assert opens >= at
    assert local.weekday() < 5 and time(8) <= local.time() < time(18) and local.date() not in LONDON.holidays
    assert LONDON.opens(opens) == opens


@pytest.mark.parametrize(
    ("at", "hours", "goes"),
    [
        (datetime(2026, 3, 2, 9), 2, datetime(2026, 3, 2, 11)),
        (datetime(2026, 3, 2, 17), 2, datetime(2026, 3, 3, 9)),
        (datetime(2026, 3, 2, 16), 2, datetime(2026, 3, 3, 8)),
        (datetime(2026, 3, 6, 23), 2, datetime(2026, 3, 9, 10)),
        (datetime(2026, 3, 27, 17), 12, datetime(2026, 3, 31, 9)),
        (datetime(2026, 3, 2, 9), 0, datetime(2026, 3, 2, 9)),
    ],
    ids=["a morning", "overnight", "to the very end", "a weekend", "a clock change", "none"],
)
def test_a_look_takes_working_time(at: datetime, hours: int, goes: datetime) -> None:
    """All by the clock of London, where summer time began on 29 March 2026."""
    found = LONDON.after(at.replace(tzinfo=LONDON.zone).astimezone(UTC), timedelta(hours=hours))
    assert found.astimezone(LONDON.zone).replace(tzinfo=None) == goes


@pytest.mark.parametrize("end", ["24:00", "00:00"])
def test_hours_until_midnight_end_with_the_day(end: str) -> None:
    start, closes = hours_of(f"18:30-{end}")
    late = replace(LONDON, start=start, end=closes)
    last = datetime(2026, 3, 2, 23, 59, 59, tzinfo=UTC)
    assert late.opens(last) == last
    assert late.opens(last + timedelta(seconds=1)) == datetime(2026, 3, 3, 18, 30, tzinfo=UTC)
    found = late.after(datetime(2026, 3, 2, 23, tzinfo=UTC), timedelta(hours=2))
    assert abs(found - datetime(2026, 3, 3, 19, 30, tzinfo=UTC)) < timedelta(seconds=1)


@pytest.mark.parametrize(
    "text", ["18:00-08:00", "24:00-08:00", "08:00-24:01", "08:00-25:00", "08:00", "08:00-18:00-05:00", ""]
)
def test_what_are_no_hours_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"isoformat|must be in|must start before they end|no offset"):
        hours_of(text)


def test_working_days_are_named_in_full_or_in_short() -> None:
    assert days_of("Monday, tue SAT") == {0, 1, 5}
    assert days_of("Mon-Fri") == days_of("mon – friday") == {0, 1, 2, 3, 4}
    assert days_of("Sat - Mon, Thurs") == {5, 6, 0, 3}
    for text in ("", "Mon Blursday", "monkey", "Mo", "-", "Mon-Blursday"):
        with pytest.raises(ValueError, match="a working day is"):
            days_of(text)


@pytest.mark.parametrize("hour", [7, 12, 20])
def test_a_showroom_without_a_working_day_puts_its_letters_off(hour: int) -> None:
    closed, at = replace(LONDON, days=frozenset()), MONDAY.replace(hour=hour)
    assert closed.opens(at) == at + timedelta(days=365)
    assert closed.after(at, timedelta(hours=3)) > at + timedelta(days=365)


def test_one_reminder_stands_for_all_that_were_missed() -> None:
    down = ASKED.letter_at + timedelta(days=30)  # type: ignore[operator]
    found = what_next(ASKED, RHYTHM, down)
    assert (found.action, found.reminders) == ("remind", 2)
    assert what_next(replace(ASKED, reminders=2), RHYTHM, down).action == "nothing"


def test_reminders_come_at_their_days() -> None:
    assert ASKED.letter_at is not None
    assert what_next(ASKED, RHYTHM, ASKED.letter_at + timedelta(days=2)).action == "wait"
    first = what_next(ASKED, RHYTHM, ASKED.letter_at + timedelta(days=3))
    assert (first.action, first.reminders) == ("remind", 1)
    assert first.reason == phrase("no-answer", days=phrase("days", count=3))
    daily = replace(RHYTHM, reminders=(timedelta(days=1),))
    after_one = what_next(ASKED, daily, ASKED.letter_at + timedelta(days=1))
    assert after_one.reason == phrase("no-answer", days=phrase("one-day"))
    assert (
        what_next(replace(ASKED, reminders=1), RHYTHM, ASKED.letter_at + timedelta(days=4)).action == "wait"
    )


def test_a_thank_you_does_not_bring_the_same_letter_again() -> None:
    assert ASKED.letter_at is not None
    thanks = replace(ASKED, last_message_at=ASKED.letter_at + timedelta(hours=2))
    assert what_next(thanks, RHYTHM, thanks.last_message_at + timedelta(hours=1)).action == "nothing"
    assert what_next(thanks, RHYTHM, thanks.last_message_at + timedelta(days=7)).action == "write"


@pytest.mark.parametrize(
    "ended", [replace(ASKED, stopped_because="the customer asked."), replace(ASKED, bounced=True),
              replace(ASKED, complete=True)],
)  # fmt: skip
def test_no_reminder_once_it_is_over(ended: Situation) -> None:
    assert what_next(ended, RHYTHM, MONDAY + timedelta(days=20)).action == "nothing"


def test_a_complete_survey_is_thanked_for_once() -> None:
    done = replace(ASKED, complete=True, last_message_at=MONDAY + timedelta(days=1))
    now = MONDAY + timedelta(days=1, hours=1)
    assert what_next(done, RHYTHM, now).action == "thank"
    assert what_next(replace(done, thanked=True), RHYTHM, now).action == "nothing"


@pytest.mark.parametrize(
    "words",
    ["Please stop emailing me", "please stop.", "Stop sending these", "unsubscribe", "We're no longer interested",
     "don't contact me again", "we have gone with someone else"],
)  # fmt: skip
def test_stop_asked(words: str) -> None:
    assert stop_asked(words)


@pytest.mark.parametrize(
    "words",
    ["Can you phone me instead?", "Please ring us", "Give me a call on 01632 960000", "I'd prefer a phone call",
     "please call me tomorrow", "Ceiling 236.\nplease call me tomorrow\nTom"],
)  # fmt: skip
def test_to_be_phoned_is_a_wish_of_its_own_and_no_stop(words: str) -> None:
    assert phone_asked(words) in words.splitlines()
    assert not stop_asked(words)


@pytest.mark.parametrize(
    "words",
    ["The stop tap is under the sink", "The pipe stops at the wall", "I'll phone me mum", "the so-called utility room",
     "It is no longer than 3 m", "Stopcock: under the stairs", "We call it the snug",
     "I will not need to move the boiler",
     "please stop at the boxing when measuring?", "the phone socket is by the door", "Ring main consumer unit"],
)  # fmt: skip
def test_no_stop_asked(words: str) -> None:
    assert not stop_asked(words)
    assert not phone_asked(words)


def test_back_off_doubles_to_an_hour() -> None:
    assert [back_off(n).total_seconds() / 60 for n in (0, 1, 2, 3, 7, 1000)] == [1, 1, 2, 4, 60, 60]
