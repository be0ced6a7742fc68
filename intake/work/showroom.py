"""The showroom's name, logo, signature, hours and wording, as an owner sets them at the desk."""

from __future__ import annotations

import hashlib
import re
import time as ticking
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import time

from intake.domain.mail.rhythm import Rhythm, days_of, hours_of
from intake.model.errors import IntakeError
from intake.model.letterhead import Letterhead
from intake.model.message import Address, Message, Part
from intake.model.wording import Wording
from intake.store.accounts import Accounts
from intake.store.database import Store
from intake.store.letterhead import KeptLetterhead
from intake.work.services import Services

SENTENCES = (
    *("greeting-plain", "thanks-mail", "thanks-met", "need-one", "need-many", "complete", "help-call"),
    *("help-write", "reminder", "closing", "guide-letter"),
)
"""Sentences that may be set at the desk. Cautions are not among them."""
LONGEST = {"name": 80, "phone": 40, "designer": 80, "signature": 400, "hours": 11, "days": 40}
LONGEST_SENTENCE = 600
LARGEST_LOGO = 8 << 20
FRESH = 1.0
"""Seconds for which another process may go on with the letterhead of before."""

_GAP = re.compile(r"{(\w+)}")


class NotSettable(IntakeError):
    """What an owner typed cannot be; the sentence is for them."""


@dataclass(frozen=True)
class Said:
    """What the desk has set, by name; "" and nothing where the settings hold."""

    texts: Mapping[str, str]
    sentences: Mapping[str, str]


def set_at_desk(services: Services) -> Said:
    with services.store.reading() as tables:
        found = KeptLetterhead(tables.db).set_at_desk()
    texts = {key: str(found.get(key, "")) for key in LONGEST}
    return Said(texts, {key: found.get("sentences", {}).get(key, "") for key in SENTENCES})


def current(store: Store, settings: Letterhead) -> Callable[[], Letterhead]:
    """How to ask for the letterhead that holds; it is looked up anew every second."""
    kept: list[tuple[float, Letterhead]] = []

    def ask() -> Letterhead:
        now = ticking.monotonic()
        if not kept or now - kept[0][0] > FRESH:
            with store.reading() as tables:
                kept[:] = [(now, KeptLetterhead(tables.db).over(settings))]
        return kept[0][1]

    return ask


def in_own_words(wording: Wording, head: Letterhead) -> Wording:
    """A language's words with the showroom's own sentences in their place, those that still have the same gaps."""
    own = {k: v for k, v in head.sentences.items() if k in SENTENCES and not _wrong(wording, k, v)}
    return replace(wording, sentences={**wording.sentences, **own}) if own else wording


def rhythm(services: Services) -> Rhythm:
    """The rhythm of letters, by the hours that hold now."""
    head, usual = services.letterhead(), services.policy.rhythm
    start, end = _hours(head.hours)
    hours = replace(usual.hours, start=start, end=end, days=_days(head.days))
    return replace(usual, hours=hours)


def set_showroom(
    services: Services,
    texts: Mapping[str, str],
    sentences: Mapping[str, str],
    logo: bytes | None,
    by: str,
) -> None:
    """Set the letterhead; an empty text leaves that to the settings file. `logo` is an uploaded picture, b"" to have
    none, None to leave it. Raises NotSettable, and changes nothing then."""
    kept_texts = {key: _text(key, texts.get(key, "")) for key in LONGEST}
    if kept_texts["hours"]:
        _hours(kept_texts["hours"])
    if kept_texts["days"]:
        _days(kept_texts["days"])
    usual = services.pen.usual_wording()
    kept_sentences = {k: " ".join(v.split()) for k, v in sentences.items() if k in SENTENCES and v.strip()}
    for key, sentence in kept_sentences.items():
        if why := _wrong(usual, key, sentence):
            raise NotSettable(f"“{sentence[:60]}”: {why}", "Keep the words in braces as they are")
    picture = services.letterhead().logo if logo is None else _logo(services, logo)
    now = services.clock()
    with services.store.transaction() as tables:
        kept = KeptLetterhead(tables.db)
        kept.keep(kept_texts, kept_sentences, picture, by, now)
        if picture:
            kept.bear(hashlib.sha256(picture).hexdigest(), now)
        what = (
            [k for k, v in kept_texts.items() if v] + sorted(kept_sentences) + (["logo"] if picture else [])
        )
        Accounts(tables.db).note(
            by, "showroom", "letterhead", f"set: {', '.join(what) or 'nothing'}"[:400], now
        )


def _text(key: str, text: str) -> str:
    lines = ("".join(c for c in line if c.isprintable()).strip() for line in text.splitlines())
    kept = "\n".join(line for line in lines if line) if key == "signature" else " ".join(text.split())
    if len(kept) > LONGEST[key]:
        raise NotSettable(f"{key} is longer than {LONGEST[key]} signs", "Shorten it")
    return kept


def _wrong(wording: Wording, key: str, sentence: str) -> str:
    """Why a sentence cannot stand in place of the usual one; "" where it can."""
    if len(sentence) > LONGEST_SENTENCE:
        return f"it is longer than {LONGEST_SENTENCE} signs"
    gaps = set(_GAP.findall(wording.sentences.get(key, "")))
    if set(_GAP.findall(sentence)) != gaps:
        return f"it must hold {', '.join(f'{{{gap}}}' for gap in sorted(gaps)) or 'no word in braces'}"
    return "braces stand round a gap alone" if re.search(r"[{}]", _GAP.sub("", sentence)) else ""


def _hours(text: str) -> tuple[time, time]:
    try:
        return hours_of(text)
    except ValueError as error:
        raise NotSettable(f"Those are no hours: {error}", "Write 08:00-18:00") from error


def _days(text: str) -> frozenset[int]:
    try:
        return days_of(text)
    except ValueError as error:
        raise NotSettable(f"Those are no working days: {error}", "Choose one at least") from error


def _logo(services: Services, content: bytes) -> bytes:
    """A clean small JPEG of an uploaded picture, opened in the cell as those of mail are. Raises NotSettable."""
    if not content:
        return b""
    if len(content) > LARGEST_LOGO:
        raise NotSettable(f"That picture has more than {LARGEST_LOGO >> 20} MB", "Make it smaller")
    nobody, now = Address("", ""), services.clock()
    part = Part("1", "logo", "", content)
    bare = Message(
        key="logo", sha256="", message_id="", in_reply_to=(), references=(), sender=nobody, from_all=(),
        reply_to=(), to=(), cc=(), subject="", sent_at=None, received_at=now, text="", own_words="",
        parts=(part,), headers=(), return_path=None,
    )  # fmt: skip
    pages, _ = services.eyes.look(bare)
    display = next((p.display for p in pages if p.display and not p.facts.problem), None)
    if display is None:
        raise NotSettable("That is no picture that can be opened", "Use a JPEG or PNG file")
    return services.eyes.small(display)
