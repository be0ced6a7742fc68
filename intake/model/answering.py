"""Whether a message may be answered, and how a letter that answers it goes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from intake.model.message import Address
from intake.model.phrase import Phrase


class Answering(StrEnum):
    """Whether a message is answered: by itself, only by a person's release, or not at all."""

    MAY = "may"
    HOLD = "hold"
    NEVER = "never"


class AnsweringRule(StrEnum):
    """What speaks against answering a message (domain/mail/answering.py); filed with it, so the names stay."""

    NONE = ""
    DELIVERY_NOTICE = "delivery-notice"
    BOUNCE = "bounce"
    READ_RECEIPT = "read-receipt"
    AUTOMATIC = "automatic"
    MAILING_LIST = "mailing-list"
    OURSELVES = "ourselves"
    NOBODY = "nobody"
    UNWRITABLE = "unwritable"
    SEVERAL_SENDERS = "several-senders"
    NO_RETURN_PATH = "no-return-path"
    NOT_TO_US = "not-to-us"
    FORWARDED = "forwarded"
    ON_BEHALF = "on-behalf"
    FORM = "form"
    ELSEWHERE = "elsewhere"
    ASKS_FOR_SILENCE = "asks-for-silence"
    UNAUTHENTICATED = "unauthenticated"
    AT_THE_DESK = "at-the-desk"
    """The desk wrote it, of what came another way than by mail."""


@dataclass(frozen=True)
class Standing:
    """How a message stands to being answered, and the first rule that speaks against it."""

    verdict: Answering
    reason: Phrase | None = None
    rule: AnsweringRule = AnsweringRule.NONE


@dataclass(frozen=True)
class Thread:
    """What a letter needs of the message that it answers, filed with it so that the original may go.

    `writer` is the address that the message is credited to, `reply` where its writer asks for answers.
    `references` are the ids of the thread up to and with this message (RFC 5322 3.6.4).
    """

    writer: Address
    reply: Address
    message_id: str
    references: tuple[str, ...] = ()


@dataclass(frozen=True)
class Answered:
    """What a letter answers and whom it goes to. `met`: the customer came or phoned and wrote nothing, so that the
    letter opens the thread."""

    to: Address
    subject: str
    message_id: str = ""
    references: tuple[str, ...] = ()
    met: bool = False
