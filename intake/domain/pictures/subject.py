"""What a picture shows: a guess with its probability and reasons, from its measured facts and the customer's words.

A multinomial logistic regression over a dozen measurements says sketch, room, document or screenshot; its weights are
in picture_weights.py with the command that fitted them. Words beside the picture shift its odds; sizes no photograph
has make a logo; only words tell a close-up's kind, for no measurement here can tell a boiler from a cupboard.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul
from typing import NamedTuple

from intake.domain.pictures import subject_weights as picture_weights
from intake.model.phrase import Phrase, phrase
from intake.model.picture import PictureFacts, Subject

CERTAIN = 0.9
"""From here on a guess is shown as settled; below it as doubtful, with the reasons, for a designer to choose."""


PROBABLE = 0.6
"""From here on it is called probable."""


class Guess(NamedTuple):
    subject: Subject
    probability: float
    why: Phrase


# The customer's words for things, and the words printed on them, in the trade's and the kitchen-table's English.
_CLOSE_UPS: tuple[tuple[Subject, str, re.Pattern[str]], ...] = tuple(
    (subject, title, re.compile(pattern, re.IGNORECASE))
    for subject, title, pattern in (
        (
            Subject.CONSUMER_UNIT,
            "consumer unit",
            r"consumer unit|fuse ?(box|board)|electric(s|al|ity)? (box|board|cupboard)|main switch|\bRCDs?\b|\bMCBs?\b",
        ),
        (
            Subject.GAS_METER,
            "gas meter",
            r"gas ?meter|\bmeter\b.{0,200}\bgas\b|\bgas\b.{0,200}\bmeter\b|\bgas\b.{0,200}\bm(3|³)",
        ),
        (Subject.BOILER, "boiler", r"\bboiler|\bcombi\b"),
        (Subject.WATER_MAIN, "water main", r"stop ?(cock|tap)|water ?main|mains? water|incoming water"),
    )
)
_SKETCH_WORDS = re.compile(
    r"sketch|floor ?plan|\bplan\b|drawing|drawn|measure?ments?|dimensions|measured", re.IGNORECASE
)
_ROOM_WORDS = re.compile(
    r"\b(room|view|corner|door|window|wall|ceiling|floor|units?|cupboards?|sink|hob|left|right|opposite|panorama)\b",
    re.IGNORECASE,
)
_PAPER_WORDS = re.compile(
    r"\b(quote|quotation|invoice|receipt|brochure|letter|order|estimate|terms)\b", re.IGNORECASE
)
_SCREEN_NAMES = re.compile(r"screen ?shot|screen ?capture|screen ?grab", re.IGNORECASE)
_LOGO_NAMES = re.compile(
    r"^image\d{3}\.(png|gif|jpe?g)$|logo|signature|banner|facebook|linkedin|twitter|instagram|icon",
    re.IGNORECASE,
)


def subject_of(facts: PictureFacts, words: str, nearby: str = "", inline: bool = False) -> Guess:
    """What the picture shows, how sure that is (0 to 1), and why.

    `words`: what the customer wrote for this picture alone (file name, caption), or what was read on a label in it;
    `nearby`: the text of the mail, which speaks of all its pictures at once and so decides nothing by itself;
    `inline`: it stood inside the mail's text.
    """
    plain = re.sub(r"[_\-.]+", " ", words)
    if facts.problem:
        return Guess(Subject.OTHER, SURE.unopened, phrase("not-opened"))
    guess = _ornament(facts, words, inline) or _empty(facts)
    if guess:
        return guess
    odds = _with_words(picture_odds(facts), plain)
    named = _named_close_up(plain)
    if named and odds[Subject.SKETCH] < CERTAIN and odds[Subject.SCREENSHOT] < CERTAIN:
        return Guess(named[0], SURE.named, phrase("named-beside", what=named[1]))
    subject = max(odds, key=lambda s: odds[s])
    return Guess(subject, odds[subject], _why(facts, subject, odds, plain, nearby))


def _ornament(facts: PictureFacts, words: str, inline: bool) -> Guess | None:
    """Tracking pixels and signature logos, by size first: no telephone's photograph is this small."""
    size = {"across": facts.width, "down": facts.height}
    if facts.width <= 3 or facts.height <= 3:
        return Guess(Subject.LOGO, SURE.pixel, phrase("tracking-pixel", **size))
    long, short = max(facts.width, facts.height), min(facts.width, facts.height)
    if short <= ICON_PX or (long / short > BANNER_SHAPE and short <= BANNER_PX):
        return Guess(Subject.LOGO, SURE.banner, phrase("icon", **size))
    if facts.exif_size:
        return None
    drawn = facts.format in ("PNG", "GIF") or inline or bool(_LOGO_NAMES.search(words))
    if long <= LOGO_PX or (
        long <= WIDE_LOGO_PX[0] and short <= WIDE_LOGO_PX[1] and drawn and _LOGO_NAMES.search(words)
    ):
        return Guess(
            Subject.LOGO,
            SURE.logo if drawn else SURE.small,
            phrase("logo", **size),
        )
    return None


