"""Where readings lie on the picture, and the order in which one goes through them."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from intake.model.picture import Picture, PictureFacts, Subject
from intake.model.reading import Role
from intake.web.overlay import in_order, overlay, small_plan
from intake.work.sketch_view import NumberView, SketchView, Trust

WIDE, HIGH = 2000, 1500


def _number(index: int, x: float, y: float, text: str = "120") -> NumberView:
    box = ((x - 20, y - 10), (x + 20, y - 10), (x + 20, y + 10), (x - 20, y + 10))
    return NumberView(
        index, f"#{index}", text, 1200, text, box, Trust.DOUBTFUL, 0.5, (), Role.SECTION, None, "", ""
    )


def _sketch(*middles: tuple[float, float]) -> SketchView:
    picture = Picture("a" * 16, "a" * 64, "b" * 64, "plan.jpg", PictureFacts(), Subject.SKETCH, 1.0, "")
    return SketchView(picture, WIDE, HIGH, "cm", tuple(_number(n, *m) for n, m in enumerate(middles)))


def test_numbers_are_gone_through_clockwise_from_the_top_left() -> None:
    top, right, bottom, left, late = (1000, 100), (1900, 750), (1000, 1400), (100, 750), (120, 160)
    assert [n.index for n in in_order(_sketch(left, late, bottom, right, top))] == [4, 3, 2, 0, 1]


@given(st.lists(st.tuples(st.floats(20, WIDE - 20), st.floats(10, HIGH - 10)), min_size=1, max_size=12))
def test_every_number_and_its_label_lie_within_the_picture(middles: list[tuple[float, float]]) -> None:
    drawn = overlay(_sketch(*middles))
    assert sorted(s.number.index for s in drawn.shapes) == list(range(len(middles)))
    left, top, wide, high = (float(v) for v in drawn.view.split())
    assert left >= -1 and top >= -1 and left + wide <= WIDE + 1 and top + high <= HIGH + 1
    for shape in drawn.shapes:
        assert shape.x >= -1 and shape.y >= -1
        assert shape.x + shape.width <= WIDE + 1 or shape.width > WIDE
        assert shape.y + shape.height <= HIGH + 1 or shape.height > HIGH


def test_a_label_stands_clear_of_the_customers_words() -> None:
    """The number has "door" under it and more words over it and at both sides: a corner is left."""
    sketch = _sketch((1000, 750))
    around = ((1000, 785), (1000, 715), (1080, 750), (920, 750))
    words = tuple(((x - 40, y - 15), (x + 40, y - 15), (x + 40, y + 15), (x - 40, y + 15)) for x, y in around)
    (shape,) = overlay(replace(sketch, words=words)).shapes
    for x, y in around:
        apart = abs(shape.x + shape.width / 2 - x) - shape.width / 2 - 40
        below = abs(shape.y + shape.height / 2 - y) - shape.height / 2 - 15
        assert max(apart, below) >= 0, (shape, x, y)


def test_a_small_plan_keeps_the_shape_and_fits() -> None:
    walls = (((0.0, 0.0), (4000.0, 0.0)), ((4000.0, 0.0), (4000.0, 2000.0)))
    points = [
        tuple(map(float, p.split())) for part in small_plan(walls).split("M")[1:] for p in part.split("L")
    ]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    assert min(xs) >= 0 and max(xs) <= 100 and min(ys) >= 0 and max(ys) <= 76
    assert abs((max(xs) - min(xs)) / (max(ys) - min(ys)) - 2.0) < 0.01


def _shared(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """The area that two rectangles (left, top, right, bottom) share."""
    across, down = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
    return max(across, 0.0) * max(down, 0.0)


def test_labels_hide_no_other_number_where_there_is_room() -> None:
    """Numbers under one another, as sill, overall and width stand at a window."""
    drawn = overlay(_sketch((300, 300), (300, 325), (300, 350), (400, 325), (1500, 900)))
    boxes = [(*s.number.box[0], *s.number.box[2]) for s in drawn.shapes]
    labels = [(s.x, s.y, s.x + s.width, s.y + s.height) for s in drawn.shapes]
    assert max(_shared(label, box) for label in labels for box in boxes) == 0
    assert max(_shared(a, b) for n, a in enumerate(labels) for b in labels[:n]) == 0
