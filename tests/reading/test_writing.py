"""Numbers whose box the sorter drew too short or not at all: what is done about them, on pages written here."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from fixtures.hands.fractions import write_half
from fixtures.hands.strokes import StrokeHand
from intake.model.reading import Alternative, Box
from intake.reading.ctc import Sign
from intake.reading.line_parts import NumberPiece, pieces, with_stroke
from intake.reading.own import CropReading, OwnReader
from intake.reading.ppocr import PaddleReader, weights_folder
from intake.reading.sorter import ROLES, Ink, Sorted
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import Cutting, reaches, tidy
from intake.reading.unclaimed import unclaimed
from intake.reading.votes import agreed
from intake.reading.ways_up import likelier
from intake.reading.writing import _labelled, read_writing

HIGH = 30


@dataclass
class Paper:
    """A page (paper 255) with numbers written on it, and where each stands."""

    page: NDArray[np.uint8]
    boxes: dict[str, Box]

    def sorted_with(self, *boxes: Box) -> Sorted:
        """The page as a sorter would give it that tells all ink for writing and found these numbers alone."""
        kinds = np.zeros((len(Ink), *self.page.shape), np.uint8)
        kinds[Ink.WRITING] = np.where(self.page < 200, 255, 0)
        kinds[Ink.NONE] = 255 - kinds[Ink.WRITING]
        height, width = self.page.shape
        meanings = np.zeros((len(ROLES) + 8, height // 8, width // 8), np.float32)
        return Sorted(kinds, np.zeros(self.page.shape, np.float32), boxes, boxes, (1.0, 1.0), meanings)


def _paper(*texts: str) -> Paper:
    """Texts below one another in one hand."""
    page = np.full((120 * len(texts) + 80, 480), 255, np.uint8)
    boxes: dict[str, Box] = {}
    for row, text in enumerate(texts):
        ink = StrokeHand("test", 10_021).write(text, np.random.default_rng(row), HIGH).ink
        ys, xs = np.nonzero(ink > 0.3)
        ink = ink[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]
        top, (high, wide) = 120 * row + 60, ink.shape
        page[top : top + high, 160 : 160 + wide] = np.round(255 - 200 * ink)
        boxes[text] = _box(158, top - 2, 162 + wide, top + high + 2)
    return Paper(page, boxes)


def _box(left: float, top: float, right: float, bottom: float) -> Box:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _without_first_sign(paper: Paper, text: str) -> Box:
    """The text's box from its second sign on."""
    (left, top), _, (right, bottom), _ = paper.boxes[text]
    part = paper.page[round(top) : round(bottom), round(left) : round(right)] < 200
    filled = np.flatnonzero(part.any(axis=0))
    gap = int(np.flatnonzero(np.diff(filled) > 1)[0])
    return _box(left + (filled[gap] + filled[gap + 1]) / 2, top, right, bottom)


@pytest.fixture(scope="module")
def eyes() -> CropReaders:
    folder = weights_folder()
    assert folder is not None
    paddle = PaddleReader(folder / "PP-OCRv6_rec_small.onnx")
    own = OwnReader()
    return CropReaders((paddle, own), paddle, own)


def test_signs_that_stand_close_are_seen_and_those_further_off_are_not() -> None:
    page = np.full((100, 400), 255, np.uint8)
    for left in (60, 90, 120, 250):  # strokes as wide as digits, of which the last stands by itself
        cv2.rectangle(page, (left, 30), (left + 22, 60), 0, 3)
    before, after = reaches(page, _box(90, 30, 113, 61))
    assert before == pytest.approx([30 / 31 + 0.05], abs=0.12)
    assert after == pytest.approx([30 / 31 + 0.05], abs=0.12)
    assert reaches(page, _box(250, 30, 273, 61)) == ([], [])


def test_a_number_whose_first_digit_was_left_out_is_read_whole_and_never_accepted_by_itself(
    eyes: CropReaders,
) -> None:
    paper = _paper("1190", "2360", "1845")
    short = _without_first_sign(paper, "1190")
    ink = paper.sorted_with(short, paper.boxes["2360"], paper.boxes["1845"])
    texts = read_writing(paper.page, ink, eyes)
    found = {text.numbers[0].text: text for text in texts if text.numbers}
    assert set(found) == {"1190", "2360", "1845"}
    assert found["1190"].shorter > 0.3, "what was read without the 1 speaks against it"
    assert found["2360"].rival == 0.0 and not found["2360"].close