@dataclass(frozen=True)
class HowSure:
    """Probabilities of what size and light alone tell: set by hand, common practice, no source."""

    pixel: float = 0.99
    banner: float = 0.97
    logo: float = 0.95
    named: float = 0.92
    black: float = 0.9
    small: float = 0.75
    empty: float = 0.7
    unopened: float = 0.3


SURE = HowSure()
ICON_PX, BANNER_PX, BANNER_SHAPE = 80, 200, 6
LOGO_PX, WIDE_LOGO_PX = 260, (640, 220)
"""Sides of icons, banners and logos: smaller than any telephone's photograph. Common practice, no source."""
BLACK, NO_CONTRAST = 12, 3
"""Grey levels of a picture taken in the dark, and of one of nothing. Common practice, no source."""
BARE_INK, BARE_PAPER, BARE_SHARPNESS = 0.0005, 0.9, 15
"""An empty page: no thin strokes, even and pale nearly all over, no edges. Common practice, no source."""


def _is_bare_paper(facts: PictureFacts) -> bool:
    return facts.ink < BARE_INK and facts.paper > BARE_PAPER and facts.sharpness < BARE_SHARPNESS


def _empty(facts: PictureFacts) -> Guess | None:
    if facts.brightness < BLACK and facts.contrast < BLACK:
        return Guess(Subject.OTHER, SURE.black, phrase("almost-black"))
    if facts.contrast < NO_CONTRAST or _is_bare_paper(facts):
        return Guess(Subject.OTHER, SURE.empty, phrase("bare-page"))
    return None


INK_OFFSET = 0.003
"""Added before the logarithm, as the weights were fitted with it."""


def features(facts: PictureFacts) -> tuple[float, ...]:
    """What the regression sees, in the order of its weights; docs/pictures.md explains the extra measurements."""
    extra = facts.extra
    ink, marks = math.log(facts.ink + INK_OFFSET), math.log1p(extra.get("marks", 0))
    long = max(facts.width, facts.height) / max(extra.get("scale", 1.0), 1e-6)
    return (
        facts.paper,
        ink,
        marks,
        math.sqrt(extra.get("clutter", 0)),
        extra.get("line_share", 0),
        extra.get("letter_share", 0),
        extra.get("text_rows", 0),
        math.log1p(facts.colourfulness),
        extra.get("shade", 0),
        extra.get("stroke_depth", 0),
        math.log1p(1000 * extra.get("mark_height", 0) / max(long, 1)),
        extra.get("blown", 0),
        extra.get("repeats", 0),
        marks**2,
        ink**2,
    )


def picture_odds(facts: PictureFacts) -> dict[Subject, float]:
    """The probabilities of sketch, room, document and screenshot from the picture alone."""
    seen = zip(features(facts), picture_weights.MEANS, picture_weights.SPREADS, strict=True)
    scaled = (*((value - mean) / spread for value, mean, spread in seen), 1.0)
    scores = [sum(map(mul, weights, scaled)) for weights in picture_weights.WEIGHTS]
    shares = [math.exp(score - max(scores)) for score in scores]
    return {Subject(s): p / sum(shares) for s, p in zip(picture_weights.SUBJECTS, shares, strict=True)}


