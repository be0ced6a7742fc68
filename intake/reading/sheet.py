"""Reads our printed measuring sheet: finds its corner marks, straightens it exactly, reads it box by box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.domain.lengths.notation import parse_length
from intake.model.measuring_sheet import BOX_MM, PLAN_MM, SHEET_BOXES, SheetBox, mark_corners_mm
from intake.model.reading import Alternative, Box, Paper, ReadNumber, Role, SketchReading
from intake.reading.crops import CROP_HEIGHT, stretched
from intake.reading.ink import flatten
from intake.reading.installed import version
from intake.reading.readers import Grey, Readers
from intake.reading.ruling import paper_of
from intake.reading.sketch import default_readers, read_sketch

MARKS = cv2.aruco.DICT_4X4_50
"""The dictionary of the sheet's four marks, numbers 0 to 3."""
PER_MM = 10.0
"""Pixels a millimetre at which a box is looked at."""
FRAME_MM = 0.9
"""A box is read inside its printed frame."""
LEAST_INK_MM2 = 1.2
"""Less ink in a box than this is a speck."""
NUMBER_SIGNS = frozenset("0123456789.,")
SURE = 0.9
"""Every reader must give its best text at least this for it to be accepted without a person."""
LIKELY = 0.3
"""A text less likely than this is not taken for a number."""
PLAUSIBLE_MM: dict[Role, tuple[int, int]] = {
    Role.CEILING: (2100, 3000),
    Role.SILL: (5, 1400),
    Role.HEAD: (300, 2000),
    Role.REVEAL: (5, 400),
    Role.OPENING: (300, 5000),
}
"""Common practice, no source; outside it a person looks."""

_DETECT_SIDE = 2000
Turn = NDArray[np.float64]
_INK = 150
"""The grey level below which a mark in a box is ink."""
_LEAST_MM2, _FRAME_LINE_MM = 0.02, 0.6
"""Smaller marks are specks, thinner ones at a box's edge its frame."""
_INSIDE_MM, _ROUND = 1.5, 0.2
"""How far within its frame the drawing area is taken, and the room left round writing, in its heights. All were set by
hand, no source."""


def read_page(rgb: NDArray[np.uint8], readers: Readers | None = None) -> SketchReading:
    """Whatever plan `rgb` shows (uint8, height x width x 3, after its EXIF orientation): a measuring sheet by
    its boxes and its drawing area, any other paper as a sketch. Never raises for what the picture shows."""
    readers = readers or default_readers()
    turn = find_sheet(rgb)
    if turn is None:
        read = read_sketch(rgb, readers)
        return replace(read, version=version(), paper=paper_of(rgb, [number.box for number in read.numbers]))
    drawn = read_sketch(_only_the_plan(rgb, turn), readers)
    numbers = (*drawn.numbers, *read_boxes(rgb, turn, readers))
    return replace(drawn, numbers=numbers, version=version(), paper=Paper.OURS)


def find_sheet(rgb: NDArray[np.uint8]) -> Turn | None:
    """The perspective from the sheet's millimetres to the picture's pixels, by least squares over all corners
    of the marks seen; None where fewer than three of the four are seen."""
    scale = min(1.0, _DETECT_SIDE / max(rgb.shape[:2]))
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else rgb
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(MARKS), parameters)
    corners, ids, _ = detector.detectMarkers(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY))
    seen = {} if ids is None else dict(zip(np.ravel(ids).tolist(), corners, strict=True))
    ours = [mark for mark in range(4) if mark in seen]
    if len(ours) < 3:
        return None
    paper = np.array([c for mark in ours for c in mark_corners_mm(mark)], np.float64)
    pixels = np.concatenate([seen[mark].reshape(4, 2) for mark in ours]).astype(np.float64) / scale
    turn, _ = cv2.findHomography(paper, pixels)
    return None if turn is None or not np.isfinite(turn).all() else np.asarray(turn, np.float64)


def _onto(turn: Turn, points_mm: Sequence[tuple[float, float]]) -> Box:
    """Millimetres on the sheet as pixels of the picture."""
    moved = cv2.perspectiveTransform(np.array([points_mm], np.float64), turn)[0]
    a, b, c, d = ((float(x), float(y)) for x, y in moved)
    return a, b, c, d


def read_boxes(rgb: NDArray[np.uint8], turn: Turn, readers: Readers) -> tuple[ReadNumber, ...]:
    """The first two readers there are, the best ones, read every box that is written in."""
    flat = flatten(rgb)
    inked = [(box, found) for box in SHEET_BOXES if (found := _ink_in(flat, turn, box)) is not None]
    crops = [crop for _, (crop, _) in inked]
    votes = [reader.read(crops) for reader in readers.crops[:2]] if crops else []
    numbers = []
    for n, (box, (_, corners)) in enumerate(inked):
        number = _number(box, corners, [vote[n] for vote in votes])
        numbers += [number] if number else []
    return tuple(numbers)


