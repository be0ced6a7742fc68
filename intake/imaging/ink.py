"""Paper and pen strokes, measured on a picture about a thousand pixels wide. Numbers only.

Depth is how much darker a pixel is than the paper round it, as a share: 0.3 is 30 % darker. Uneven light cancels out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import cv2
import numpy as np
import numpy.typing as npt

_Grey = npt.NDArray[np.uint8]
_Mask = npt.NDArray[np.bool_]
Depth = npt.NDArray[np.float32]

_PALE = 40
"""Largest spread between the channels, of 255, that still counts as white, grey or squared paper."""
_EVEN = 10
"""Largest step between neighbouring background pixels at half width; wood grain and edges of things make more."""


_LARGE = 0.1
"""Least share of the frame of a sheet that is not pale."""


_FINE = 510
"""Steps to a whole depth in which the paper's grain is told: eight bits then reach to half of it, above any grain."""
_CLEAR, _DARK_GROUND = 15, 150
"""Of 255: by how much light ink differs from its paper at least, and how light its paper is at most on the whole."""
_FEW = 0.003
"""Share of the frame: a plan's strokes are ten times that."""
_FEW_LETTERS = 8
_PLAINER, _CLEARLY_MORE = 1.5, 1.25
"""How many times the contrast a negative needs to be the plainer one, and how many times as much light as dark ink
makes it worth a look."""
_QUARTER, _EIGHTH = 0.25, 0.125
_BLOWN = 253
"""Of 255: from here on a pixel holds no more than white."""
_BRIGHT = 0.55
"""Paper is at least so bright, as a share of the brightest part of the frame."""
_LEAST_DEPTH, _GRAINS, _MOST_DEPTH, _OVER_PRINT = 0.09, 3.5, 0.3, 1.25
"""A stroke is at least so deep, so many times as deep as the paper's grain, and as the lines printed on it, though no
more than the third is asked for their sake."""
_SMOOTHED, _EDGE = 1.5, 12
"""Sigma, in pixels, over which clutter is smoothed, and the step between neighbours, of 255, that is an edge then."""
_FEWEST_PIXELS, _FLAT = 50, 1e-3
"""Fewer pixels of strokes tell nothing of a pen; the least slope that the edge of one has."""
_LONG_LINE = 0.12
"""A mark so long, in long sides of the frame, is a line."""
_LOW_LETTER, _WIDE_LETTER = 0.006, 0.06
"""A letter's least height and greatest reach, in long sides of the frame."""
_OF_PRINT, _IN_A_ROW, _OFF_THE_ROW, _OTHER_SIZE = 24, 12, 0.35, 0.6
"""Print has so many letters, so many of them in a row; how far off it one stands at most, in heights, and by how much
it differs in size, as a logarithm. All were set by hand, no source."""


class Marks(NamedTuple):
    """Connected strokes, one row each; pixels of the measured picture."""

    left: npt.NDArray[np.int64]
    top: npt.NDArray[np.int64]
    width: npt.NDArray[np.int64]
    height: npt.NDArray[np.int64]
    area: npt.NDArray[np.int64]


class WrittenSheet(NamedTuple):
    """A sheet that is written on: its background without the strokes, their depth, the sheet and the strokes as masks,
    and the marks they make. Of light ink on dark paper it is the negative that was looked at (`light`)."""

    background: _Grey
    depth: Depth
    sheet: _Mask
    strokes: _Mask
    marks: Marks
    light: bool = False


def measure_ink(rgb: _Grey, grey: _Grey) -> dict[str, float]:
    """Everything about paper and strokes that the rules ask for; the keys are explained in docs/pictures.md. `rgb` may
    be smaller than `grey`: colour is looked at in a quarter of its size."""
    written = written_in(rgb, grey)
    measured = {
        "paper": share(written.sheet),
        "ink": share(written.strokes),
        "light_ink": float(written.light),
        "clutter": clutter(grey, written.strokes),
        "blown": share((grey >= _BLOWN) & ~written.strokes),
    }
    measured |= _light_on(grey, written) | _stroke_facts(written.depth, written.strokes)
    return measured | _mark_facts(written.marks, grey.shape)


