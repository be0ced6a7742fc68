"""The generator as a whole: repeatable, kept apart by split, varied, and able to make bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from fixtures.sketches import KINDS, SPLITS, choose_style, render, special
from fixtures.sketches.furnish import random_room
from fixtures.sketches.measuring import measure
from fixtures.sketches.shapes import SHAPES
from fixtures.sketches.style import CHOICES, split_of
from tests.sketches.scenes import sketch, stroke_hands


def test_the_same_seed_and_split_give_the_same_file() -> None:
    again = render(1, "test", slips=0, long_side=1600, hand=stroke_hands("test")[1])
    assert again.jpeg == sketch(1, "test").jpeg
    assert again.truth == sketch(1, "test").truth
    assert again.jpeg != sketch(1, "validation").jpeg
    assert again.jpeg != sketch(2, "test").jpeg


def test_no_layout_family_paper_or_desk_is_in_two_splits() -> None:
    seen: dict[str, dict[str, set[str]]] = {split: {} for split in SPLITS}
    for split in SPLITS:
        rng = np.random.default_rng(5)
        for _ in range(300):
            style = choose_style(rng, split)
            names = {
                "layout": style.layout.family,
                "paper": str(style.paper.texture_seed),
                "desk": str(style.shot.desk_seed),
            }
            for kind, name in names.items():
                assert split_of(kind, name) == split
                seen[split].setdefault(kind, set()).add(name)
    for kind in ("layout", "paper", "desk"):
        for one, other in ((0, 1), (0, 2), (1, 2)):
            assert not seen[SPLITS[one]][kind] & seen[SPLITS[other]][kind]


@pytest.mark.parametrize("split", SPLITS)
def test_every_single_convention_occurs_in_every_split(split: str) -> None:
    rng = np.random.default_rng(6)
    styles = [choose_style(rng, split) for _ in range(400)]
    for axis, (names, _) in CHOICES.items():
        assert {getattr(style.layout, axis) for style in styles} == set(names)
    assert {style.wording.unit for style in styles} == {"cm", "mm", "m", "ft"}
    assert {style.paper.kind for style in styles} == {
        "plain",
        "lined",
        "squared",
        "graph",
        "envelope",
        "card",
    }


def test_every_shape_and_role_occurs() -> None:
    rng = np.random.default_rng(7)
    rooms = [random_room(rng) for _ in range(300)]
    assert {room.shape for room in rooms} == set(SHAPES)
    roles = {str(m.role) for room in rooms for m in measure(room, rng).measures}
    assert roles == {
        "wall-section",
        "overall",
        "opening",
        "ceiling-height",
        "sill-height",
        "head-height",
        "reveal-depth",
        "fixture",
        "unknown",
    }


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"small", "two-sketches", "screen"}))
def test_pictures_without_a_plan_have_no_numbers(kind: str) -> None:
    picture = special(kind, 2)
    assert picture.truth["special"] == kind
    assert picture.truth["numbers"] == [] and picture.truth["outline"]["walls"] == []
    if kind == "black":
        assert picture.image.max() == 0


def test_two_sketches_on_a_page_keep_their_truths_apart() -> None:
    both = special("two-sketches", 1).truth
    first, second = both["sketches"]
    assert len(both["numbers"]) == len(first["numbers"]) + len(second["numbers"])
    assert max(len(one["outline"]["walls"]) for one in (first, second)) >= 4


def test_a_small_picture_is_small() -> None:
    assert max(special("small", 0).image.shape) <= 640


def test_an_unknown_kind_or_split_is_refused() -> None:
    with pytest.raises(ValueError, match="kind is one of"):
        special("nothing", 0)
    with pytest.raises(ValueError, match="split is one of"):
        choose_style(np.random.default_rng(0), "exam")


def test_the_command_writes_pictures_with_their_truth(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "fixtures.sketches", "--out", str(tmp_path), "--count", "1"]
    subprocess.run([*command, "--long-side", "1200", "--seed", "4"], check=True, capture_output=True)
    truth = json.loads((tmp_path / "0000.json").read_text(encoding="utf-8"))
    assert (tmp_path / "0000.jpg").stat().st_size > 20_000
    assert max(truth["image"].values()) == 1200
    assert truth["style"]["split"] == "validation"


def test_a_pencil_on_card_is_pressed_hard() -> None:
    rng = np.random.default_rng(8)
    on_card = [
        style for style in (choose_style(rng, "training") for _ in range(400)) if style.paper.kind == "card"
    ]
    assert on_card
    assert min(min(style.wall_pen.strength, style.text_pen.strength) for style in on_card) >= 0.8