def test_a_digit_that_touches_what_is_struck_above_it_is_read_with_its_number(eyes: CropReaders) -> None:
    paper = _paper("3685", "240", "184.5")
    (left, top), (right, _), *_ = paper.boxes["240"]
    struck = np.arange(round(top) - 9, round(top), 4)
    for row in struck:
        cv2.line(paper.page, (round(left) - 10, int(row)), (round(right) + 30, int(row)), (55,), 2)
    digit = np.flatnonzero((paper.page[round(top) + 2 : round(top) + 8] < 200).any(axis=0))[0] + 6
    cv2.line(paper.page, (int(digit), int(struck[0])), (int(digit), round(top) + 6), (55,), 3)
    assert "240" not in _read_of(tidy(paper.page, paper.boxes["240"]), eyes), (
        "it would be painted out with that"
    )
    texts = read_writing(paper.page, paper.sorted_with(*paper.boxes.values()), eyes)
    found = {text.numbers[0].text: text for text in texts if text.numbers and text.strength > 0.5}
    assert set(found) == {"3685", "240", "184.5"}
    assert found["240"].shorter > 0.3, "what was read without the 2 speaks against it"


def _read_of(cutting: Cutting, eyes: CropReaders) -> str:
    (text,) = eyes.look([cutting])
    return text.numbers[0].text


def test_two_numbers_side_by_side_are_no_longer_one_than_a_room(eyes: CropReaders) -> None:
    paper = _paper("90", "70", "184.5", "236")
    (left, top), (right, _), (_, bottom), _ = paper.boxes["70"]
    (_, at), (beside, _), *_ = paper.boxes["90"]
    there = (slice(round(top), round(bottom)), slice(round(left), round(right)))
    digits = paper.page[there].copy()
    paper.page[there] = 255
    high, wide = digits.shape
    paper.page[round(at) : round(at) + high, round(beside) + 4 : round(beside) + 4 + wide] = digits
    paper.boxes["70"] = _box(beside + 4, at, beside + 4 + wide, at + high)
    texts = read_writing(paper.page, paper.sorted_with(*paper.boxes.values()), eyes)
    assert sorted(text.numbers[0].text for text in texts if text.numbers) == ["184.5", "236", "70", "90"]


def _line_and_numbers(line: str, spelt: str, *numbers: str) -> tuple[ReadText, list[ReadText]]:
    """A line of one part as PP-OCR and the project's own recogniser spell it, and the numbers read in it, one after
    another."""
    said = tuple((Alternative(text, 0.95),) for text in numbers)
    boxes = [_box(100 * k, 0, 100 * k + 90, 40) for k in range(len(numbers))]
    nothing = np.full((64, 200), 255, np.uint8)
    read = [ReadText(Cutting(b, nothing, b), a[0], a, 0.95) for b, a in zip(boxes, said, strict=True)]
    whole = _box(0, 0, 100 * len(numbers), 40)
    part = (NumberPiece(line, True, (0.0, 1.0)),)
    own = CropReading((Alternative(spelt, 0.5),), 0.1)
    return ReadText(Cutting(whole, nothing, whole), Alternative(line, 1.0), (), 0.5, part, own=own), read


@pytest.mark.parametrize(
    ("line", "spelt", "numbers", "more"),
    [
        ("4253", "42.53", ("42", "53"), False),  # 42x53: a thing's width and depth
        ("34030", "34=30", ("34", "30"), False),
        ("34030", "34030", ("34", "30"), True),
        ("122", "122", ("22",), True),
    ],
)
def test_a_line_of_two_numbers_says_no_more_of_either(
    line: str, spelt: str, numbers: tuple[str, ...], more: bool
) -> None:
    words, read = _line_and_numbers(line, spelt, *numbers)
    assert {_labelled(number, [words], read).more_in_line for number in read} == {more}


def test_of_two_ways_up_the_other_one_stays_among_what_may_be_meant() -> None:
    """18.5 with a small raised 5 is 581 to whoever turns the sheet."""
    _, (over, upright) = _line_and_numbers("", "", "581", "18.5")
    over, upright = replace(over, belief=0.8), replace(upright, belief=0.6)
    for both in ((over, upright), (upright, over)):
        read = likelier(*both)
        assert [a.text for a in read.numbers] == ["581", "18.5"] and read.rival == upright.strength
        assert [a.confidence for a in read.numbers] == pytest.approx([0.95, 0.05])
    alone = likelier(over, replace(upright, numbers=()))
    assert alone == over, "nothing is read the other way up"


