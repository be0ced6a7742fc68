"""EXIF that cannot be parsed harms no picture. Which errors Pillow raises on it: from memory."""

from __future__ import annotations

import struct

import pytest
from PIL import Image

from intake.imaging.exif import facts_of, orientation


@pytest.mark.parametrize(
    "error", [SyntaxError("not a TIFF file"), struct.error("short"), OverflowError()], ids=repr
)
def test_broken_exif_is_none(error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(self: Image.Image) -> None:
        raise error

    monkeypatch.setattr(Image.Image, "getexif", broken)
    image = Image.new("RGB", (40, 30))
    assert orientation(image) == 1
    assert "taken_at" not in facts_of(image, turned=False)
