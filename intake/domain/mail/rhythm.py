"""When to write to a customer, when to remind, and when to stop. Every decision says why, for the timeline."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from enum import StrEnum

from intake.model.phrase import Phrase, phrase

REPEAT_AFTER = timedelta(days=7)
"""RFC 3834 2 asks that one sender not get the same answer again and again; the seven days are RFC 5230 4.1's. Both
sections from memory."""


WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MIDNIGHT = "24:00", "00:00"
"""Both are the end of the day (ISO 8601, from memory); a field for a time on a page gives the latter alone."""


def hours_of(text: str) -> tuple[time, time]:
    """From when until when "08:00-18:00" says; the end of the day is `time.max`. Raises ValueError."""
    start, _, end = (part.strip() for part in text.partition("-"))
    opens, closes = time.fromisoformat(start), time.max if end in MIDNIGHT else time.fromisoformat(end)
    if opens.tzinfo or closes.tzinfo:
        raise ValueError("the hours have no offset from UTC: they are by the clock of `timezone`")
    if opens >= closes:
        raise ValueError("the hours must start before they end")
    return opens, closes


def days_of(text: str) -> frozenset[int]:
    """The days that "Mon Tue", "Monday, Tuesday" or "Mon-Fri" names, Monday 0. Raises ValueError for anything else."""
    days: set[int] = set()
    for part in re.sub(r" ?[-–] ?", "-", text.replace(",", " ")).split() or [""]:
        first, _, last = part.partition("-")
        start, end = _day(first), _day(last or first)
        days |= {day % 7 for day in range(start, end + (1 if end >= start else 8))}
    return frozenset(days)


def _day(name: str) -> int:
    """The day of a name or of its first three letters or more."""
    named = [n for n, day in enumerate(WEEKDAYS) if len(name) > 2 and day.startswith(name.lower())]
    if not named:
        raise ValueError("a working day is Mon, Tue, Wed, Thu, Fri, Sat or Sun, and there must be one")
    return named[0]


@dataclass(frozen=True)
class OfficeHours:
    """When letters may leave: from `start` until before `end` on `days` (Monday is 0), by the clock of `zone`."""

    start: time
    end: time
    days: frozenset[int]
    zone: tzinfo
    holidays: frozenset[date] = frozenset()

    def opens(self, at: datetime) -> datetime:
        """The first moment from `at` on at which a letter may leave (UTC in, UTC out)."""
        local = at.astimezone(self.zone)
        if self._works(local.date()) and self.start <= local.time() < self.end:
            return at
        day = local.date() if local.time() < self.start else local.date() + timedelta(days=1)
        for _ in range(400):
            if self._works(day):
                return datetime.combine(day, self.start, self.zone).astimezone(at.tzinfo)
            day += timedelta(days=1)
        return at + timedelta(days=365)

    def after(self, at: datetime, span: timedelta) -> datetime:
        """The first moment at which a letter may leave once so much working time has passed since `at`."""
        at = self.opens(at)
        while (left := self._closes(at) - at) < span and left > timedelta(0):
            at, span = self.opens(at + left), span - left
        return self.opens(at + span)

    def _closes(self, at: datetime) -> datetime:
        local = at.astimezone(self.zone)
        return datetime.combine(local.date(), self.end, self.zone).astimezone(at.tzinfo)

    def _works(self, day: date) -> bool:
        return day.weekday() in self.days and day not in self.holidays


@dataclass(frozen=True)
class Rhythm:
    """How long to wait: `quiet` after the customer's last message, `reminders` after our last letter; `look` is the
    working time that a letter leaves a designer to settle with one look what it would ask."""

    quiet: timedelta
    reminders: tuple[timedelta, ...]
    hours: OfficeHours
    look: timedelta = timedelta(0)


@dataclass(frozen=True)
class Situation:
    """Where one job stands with its customer. `asked` are the requests of the last letter that went out that the design
    waits for, `wanted` those of a letter that went now: the id of an item each, the question after it where an item
    has many. `reminders` counts the reminder times that are behind us since that letter."""

    last_message_at: datetime
    complete: bool
    wanted: tuple[str, ...]
    stopped_because: str = ""
    bounced: bool = False
    letter_at: datetime | None = None
    asked: tuple[str, ...] = ()
    reminders: int = 0
    thanked: bool = False


class Action(StrEnum):
    WRITE = "write"
    REMIND = "remind"
    THANK = "thank"
    WAIT = "wait"
    NOTHING = "nothing"


@dataclass(frozen=True)
class Next:
    """What is due, why, and `at` when; `reminders` is the new count where it is a reminder."""

    action: Action
    reason: Phrase
    at: datetime | None = None
    reminders: int = 0


def what_next(job: Situation, rhythm: Rhythm, now: datetime) -> Next:
    """What is due with the customer now, or when it will be."""
    if job.stopped_because:
        return Next(Action.NOTHING, phrase("no-more-letters", why=job.stopped_because))
    if job.bounced:
        return Next(Action.NOTHING, phrase("letter-came-back"))
    if job.complete and job.thanked:
        return Next(Action.NOTHING, phrase("complete-and-told"))
    quiet_since = job.last_message_at + rhythm.quiet
    if job.letter_at is None or job.last_message_at > job.letter_at:
        return _answer(job, rhythm, now, quiet_since)
    return _remind(job, rhythm, now)


def _answer(job: Situation, rhythm: Rhythm, now: datetime, quiet_since: datetime) -> Next:
    if now < quiet_since:
        minutes = int(rhythm.quiet.total_seconds() // 60)
        return Next(
            Action.WAIT,
            phrase("more-may-come", minutes=minutes),
            quiet_since,
        )
    at = rhythm.hours.opens(max(now, quiet_since))
    if job.complete:
        return Next(Action.THANK, phrase("everything-came"), at)
    if job.letter_at is not None and _asks_nothing_new(job) and now < job.letter_at + REPEAT_AFTER:
        return Next(
            Action.NOTHING,
            phrase("asked-within-a-week"),
        )
    return Next(Action.WRITE, phrase("still-needed", count=len(job.wanted)), at)


def _asks_nothing_new(job: Situation) -> bool:
    """The same items, and of those that have many questions no new one."""
    wanted, asked = ({r.partition(" ")[0] for r in requests} for requests in (job.wanted, job.asked))
    return wanted == asked and {*job.wanted} <= {*job.asked}


def _remind(job: Situation, rhythm: Rhythm, now: datetime) -> Next:
    if job.complete or job.letter_at is None:
        return Next(Action.NOTHING, phrase("nothing-asked"))
    passed = sum(job.letter_at + after <= now for after in rhythm.reminders)
    if passed > job.reminders:
        # However many reminder times went by while nothing ran, one reminder stands for them all.
        return Next(
            Action.REMIND,
            phrase("no-answer", days=_days(now - job.letter_at)),
            rhythm.hours.opens(now),
            passed,
        )
    if job.reminders < len(rhythm.reminders):
        at = rhythm.hours.opens(job.letter_at + rhythm.reminders[job.reminders])
        return Next(Action.WAIT, phrase("reminder-comes-later"), at)
    return Next(Action.NOTHING, phrase("all-reminders-gone"))


def _days(span: timedelta) -> Phrase:
    return phrase("one-day") if span.days == 1 else phrase("days", count=span.days)


LONGEST_WISH = 300
"""Signs of a customer's wish that are kept (set by hand)."""
LONGEST_CONDITION = 20
"""Signs before a wish in which "I could" makes it none (set by hand)."""
_STOP = re.compile(
    r"\b(?:please )?(?:stop|quit|cease)\s+(?:e-?mail|writ|contact|send|messag|bother|remind)\w*"
    r"|\b(?:please\s+stop\b(?!\s*(?:the|at|by)\b)|unsubscribe|remove me from|take me off)"
    r"|\b(?:do not|don['’]?t|no need to)\s+(?:e-?mail|write to|contact|message)\s+(?:me|us)\b"
    r"|\b(?:(?:no longer|not)\s+(?:interested|going ahead|proceeding|need(?:ed)?)\b(?!\s+(?:to|the|a)\b))"
    r"|(?:^|[.!?]\s*|\bplease,?\s+|\bwant\s+)no\s+(?:more|further)\s+e-?mails?\b"
    r"|\b(?:bitte|möchten?|wollen|will|wünschen?)\b[^.!?\n]{0,30}\bkeine\s+(?:weiteren?\s+)?(?:e-?mails?|mails?|nachrichten|briefe)\b(?!\s+mit\b)"
    r"|\b(?:schreiben|mailen|kontaktieren)\s+sie\s+(?:mir|uns|mich)\s+(?:bitte\s+)?nicht\s+mehr\b"
    r"|\b(?:gone|going|decided to go)\s+(?:with\s+(?:someone|somebody|another)|elsewhere)",
    re.IGNORECASE | re.MULTILINE,
)
_PHONE = re.compile(
    r"\b(?:please |can you |could you |just |rather you |prefer (?:it if )?you )?"
    r"(?:phone|ring|telephone|call)(?:ed)?\s+(?:me|us)\b(?!\s+(?:stupid|old))|\bgive (?:me|us) a (?:call|ring|bell)\b"
    r"|\b(?:can|could) (?:someone|somebody|you) (?:call|phone|ring)\b|\bplease (?:phone|ring"
    r"|telephone)\b(?!\s+(?:the|my|his|her))"
    r"|\b(?:rufen sie|ruf) (?:mich|uns|doch|bitte)\b|\bum (?:einen )?(?:rück)?anruf\b|\b(?:können"
    r"|könnten) sie (?:mich|uns) anrufen\b"
    r"|\bprefer\s+(?:a\s+(?:call|phone call)|to (?:talk|speak|be (?:called|phoned)))",
    re.IGNORECASE,
)
_HYPOTHETICAL = re.compile(
    r"\b(?:i(?:['’]ll| will| can| could| shall)|we(?:['’]ll| will| can))\s+$", re.IGNORECASE
)


