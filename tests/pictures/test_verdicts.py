"""What is wrong with a picture, in words for the designer and for the customer."""

from __future__ import annotations

import inspect
import re
from dataclasses import replace
from pathlib import Path

import pytest

from intake.domain.pictures import quality, verdicts
from intake.domain.pictures.quality import shrunk_by
from intake.model.picture import PictureFacts, Subject
from intake.postbox.letters import load_letters
from intake.wording.desk import worded

LETTERS = load_letters(Path(__file__).parents[2] / "config" / "letters")
ENGLISH = LETTERS.wording("en")
GOOD_EXTRA = {
    "marks": 90.0,
    "mark_height": 18.0,
    "scale": 3.0,
    "stroke_edge": 2.4,
    "paper_level": 190.0,
    "blown": 0.0,
}
GOOD = PictureFacts(
    width=4032,
    height=3024,
    format="JPEG",
    exif_size=(4032, 3024),
    sharpness=200,
    brightness=150,
    contrast=40,
    quality=90,
    extra={**GOOD_EXTRA, "camera": 1.0},
)


def codes(facts: PictureFacts, subject: Subject = Subject.SKETCH) -> list[str]:
    return [v.code for v in verdicts(facts, subject)]


def with_extra(**changes: float) -> PictureFacts:
    return replace(GOOD, extra={**GOOD.extra, **changes})


def test_a_good_picture_has_no_verdict() -> None:
    assert codes(GOOD) == [] and codes(GOOD, Subject.ROOM) == []


@pytest.mark.parametrize("size", [(640, 480), (1024, 768), (1600, 1200)])
def test_shrunk_is_told_from_the_cameras_own_size(size: tuple[int, int]) -> None:
    facts = replace(GOOD, width=size[0], height=size[1], extra={**GOOD.extra, "scale": size[0] / 1000})
    (shrunk,) = [v for v in verdicts(facts, Subject.SKETCH) if v.code == "shrunk"]
    assert "taken 4032 pixels long" in worded(shrunk.text)
    assert shrunk.ask == "picture-shrunk"
    said = ENGLISH.say(shrunk.ask, send=ENGLISH.say("how-to-send"))
    assert "actual size" in said and "Two or three pictures an e-mail" in said


def test_a_picture_shrunk_but_still_large_does_not_trouble_the_customer() -> None:
    facts = replace(GOOD, width=2200, height=1650, extra={**GOOD.extra, "scale": 2.2})
    (shrunk,) = verdicts(facts, Subject.SKETCH)
    assert (shrunk.code, shrunk.ask) == ("shrunk", "")


def test_a_room_needs_fewer_pixels_than_a_sketch() -> None:
    facts = replace(GOOD, width=1024, height=768)
    (for_room,) = verdicts(facts, Subject.ROOM)
    assert for_room.ask == ""
    (small,) = verdicts(replace(GOOD, width=640, height=480), Subject.ROOM)
    assert small.ask


def test_without_exif_a_mail_apps_size_or_hard_pressing_tells() -> None:
    """320x240 and 640x480 are the sizes an old help page gives for mail apps."""
    bare = replace(GOOD, exif_size=None, extra={**GOOD_EXTRA, "camera": 0.0})
    assert "mail and chat apps" in worded(shrunk_by(replace(bare, width=640, height=480)))
    assert "pressed hard" in worded(shrunk_by(replace(bare, width=1500, height=1125, quality=55)))
    assert shrunk_by(replace(bare, width=4032, height=3024)) is None
    assert shrunk_by(replace(bare, width=640, height=480, format="PNG")) is None


def test_a_turned_picture_is_not_shrunk() -> None:
    assert codes(replace(GOOD, width=3024, height=4032, exif_size=(4032, 3024))) == []


def test_handwriting_below_what_readers_can_read() -> None:
    """A4's long side filling the frame, a 5 mm figure is 10.8 pixels high at 640 and 34 at 2016 (5 / 297 of the side);
    the readers' authors give little chance below an x-height of 10."""
    small = with_extra(mark_height=640 / 297 * 5, scale=1.0)
    assert codes(small) == ["too-small-to-read"]
    assert "about 11 pixels high" in worded(verdicts(small, Subject.SKETCH)[0].text)
    assert codes(with_extra(mark_height=2016 / 297 * 5, scale=1.0)) == []
    assert codes(small, Subject.ROOM) == []


def test_a_picture_measured_at_its_own_size_needs_no_scale() -> None:
    small = replace(GOOD, width=800, height=600, exif_size=None)
    marks = {"marks": 90.0, "mark_height": 18.0}
    assert "too-small-to-read" not in codes(replace(small, extra=marks))
    assert "too-small-to-read" in codes(replace(small, extra=marks | {"mark_height": 9.0}))


def test_blur_is_judged_on_strokes_for_a_sketch_and_on_the_frame_for_a_room() -> None:
    assert codes(with_extra(stroke_edge=7.0)) == ["blurred"]
    assert codes(with_extra(stroke_edge=4.0, mark_height=40)) == []
    # Edges of 2 to 3 pixels are sharp, however small the figures are.
    assert [("blurred" in codes(with_extra(stroke_edge=e, mark_height=10))) for e in (3.0, 4.0)] == [
        False,
        True,
    ]
    soft = replace(GOOD, sharpness=5.0)
    assert codes(soft) == [] and codes(soft, Subject.ROOM) == ["blurred"]
    assert "tap on the middle to focus" in ENGLISH.say(verdicts(soft, Subject.ROOM)[0].ask)


def test_dark_and_glare() -> None:
    assert codes(replace(GOOD, brightness=20), Subject.ROOM) == ["dark"]
    assert codes(with_extra(paper_level=50)) == ["dark"]
    assert codes(with_extra(blown=0.1)) == ["glare"]
    assert codes(with_extra(blown=0.9, paper_level=255)) == []  # a scan's white page


def test_a_damaged_file_says_what_to_do_and_nothing_else() -> None:
    cut = PictureFacts(problem="plan.jpg is damaged: the end of it is missing.")
    (damaged,) = verdicts(cut, Subject.OTHER)
    assert worded(damaged.text) == cut.problem and "did not arrive whole" in ENGLISH.say(damaged.ask)
    (locked,) = verdicts(PictureFacts(problem="plan.pdf is locked with a password."), Subject.OTHER)
    assert "without one" in ENGLISH.say(locked.ask)
    (giant,) = verdicts(
        PictureFacts(problem="a.png claims to be 9 x 9 pixels, which is more than we open."), Subject.OTHER
    )
    assert "too large" in ENGLISH.say(giant.ask)


def test_logos_are_never_judged() -> None:
    assert codes(replace(GOOD, width=80, height=20, sharpness=0), Subject.LOGO) == []


def test_every_language_words_what_the_customer_is_to_do() -> None:
    """The rules name a sentence and never write one."""
    source = inspect.getsource(quality)
    keys = set(re.findall(r'"((?:picture|plan)-[a-z-]+)"', source))
    assert len(keys) == 9 and "Please" not in source
    for language in ("en", "de"):
        wording = LETTERS.wording(language)
        said = [wording.say(key, send=wording.say("how-to-send")) for key in sorted(keys)]
        assert len(set(said)) == len(keys)