def test_of_two_ways_up_the_one_kept_says_its_own_text_first() -> None:
    """Its box, its cutting and its readers' votes are of the way that says 185, however sure the other is of 581."""
    _, (kept, over) = _line_and_numbers("", "", "185", "581")
    kept = replace(kept, belief=1.0, numbers=(Alternative("185", 0.6), Alternative("186", 0.38)))
    over = replace(over, belief=0.59, numbers=(Alternative("581", 0.99),))
    read = likelier(kept, over)
    assert read.numbers[0] == kept.numbers[0] and read.strength == kept.strength > over.strength == read.rival
    assert {a.text for a in read.numbers} == {"185", "581", "186"}
    assert sum(a.confidence for a in read.numbers) <= 1.0


def _signs(text: str) -> list[Sign]:
    return [Sign(sign, frame, 1.0) for frame, sign in enumerate(text)]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("86/201", ["86", "/", "201"]),  # an opening's width and height: DIN 1356-1, from memory
        ("88.5/213,5cm", ["88.5", "/", "213,5cm"]),
        ("86/", ["86", "/"]),
        ("77/2", ["77/2"]),  # what is left of 7 1/2 and the like
        ("1/2", ["1/2"]),
        ("24/12", ["24/12"]),  # Christmas Eve
        ("12/10/24", ["12/10/24"]),
        ("11/2026", ["11/2026"]),
        ("45/64", ["45/64"]),
    ],
)
def test_a_stroke_parts_a_width_and_a_height_and_no_half_or_date(text: str, parts: list[str]) -> None:
    blank = np.full((48, 8 * len(text)), 255, np.uint8)
    assert [piece.text for piece in pieces(_signs(text), blank)] == parts


@pytest.mark.parametrize(
    ("seen", "spelt", "text"),
    [
        ("861201", "86/201", "86/201"),
        ("86 1201", "86/201", "86 /201"),
        ("86201", "86/201", "86201"),  # it saw no sign there
        ("7112", "7.5", "7112"),
        ("861201", "861201", "861201"),
    ],
)
def test_a_sign_is_a_stroke_where_the_own_recogniser_spells_one(seen: str, spelt: str, text: str) -> None:
    assert "".join(sign.text for sign in with_stroke(_signs(seen), spelt)) == text


def test_width_and_height_beside_a_stroke_are_two_numbers(eyes: CropReaders) -> None:
    paper = _paper("86", "201", "184.5")
    (left, top), (right, _), (_, bottom), _ = paper.boxes["201"]
    (_, at), (beside, _), (_, low), _ = paper.boxes["86"]
    there = (slice(round(top), round(bottom)), slice(round(left), round(right)))
    digits = paper.page[there].copy()
    paper.page[there] = 255
    high, wide = digits.shape
    start = round(beside) + 34
    paper.page[round(at) : round(at) + high, start : start + wide] = digits
    cv2.line(paper.page, (start - 28, round(low) + 4), (start - 5, round(at) - 4), (55,), 3)
    del paper.boxes["201"]
    paper.boxes["86"] = _box(158, at, start + wide + 2, low + 2)
    texts = read_writing(paper.page, paper.sorted_with(*paper.boxes.values()), eyes)
    assert sorted(text.numbers[0].text for text in texts if text.numbers) == ["184.5", "201", "86"]


@pytest.mark.parametrize("gap", [0.3, 0.6, 0.9])
@pytest.mark.parametrize(("behind", "says"), [("half", "77.5"), ("44", "77")])
def test_a_half_that_stands_apart_is_its_numbers_and_nothing_else_is(
    eyes: CropReaders, gap: float, behind: str, says: str
) -> None:
    """As people write "77 1/2" (common practice, no source)."""
    paper = _paper("236", "77", "184.5")
    hand, rng = StrokeHand("test", 10_021), np.random.default_rng(5)
    written = (
        write_half(hand, "7", rng, HIGH, level=False) if behind == "half" else hand.write(behind, rng, HIGH)
    )
    mark = written.ink[:, written.boxes[-1][0] :] if behind == "half" else written.ink
    left, bottom = round(paper.boxes["77"][1][0] + gap * HIGH), round(paper.boxes["77"][2][1]) - 2
    there = paper.page[bottom - mark.shape[0] : bottom, left : left + mark.shape[1]]
    there[:] = np.minimum(there, np.round(255 - 200 * mark))
    texts = read_writing(paper.page, paper.sorted_with(*paper.boxes.values()), eyes)
    found = {text.numbers[0].text.replace(",", ".") for text in texts if text.numbers and text.strength > 0.5}
    assert says in found and found <= {"236", "184.5", says, behind}