def share(mask: _Mask) -> float:
    """Of the frame. Counting is ten times faster than a mean, which makes doubles of all of it."""
    return int(np.count_nonzero(mask)) / mask.size


def written_in(rgb: _Grey, grey: _Grey) -> WrittenSheet:
    """What is written in a picture, dark on light or light on dark: the negative counts where its strokes and letters
    are the plainer ones."""
    plain = _written(rgb, grey)
    if not light_strokes(grey):
        return plain
    negative = _written(cv2.bitwise_not(rgb), cv2.bitwise_not(grey))._replace(light=True)
    plainer = _contrast(negative, cv2.bitwise_not(grey)) > _PLAINER * _contrast(plain, grey)
    return negative if plainer and _letters(negative.marks, grey.shape).sum() >= _FEW_LETTERS else plain


def light_strokes(grey: _Grey) -> bool:
    """Whether the negative is worth a look: on dark ground there are thin things lighter than it, and clearly fewer
    darker ones. Seen at a quarter of the size, in a fiftieth of the time that the negative takes."""
    quarter, eighth = (
        cv2.resize(grey, None, fx=f, fy=f, interpolation=cv2.INTER_AREA) for f in (_QUARTER, _EIGHTH)
    )
    smooth = cv2.medianBlur(
        cv2.medianBlur(eighth, 5), 5
    )  # a median is blind to what is thinner than half of it
    ground = cv2.resize(smooth, quarter.shape[::-1], interpolation=cv2.INTER_LINEAR)
    dark_ground = ground < _DARK_GROUND
    light = share((cv2.subtract(quarter, ground) > _CLEAR) & dark_ground)
    dark = share((cv2.subtract(ground, quarter) > _CLEAR) & dark_ground)
    return light > max(_FEW, _CLEARLY_MORE * dark)


def _contrast(written: WrittenSheet, grey: _Grey) -> int:
    """Grey levels between the strokes and their paper, summed. Counting marks would not do here: on dark paper the
    grain alone makes deep ones, for depth is a share of the little light there is."""
    return int(cv2.subtract(written.background, grey)[written.strokes].sum())


def _says_more(one: WrittenSheet, other: WrittenSheet) -> bool:
    shape = one.strokes.shape
    return bool(_letters(one.marks, shape).sum() > 2 * _letters(other.marks, shape).sum() + 8)


def background_of(grey: _Grey) -> _Grey:
    """The page without its strokes: the brightest nearby, smoothed; thin dark things vanish, edges of objects stay."""
    half = cv2.resize(grey, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    lifted = cv2.morphologyEx(half, cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8))
    smooth = cv2.blur(cv2.medianBlur(lifted, 5), (9, 9))
    return np.asarray(cv2.resize(smooth, grey.shape[::-1], interpolation=cv2.INTER_LINEAR), np.uint8)


def _written(rgb: _Grey, grey: _Grey) -> WrittenSheet:
    """The sheet that is written on with something darker: the pale paper, unless clearly more is written on another
    large even area (coloured paper on a white desk)."""
    background = background_of(grey)
    depth = np.maximum(0, 1 - grey / np.maximum(background, 1).astype(np.float32))
    pale, *others = (_on(background, depth, sheet) for sheet in sheets_of(rgb, background))
    return others[0] if others and _says_more(others[0], pale) else pale


def _on(background: _Grey, depth: Depth, sheet: _Mask) -> WrittenSheet:
    strokes = strokes_of(depth, sheet)
    return WrittenSheet(background, depth, sheet, strokes, marks_of(strokes))


