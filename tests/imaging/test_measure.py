"""Measurements against their published definitions and against general libraries."""

from __future__ import annotations

import io
from pathlib import Path

import cv2
import imagehash
import numpy as np
import pytest
from PIL import Image

from fixtures.photographs import as_jpeg, coloured_sheet, dark_sheet, letter_on_a_desk
from intake.imaging import measure
from intake.imaging.decode import Decoder
from intake.imaging.ink import measure_ink, percentiles
from intake.imaging.jpegtables import estimated_quality
from tests.imaging.files import raw, saved, scene


def grey_of(image: Image.Image) -> np.ndarray:
    return np.asarray(image.convert("L"))


def test_sharpness_is_the_variance_of_the_laplacian() -> None:
    """Pech-Pacheco et al., ICPR 2000: the variance of the response to the 3 x 3 Laplacian, here summed by hand."""
    grey = grey_of(scene()).astype(np.float64)
    padded = np.pad(grey, 1, mode="reflect")
    by_hand = padded[:-2, 1:-1] + padded[2:, 1:-1] + padded[1:-1, :-2] + padded[1:-1, 2:] - 4 * grey
    assert measure.sharpness(grey_of(scene())) == pytest.approx(by_hand.var(), rel=1e-4)


def test_blur_lowers_sharpness_step_by_step() -> None:
    from PIL import ImageFilter

    rough = Image.fromarray(np.random.default_rng(3).integers(0, 255, (300, 400), dtype=np.uint8))
    values = [measure.sharpness(grey_of(rough.filter(ImageFilter.GaussianBlur(r)))) for r in (0, 1, 2, 4)]
    assert values == sorted(values, reverse=True) and values[0] > 5 * values[-1]


def test_perceptual_hash_is_that_of_imagehash() -> None:
    """`imagehash.phash` (Buchner, after the description at hackerfactor.com) is the oracle, bit for bit."""
    for seed in range(20):
        image = scene(seed=seed)
        assert measure.perceptual_hash(image) == str(imagehash.phash(image))


def test_colourfulness_by_its_definition() -> None:
    """Hasler and Suesstrunk 2003, section 7. A grey picture has none; one colour has no spread, only the mean's 0.3."""
    assert measure.colourfulness(np.full((20, 20, 3), 128, np.uint8)) == 0
    flat = np.zeros((20, 20, 3), np.uint8)
    flat[..., 0] = 200  # rg = 200, yb = 100
    assert measure.colourfulness(flat) == pytest.approx(0.3 * np.hypot(200, 100), rel=1e-4)


@pytest.mark.parametrize("quality", [20, 40, 50, 75, 85, 90, 95])
def test_jpeg_quality_is_read_off_its_tables(quality: int) -> None:
    """Pillow's libjpeg scales the tables of ITU-T T.81 annex K by its quality setting."""
    tables = Image.open(io.BytesIO(saved(scene(), "JPEG", quality=quality))).quantization  # type: ignore[attr-defined]
    assert estimated_quality(tables) == quality


def test_no_tables_no_quality() -> None:
    assert estimated_quality(None) == 0


def pen_page(width: int = 1000, height: int = 1400, depth: int = 200, ruled: bool = False) -> np.ndarray:
    page = np.full((height, width, 3), 230, np.uint8)
    if ruled:
        for k in (0, 1):
            page[:, k::24] = page[k::24] = 205
    cv2.rectangle(page, (200, 200), (800, 1000), (230 - depth,) * 3, 3)
    for k in range(12):
        cv2.putText(page, "236", (210, 260 + 60 * k), cv2.FONT_HERSHEY_SIMPLEX, 0.9, (230 - depth,) * 3, 2)
    return page


def test_ink_on_plain_and_on_squared_paper_is_the_same_ink() -> None:
    plain, squared = (
        measure_ink(p, cv2.cvtColor(p, cv2.COLOR_RGB2GRAY)) for p in (pen_page(), pen_page(ruled=True))
    )
    assert plain["paper"] > 0.9 and squared["paper"] > 0.9
    assert squared["ink"] == pytest.approx(plain["ink"], rel=0.3)
    assert squared["marks"] == pytest.approx(plain["marks"], abs=6)
    assert plain["mark_height"] == pytest.approx(22, abs=5)


def test_a_shadow_across_the_page_is_not_ink() -> None:
    page = pen_page()
    light = cv2.resize(np.linspace(1, 0.5, 16, dtype=np.float32).reshape(1, 16), (1000, 1400))
    shaded = (page * light[..., None]).astype(np.uint8)
    lit = measure_ink(page, cv2.cvtColor(page, cv2.COLOR_RGB2GRAY))
    dim = measure_ink(shaded, cv2.cvtColor(shaded, cv2.COLOR_RGB2GRAY))
    assert dim["ink"] == pytest.approx(lit["ink"], rel=0.25)
    assert dim["shade"] > lit["shade"] + 0.2


