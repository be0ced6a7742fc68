"""What a picture's measured facts mean: what it shows, what is wrong with it, whether it repeats another."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from intake.model.picture import PictureFacts, PictureVerdict, Subject

CERTAIN = 0.9
"""From here on a guess is shown as settled; below it as doubtful, with the reasons, for a designer to choose."""


class Guess(NamedTuple):
    subject: Subject
    probability: float
    why: str


# The customer's words for things, in the trade's and the kitchen-table's English.
_CLOSE_UPS: tuple[tuple[Subject, str, str], ...] = (
    (
        Subject.CONSUMER_UNIT,
        "consumer unit",
        r"consumer unit|fuse ?(box|board)|electric(s|al|ity)? (box|board)|\brcd\b|\bmcb\b",
    ),
    (Subject.GAS_METER, "gas meter", r"gas ?meter|\bmeter\b.*\bgas\b|\bgas\b.*\bmeter\b"),
    (Subject.BOILER, "boiler", r"\bboiler|\bcombi\b"),
    (Subject.WATER_MAIN, "water main", r"stop ?(cock|tap)|water ?main|mains? water|incoming water"),
)
_SKETCH_WORDS = re.compile(
    r"sketch|floor ?plan|\bplan\b|drawing|measure?ments?|dimensions|measured", re.IGNORECASE
)
_ROOM_WORDS = re.compile(
    r"\b(room|kitchen|bedroom|bathroom|window|corner|door|view|wall|ceiling|north|south|east|west|left|right)\b",
    re.IGNORECASE,
)
_SCREEN_NAMES = re.compile(r"screen ?shot|screen ?capture|bildschirmfoto|capture d.?[eé]cran", re.IGNORECASE)
_LOGO_NAMES = re.compile(
    r"^(image\d{3}\.(png|gif|jpe?g)|.*(logo|signature|banner|facebook|linkedin|twitter|icon).*)$",
    re.IGNORECASE,
)


def subject_of(facts: PictureFacts, words: str, nearby: str = "", inline: bool = False) -> Guess:
    """What the picture shows, how sure that is (0 to 1), and why in one sentence.

    `words`: what the customer wrote for this picture alone (file name, caption); `nearby`: the text of the mail, which
    speaks of all its pictures at once and so weighs less; `inline`: it stood inside the mail's text.
    """
    plain = re.sub(r"[_\-.]+", " ", words)
    if facts.problem:
        return Guess(Subject.OTHER, 0.3, "It could not be opened, so what it shows is not known.")
    ornament = _ornament(facts, words, inline)
    if ornament:
        return ornament
    for subject, title, pattern in _CLOSE_UPS:
        if re.search(pattern, plain, re.IGNORECASE) and _sketch_odds(facts) < 1.5:
            return Guess(subject, 0.92, f"The customer's own words beside it name the {title}.")
    return _sketch_or_room(facts, plain, words, nearby)


def _ornament(facts: PictureFacts, words: str, inline: bool) -> Guess | None:
    """Tracking pixels and signature logos: told by their size first, for a real photograph is never this small."""
    if facts.width <= 3 or facts.height <= 3 or facts.width * facts.height <= 64:
        return Guess(
            Subject.LOGO,
            0.99,
            f"It is only {facts.width} x {facts.height} pixels: a tracking pixel or a rule.",
        )
    long, short = max(facts.width, facts.height), min(facts.width, facts.height)
    if short <= 80 or long / short > 6:
        return Guess(
            Subject.LOGO, 0.97, f"At {facts.width} x {facts.height} pixels it is an icon or a banner."
        )
    if long <= 260 and not facts.exif_size:
        sure = 0.95 if inline or _LOGO_NAMES.match(words) or facts.format in ("PNG", "GIF") else 0.75
        return Guess(Subject.LOGO, sure, f"At {facts.width} x {facts.height} pixels it is a signature logo.")
    if inline and short <= 200 and _LOGO_NAMES.match(words):
        return Guess(Subject.LOGO, 0.9, "A small picture inside the mail's signature.")
    return None


def _sketch_odds(facts: PictureFacts) -> float:
    """Log-odds that the picture is a hand-drawn plan, from the picture alone."""
    odds = -2.0
    odds += 5.0 * (facts.paper - 0.35)
    odds += 1.5 if 0.004 <= facts.ink <= 0.12 else -1.0
    odds -= 0.06 * (facts.colourfulness - 25)
    return odds


def _sketch_or_room(facts: PictureFacts, plain: str, name: str, nearby: str) -> Guess:
    odds = _sketch_odds(facts)
    seen = f"{facts.paper:.0%} of it is paper and {facts.ink:.1%} pen strokes"
    if facts.extra.get("text_characters", 0) > 300:
        return Guess(Subject.DOCUMENT, 0.9, "The page is typed text.")
    if _SCREEN_NAMES.search(name):
        return Guess(Subject.SCREENSHOT, 0.85, "Its file name says that it is a screenshot.")
    if _SKETCH_WORDS.search(plain):
        odds += 1.2
        seen += "; its name or caption speaks of a plan"
    elif _ROOM_WORDS.search(plain):
        odds -= 0.8
        seen += "; its name or caption speaks of the room"
    probability = 1 / (1 + math.exp(-odds))
    if probability >= 0.5:
        return Guess(Subject.SKETCH, probability, f"It looks like a drawn plan: {seen}.")
    return Guess(Subject.ROOM, 1 - probability, f"It looks like a photograph of the room: {seen}.")


SEND_AGAIN = (
    "Your mail app made this picture small before it was sent. Please send it again at its actual size, two or three"
    ' pictures an e-mail. On an iPhone or iPad, choose "Actual Size" when the Mail app asks as you press send. On an'
    " Android phone, attach it with the paper-clip from the gallery's files rather than sharing from a chat app, and"
    ' choose "original" or "actual size" if you are asked. In Outlook, do not let it resize large pictures.'
)
_TOO_SMALL_SIDE = 1200
"""A4's long side filling the frame, a 5 mm digit is 20 pixels high at about 1200: what Tesseract's authors advise."""


def verdicts(facts: PictureFacts, subject: Subject) -> tuple[PictureVerdict, ...]:
    """All that is wrong with one picture for what it shows, worst first; nothing for a logo or a tracking pixel."""
    if facts.problem:
        ask = "Please send this picture again: it did not arrive whole, and we could not open it."
        return (PictureVerdict("damaged", facts.problem, ask),)
    if subject is Subject.LOGO:
        return ()
    found = (_shrunk(facts), _too_small(facts, subject), _blurred(facts), _dark(facts))
    return tuple(v for v in found if v)


def _shrunk(facts: PictureFacts) -> PictureVerdict | None:
    if not facts.exif_size:
        return None
    taken, here = max(facts.exif_size), max(facts.width, facts.height)
    if here >= 0.9 * taken or here >= 3000:
        return None
    text = f"Shrunk on its way: taken at {taken} pixels on the long side, arrived at {here}."
    return PictureVerdict("shrunk", text, SEND_AGAIN)


def _too_small(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    long = max(facts.width, facts.height)
    if subject is not Subject.SKETCH or long >= _TOO_SMALL_SIDE:
        return None
    text = (
        f"Only {long} pixels on the long side: handwriting of 5 mm is about {5 * long / 297:.0f} pixels high."
    )
    return PictureVerdict("too-small-to-read", text, SEND_AGAIN)


def _blurred(facts: PictureFacts) -> PictureVerdict | None:
    if facts.sharpness >= 25:
        return None
    ask = (
        "This picture is blurred. Please take it again: hold the phone still with both hands,"
        " tap on what matters to focus, and wait a moment before you press."
    )
    return PictureVerdict("blurred", f"Blurred: sharpness {facts.sharpness:.0f} (25 and more is usual).", ask)


def _dark(facts: PictureFacts) -> PictureVerdict | None:
    if facts.brightness >= 55:
        return None
    ask = "This picture is too dark to see well. Please take it again in daylight or with all the lights on."
    return PictureVerdict("dark", f"Dark: brightness {facts.brightness:.0f} of 255.", ask)


class Likeness(NamedTuple):
    """`same`: the same picture, to be shown and counted once. `maybe`: alike, but two views of one plain wall can be
    that alike, so both are kept and shown."""

    same: bool
    maybe: bool
    why: str


def same_picture(a: PictureFacts, b: PictureFacts, identical: bool = False) -> Likeness:
    """Whether two pictures are one picture sent twice. `identical`: their files have one SHA-256."""
    if identical:
        return Likeness(True, True, "The two files are identical.")
    if a.problem or b.problem or not a.perceptual_hash or not b.perceptual_hash:
        return Likeness(False, False, "One of them could not be opened.")
    distance = (int(a.perceptual_hash, 16) ^ int(b.perceptual_hash, 16)).bit_count()
    if distance > 10 or not _same_shape(a, b):
        return Likeness(False, False, f"{distance} of 64 hash bits differ.")
    same_moment = a.taken_at is not None and a.taken_at == b.taken_at
    if distance <= 5 and same_moment:
        return Likeness(
            True,
            True,
            f"Taken at the same second, {distance} of 64 hash bits differ: resized or recompressed.",
        )
    if distance <= 2 and _distinctive(a) and _distinctive(b):
        return Likeness(True, True, f"{distance} of 64 hash bits differ: resized or recompressed.")
    return Likeness(False, True, f"{distance} of 64 hash bits differ: perhaps the same picture again.")


def _same_shape(a: PictureFacts, b: PictureFacts) -> bool:
    return abs(math.log((a.width * b.height) / (a.height * b.width))) < 0.03


def _distinctive(facts: PictureFacts) -> bool:
    """A plain wall has too little in it for its hash to mean anything."""
    return facts.contrast >= 20 and facts.sharpness >= 10