def _ink_in(flat: Grey, turn: Turn, box: SheetBox) -> tuple[Grey, Box] | None:
    """The writing in one box, cut tight, and its corners in the picture; None for an empty box."""
    view = _straight(flat, turn, box)
    ink = np.asarray(view < _INK, np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    kept = [n for n in range(1, count) if _is_writing(stats[n], ink.shape)]
    area = sum(int(stats[n][cv2.CC_STAT_AREA]) for n in kept)
    if area < LEAST_INK_MM2 * PER_MM**2:
        return None
    ys, xs = np.nonzero(np.isin(labels, kept))
    left, top, right, bottom = int(xs.min()), int(ys.min()), int(xs.max()) + 1, int(ys.max()) + 1
    grow = round(_ROUND * (bottom - top))
    clean = np.where(np.isin(labels, kept) | (ink == 0), view, 255).astype(np.uint8)
    wide = cv2.copyMakeBorder(clean, grow, grow, grow, grow, cv2.BORDER_CONSTANT, value=(255,))
    crop = wide[top : bottom + 2 * grow, left : right + 2 * grow]
    size = (max(8, round(crop.shape[1] * CROP_HEIGHT / crop.shape[0])), CROP_HEIGHT)
    small = np.asarray(cv2.resize(crop, size, interpolation=cv2.INTER_AREA), np.uint8)
    x0, y0 = box.x_mm + FRAME_MM, box.y_mm + FRAME_MM
    edges = [
        (x0 + x / PER_MM, y0 + y / PER_MM)
        for x, y in ((left, top), (right, top), (right, bottom), (left, bottom))
    ]
    return stretched(small), _onto(turn, edges)


def _straight(flat: Grey, turn: Turn, box: SheetBox) -> Grey:
    """The inside of a box, straightened, at PER_MM."""
    (x, y), (w, h) = (
        (box.x_mm + FRAME_MM, box.y_mm + FRAME_MM),
        (BOX_MM[0] - 2 * FRAME_MM, BOX_MM[1] - 2 * FRAME_MM),
    )
    size = (round(w * PER_MM), round(h * PER_MM))
    corners = np.array(_onto(turn, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]), np.float32)
    target = np.array([(0, 0), (size[0], 0), size, (0, size[1])], np.float32)
    warp = cv2.getPerspectiveTransform(corners, target)
    return np.asarray(
        cv2.warpPerspective(flat, warp, size, flags=cv2.INTER_AREA, borderValue=(255,)), np.uint8
    )


def _is_writing(stats: NDArray[np.int32], shape: tuple[int, ...]) -> bool:
    """Not a speck, and not a piece of the printed frame: flat against an edge of the box."""
    x, y, w, h, area = (int(v) for v in stats)
    if area < _LEAST_MM2 * PER_MM**2:
        return False
    high, wide = shape[0], shape[1]
    along_edge = (y <= 1 or y + h >= high - 1) and h < _FRAME_LINE_MM * PER_MM and w > h
    up_edge = (x <= 1 or x + w >= wide - 1) and w < _FRAME_LINE_MM * PER_MM and h > w
    return not (along_edge or up_edge)


def _number(box: SheetBox, corners: Box, votes: Sequence[tuple[Alternative, ...]]) -> ReadNumber | None:
    """What the readers make of one box; None where they see no number in it."""
    plain = [tuple(a for a in vote if set(a.text) <= NUMBER_SIGNS) for vote in votes]
    mean: dict[str, float] = {}
    for vote in plain:
        for alternative in vote:
            text = alternative.text.replace(",", ".")
            mean[text] = mean.get(text, 0.0) + alternative.confidence / max(1, len(plain))
    ranked = sorted(mean.items(), key=lambda kv: -kv[1])
    if not ranked or ranked[0][1] < LIKELY:
        return None
    text, confidence = ranked[0]
    value = parse_length(text, "cm")
    low, high = PLAUSIBLE_MM[box.role]
    tops = [(v[0].text.replace(",", "."), v[0].confidence) for v in plain if v]
    agreed = len(tops) > 1 and all(t == text and c >= SURE for t, c in tops)
    others = tuple(Alternative(t, c) for t, c in ranked[1:4])
    return ReadNumber(
        text,
        value,
        corners,
        min(1.0, confidence),
        agreed and value is not None and low <= value <= high,
        others,
        box.role,
        reader=f"sheet box {box.id}",
    )


def _only_the_plan(rgb: NDArray[np.uint8], turn: Turn) -> NDArray[np.uint8]:
    """The picture with all but the drawing area painted in that area's own paper colour."""
    x, y = PLAN_MM[0] + _INSIDE_MM, PLAN_MM[1] + _INSIDE_MM
    w, h = PLAN_MM[2] - 2 * _INSIDE_MM, PLAN_MM[3] - 2 * _INSIDE_MM
    corners = np.array(_onto(turn, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]), np.int32)
    area = np.zeros(rgb.shape[:2], np.uint8)
    cv2.fillPoly(area, [corners], (255,))
    paper = np.percentile(rgb[area > 0], 75, axis=0) if area.any() else np.array([255, 255, 255])
    return np.where(area[..., None] > 0, rgb, paper.astype(np.uint8))