# How many times likelier a subject becomes where its words stand beside the picture: set by hand, moderate, so that a
# clear picture outweighs a wrong file name and a doubtful one follows it.
_WORD_ODDS: tuple[tuple[re.Pattern[str], Subject, float], ...] = (
    (_SKETCH_WORDS, Subject.SKETCH, 5.0),
    (_ROOM_WORDS, Subject.ROOM, 4.0),
    (_PAPER_WORDS, Subject.DOCUMENT, 5.0),
    (_SCREEN_NAMES, Subject.SCREENSHOT, 10.0),
)


def _with_words(odds: dict[Subject, float], plain: str) -> dict[Subject, float]:
    factors = {s: f for pattern, s, f in _WORD_ODDS if pattern.search(plain)}
    raised = {s: p * factors.get(s, 1.0) for s, p in odds.items()}
    total = sum(raised.values())
    return {s: p / total for s, p in raised.items()}


# What circuits are called on a consumer unit (common practice, no source); two of them make one.
_CIRCUITS = re.compile(
    r"\b(sockets?|lights?|lighting|cooker|oven|hob|shower|immersion|smoke alarms?|boiler)\b", re.IGNORECASE
)
_ON_LABELS: tuple[tuple[Subject, str, re.Pattern[str]], ...] = tuple(
    (subject, title, re.compile(pattern, re.IGNORECASE))
    for subject, title, pattern in (
        (Subject.CONSUMER_UNIT, "consumer unit", r"\bRCBOs?\b|circuit ?breaker|residual current"),
        (Subject.GAS_METER, "gas meter", r"\bnatural gas\b|\bQ ?max\b.{0,200}\bm(3|³)|\bm(3|³)/h\b"),
        (Subject.BOILER, "boiler", r"\bcondensing\b|central heating|flue gas"),
        (Subject.WATER_MAIN, "water main", r"water (supply|off)|turn off water"),
    )
)


def label_subject(labels: Sequence[str]) -> Guess | None:
    """The close-up that the words on labels in a photograph name; None where they name none, or several."""
    words = " ".join(labels)
    named = {s: title for s, title, pattern in (*_CLOSE_UPS, *_ON_LABELS) if pattern.search(words)}
    if len({w.lower() for w in _CIRCUITS.findall(words)}) > 1:
        named = {Subject.CONSUMER_UNIT: "consumer unit"}
    if len(named) != 1:
        return None
    ((subject, title),) = named.items()
    return Guess(subject, CERTAIN, phrase("named-on-a-label", what=title, words=words[:80]))


def _named_close_up(plain: str) -> tuple[Subject, str] | None:
    named = [(subject, title) for subject, title, pattern in _CLOSE_UPS if pattern.search(plain)]
    return named[0] if len(named) == 1 else None


SOME_INK = 0.003
"""The share of a picture that is thin strokes from which they are worth a word."""
MOSTLY, PARTLY = 0.6, 0.25
"""Shares of a picture that is even and pale, from which it is mostly or partly so (set by hand)."""


def _paper_and_strokes(facts: PictureFacts) -> Phrase:
    """How much of it is like paper and ink."""
    how = "mostly" if facts.paper >= MOSTLY else "partly" if facts.paper >= PARTLY else "hardly"
    return phrase(f"paper-{how}", strokes=phrase("strokes" if facts.ink >= SOME_INK else "no-strokes"))


def _why(
    facts: PictureFacts, subject: Subject, odds: dict[Subject, float], plain: str, nearby: str
) -> Phrase:
    beside = any(s is subject and p.search(plain) for p, s, _ in _WORD_ODDS)
    seen = {"seen": _paper_and_strokes(facts), "words": phrase("words-say-so") if beside else ""}
    if odds[subject] >= CERTAIN:
        return phrase("looks-like", what=phrase(f"shows-{subject}"), **seen)
    second = sorted(odds, key=lambda s: -odds[s])[1]
    near = [title for _, title, pattern in _CLOSE_UPS if pattern.search(nearby)]
    speaks = phrase("mail-speaks-of", what=tuple(near)) if subject is Subject.ROOM and near else ""
    how = "is-probably" if odds[subject] >= PROBABLE else "may-be"
    shows, other = phrase(f"shows-{subject}"), phrase(f"shows-{second}")
    return phrase(how, what=shows, **seen, other=other, speaks=speaks)