def sheets_of(rgb: _Grey, background: _Grey) -> list[_Mask]:
    """Where the frame is bright for this picture, colourless and even; and the largest other area that is even and of
    one colour, where it is a tenth of the frame or more. Pale is judged against the colour of the brightest part, for
    lamplight is yellow."""
    quarter = tuple(max(1, side // 4) for side in background.shape[::-1])
    small, level = (cv2.resize(a, quarter, interpolation=cv2.INTER_AREA) for a in (rgb, background))
    bright = level > _BRIGHT * max(1.0, float(np.percentile(level, 97)))
    pale = _of_colour(small, np.median(small[level >= np.percentile(level, 85)], axis=0))
    even = cv2.morphologyEx(level, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8)) < _EVEN
    paper = _opened(bright & pale & even)
    other = _largest(_opened(even & ~paper))
    if other is not None:
        other = _opened(other & _of_colour(small, np.median(small[other], axis=0)))
    sheets = [paper] if other is None or share(other) < _LARGE else [paper, other]
    return [_enlarged(sheet, background.shape) for sheet in sheets]


def _of_colour(small: _Grey, colour: npt.NDArray[np.float64]) -> _Mask:
    """Where the picture has a colour, whatever its brightness."""
    colour = np.maximum(1.0, colour)
    shares = (float(colour.max()) / colour).astype(np.float32)
    red, green, blue = (small[..., i] * shares[i] for i in range(3))
    most, least = cv2.max(cv2.max(red, green), blue), cv2.min(cv2.min(red, green), blue)
    return np.asarray(cv2.blur(most - least, (5, 5)) < _PALE)


def _opened(mask: _Mask) -> _Mask:
    return np.asarray(cv2.morphologyEx(mask.view(np.uint8), cv2.MORPH_OPEN, np.ones((5, 5), np.uint8)), bool)


def _enlarged(mask: _Mask, shape: tuple[int, ...]) -> _Mask:
    return np.asarray(cv2.resize(mask.view(np.uint8), shape[1::-1], interpolation=cv2.INTER_NEAREST), bool)


def _largest(mask: _Mask) -> _Mask | None:
    """The largest connected part; None where it is less than a tenth of the frame."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask.view(np.uint8), connectivity=4)
    if len(stats) < 2:
        return None
    most = 1 + int(stats[1:, cv2.CC_STAT_AREA].argmax())
    return np.asarray(labels == most) if stats[most, cv2.CC_STAT_AREA] >= _LARGE * mask.size else None


def strokes_of(depth: Depth, paper: _Mask) -> _Mask:
    """Darker than the paper by clearly more than its own grain, and than the lines printed on it: a pen covers under
    a tenth of a page, the printed lines of squared paper a fifth."""
    near = cv2.dilate(paper.view(np.uint8), np.ones((7, 7), np.uint8)).astype(bool)
    if not near[::2, ::2].any():
        return np.zeros(depth.shape, bool)
    sample = cv2.convertScaleAbs(depth[::2, ::2], alpha=_FINE)
    grain, printed = (p / _FINE for p in percentiles(sample, near[::2, ::2], (60, 90)))
    least = max(_LEAST_DEPTH, _GRAINS * grain, min(_MOST_DEPTH, _OVER_PRINT * printed))
    return np.asarray((depth > least) & near, bool)


def marks_of(strokes: _Mask) -> Marks:
    """Connected strokes of at least eight pixels: smaller ones are noise."""
    # Of OpenCV's ways to label, this one is three times faster on thin strokes than its default.
    _, _, stats, _ = cv2.connectedComponentsWithStatsWithAlgorithm(
        strokes.view(np.uint8), 8, cv2.CV_32S, cv2.CCL_BBDT
    )
    rows = stats[1:][stats[1:, cv2.CC_STAT_AREA] >= 8].astype(np.int64)
    return Marks(*(rows[:, i] for i in range(5)))


def clutter(grey: _Grey, strokes: _Mask) -> float:
    """Share of the frame that has edges which no stroke explains: much in a room, little on a sheet of paper."""
    smooth = cv2.GaussianBlur(grey, (0, 0), _SMOOTHED)
    slope = cv2.morphologyEx(smooth, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))
    explained = cv2.dilate(strokes.view(np.uint8), np.ones((9, 9), np.uint8)).astype(bool)
    return share((slope > _EDGE) & ~explained)


def _light_on(grey: _Grey, written: WrittenSheet) -> dict[str, float]:
    """How bright the paper is, or the ink where that is the lighter of the two; and how much darker the darkest tenth
    of the paper is than its brightest: shadows across the page."""
    if not written.sheet.any():
        return {"paper_level": 0.0, "shade": 0.0}
    low, level, high = percentiles(written.background, written.sheet, (5, 50, 95))
    if written.light:
        (level,) = percentiles(grey, written.strokes, (50,))
    return {"paper_level": level, "shade": 1 - low / max(1.0, high)}


def percentiles(grey: _Grey, mask: _Mask, shares: Sequence[float]) -> list[float]:
    """As `numpy.percentile` of the pixels under the mask, counted instead of sorted: several times faster on bytes."""
    counts = (
        cv2.calcHist([grey], [0], np.ascontiguousarray(mask).view(np.uint8), [256], [0, 256])
        .ravel()
        .astype(np.int64)
    )
    up_to = counts.cumsum()
    places = np.asarray(shares) / 100 * (up_to[-1] - 1)
    below, above = (np.searchsorted(up_to, f(places), side="right") for f in (np.floor, np.ceil))
    return [float(v) for v in below + (above - below) * (places - np.floor(places))]


def _stroke_facts(depth: Depth, strokes: _Mask) -> dict[str, float]:
    """Darkness, width and softness of the strokes. `stroke_edge` is in pixels of the measured picture: the depth of a
    stroke over the slope of its edge, 2 where perfectly sharp, about 2.5 sigma under a Gaussian blur of sigma."""
    if strokes.sum() < _FEWEST_PIXELS:
        return {"stroke_depth": 0.0, "stroke_width": 0.0, "stroke_edge": 0.0}
    mask = strokes.view(np.uint8)
    inner = cv2.distanceTransform(mask, cv2.DIST_L2, 3)
    ridge = strokes & (inner >= cv2.dilate(inner, np.ones((3, 3), np.uint8)))
    rim = strokes & (cv2.erode(mask, np.ones((3, 3), np.uint8)) == 0)
    drop = cv2.dilate(depth, np.ones((9, 9), np.uint8))
    slope = cv2.magnitude(cv2.Sobel(depth, cv2.CV_32F, 1, 0), cv2.Sobel(depth, cv2.CV_32F, 0, 1)) / 8
    edge = drop[rim] / np.maximum(cv2.dilate(slope, np.ones((3, 3), np.uint8))[rim], _FLAT)
    return {
        "stroke_depth": float(np.median(depth[ridge])),
        "stroke_width": float(2 * np.median(inner[ridge]) - 1),
        "stroke_edge": float(np.median(edge)),
    }


def _mark_facts(marks: Marks, shape: tuple[int, ...]) -> dict[str, float]:
    """Counts and sizes of letter-like marks and of long lines. `text_rows` is the share of letter-like marks that stand
    in a straight row of at least twelve of about their own size: print does, figures on a plan do not."""
    total = max(1, int(marks.area.sum()))
    letters = _letters(marks, shape)
    lines = np.maximum(marks.width, marks.height) >= _LONG_LINE * max(shape)
    heights = marks.height[letters]
    return {
        "marks": float(letters.sum()),
        "mark_height": float(np.median(heights)) if len(heights) else 0.0,
        "line_share": float(marks.area[lines].sum() / total),
        "letter_share": float(marks.area[letters].sum() / total),
        "text_rows": _in_rows(marks, letters),
    }


def _letters(marks: Marks, shape: tuple[int, ...]) -> _Mask:
    """Which marks are of a letter's size."""
    long_side = max(shape)
    reach = np.maximum(marks.width, marks.height)
    return np.asarray(
        (marks.height >= _LOW_LETTER * long_side) & (reach <= _WIDE_LETTER * long_side) & (marks.width >= 2)
    )


def _in_rows(marks: Marks, letters: _Mask) -> float:
    bottoms = (marks.top + marks.height)[letters]
    heights = marks.height[letters]
    if len(bottoms) < _OF_PRINT:
        return 0.0
    near = np.abs(bottoms[:, None] - bottoms[None, :]) <= _OFF_THE_ROW * heights[:, None]
    alike = np.abs(np.log(heights[:, None] / heights[None, :])) < _OTHER_SIZE
    return float(((near & alike).sum(axis=1) >= _IN_A_ROW).mean())
