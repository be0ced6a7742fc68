"""What a picture shows: the decision on drawn examples, on words, on what is no picture of a survey at all."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from PIL import Image

from fixtures.photographs import Shot, as_jpeg, close_up, letter_on_a_desk, logo, room_ring, screenshot
from fixtures.sketches import render
from intake.domain.pictures import CERTAIN, label_subject, subject_of
from intake.domain.pictures.subject import features
from intake.domain.pictures.subject_weights import MEANS, SUBJECTS, WEIGHTS
from intake.imaging.decode import Decoder
from intake.imaging.unpack import pictures_in
from intake.model.message import Part
from intake.model.picture import PictureFacts, Subject
from intake.reading import printed_labels
from intake.reading.printed_labels import label_words
from intake.reading.tesseract import tesseract_missing
from intake.wording.desk import worded


@cache
def measured(content: bytes) -> PictureFacts:
    with Decoder() as decoder:
        (raw,) = pictures_in([Part("1", "picture", "", content)]).pictures
        return decoder.examine(raw)[0].facts


def png(pixels: np.ndarray) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "PNG")
    return out.getvalue()


def test_weights_fit_the_features() -> None:
    assert len(features(PictureFacts(width=1, height=1))) == len(MEANS) == len(WEIGHTS[0]) - 1
    assert len(WEIGHTS) == len(SUBJECTS)


def test_most_sketches_and_rooms_are_told_apart_by_the_picture_alone() -> None:
    """A seeded sample in CI; docs/pictures.md has the figures on hundreds, real photographs among them. File names
    say nothing here. Sketches come from the validation split, which no weight was fitted on."""
    with Decoder() as decoder:

        def subject(content: bytes) -> Subject:
            (raw,) = pictures_in([Part("1", "IMG_1.jpg", "", content)]).pictures
            return subject_of(decoder.examine(raw)[0].facts, "IMG_1.jpg").subject

        sketches = [subject(render(seed, "validation", long_side=1600).jpeg) for seed in range(200, 205)]
        rooms = [subject(as_jpeg(room_ring(seed, 1, size=(640, 480))[0])) for seed in range(9000, 9005)]
    assert sketches.count(Subject.SKETCH) >= 4
    assert rooms.count(Subject.ROOM) >= 4


def test_a_screenshot_and_a_printed_letter_are_neither() -> None:
    assert subject_of(measured(png(screenshot(9001).pixels)), "IMG_2.PNG").subject is Subject.SCREENSHOT
    assert subject_of(measured(as_jpeg(letter_on_a_desk(9002))), "IMG_3.jpg").subject is Subject.DOCUMENT


def test_a_signature_logo_and_a_tracking_pixel_do_not_count() -> None:
    facts = measured(png(logo(1).pixels))
    assert subject_of(facts, "image001.png", inline=True).subject is Subject.LOGO
    pixel = subject_of(measured(png(np.zeros((1, 1, 3), np.uint8))), "")
    assert pixel.subject is Subject.LOGO and "tracking pixel" in worded(pixel.why)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("consumer-unit", "consumer unit.jpg"),
        ("consumer-unit", "IMG_0012 fuse box"),
        ("gas-meter", "gas_meter.jpg"),
        ("boiler", "the-boiler.HEIC"),
        ("water-main", "stopcock under sink.jpg"),
    ],
)
def test_the_words_beside_a_close_up_name_it(kind: str, words: str) -> None:
    guess = subject_of(measured(as_jpeg(close_up(kind, 5, (450, 600)))), words)
    assert guess.subject is Subject(kind)
    assert "words beside it" in worded(guess.why)


def test_the_mails_text_alone_decides_nothing_but_is_mentioned_where_there_is_doubt() -> None:
    nearby = "Here is the room, and the consumer unit too."
    sure = measured(as_jpeg(close_up("consumer-unit", 5, (450, 600))))
    guess = subject_of(sure, "IMG_1.jpg", nearby=nearby)
    assert (
        guess.subject is Subject.ROOM
        and guess.probability >= CERTAIN
        and "mail speaks" not in worded(guess.why)
    )
    steps = [replace(sure, extra=sure.extra | {"marks": float(n)}) for n in range(2, 200, 2)]
    alone = [subject_of(facts, "IMG_1.jpg") for facts in steps]
    doubtful = next(n for n, g in enumerate(alone) if g.subject is Subject.ROOM and g.probability < CERTAIN)
    told = subject_of(steps[doubtful], "IMG_1.jpg", nearby=nearby)
    assert (told.subject, told.probability) == alone[doubtful][:2]
    assert "The mail speaks of the consumer unit: choose that if this is it." in worded(told.why)


def test_a_clear_sketch_is_not_renamed_by_a_word_for_something_on_it() -> None:
    content = render(203, "validation", long_side=1600).jpeg
    alone = subject_of(measured(content), "IMG_1.jpg")
    named = subject_of(measured(content), "plan with boiler.jpg")
    assert alone.subject is Subject.SKETCH
    if alone.probability >= 0.9:
        assert named.subject is Subject.SKETCH


def test_words_raise_the_probability_and_say_so() -> None:
    facts = measured(render(203, "validation", long_side=1600).jpeg)
    plain, named = subject_of(facts, "IMG_1.jpg"), subject_of(facts, "kitchen-plan.jpg")
    assert named.probability > plain.probability
    assert "words beside it" in worded(named.why) and "words beside it" not in worded(plain.why)


def test_black_and_empty_pictures_are_nothing() -> None:
    for value in (0, 250):
        flat = np.full((600, 800, 3), value, np.uint8)
        assert subject_of(measured(as_jpeg(Shot(flat))), "IMG.jpg").subject is Subject.OTHER


def test_what_could_not_be_opened_is_doubtful() -> None:
    guess = subject_of(PictureFacts(problem="a.jpg is damaged."), "sketch.jpg")
    assert guess.subject is Subject.OTHER and guess.probability < 0.5


@pytest.mark.parametrize(
    ("words", "subject"),
    [
        (("CONSUMER", "UNIT", "MAIN", "SWITCH"), Subject.CONSUMER_UNIT),
        (("Sockets", "Lights", "Cooker"), Subject.CONSUMER_UNIT),
        (("GAS", "m3"), Subject.GAS_METER),
        (("Condensing", "combi", "boiler"), Subject.BOILER),
        (("Stop", "tap"), Subject.WATER_MAIN),
        (("COOKER",), None),
        (("GAS", "m3", "boiler"), None),
        (("Marmalade", "on", "the", "sink"), None),
        ((), None),
    ],
)
def test_words_on_a_label_name_a_close_up_or_nothing(words: tuple[str, ...], subject: Subject | None) -> None:
    guess = label_subject(words)
    assert (guess.subject if guess else None) is subject
    assert guess is None or " ".join(words) in worded(guess.why)


@pytest.mark.skipif(bool(tesseract_missing()), reason="Tesseract is not installed")
def test_labels_are_read_in_close_ups_and_none_is_seen_in_a_room() -> None:
    """A seeded sample; docs/pictures.md has the figures on more, real photographs among them."""
    for kind, seed in (("consumer-unit", 1), ("gas-meter", 2)):
        guess = label_subject(label_words(as_jpeg(close_up(kind, seed))))
        assert guess is not None and guess.subject is Subject(kind)
    rooms = [as_jpeg(room_ring(seed, 1, size=(1200, 900))[0]) for seed in (9001, 9002)]
    assert all(label_subject(label_words(room)) is None for room in rooms)


@pytest.mark.skipif(bool(tesseract_missing()), reason="Tesseract is not installed")
def test_a_picture_that_keeps_the_label_reader_busy_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printed_labels, "SECONDS", 0.01)
    assert label_words(as_jpeg(close_up("consumer-unit", 1))) == ()


@pytest.mark.parametrize(("high", "ornament"), [(80, True), (81, False)])
def test_a_picture_of_so_few_pixels_is_an_icon(high: int, ornament: bool) -> None:
    facts = PictureFacts(
        width=400, height=high, format="JPEG", exif_size=(400, high), brightness=120, contrast=40
    )
    assert (subject_of(facts, "a.jpg").subject is Subject.LOGO) is ornament
