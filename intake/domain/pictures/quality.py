"""What is wrong with a picture for what it shows, and what the customer can do about it.

How often the thresholds err, and on what that was measured, stands in docs/pictures.md.
"""

from __future__ import annotations

import re

from intake.model.phrase import Phrase, as_said, phrase
from intake.model.picture import PictureFacts, PictureVerdict, Subject

_ENOUGH_FOR_A_SKETCH = 2000
"""Long side at which a shrunk sketch is still good: a 5 mm figure on a page of A4 is 34 pixels high."""
_ENOUGH_FOR_A_ROOM = 800
_LEAST_FIGURE = 14
"""Pixels. Tesseract's FAQ: very little chance below an x-height of 10; figures are about 1.4 of that."""
_BLURRED_EDGE, _BLURRED_SHARE = 3.6, 0.3
"""Edge of a stroke in pixels of a thousand across, and in heights of a figure; sharp: under 3.1."""
_BLURRED_ROOM = 12.0
_DARK_ROOM, _DARK_PAPER = 45.0, 80.0
"""Sharpness of a photograph of the room, and grey levels of it and of paper, below which it is of little use (set by
hand; how often they err: docs/pictures.md)."""
# Sizes mail and chat apps shrink to: 320x240, 640x480, 1632x2448 (an old help page, second-hand), the rest common
# practice, no source. A telephone's own picture has other sizes and carries the camera's name.
_LEAST_MARKS = 15
"""Fewer marks than this do not tell how high the handwriting is."""
_LONG_ENOUGH = 900
"""Pixels on the long side of a plan of which no mark tells whether it can be read."""
_AS_TAKEN = 0.9
"""Less of the side that the camera wrote down has been shrunk."""
_SHRUNK_LONG, _HARD_PRESSED = 1700, 70
"""Long side and JPEG quality of what chat apps pass on. All five are common practice, no source."""
_BURNT, _WHITE_PAGE = 0.03, 240
"""The share of a picture that is burnt out, and the grey level from which on its page is white all over."""
_TOO_LARGE = re.compile("more than we open|memory")
"""What the decoder says of a picture that is larger than it may be."""
_SHRUNK_SIDES = frozenset({320, 480, 512, 600, 640, 720, 800, 960, 1024, 1280, 1600, 1632, 2448})


def verdicts(facts: PictureFacts, subject: Subject) -> tuple[PictureVerdict, ...]:
    """All that is wrong with one picture, worst first; nothing for a logo or a tracking pixel. Codes: damaged,
    too-small-to-read, shrunk, blurred, dark, glare. `ask` is the key of the sentence to the customer in config/letters;
    an empty one means that they need not be troubled."""
    if facts.problem:
        return (_damaged(facts),)
    if subject in (Subject.LOGO, Subject.SCREENSHOT):
        return ()
    found = (
        _too_small(facts, subject),
        _shrunk(facts, subject),
        _blurred(facts, subject),
        _dark(facts, subject),
    )
    return tuple(v for v in (*found, _glare(facts, subject)) if v)


def _damaged(facts: PictureFacts) -> PictureVerdict:
    if "password" in facts.problem:
        ask = "picture-locked"
    elif _TOO_LARGE.search(facts.problem):
        ask = "picture-too-large"
    else:
        ask = "picture-cut-short"
    return PictureVerdict("damaged", as_said(facts.problem), ask)


def _figure_height(facts: PictureFacts) -> float:
    """Height of the handwriting in the picture's own pixels; 0 where too few marks tell."""
    return (
        facts.extra.get("mark_height", 0) * facts.extra.get("scale", 1)
        if facts.extra.get("marks", 0) >= _LEAST_MARKS
        else 0
    )


def _too_small(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    height, long = _figure_height(facts), max(facts.width, facts.height)
    if subject is not Subject.SKETCH or (height >= _LEAST_FIGURE or (not height and long >= _LONG_ENOUGH)):
        return None
    seen = phrase("handwriting-small", pixels=round(height)) if height else phrase("side-short", pixels=long)
    return PictureVerdict("too-small-to-read", seen, "picture-too-small")


def shrunk_by(facts: PictureFacts) -> Phrase | None:
    """The evidence that a picture was made smaller on its way; None where there is none."""
    here = max(facts.width, facts.height)
    if facts.exif_size:
        taken = max(facts.exif_size)
        return phrase("shrunk-since-taken", taken=taken, here=here) if here < _AS_TAKEN * taken else None
    bare = facts.format == "JPEG" and not facts.extra.get("camera")
    if bare and here in _SHRUNK_SIDES:
        return phrase("shrunk-to-a-size", here=here)
    if bare and here <= _SHRUNK_LONG and 0 < facts.quality <= _HARD_PRESSED:
        return phrase("shrunk-and-pressed", here=here, quality=facts.quality)
    return None


def _shrunk(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    evidence, here = shrunk_by(facts), max(facts.width, facts.height)
    if not evidence:
        return None
    enough = _ENOUGH_FOR_A_SKETCH if subject is Subject.SKETCH else _ENOUGH_FOR_A_ROOM
    ask = "picture-shrunk" if here < enough else ""
    return PictureVerdict("shrunk", evidence, ask)


def _blurred(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    if subject is Subject.SKETCH:
        edge, height = facts.extra.get("stroke_edge", 0), facts.extra.get("mark_height", 0)
        if edge < _BLURRED_EDGE or edge < _BLURRED_SHARE * height:
            return None
        text = phrase("strokes-blurred", edge=f"{edge:.1f}")
        return PictureVerdict("blurred", text, "plan-blurred")
    if facts.sharpness < _BLURRED_ROOM and facts.brightness >= _DARK_ROOM:
        text = phrase("unsharp", found=round(facts.sharpness), sharp=round(_BLURRED_ROOM))
        return PictureVerdict("blurred", text, "picture-blurred")
    return None


def _dark(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    on_paper = subject is Subject.SKETCH
    light = facts.extra.get("paper_level", facts.brightness) if on_paper else facts.brightness
    if light >= (_DARK_PAPER if on_paper else _DARK_ROOM):
        return None
    return PictureVerdict("dark", phrase("dark", light=round(light)), "picture-dark")


def _glare(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    """A burnt-out patch on a page that is not white elsewhere: a lamp or a flash. A scan's white page is none."""
    blown, level = facts.extra.get("blown", 0), facts.extra.get("paper_level", 255)
    if subject is not Subject.SKETCH or blown < _BURNT or level >= _WHITE_PAGE:
        return None
    return PictureVerdict("glare", phrase("glare", percent=round(100 * blown)), "picture-glare")