_COURTESY = re.compile(
    r"(?:ring|call|phone|telephone)\s+(?:me|us)\s+(?:back\s+)?(?:if|should)\b[^.?!\n]{0,30}\b(?:anything|something|unclear"
    r"|questions?|problems?|more|else)\b",
    re.IGNORECASE,
)
""" "Ring me if anything is unclear"."""


def stop_asked(words: str) -> bool:
    """Whether a customer's own words end the letters."""
    return _STOP.search(words) is not None


def phone_asked(words: str) -> str:
    """The line of a customer's own words that asks to be phoned; "" where none does."""
    for match in _PHONE.finditer(words):
        offered = _COURTESY.match(words, match.start())
        before = words[max(0, match.start() - LONGEST_CONDITION) : match.start()]
        if not (offered or _HYPOTHETICAL.search(before)):
            start = words[: match.start()].rfind("\n") + 1
            end = words.find("\n", match.end())
            return words[start : end if end > 0 else None].strip()[:LONGEST_WISH]
    return ""


def back_off(
    failures: int, first: timedelta = timedelta(minutes=1), most: timedelta = timedelta(hours=1)
) -> timedelta:
    """How long to leave a server alone after so many failures in a row: twice as long each time."""
    doubled: timedelta = first * 2 ** min(max(failures - 1, 0), 20)
    return min(most, doubled)
