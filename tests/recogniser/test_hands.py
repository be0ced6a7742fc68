"""The sources of handwriting: what they promise to training and to the sketch renderer."""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pytest

from fixtures.hands import SPLITS, Hand, hands, pens, semeion
from fixtures.hands.catalogue import DEBIAN, PACKAGES
from fixtures.hands.digits import RANGES, enlarged
from fixtures.hands.gather import DIGIT_WRITERS, STROKE_WRITERS, quick_hands
from fixtures.hands.hand import Glyph, set_line
from fixtures.hands.quick import QUICK, QuickHand
from fixtures.hands.strokes import StrokeHand

EVERY_MARK = "0123456789.,·'\"=-xHmcfti/"


def one_of_each_kind(split: str) -> list[Hand]:
    return list({hand.kind: hand for hand in hands(split)}.values())


@pytest.mark.parametrize("split", SPLITS)
def test_a_bare_machine_has_stroke_writers(
    split: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("INTAKE_HANDS", str(tmp_path))
    monkeypatch.setenv("INTAKE_MNIST", str(tmp_path))
    found = hands(split)
    assert len(found) >= 60
    assert {hand.kind for hand in found} == {"strokes"}


def test_an_unknown_split_is_refused() -> None:
    with pytest.raises(ValueError, match="training"):
        hands("train")


def test_no_writer_font_or_image_is_in_two_splits() -> None:
    names = [hand.name for split in SPLITS for hand in hands(split)]
    assert len(names) == len(set(names))
    for sources in (PACKAGES, DEBIAN):
        fonts = [name for split in SPLITS for name in sources[split]]
        assert len(fonts) == len(set(fonts))
    for ranges in (RANGES, STROKE_WRITERS, DIGIT_WRITERS):
        numbers = [n for split in SPLITS for n in range(*ranges[split])]
        assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("hand", one_of_each_kind("validation"), ids=lambda hand: hand.kind)
def test_every_mark_is_written_with_a_box_round_its_ink(hand: Hand) -> None:
    written = hand.write(EVERY_MARK, np.random.default_rng(1), 40.0)
    assert written.ink.dtype == np.float32
    assert written.ink.min() >= 0.0
    assert 0.7 < written.ink.max() <= 1.0
    assert len(written.boxes) == len(EVERY_MARK)
    for left, top, right, bottom in written.boxes:
        assert 0 <= left < right <= written.ink.shape[1]
        assert 0 <= top < bottom <= written.ink.shape[0]
        assert written.ink[top:bottom, left:right].max() > 0.3
    edges = (written.ink[0], written.ink[-1], written.ink[:, 0], written.ink[:, -1])
    assert all(edge.max() > 0 for edge in edges)


@pytest.mark.parametrize("hand", one_of_each_kind("validation"), ids=lambda hand: hand.kind)
def test_digits_come_out_at_the_height_asked_for(hand: Hand) -> None:
    rng = np.random.default_rng(2)
    for height in (16.0, 60.0):
        tall = [bottom - top for _, top, _, bottom in hand.write("0368" * 3, rng, height).boxes]
        assert 0.7 * height < np.median(tall) < 1.45 * height


@pytest.mark.parametrize("hand", one_of_each_kind("validation"), ids=lambda hand: hand.kind)
def test_a_writer_repeats_itself_only_under_the_same_seed(hand: Hand) -> None:
    first, again, other = (hand.write("236.5", np.random.default_rng(seed), 32.0).ink for seed in (5, 5, 6))
    assert np.array_equal(first, again)
    assert first.shape != other.shape or not np.array_equal(first, other)


def test_two_stroke_writers_differ_more_than_one_does_from_itself() -> None:
    def heights(seed: int) -> float:
        written = StrokeHand("one", seed).write("11111", np.random.default_rng(0), 40.0)
        return float(np.mean([right - left for left, _, right, _ in written.boxes]))

    assert np.std([heights(seed) for seed in range(12)]) > 2.0


def test_a_point_stands_low_and_a_raised_point_half_way() -> None:
    for seed in range(6):
        hand = StrokeHand("one", seed)
        low = hand.write("5.5", np.random.default_rng(0), 60.0).boxes
        raised = hand.write("5·5", np.random.default_rng(0), 60.0).boxes
        assert low[1][1] > raised[1][1] + 12


def test_no_digit_swallows_the_point_beside_it() -> None:
    """A 5 whose flag would cover a raised point stands further on: with the point there is more ink than without."""
    dot = Glyph(np.ones((3, 3), np.float32), -10.0, 1.0)
    five = Glyph(np.ones((20, 14), np.float32), -20.0, 12.0)
    with_point = set_line("1·5", [five, dot, five], 5.0)
    left, top, right, bottom = with_point.boxes[1]
    around = with_point.ink[top:bottom, left - 1 : right + 1]
    assert around[:, 0].max() == around[:, -1].max() == 0


def test_no_digit_hides_behind_its_neighbour() -> None:
    one = Glyph(np.ones((20, 2), np.float32), -20.0, 2.0)
    ring = np.zeros((20, 14), np.float32)
    ring[[0, 1, -2, -1], :] = ring[:, [0, 1, -2, -1]] = 1.0
    nought = Glyph(ring, -20.0, 15.0, lead=-2.0)
    hidden, apart = (set_line("10", [one, glyph], 5.0) for glyph in (nought, Glyph(ring, -20.0, 15.0)))
    assert hidden.ink.sum() >= 0.9 * apart.ink.sum(), "the 1 would lie in the nought's left side"
    assert set_line("x0", [one, nought], 5.0).ink.sum() == ring.sum(), "other marks may touch"


def test_a_character_without_ink_is_set_beside_a_point_all_the_same() -> None:
    dot, none = Glyph(np.ones((3, 3), np.float32), -3.0, 4.0), Glyph(np.zeros((0, 0), np.float32), 0.0, 5.0)
    assert set_line(".,.", [dot, none, dot], 5.0).ink.shape == (3, 12)


def test_a_blank_parts_two_words() -> None:
    written = StrokeHand("one", 3).write("40 5", np.random.default_rng(0), 40.0)
    (_, _, end, _), (start, _, _, _) = written.boxes[1], written.boxes[3]
    assert start - end > 8
    assert written.boxes[2][1] == written.boxes[2][3]


def test_thinning_a_digit_takes_ink_off_and_keeps_it_whole() -> None:
    image = np.zeros((28, 28), np.uint8)
    image[4:24, 12:16] = 255
    thick, thin = enlarged(image, 0.0), enlarged(image, 0.45)
    assert thin.sum() < 0.8 * thick.sum()
    assert (thin.max(axis=1) > 0.5).sum() > 0.85 * (thick.max(axis=1) > 0.5).sum()


@pytest.fixture
def real_digits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with made-up files in the two sets' own formats, their splits and rounds as they are."""
    monkeypatch.setenv("INTAKE_HANDS", str(tmp_path))
    monkeypatch.setenv("INTAKE_MNIST", str(tmp_path / "none"))
    rng = np.random.default_rng(0)
    pens, pictures = tmp_path / "pen-digits", tmp_path / "semeion-digits"
    pens.mkdir()
    pictures.mkdir()
    rows = [
        f'"{i}",' + ",".join(str(v) for v in rng.integers(0, 101, 16)) + f",{i % 10}" for i in range(10_992)
    ]
    (pens / "pendigits.csv.gz").write_bytes(gzip.compress("\n".join(["head", *rows]).encode()))
    lines = [
        "".join("1" if on else "0" for on in rng.random(256) < 0.4) + f" {digit}"
        for run in (20, 20, 20, 20, 40, 40)
        for digit in range(10)
        for _ in range(run)
    ]
    (pictures / "semeion.txt.gz").write_bytes(gzip.compress("\n".join(lines).encode()))
    return tmp_path


@pytest.mark.parametrize("split", SPLITS)
def test_quick_writers_of_every_set_write_digits_letters_and_units(real_digits: Path, split: str) -> None:
    first = {hand.kind: hand for hand in quick_hands(split)}
    assert set(first) == {"quick", "pen", "semeion"}
    for hand in first.values():
        written = hand.write("S 147.5cm", np.random.default_rng(1), 40.0)
        assert 0.7 < written.ink.max() <= 1.0 and len(written.boxes) == 9
        assert hand.write("147", np.random.default_rng(5), 40.0).ink.shape[0] > 20


def test_no_row_of_the_pens_and_no_round_of_pictures_is_in_two_splits() -> None:
    assert [RANGES[s][1] for s in SPLITS[:2]] == [RANGES[s][0] for s in SPLITS[1:]]
    assert [pens.RANGES[s][1] for s in SPLITS[:2]] == [pens.RANGES[s][0] for s in SPLITS[1:]]
    rounds = [n for s in SPLITS for n in semeion.ROUNDS[s]]
    assert sorted(rounds) == list(range(6))


def test_the_pens_way_through_the_air_is_no_ink() -> None:
    """Row 9 of the file: a 5 whose flag was drawn last, the pen going back up through the air (UCI, CC BY 4.0)."""
    up = np.array([(13, 89), (12, 50), (72, 38), (56, 0), (4, 17), (0, 61), (32, 94), (100, 100)]) / 100
    points = np.column_stack([up[:, 0], 1 - up[:, 1]])
    body, flag = pens.lifted(points, 5)
    assert len(body) == 5 and np.array_equal(flag[-1], points[-1])
    assert flag[:, 1].max() < 0.4, "the flag stays at the top"
    assert len(pens.lifted(points, 6)) == 1


def test_a_barred_seven_is_not_joined_to_its_bar() -> None:
    """Rows 75 and 93 of the file: the way from the foot of a 7 to its bar makes a loop, as in a 2 (UCI, CC BY 4.0)."""
    rows = [
        [(0, 3), (42, 0), (67, 29), (53, 65), (34, 100), (16, 77), (40, 58), (100, 58)],
        [(3, 4), (53, 0), (81, 32), (83, 72), (72, 100), (100, 66), (51, 59), (0, 57)],
    ]
    for points in (np.array(row) / 100 for row in rows):
        stem, bar = pens.lifted(points, 7)
        assert len(stem) == 5 and stem[-1, 1] == 1.0
        assert np.ptp(bar[:, 0]) > 0.5 and bar[:, 1].max() < 0.65, "the bar crosses the stem in its middle"
    bare = np.array([(22, 7), (0, 5), (50, 3), (100, 0), (67, 19), (43, 44), (28, 72), (30, 100)]) / 100
    assert len(pens.lifted(bare, 7)) == 1


def test_a_quick_writer_is_the_same_again_and_has_forms_that_a_careful_one_has_not() -> None:
    one, two = (QuickHand("a", 7).write("1479", np.random.default_rng(2), 40.0).ink for _ in range(2))
    assert np.array_equal(one, two)
    assert set("0123456789SCRDWBH") == set(QUICK)