def test_a_number_with_squared_paper_as_dark_as_its_ink_is_read(eyes: CropReaders) -> None:
    paper = _paper("236", "84.5", "187")
    ink = paper.sorted_with(*paper.boxes.values())
    ruled = paper.page.copy()
    ruled[::24] = ruled[:, ::24] = 55
    ruled[1::24] = ruled[:, 1::24] = 55
    near = cv2.dilate(ink.kinds[Ink.WRITING], np.ones((15, 15), np.uint8))
    ink.kinds[Ink.WRITING] = np.maximum(ink.kinds[Ink.WRITING], np.where((ruled < 200) & (near > 0), 90, 0))
    texts = read_writing(ruled, ink, eyes)
    assert sorted(text.numbers[0].text for text in texts if text.numbers) == ["187", "236", "84.5"]


def test_writing_that_no_line_holds_is_read_all_the_same(eyes: CropReaders) -> None:
    paper = _paper("236", "84.5", "187")
    ink = paper.sorted_with(paper.boxes["236"], paper.boxes["187"])
    (box,) = unclaimed(ink)
    assert np.abs(np.asarray(box).mean(axis=0) - np.asarray(paper.boxes["84.5"]).mean(axis=0)).max() < 4
    texts = read_writing(paper.page, ink, eyes)
    assert sorted(text.numbers[0].text for text in texts if text.numbers) == ["187", "236", "84.5"]


def test_a_page_whose_writing_is_all_found_has_nothing_unclaimed() -> None:
    paper = _paper("236", "84.5")
    assert unclaimed(paper.sorted_with(*paper.boxes.values())) == []
    assert unclaimed(paper.sorted_with()) == [], "without any number its size is not known"


def test_feet_and_inches_are_an_ordinary_form_on_a_sketch_in_feet_and_a_strange_one_elsewhere() -> None:
    said = [(Alternative("5'3\"", 0.98),)]
    assert agreed(said, feet=True)[0].confidence == pytest.approx(0.98)
    assert agreed(said)[0].confidence < 0.8


def _half(page: NDArray[np.uint8], left: int, top: int) -> int:
    """Writes a 1 over a slanted bar over a 2, `HIGH` high in all, at the left; where it ends."""
    hand, half = StrokeHand("test", 10_021), HIGH * 0.55
    for text, at, down in (("1", left, top), ("2", left + round(0.55 * HIGH), top + round(0.5 * HIGH))):
        ink = hand.write(text, np.random.default_rng(3), half).ink
        ys, xs = np.nonzero(ink > 0.3)
        ink = ink[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]
        high, wide = ink.shape
        there = page[down : down + high, at : at + wide]
        there[:] = np.minimum(there, np.round(255 - 200 * ink))
    start, end = (left + round(0.1 * HIGH), top + HIGH), (left + round(0.75 * HIGH), top)
    cv2.line(page, start, end, (55,), 3, cv2.LINE_AA)
    return left + round(1.1 * HIGH)


def test_a_half_whose_strokes_run_together_is_read_as_one_or_not_surely(eyes: CropReaders) -> None:
    paper = _paper("90", "86", "312")
    for text in ("90", "86"):
        (left, top), (right, _), (_, bottom), _ = paper.boxes[text]
        end = _half(paper.page, round(right) + 3, round(top) + 2)
        paper.boxes[text] = _box(left, top, end, bottom + 4)
    texts = read_writing(paper.page, paper.sorted_with(*paper.boxes.values()), eyes)
    found = {text.numbers[0].text: text for text in texts if text.numbers}
    assert len(found) == 3 and "312" in found
    assert all(text in ("90.5", "86.5", "312") or found[text].strength < 0.8 for text in found)
