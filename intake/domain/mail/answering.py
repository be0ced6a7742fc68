"""Whom a letter goes to, and whether one may: never, only by a person, or too many today. Each rule stands beside its
source.

*never*: no letter is even drafted. *hold*: the mail is taken and a letter drafted, but only a person may let it go.
The text of RFC 5321 and RFC 5322 was read for the sections cited here; of RFC 3834 its section 2, of RFC 3464 its
section 2.3.3 and of RFC 7489 its section 6.6.1, as others quote them. The other sections are cited from memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from intake.domain.mail.authentication import doubt_of_sender, without_comments
from intake.domain.mail.crediting import credited_to, is_ours, takes_no_replies, told_by_a_form
from intake.model.answering import Answered, Answering, AnsweringRule, Standing, Thread
from intake.model.message import Address, Message
from intake.model.phrase import Phrase, phrase

DAY = timedelta(days=1)


Rule = Callable[[Message, frozenset[str]], Phrase | None]


def standing_of(message: Message, ours: frozenset[str], authserv_id: str) -> Standing:
    """The first rule that speaks against answering a message, the strongest first; else that it may be answered.

    `authserv_id` is the name our own server writes in Authentication-Results; "" where none is known.
    """
    for verdict, rules in ((Answering.NEVER, NEVER), (Answering.HOLD, HOLD)):
        for name, rule in rules.items():
            if reason := rule(message, ours):
                return Standing(verdict, reason, name)
    doubt = doubt_of_sender(message, authserv_id)
    return (
        Standing(Answering.HOLD, doubt, AnsweringRule.UNAUTHENTICATED) if doubt else Standing(Answering.MAY)
    )


def vouched_for(message: Message, ours: frozenset[str], authserv_id: str) -> bool:
    """Whether our mail server vouches for the hand that a message came from.

    Where no server of ours is named, nobody can be told from anybody who writes in their name: then the address stands
    for its owner, and every letter is held. For what our own form was told nobody vouches.
    """
    if told_by_a_form(message, ours):
        return False
    one_writer = len({a.email for a in message.from_all}) == 1  # RFC 7489 6.6.1
    return not authserv_id or (one_writer and not doubt_of_sender(message, authserv_id))


def is_automatic(standing: Standing) -> bool:
    """A machine wrote it, or nobody: nothing rests on it, and it opens no job."""
    return standing.verdict is Answering.NEVER and standing.rule is not AnsweringRule.UNWRITABLE


def thread_of(message: Message, ours: frozenset[str]) -> Thread:
    """What a letter in answer to a message needs; addresses as a mail server takes them."""
    parents = message.references or (message.in_reply_to if len(message.in_reply_to) == 1 else ())
    chain = (*parents, message.message_id) if message.message_id else parents
    writer, reply = _writable(credited_to(message, ours)), _writable(_answered(message, ours))
    return Thread(writer, reply, message.message_id, tuple(dict.fromkeys(chain)))


def answer(thread: Thread, subject: str, vouched: bool, met: Address | None = None) -> Answered:
    """Whom a letter goes to: Reply-To (RFC 5322 3.6.2) if that is one address of the sender's domain and somebody
    vouches for the sender, else From. `met` is the customer whom the desk met, where no mail is answered."""
    to = met or (thread.reply if vouched else thread.writer)
    return Answered(to, subject, thread.message_id, thread.references, met is not None)


def _writable(to: Address) -> Address:
    return Address(to.name, to.wire or to.email)


def _answered(message: Message, ours: frozenset[str]) -> Address:
    credited = credited_to(message, ours)
    replies = {a.email: a for a in message.reply_to if not is_ours(a, ours)}
    if credited == message.sender and len(replies) == 1:
        only = next(iter(replies.values()))
        return only if only.domain == message.sender.domain else credited
    return credited


def too_many_today(sent_at: Sequence[datetime], now: datetime, a_day: int) -> Phrase | None:
    """The loop brake: at most `a_day` letters to one address in 24 hours, whatever happens (RFC 3834 2)."""
    recent = sum(now - DAY < at <= now for at in sent_at)
    return phrase("too-many-today", letters=recent, most=a_day) if recent >= a_day else None


def _delivery_notice(message: Message, ours: frozenset[str]) -> Phrase | None:
    if message.report_actions and "failed" not in message.report_actions:
        return phrase("notice-of-delivery")  # RFC 3464 2.3.3
    return None


def _bounce(message: Message, ours: frozenset[str]) -> Phrase | None:
    if message.return_path == "":  # RFC 3834 2 and RFC 5321 4.5.5: the null reverse-path
        return phrase("empty-return-path")
    report = _parameter(message.header("content-type"), "report-type")
    if _media_type(message) == "multipart/report" and report in ("", "delivery-status", "feedback-report"):
        return phrase("delivery-report")  # RFC 6522 3, RFC 3464 2, RFC 5965 2
    if _media_type(message) in ("message/delivery-status", "message/feedback-report"):
        return phrase("delivery-report")  # RFC 3464 2
    if _ROBOT.match(message.sender.email) or _ROBOT.match(message.return_path or ""):
        return phrase("from-a-mail-system")  # RFC 2142 5; others common practice, no source
    if _BOUNCE_SUBJECT.search(message.subject):
        return phrase("subject-of-a-report")  # what mail systems write; common practice, no source
    return None


def _read_receipt(message: Message, ours: frozenset[str]) -> Phrase | None:
    report = _parameter(message.header("content-type"), "report-type")
    if report == "disposition-notification" or _media_type(message) == "message/disposition-notification":
        return phrase("read-receipt")  # RFC 8098 2.1 and 3
    return None


def _automatic(message: Message, ours: frozenset[str]) -> Phrase | None:
    if any(_keyword(value) not in ("", "no") for value in message.all_headers("auto-submitted")):
        return phrase("auto-submitted")  # RFC 3834 2 and 5
    if any(message.header(name) for name in _MACHINES_HEADERS):
        return phrase("sent-by-a-machine")  # common practice of vacation programs, no source
    if any(_keyword(message.header(name)).startswith("auto") for name in ("precedence", "x-precedence")):
        return phrase("automatic-precedence")  # "auto_reply": common practice, no source
    return phrase("automatic-reply") if _AUTOMATIC_SUBJECT.match(message.subject) else None  # common practice


def _mailing_list(message: Message, ours: frozenset[str]) -> Phrase | None:
    if any(name.startswith("list-") for name, _ in message.headers):
        return phrase("from-a-list")  # RFC 3834 2 leaves it to us; RFC 2369 3, RFC 2919 3, RFC 8058 3
    if _keyword(message.header("precedence")) in ("bulk", "list", "junk"):
        return phrase("bulk-mail")  # common practice: RFC 3834 2 names it and recommends nothing
    return None


def _ourselves(message: Message, ours: frozenset[str]) -> Phrase | None:
    passed_on = message.forwarded_from is not None or not all(is_ours(a, ours) for a in message.reply_to)
    if is_ours(message.sender, ours) and not passed_on:
        return phrase("from-ourselves")  # RFC 3834 2: no loops
    return None


def _nobody(message: Message, ours: frozenset[str]) -> Phrase | None:
    if not credited_to(message, ours).email:
        return phrase("no-sender")  # RFC 5322 3.6.2
    if takes_no_replies(credited_to(message, ours).email):
        return phrase("takes-no-replies")  # common practice, no source
    if _by_a_service(message, ours) and credited_to(message, ours).domain == message.sender.domain:
        return phrase("service-takes-no-replies")
    return None


def _by_a_service(message: Message, ours: frozenset[str]) -> bool:
    return takes_no_replies(message.sender.email) and not is_ours(message.sender, ours)


def _on_behalf(message: Message, ours: frozenset[str]) -> Phrase | None:
    if _by_a_service(message, ours):
        return phrase("written-by-a-service")  # common practice, no source
    hand = message.header("sender").rpartition("@")[2].strip(" <>").lower()
    if hand and message.sender.domain and hand != message.sender.domain and not is_ours(message.sender, ours):
        return phrase("handed-in-for-another")  # RFC 5322 3.6.2: Sender
    return None


def _unwritable(message: Message, ours: frozenset[str]) -> Phrase | None:
    if not _answered(message, ours).wire:
        return phrase("no-address-to-send-to")  # RFC 5321 4.1.2, without SMTPUTF8
    return None


def _several_senders(message: Message, ours: frozenset[str]) -> Phrase | None:
    if len({a.email for a in message.from_all}) > 1:
        return phrase("several-senders")  # RFC 7489 6.6.1
    return None


def _no_return_path(message: Message, ours: frozenset[str]) -> Phrase | None:
    if message.return_path is None:
        return phrase("no-return-path")  # RFC 5321 4.4
    return None


def _not_to_us(message: Message, ours: frozenset[str]) -> Phrase | None:
    addressed = {a.email for a in (*message.to, *message.cc)}
    if ours and not any(_without_detail(email) in ours or email in ours for email in addressed):
        return phrase("not-to-us")  # RFC 3834 2
    return None


def _forwarded(message: Message, ours: frozenset[str]) -> Phrase | None:
    if message.forwarded_from is not None and credited_to(message, ours) == message.forwarded_from:
        return phrase("forwarded-unchecked")  # common practice, no source
    return None


def _form(message: Message, ours: frozenset[str]) -> Phrase | None:
    if told_by_a_form(message, ours):
        return phrase("through-a-form")  # common practice, no source
    return None


def _elsewhere(message: Message, ours: frozenset[str]) -> Phrase | None:
    domains = {a.domain for a in message.reply_to if not is_ours(a, ours)} - {message.sender.domain}
    if domains and not is_ours(message.sender, ours):
        return phrase("answers-elsewhere")  # RFC 3834 6: not to be used on others
    return None


def _asks_for_silence(message: Message, ours: frozenset[str]) -> Phrase | None:
    asked = {word.strip().lower() for word in message.header("x-auto-response-suppress").split(",")}
    if asked & {"all", "autoreply", "oof"}:
        return phrase("asks-for-silence")  # a mail server maker's header; common practice, no source
    return None


NEVER: dict[AnsweringRule, Rule] = {
    AnsweringRule.DELIVERY_NOTICE: _delivery_notice,
    AnsweringRule.BOUNCE: _bounce,
    AnsweringRule.READ_RECEIPT: _read_receipt,
    AnsweringRule.AUTOMATIC: _automatic,
    AnsweringRule.MAILING_LIST: _mailing_list,
    AnsweringRule.OURSELVES: _ourselves,
    AnsweringRule.NOBODY: _nobody,
    AnsweringRule.UNWRITABLE: _unwritable,
}
HOLD: dict[AnsweringRule, Rule] = {
    AnsweringRule.SEVERAL_SENDERS: _several_senders,
    AnsweringRule.NO_RETURN_PATH: _no_return_path,
    AnsweringRule.NOT_TO_US: _not_to_us,
    AnsweringRule.FORWARDED: _forwarded,
    AnsweringRule.ON_BEHALF: _on_behalf,
    AnsweringRule.FORM: _form,
    AnsweringRule.ELSEWHERE: _elsewhere,
    AnsweringRule.ASKS_FOR_SILENCE: _asks_for_silence,
}

_ROBOT = re.compile(r"(?:mailer-daemon|mail-daemon|postmaster|bounces?|mdaemon)(?:[+-][^@]*)?(?:@|$)")
_MACHINES_HEADERS = (
    "x-autoreply",
    "x-autoreply-from",
    "x-autorespond",
    "x-autogenerated",
    "x-mail-autoreply",
)
_BOUNCE_SUBJECT = re.compile(
    r"^\s*(?:undeliver(?:able|ed)\b|returned mail\b|failure notice\b|delivery status notification\b"
    r"|(?:mail |message |e-?mail )?(?:delivery|system) (?:failed|failure|error|problem|status)\b"
    r"|(?:mail|message|e-?mail) (?:could not|cannot|can't) be delivered\b|unzustellbar\b|mail delivery)"
    r"|\(delivery failed\)\s*$",
    re.IGNORECASE,
)
_AUTOMATIC_SUBJECT = re.compile(
    r"\A\s*+(?:re:\s*+)?(?:auto(?:matic|mated)?[ -]?(?:reply|response|answer)|autosvar|out of (?:the )?office|ooo\b"
    r"|automatische antwort|abwesenheitsnotiz|abwesend:|r[ée]ponse automatique|absence du bureau"
    r"|respuesta autom[áa]tica|fuera de la oficina|risposta automatica|automatisch antwoord|afwezigheid"
    r"|resposta autom[áa]tica|automatisk svar|automaattinen vastaus|automatyczna odpowied[źz])",
    re.IGNORECASE,
)


def _keyword(value: str) -> str:
    """A header's keyword without comments and parameters (RFC 3834 5)."""
    return without_comments(value).partition(";")[0].strip().lower()


def _media_type(message: Message) -> str:
    return _keyword(message.header("content-type"))


def _parameter(value: str, name: str) -> str:
    match = re.search(rf';\s*{re.escape(name)}\s*=\s*"?([^";\s]*)', without_comments(value), re.IGNORECASE)
    return match[1].lower() if match else ""


def _without_detail(email: str) -> str:
    """An address without its detail: surveys+r-7k2m4@x is surveys@x (RFC 5233 1)."""
    local, _, domain = email.rpartition("@")
    return f"{local.partition('+')[0]}@{domain}"