def test_light_ink_on_dark_paper_is_the_same_ink() -> None:
    """A negative has the same strokes as the picture: the same share, heights, widths and depth over its ground."""
    page = pen_page(depth=150)
    dark, light = (measure_ink(p, cv2.cvtColor(p, cv2.COLOR_RGB2GRAY)) for p in (page, cv2.bitwise_not(page)))
    assert (dark["light_ink"], light["light_ink"]) == (0, 1)
    for name in ("paper", "ink", "marks", "mark_height", "stroke_width", "line_share"):
        assert light[name] == pytest.approx(dark[name], rel=0.05), name
    assert light["paper_level"] == pytest.approx(255 - 80, abs=3)  # of the ink, which is what has to be seen


def test_pale_gaps_between_dark_strokes_are_no_light_ink() -> None:
    page = np.full((900, 1200, 3), 245, np.uint8)
    for x in range(40, 1160, 14):
        cv2.line(page, (x, 40), (x, 860), (60, 60, 60), 5)  # more of it light than dark, as in a hatched wall
    assert measure_ink(page, cv2.cvtColor(page, cv2.COLOR_RGB2GRAY))["light_ink"] == 0


def test_stroke_edges_grow_with_blur() -> None:
    """The edge of a stroke under a Gaussian of sigma falls over about 2.5 sigma (its greatest slope is depth /
    (sigma sqrt(2 pi)))."""
    edges = []
    for sigma in (0.1, 1.2, 2.4):
        page = pen_page()
        cv2.rectangle(page, (200, 200), (800, 1000), (30,) * 3, 5)
        page = cv2.GaussianBlur(page, (0, 0), sigma)
        edges.append(measure_ink(page, cv2.cvtColor(page, cv2.COLOR_RGB2GRAY))["stroke_edge"])
    assert edges == sorted(edges) and edges[0] < 2.6
    assert edges[2] / edges[1] == pytest.approx(2, rel=0.4)


def test_print_stands_in_rows_and_a_plan_does_not() -> None:
    letter = letter_on_a_desk(4, fills=True).pixels
    letter = cv2.resize(letter, (1000, 1333), interpolation=cv2.INTER_AREA)
    printed = measure_ink(letter, cv2.cvtColor(letter, cv2.COLOR_RGB2GRAY))
    page = pen_page()
    drawn = measure_ink(page, cv2.cvtColor(page, cv2.COLOR_RGB2GRAY))
    assert printed["text_rows"] > 0.3 > drawn["text_rows"]
    assert drawn["line_share"] > 0.2 > printed["line_share"]


def test_every_measurement_is_explained(decoder: Decoder) -> None:
    page = (Path(__file__).parents[2] / "docs" / "pictures.md").read_text(encoding="utf-8")
    facts = decoder.examine(raw(saved(scene(), "JPEG")))[0].facts
    assert facts.extra
    for name in ("sharpness", "colourfulness", "quality", "perceptual_hash", "paper", "ink", *facts.extra):
        assert f"`{name}`" in page or f"extra.{name}`" in page, name


def _plan_on_white() -> np.ndarray:
    """A room drawn with a dark pen on white paper that fills the frame."""
    page = np.full((900, 1200, 3), 250, np.uint8)
    cv2.rectangle(page, (150, 120), (1050, 780), (40, 40, 60), 6)
    for n, (x, y) in enumerate([(250, 90), (560, 90), (880, 90), (1070, 450), (560, 840), (30, 450)] * 2):
        cv2.putText(
            page, f"{95 + 31 * n}.5", (x, y + 70 * (n > 5)), cv2.FONT_HERSHEY_SIMPLEX, 1.2, (40, 40, 60), 3
        )
    return page


@pytest.mark.parametrize("colour", ["yellow", "orange", "brown", "blue", "green", "grey"])
def test_the_strokes_on_coloured_paper_are_found_whatever_desk_it_lies_on(
    decoder: Decoder, colour: str
) -> None:
    for seed in range(3):
        shot = coloured_sheet(_plan_on_white(), seed, colour=colour)
        facts = decoder.examine(raw(as_jpeg(shot)))[0].facts
        assert facts.paper > 0.2 and 0.005 < facts.ink < 0.15, (colour, seed)
        assert facts.extra["marks"] > 20, (colour, seed)


@pytest.mark.parametrize("colour", ["black", "slate", "blueprint", "bottle green", "dark red", "brown"])
def test_light_strokes_on_dark_paper_are_found_whatever_desk_it_lies_on(
    decoder: Decoder, colour: str
) -> None:
    for seed in range(4):
        shot = dark_sheet(_plan_on_white(), seed, colour=colour)
        facts = decoder.examine(raw(as_jpeg(shot)))[0].facts
        assert facts.extra["light_ink"] == 1, (colour, seed)
        assert facts.paper > 0.2 and 0.005 < facts.ink < 0.15, (colour, seed)
        assert facts.extra["marks"] > 20, (colour, seed)


def test_percentiles_are_those_of_numpy() -> None:
    rng = np.random.default_rng(5)
    grey, mask = rng.integers(0, 256, (70, 90), dtype=np.uint8), rng.random((70, 90)) < 0.3
    shares = (0, 5, 33.3, 50, 95, 100)
    assert percentiles(grey, mask, shares) == pytest.approx(np.percentile(grey[mask], shares))
