"""What size, light and words alone say of a picture, as tables."""

from __future__ import annotations

from dataclasses import astuple

import pytest

from intake.domain.pictures import label_subject, subject_of
from intake.domain.pictures.subject import CERTAIN, SURE, features
from intake.model.picture import PictureFacts, Subject
from intake.wording.desk import worded

PHOTOGRAPH = {"brightness": 120.0, "contrast": 60.0, "sharpness": 200.0, "paper": 0.5, "ink": 0.01}
NOT_A_LOGO = {Subject.SKETCH, Subject.ROOM, Subject.DOCUMENT, Subject.SCREENSHOT}


def facts(width: int, height: int, format: str = "JPEG", **more: object) -> PictureFacts:
    return PictureFacts(width=width, height=height, format=format, **(PHOTOGRAPH | more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("size", "format", "words", "inline", "logo"),
    [
        ((1, 1), "GIF", "", False, True),
        ((3, 600), "PNG", "", False, True),
        ((64, 64), "PNG", "", False, True),
        ((80, 400), "JPEG", "", False, True),
        ((1400, 200), "JPEG", "", False, True),
        ((1400, 260), "JPEG", "", False, False),
        ((250, 220), "JPEG", "", False, True),
        ((600, 210), "PNG", "image001.png", False, True),
        ((600, 210), "JPEG", "logo.jpg", True, True),
        ((600, 210), "PNG", "plan", False, False),
        ((600, 210), "JPEG", "logo.jpg", False, True),
        ((600, 400), "PNG", "logo.png", False, False),
        ((900, 210), "PNG", "logo.png", False, False),
        ((1600, 1200), "JPEG", "logo.jpg", True, False),
    ],
)
def test_a_logo_is_small_whatever_it_is_called(
    size: tuple[int, int], format: str, words: str, inline: bool, logo: bool
) -> None:
    """No telephone's photograph has a side of 200 pixels; a long, low picture is a logo only if it is called one."""
    found = subject_of(facts(*size, format), words, inline=inline)
    assert (found.subject is Subject.LOGO) is logo
    assert found.subject is Subject.LOGO or found.subject in NOT_A_LOGO


def test_what_the_camera_wrote_down_makes_a_small_picture_a_photograph() -> None:
    small = facts(250, 220, exif_size=(4000, 3000))
    assert subject_of(small, "logo.png", inline=True).subject is not Subject.LOGO


@pytest.mark.parametrize(
    ("size", "why"),
    [((600, 3), "ruled line"), ((3, 600), "ruled line"), ((600, 4), "banner"), ((4, 600), "banner")],
)
def test_why_a_small_picture_is_none_is_told(size: tuple[int, int], why: str) -> None:
    assert why in worded(subject_of(facts(*size), "").why)


def test_of_a_room_that_may_be_what_the_mail_speaks_of_it_is_said() -> None:
    room, sketch = (
        facts(1200, 900),
        facts(1200, 900, paper=0.9, ink=0.02, extra={"marks": 40, "line_share": 0.4}),
    )
    assert subject_of(room, "").subject is Subject.ROOM and subject_of(sketch, "").subject is Subject.SKETCH
    spoken = "The boiler is in the loft."
    told = [
        "The mail speaks" in worded(subject_of(f, "", near).why)
        for f in (room, sketch)
        for near in (spoken, "")
    ]
    assert told == [True, False, False, False]


def test_how_sure_a_rule_of_size_or_light_is_is_a_probability_and_named() -> None:
    bare = subject_of(facts(1600, 1200, ink=0.0, paper=0.99, contrast=2.0, sharpness=1.0), "")
    assert bare.subject is Subject.OTHER and 0.5 < bare.probability < 1
    named = subject_of(facts(1200, 900), "the boiler")
    assert (named.subject, worded(named.why)) == (Subject.BOILER, "The words beside it name the boiler.")
    assert 0.5 < named.probability < 1
    assert all(0 < probability < 1 for probability in astuple(SURE))


def test_circuits_of_two_kinds_name_a_consumer_unit_and_one_does_not() -> None:
    found = label_subject(["Sockets", "upstairs", "Lights"])
    assert found is not None and found.subject is Subject.CONSUMER_UNIT
    assert label_subject(["Sockets", "SOCKETS"]) is None


MEASURED = [
    "marks",
    "clutter",
    "line_share",
    "letter_share",
    "text_rows",
    "shade",
    "stroke_depth",
    "mark_height",
    "blown",
    "repeats",
]


def test_what_was_not_measured_on_a_picture_counts_as_nothing() -> None:
    without = facts(1200, 900)
    assert features(without) == features(
        facts(1200, 900, extra=dict.fromkeys(MEASURED, 0.0) | {"scale": 1.0})
    )
    for name in MEASURED:
        assert features(facts(1200, 900, extra={name: 0.3})) != features(without), name
    marked = {"mark_height": 18.0}
    assert features(facts(1200, 900, extra=marked)) == features(
        facts(1200, 900, extra=marked | {"scale": 1.0})
    )


def test_writing_is_as_large_whether_it_was_measured_on_the_picture_or_on_a_half_of_its_size() -> None:
    """`mark_height` is in the pixels that were measured, `scale` is how many of the picture's own one of them is."""
    whole = features(facts(2400, 1800, extra={"mark_height": 36.0}))
    assert features(facts(2400, 1800, extra={"mark_height": 18.0, "scale": 2.0})) == pytest.approx(whole)


def test_the_squares_of_ink_and_marks_are_seen_beside_them() -> None:
    seen = features(facts(1200, 900, ink=0.04, extra={"marks": 12.0}))
    assert (seen[-1], seen[-2]) == pytest.approx((seen[1] ** 2, seen[2] ** 2))


def test_the_smaller_the_surer() -> None:
    sure = [subject_of(facts(*s, "PNG"), "").probability for s in ((2, 2), (70, 70), (250, 250))]
    assert sure == sorted(sure, reverse=True) and sure[-1] > CERTAIN
    assert subject_of(facts(250, 250), "").probability < CERTAIN, "it may be a photograph's thumbnail"


@pytest.mark.parametrize(
    ("light", "subject"),
    [
        ({"brightness": 5.0, "contrast": 5.0}, Subject.OTHER),
        ({"brightness": 5.0, "contrast": 40.0}, None),
        ({"brightness": 200.0, "contrast": 1.0}, Subject.OTHER),
        ({"contrast": 8.0, "ink": 0.0, "paper": 1.0, "sharpness": 2.0}, Subject.OTHER),
        ({"contrast": 8.0, "ink": 0.01, "paper": 1.0, "sharpness": 2.0}, None),
        ({"contrast": 8.0, "ink": 0.0, "paper": 0.5, "sharpness": 2.0}, None),
        ({"contrast": 8.0, "ink": 0.0, "paper": 1.0, "sharpness": 40.0}, None),
    ],
)
def test_black_bare_and_empty_pictures_show_nothing(light: dict[str, float], subject: Subject | None) -> None:
    found = subject_of(facts(1600, 1200, **light), "")
    assert (found.subject is Subject.OTHER) is (subject is Subject.OTHER)


@pytest.mark.parametrize(
    ("words", "subject"),
    [
        ("the boiler", Subject.BOILER),
        ("gas meter", Subject.GAS_METER),
        ("stop tap under the sink", Subject.WATER_MAIN),
        ("boiler and gas meter", None),
        ("fuse box beside the gas meter", None),
        ("nothing in particular", None),
    ],
)
def test_words_beside_a_picture_name_one_thing_or_none(words: str, subject: Subject | None) -> None:
    found = subject_of(facts(1600, 1200), words)
    if subject is None:
        assert found.subject in NOT_A_LOGO
    else:
        assert (found.subject, found.probability > CERTAIN) == (subject, True)


def test_labels_that_name_two_things_name_none() -> None:
    assert label_subject(["condensing boiler"]) is not None
    assert label_subject(["condensing boiler", "natural gas"]) is None
    two_circuits = label_subject(["sockets", "cooker", "condensing boiler"])
    assert two_circuits is not None and two_circuits.subject is Subject.CONSUMER_UNIT
    one = label_subject(["cooker", "cooker"])
    assert one is None
