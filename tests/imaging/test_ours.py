"""Numbers cut out of a plan, as letters and the desk show them. No outside source: plain geometry of pixels."""

from __future__ import annotations

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from intake.imaging import ours

BOX = ((200.0, 160.0), (200.0, 100.0), (240.0, 100.0), (240.0, 160.0))
"""Of text that runs up the page: its own left is the page's bottom."""


@pytest.fixture
def plan() -> bytes:
    """Ink at the left end of the text alone, in a colour as dark as a pencil."""
    sheet, out = Image.new("RGB", (400, 300), "white"), io.BytesIO()
    ImageDraw.Draw(sheet).rectangle((202, 132, 238, 158), fill=(40, 40, 90))
    sheet.save(out, "JPEG", quality=95)
    return out.getvalue()


def ink(png: bytes) -> NDArray[np.bool_]:
    return np.asarray(Image.open(io.BytesIO(png))) < 128


def test_a_number_is_cut_out_as_its_text_runs(plan: bytes) -> None:
    cut = ink(ours.cut_out(ours.grey_of(plan), BOX))
    assert cut.shape[0] == ours.CROP_HEIGHT
    across, down = np.nonzero(cut.any(axis=0))[0], np.nonzero(cut.any(axis=1))[0]
    # Paper on every side, and the ink left of the middle.
    assert across[0] > 0 and across[-1] < cut.shape[1] / 2
    assert down[0] > 0 and down[-1] < ours.CROP_HEIGHT - 1


def test_grey_and_colours_give_the_same_ink(plan: bytes) -> None:
    assert (ink(ours.cut_out(ours.grey_of(plan), BOX)) == ink(ours.cut_out(ours.rgb_of(plan), BOX))).all()


def test_a_plan_is_opened_once_for_all_its_numbers(plan: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[io.BytesIO] = []
    monkeypatch.setattr(Image, "open", lambda file, usual=Image.open: (opened.append(file), usual(file))[1])
    ours.grey_of.cache_clear()
    for _ in range(5):
        ours.grey_of(bytes(bytearray(plan)))
    assert len(opened) == 1


def test_a_piece_of_a_plan_lies_as_on_the_page_and_ends_where_the_page_ends(plan: bytes) -> None:
    box = ((180.0, 120.0), (260.0, 120.0), (260.0, 170.0), (180.0, 170.0))
    cut = ink(ours.piece(ours.grey_of(plan), box))
    assert cut.shape == (ours.PIECE_HEIGHT, round(80 * ours.PIECE_HEIGHT / 50))
    across = np.nonzero(cut.any(axis=0))[0] * 50 / ours.PIECE_HEIGHT + 180
    assert (across[0], across[-1]) == (pytest.approx(202, abs=2), pytest.approx(238, abs=2))
    beyond = tuple((x + 250.0, y) for x, y in box)
    assert ink(ours.piece(ours.grey_of(plan), beyond)).shape[1] < cut.shape[1]
    nowhere = tuple((x + 9000.0, y - 9000.0) for x, y in box)
    assert ink(ours.piece(ours.grey_of(plan), nowhere)).shape[0] == ours.PIECE_HEIGHT
