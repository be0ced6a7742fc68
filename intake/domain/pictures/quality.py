"""What is wrong with a picture for what it shows, and what the customer can do about it.

How often the thresholds err, and on what that was measured, stands in docs/pictures.md.
"""

from __future__ import annotations

from intake.model.picture import PictureFacts, PictureVerdict, Subject

HOW_TO_SEND = (
    "Two or three pictures an e-mail is best. On an iPhone or iPad, choose Actual Size when Mail asks before it sends."
    " On an Android phone, attach the picture from within the mail app with its paper-clip, and choose the original"
    " size if it asks. On a computer, answer no if it offers to shrink large pictures. Pictures that went through a"
    " chat app have been shrunk for good: please send the ones in your phone's own gallery."
)
_AGAIN = "Please take it again"
_ENOUGH_FOR_A_SKETCH = 2000
"""Long side at which a shrunk sketch is still good: a 5 mm figure on a page of A4 is 34 pixels high."""
_ENOUGH_FOR_A_ROOM = 800
_LEAST_FIGURE = 14
"""Pixels. Tesseract's FAQ: very little chance below an x-height of 10; figures are about 1.4 of that."""
_BLURRED_EDGE, _BLURRED_SHARE = 3.6, 0.3
"""Edge of a stroke in pixels of a thousand across, and in heights of a figure; sharp: under 3.1."""
_BLURRED_ROOM = 12.0
_DARK_ROOM, _DARK_PAPER = 45.0, 80.0
# Sizes mail and chat apps shrink to: 320x240, 640x480, 1632x2448 (an old help page, second-hand), the rest common
# practice, no source. A telephone's own picture has other sizes and carries the camera's name.
_SHRUNK_SIDES = frozenset({320, 480, 512, 600, 640, 720, 800, 960, 1024, 1280, 1600, 1632, 2448})


def verdicts(facts: PictureFacts, subject: Subject) -> tuple[PictureVerdict, ...]:
    """All that is wrong with one picture, worst first; nothing for a logo or a tracking pixel. Codes: damaged,
    too-small-to-read, shrunk, blurred, dark, glare. An empty `ask` means that the customer need not be troubled."""
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
        ask = "One file is locked with a password, so we cannot open it. Please send it again without one."
    elif "more than we open" in facts.problem or "memory" in facts.problem:
        ask = (
            "One picture is too large for us to open. Please send it again at your camera's ordinary setting."
        )
    else:
        ask = "One picture did not arrive whole, so we could not open it. Please send it again."
    return PictureVerdict("damaged", facts.problem, ask)


def _figure_height(facts: PictureFacts) -> float:
    """Height of the handwriting in the picture's own pixels; 0 where too few marks tell."""
    return (
        facts.extra.get("mark_height", 0) * facts.extra.get("scale", 1)
        if facts.extra.get("marks", 0) >= 15
        else 0
    )


def _too_small(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    height, long = _figure_height(facts), max(facts.width, facts.height)
    if subject is not Subject.SKETCH or (height >= _LEAST_FIGURE or (not height and long >= 900)):
        return None
    seen = (
        f"the handwriting is about {height:.0f} pixels high"
        if height
        else f"only {long} pixels on the long side"
    )
    ask = (
        "The figures on your plan came out too small to read, most likely because the mail app made the picture small."
        f" Please send it again at its actual size. {HOW_TO_SEND}"
    )
    return PictureVerdict("too-small-to-read", f"Too small to read: {seen}.", ask)


def shrunk_by(facts: PictureFacts) -> str:
    """The evidence that a picture was made smaller on its way, as the rest of a sentence; "" where there is none."""
    here = max(facts.width, facts.height)
    if facts.exif_size:
        taken = max(facts.exif_size)
        return f"taken {taken} pixels long, arrived {here}" if here < 0.9 * taken else ""
    bare = facts.format == "JPEG" and not facts.extra.get("camera")
    if bare and here in _SHRUNK_SIDES:
        return f"{here} pixels long, a size that mail and chat apps shrink to, and the camera's own data are gone"
    if bare and here <= 1700 and 0 < facts.quality <= 70:
        return f"{here} pixels long and pressed hard (JPEG quality about {facts.quality}), the camera's own data gone"
    return ""


def _shrunk(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    evidence, here = shrunk_by(facts), max(facts.width, facts.height)
    if not evidence:
        return None
    enough = _ENOUGH_FOR_A_SKETCH if subject is Subject.SKETCH else _ENOUGH_FOR_A_ROOM
    ask = (
        f"The mail app made this picture small on its way. Please send it again at its actual size. {HOW_TO_SEND}"
        if here < enough
        else ""
    )
    return PictureVerdict("shrunk", f"Shrunk on its way: {evidence}.", ask)


def _blurred(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    if subject is Subject.SKETCH:
        edge, height = facts.extra.get("stroke_edge", 0), max(facts.extra.get("mark_height", 0), 1)
        if edge < _BLURRED_EDGE or edge < _BLURRED_SHARE * height:
            return None
        what, text = (
            "your plan",
            f"Blurred: the edges of its strokes are {edge:.1f} pixels wide (sharp: 2 to 3).",
        )
    elif facts.sharpness < _BLURRED_ROOM and facts.brightness >= _DARK_ROOM:
        what, text = (
            "this picture",
            f"Blurred: sharpness {facts.sharpness:.0f} (sharp: {_BLURRED_ROOM:.0f} and more).",
        )
    else:
        return None
    ask = f"The picture of {what}" if what == "your plan" else "One picture"
    ask += f" is blurred. {_AGAIN}: hold the phone still in both hands, tap on the middle to focus, and wait a moment."
    return PictureVerdict("blurred", text, ask)


def _dark(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    on_paper = subject is Subject.SKETCH
    light = facts.extra.get("paper_level", facts.brightness) if on_paper else facts.brightness
    if light >= (_DARK_PAPER if on_paper else _DARK_ROOM):
        return None
    ask = f"It came out too dark to see well. {_AGAIN} in daylight or with all the lights on."
    return PictureVerdict("dark", f"Dark: brightness {light:.0f} of 255.", ask)


def _glare(facts: PictureFacts, subject: Subject) -> PictureVerdict | None:
    """A burnt-out patch on a page that is not white elsewhere: a lamp or a flash. A scan's white page is none."""
    blown, level = facts.extra.get("blown", 0), facts.extra.get("paper_level", 255)
    if subject is not Subject.SKETCH or blown < 0.03 or level >= 240:
        return None
    ask = f"A bright patch hides part of your plan. {_AGAIN} without flash, away from the lamp, straight from above."
    return PictureVerdict("glare", f"Glare: {blown:.0%} of the picture is burnt out.", ask)
