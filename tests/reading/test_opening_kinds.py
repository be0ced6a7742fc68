"""What an opening is and how its door hangs: doors drawn here with every hinge and side, and words beside openings."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import cv2
import numpy as np
import pytest

from intake.domain.sketch.boxing import SURE
from intake.domain.sketch.words_for_openings import names_boxing, opening_named
from intake.model.reading import (
    Alternative,
    Direction,
    Feature,
    OpeningKind,
    OutlineWall,
)
from intake.reading.opening_kinds import ALONG, DEPTHS, SEEN, look_of, told, views
from intake.reading.opening_words import labels, letter_of, with_words
from intake.reading.own import CropReading
from intake.reading.sorter import Ink, Sorted
from intake.reading.texts import ReadText
from intake.reading.tidy import Cutting

ENDS = {0: ((200, 300), (800, 300)), 90: ((500, 100), (500, 700)), 180: ((800, 300), (200, 300))}


def page(a: np.ndarray, b: np.ndarray, hinge: str, into: str) -> Sorted:
    """A wall from a to b with a door in its middle fifth: a leaf square to the wall and the arc that it sweeps."""
    kinds = np.zeros((len(Ink), 800, 1000), np.uint8)
    run = (b - a) / 5
    normal = np.array([-run[1], run[0]]) * (1 if into == "room" else -1)
    start, end = a + 2 * run, a + 3 * run
    for p, q in ((a, start), (end, b)):
        cv2.line(kinds[Ink.WALL], tuple(p.astype(int)), tuple(q.astype(int)), 255, 4)
    at, latch = (start, end) if hinge == "left" else (end, start)
    turns = np.linspace(0, np.pi / 2, 12)[:, None]
    arc = at + (latch - at) * np.cos(turns) + normal * np.sin(turns)
    cv2.polylines(kinds[Ink.OPENING], [np.round(np.vstack([arc, at])).astype(np.int32)], False, 255, 3)
    return Sorted(
        kinds, np.zeros((800, 1000), np.float32), (), (), (1.0, 1.0), np.zeros((1, 1, 1), np.float32)
    )


@pytest.mark.parametrize("angle", ENDS)
@pytest.mark.parametrize(("hinge", "into"), list(product(("left", "right"), ("room", "away"))))
def test_a_door_is_seen_to_hang_and_swing_as_it_is_drawn_whichever_way_its_wall_runs(
    hinge: str, into: str, angle: int
) -> None:
    a, b = (np.array(p, float) for p in ENDS[angle])
    look = look_of((a, b, (0.4, 0.6), 750.0), page(a, b, hinge, into))
    assert look.kinds[0][0] == "door" and look.kinds[0][1] > 0.8
    assert (look.hinge, look.into) == (hinge, into) and look.swing > 0.6
    assert sum(p for _, p in look.kinds) == pytest.approx(1)


def test_an_opening_is_viewed_with_the_room_below_and_the_wall_across_wide_and_close() -> None:
    a, b = (np.array(p, float) for p in ENDS[0])
    seen = views((a, b, (0.4, 0.6), 750.0), page(a, b, "left", "room").kinds)
    assert seen.shape == (2, len(SEEN), DEPTHS, ALONG[2])
    middle = DEPTHS // 2
    for wall, opening in seen[:, :2].astype(int):
        assert wall[middle - 1 : middle + 1, 0].max() == 255
        assert opening[middle:].sum() > 5 * opening[: middle - 2].sum()


def test_chances_that_name_no_swing_give_none() -> None:
    look = told(np.array([0.1, 0.2, 0.4, 0.1, 0.1, 0.05, 0.05, 0.0]))
    assert look.kinds[0] == ("door", pytest.approx(0.7)) and (look.hinge, look.into, look.swing) == (
        "",
        "",
        0.0,
    )


def test_kinds_are_told_as_if_it_were_an_opening_and_that_it_is_none_beside() -> None:
    look = told(np.array([0.1, 0.05, 0.05, 0.0, 0.0, 0.0, 0.0, 0.8]))
    assert look.none == pytest.approx(0.8) and look.kinds[0] == ("window", pytest.approx(0.5))


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("W 120", "window"),
        ("D 76.2", "door"),
        ("back door", "door"),
        ("O 90", "doorway"),
        ("120", None),
        ("sink", None),
        ("Tür", "door"),
        ("T", "door"),
        ("Fenster", "window"),
        ("fenêtre 110", "window"),
        ("porte", "door"),
        ("Durchgang", "doorway"),
        ("Uindow", "window"),
        ("fenster tur", None),
        ("Raum", None),
        ("Ofen", None),
        ("poor", None),
        ("massage", None),
        ("Fensterbrett", None),
        ("indoor", None),
        ("open shelf", None),
        ("open", "doorway"),
        ("back wall", None),
        ("no door", None),
        ("window opens in", "window"),
        ("door window", None),
        ("oven", None),
        ("radiator", None),
        ("outside wall", None),
    ],
)
def test_words_and_letters_name_openings(text: str, kind: str | None) -> None:
    assert opening_named(text) == kind


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("boxed in", True),
        ("BOXNNG", True),
        ("Kasten", True),
        ("coffrage", True),
        ("fuse box", False),
        ("our box room", False),
        ("soil pipe", False),
        ("box round pipes", True),
        ("gas box", False),
        ("elec box", False),
        ("Zählerkasten", False),
        ("Rolladenkasten", False),
        ("Rolladen-Verkleidung", False),
        ("Koffer", False),
        ("Kosten", False),
        ("boiling tap", False),
        ("no boxing", False),
        ("boxing removed", False),
        ("Verkleidung raus", False),
    ],
)
def test_words_say_that_pipes_are_boxed_in(text: str, says: bool) -> None:
    assert names_boxing(text) is says


@pytest.mark.parametrize(
    ("word", "none", "letter"),
    [("D", 0.99, "D"), ("t.", 0.99, "T"), ("D", 0.5, ""), ("door", 0.99, ""), ("0", 0.99, "")],
)
def test_a_letter_alone_is_one_where_it_can_be_no_number(word: str, none: float, letter: str) -> None:
    assert letter_of(text(word, none)) == letter


def text(word: str, none: float = 0.99) -> ReadText:
    box = ((0.0, 0.0), (20.0, 0.0), (20.0, 30.0), (0.0, 30.0))
    cutting = Cutting(box, np.zeros((64, 40), np.uint8), box)
    return ReadText(cutting, Alternative(word, 1.0), (), 0.0, own=CropReading((), none))


def test_letters_at_heights_and_round_the_walls_say_nothing_of_openings() -> None:
    wide = replace(text("76", 0.0), numbers=(Alternative("76", 1.0),), belief=1.0, label="d")
    assert [label for label, _ in labels([wide, text("D"), text("door")], set())] == ["d", "D", "door"]
    assert labels([wide], {id(wide)}) == []
    lettered = [text(letter) for letter in "ABCD"]
    assert [label for label, _ in labels([wide, *lettered, text("door")], set())] == ["d", "door"]


@pytest.mark.parametrize("letters", ["A8CDEF", "A8CD", "8BCD", "88CDEF", "NOSW", "NESW", "8OSW"])
def test_letters_round_the_walls_or_a_compass_say_nothing_though_one_is_misread(letters: str) -> None:
    assert labels([text(letter) for letter in letters], set()) == []


def test_what_is_written_at_an_opening_weighs_and_what_stands_elsewhere_does_not() -> None:
    wall = OutlineWall(0, (0.0, 0.0), (1000.0, 0.0), Direction.EAST)
    walls = (wall, OutlineWall(1, (1000.0, 0.0), (1000.0, 800.0), Direction.SOUTH))
    kinds = (("door", 0.6), ("window", 0.4), ("doorway", 0.0))
    box = ((200.0, 0.0), (400.0, 0.0), (400.0, 0.0), (200.0, 0.0))
    feature = Feature(OpeningKind.DOOR, 0, (0.2, 0.4), box, kinds, "left", "room", 0.6)
    at = ((280.0, 20.0), (320.0, 20.0), (320.0, 40.0), (280.0, 40.0))
    far = ((680.0, 20.0), (720.0, 20.0), (720.0, 40.0), (680.0, 40.0))
    (named,) = with_words([feature], walls, [("W 120", at)])
    assert named.kind == "window" and named.hinge == named.into == "" and named.kinds[0][1] > 0.9
    assert with_words([feature], walls, [("W 120", far)]) == (feature,)


def test_a_word_outweighs_sure_ink_and_a_letter_does_not() -> None:
    """A closed door drawn as a bar across its gap looks like a window; customers write "door" at it."""
    wall = OutlineWall(0, (0.0, 0.0), (1000.0, 0.0), Direction.EAST)
    walls = (wall, OutlineWall(1, (1000.0, 0.0), (1000.0, 800.0), Direction.SOUTH))
    look = told(np.array([0.99, 0.005, 0.005, 0.0, 0.0, 0.0, 0.0, 0.0]))
    box = ((200.0, 0.0), (400.0, 0.0), (400.0, 0.0), (200.0, 0.0))
    bar = Feature(look.kinds[0][0], 0, (0.2, 0.4), box, look.kinds)
    at = ((280.0, 20.0), (320.0, 20.0), (320.0, 40.0), (280.0, 40.0))
    for written, kind in (("door", "door"), ("Tür", "door"), ("porte", "door"), ("D", "window")):
        (named,) = with_words([bar], walls, [(written, at)])
        assert named.kind == kind, written


def test_sure_ink_alone_is_as_sure_as_words_of_boxing_must_find_it() -> None:
    """What weighs the chances keeps a kind possible; what the ink says by itself is not made less sure."""
    assert told(np.array([0.99, 0.005, 0.005, 0.0, 0.0, 0.0, 0.0, 0.0])).kinds[0][1] >= SURE
