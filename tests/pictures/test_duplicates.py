"""One picture sent twice is counted once; what is merely alike is flagged and kept."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import numpy as np
import pytest
from PIL import Image

from fixtures.photographs import Shot, as_jpeg, room_ring
from intake.domain.pictures import same_picture
from intake.imaging.decode import Decoder
from intake.imaging.unpack import pictures_in
from intake.model.message import Part
from intake.model.picture import PictureFacts


@cache
def rooms() -> list[list[Shot]]:
    return [room_ring(seed, 2, size=(800, 600)) for seed in (31, 32)]


def facts_of(content: bytes) -> PictureFacts:
    with Decoder() as decoder:
        return decoder.examine(pictures_in([Part("1", "a.jpg", "", content)]).pictures[0])[0].facts


def again(content: bytes, side: int, quality: int) -> bytes:
    """As a chat app sends it on: smaller, saved again, stripped."""
    image = Image.open(io.BytesIO(content)).convert("RGB")
    image.thumbnail((side, side))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality)
    return out.getvalue()


@pytest.mark.parametrize(("side", "quality"), [(800, 40), (640, 70), (320, 60)])
def test_resized_and_recompressed_is_the_same_picture(side: int, quality: int) -> None:
    content = as_jpeg(rooms()[0][0])
    assert same_picture(facts_of(content), facts_of(again(content, side, quality)))


def test_identical_files_are_the_same() -> None:
    assert same_picture(PictureFacts(), PictureFacts(), identical=True)


def test_two_views_and_two_rooms_are_not() -> None:
    views = [facts_of(as_jpeg(shot)) for room in rooms() for shot in room]
    for k, a in enumerate(views):
        for b in views[k + 1 :]:
            assert not same_picture(a, b)


def test_two_plain_walls_are_both_kept() -> None:
    rng = np.random.default_rng(1)
    slope = np.linspace(190, 200, 800)[None, :, None] + np.zeros((600, 1, 3))
    walls = [np.clip(slope + rng.normal(0, 2, (600, 800, 1)), 0, 255).astype(np.uint8) for _ in range(2)]
    a, b = (facts_of(as_jpeg(Shot(w))) for w in walls)
    b = replace(b, perceptual_hash=a.perceptual_hash, taken_at=None)  # the worst that noise can do
    assert not same_picture(replace(a, taken_at=None), b)


def test_two_shots_a_second_apart_are_two_pictures() -> None:
    first = facts_of(as_jpeg(rooms()[0][0], taken_at=datetime(2026, 3, 1, 9, 0, 0, tzinfo=UTC)))
    second = facts_of(as_jpeg(rooms()[0][0], taken_at=datetime(2026, 3, 1, 9, 0, 1, tzinfo=UTC)))
    assert first.perceptual_hash == second.perceptual_hash and not same_picture(first, second)


def test_a_picture_that_could_not_be_opened_is_like_nothing() -> None:
    broken = PictureFacts(problem="cut")
    assert not same_picture(broken, broken)
