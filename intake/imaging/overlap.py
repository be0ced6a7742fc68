"""Which room photographs show part of the same view, and how far the camera turned between them.

Runs only inside the bounded child process. Camera frame: x right, y up, z forward; every pixel is a ray from the lens,
and two photographs from about one place differ by a rotation.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

import cv2
import numpy as np
import numpy.typing as npt

from intake.model.picture import Overlap, Panorama

Rays = npt.NDArray[np.float64]

USUAL_FOCAL = 26.0
"""35 mm equivalent of a telephone's main lens, where the EXIF was lost."""
_FILM_DIAGONAL = float(np.hypot(36, 24))
_LONG_SIDE = 900
_TOLERANCE = np.radians(2.5)
"""People turn on their heels with the telephone at arm's length, so near things move against far ones by this much."""
_LEAST_MATCHES = 14
_TRIALS = 400
_CONTRAST = 0.02
"""Of a feature; half of what Lowe proposes (IJCV 2004), for the sake of plain walls."""
_LIKER = 0.8
"""The ratio test of the same paper."""
_MOST_AGREE, _WIDE_APART = 0.3, 0.3
"""The share of matches that must agree on one turn, and of the frame's width that upright lines must lie apart (set by
hand, no source)."""


class View(NamedTuple):
    """Points of one photograph: where each lies as a ray (N, 3), and what it looks like (N, 128)."""

    rays: Rays
    looks: npt.NDArray[np.float32]


def compare(
    pictures: Sequence[npt.NDArray[np.uint8]], focals: Sequence[float | None], known: Collection[int] = ()
) -> Panorama:
    """All overlapping pairs among upright RGB pictures; `focals` are 35 mm equivalents where known. Pairs within
    `known`, places that were compared before, are passed over, and so are the pitches of these."""
    greys = [_small_grey(p) for p in pictures]
    lenses = [f or USUAL_FOCAL for f in focals]
    views = [_view_of(g, f) for g, f in zip(greys, lenses, strict=True)]
    pairs = ((i, j) for j in range(len(views)) for i in range(j) if not (i in known and j in known))
    found = (_overlap(i, j, views[i], views[j]) for i, j in pairs)
    pitches = tuple(None if n in known else pitch_of(greys[n], f) for n, f in enumerate(lenses))
    return Panorama(tuple(o for o in found if o), pitches)


def _small_grey(rgb: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY) if rgb.ndim == 3 else rgb
    share = _LONG_SIDE / max(grey.shape)
    if share >= 1:
        return np.asarray(grey, np.uint8)
    return np.asarray(cv2.resize(grey, None, fx=share, fy=share, interpolation=cv2.INTER_AREA), np.uint8)


def _rays(points: Rays, shape: tuple[int, ...], focal: float) -> Rays:
    """Unit rays through pixels (N, 2), for a lens of `focal` mm on a frame with the 35 mm diagonal."""
    height, width = shape[:2]
    distance = focal / _FILM_DIAGONAL * float(np.hypot(width, height))
    flat = np.column_stack(
        [points[:, 0] - width / 2, height / 2 - points[:, 1], np.full(len(points), distance)]
    )
    return np.asarray(flat / np.linalg.norm(flat, axis=1, keepdims=True), np.float64)


def _view_of(grey: npt.NDArray[np.uint8], focal: float) -> View:
    """Lowe's scale-invariant features (IJCV 2004)."""
    keys, looks = cv2.SIFT.create(nfeatures=1200, contrastThreshold=_CONTRAST).detectAndCompute(grey, None)
    if looks is None or len(keys) < 2:
        return View(np.zeros((0, 3)), np.zeros((0, 128), np.float32))
    return View(
        _rays(np.array([k.pt for k in keys], np.float64), grey.shape, focal), np.asarray(looks, np.float32)
    )


def _overlap(first: int, second: int, a: View, b: View) -> Overlap | None:
    pairs = _matches(a.looks, b.looks)
    if len(pairs) < _LEAST_MATCHES:
        return None
    from_, to = a.rays[pairs[:, 0]], b.rays[pairs[:, 1]]
    agreeing, rotation = _rotation(from_, to)
    if agreeing.sum() < max(_LEAST_MATCHES, _MOST_AGREE * len(pairs)) or not _spread(from_[agreeing]):
        return None
    ahead = rotation.T @ np.array([0.0, 0.0, 1.0])  # where the second camera looks, in the first one's frame
    turn = float(np.degrees(np.arctan2(ahead[0], ahead[2])))
    return Overlap(first, second, turn, int(agreeing.sum()))


def _matches(a: npt.NDArray[np.float32], b: npt.NDArray[np.float32]) -> npt.NDArray[np.int64]:
    """Pairs of points that are clearly each other's best likeness: ratio test 0.8 (Lowe 2004) both ways."""
    if len(a) < 2 or len(b) < 2:
        return np.zeros((0, 2), np.int64)
    forth, back = _best(a, b), _best(b, a)
    return np.array([(i, j) for i, j in forth.items() if back.get(j) == i], np.int64).reshape(-1, 2)


def _best(a: npt.NDArray[np.float32], b: npt.NDArray[np.float32]) -> dict[int, int]:
    found = cv2.BFMatcher(cv2.NORM_L2).knnMatch(a, b, k=2)
    return {m.queryIdx: m.trainIdx for m, n in found if m.distance < _LIKER * n.distance}


def _rotation(a: Rays, b: Rays) -> tuple[npt.NDArray[np.bool_], Rays]:
    """The rotation that carries most rays of `a` to their partners in `b`, from random pairs (RANSAC), then refined
    on all that agree (Kabsch 1976). The trials are seeded: the same pictures always give the same answer."""
    rng = np.random.default_rng(len(a))
    picks = rng.integers(0, len(a), (_TRIALS, 2))
    picks = picks[picks[:, 0] != picks[:, 1]]
    turns = _frames(b[picks[:, 0]], b[picks[:, 1]]) @ _frames(a[picks[:, 0]], a[picks[:, 1]]).transpose(
        0, 2, 1
    )
    least = np.cos(_TOLERANCE)
    agree = np.einsum("tij,nj,ni->tn", turns, a, b) > least
    best = agree[agree.sum(axis=1).argmax()]
    for _ in range(2):
        rotation = _kabsch(a[best], b[best])
        best = np.einsum("ij,nj,ni->n", rotation, a, b) > least
        if best.sum() < 2:
            break
    return best, rotation


def _frames(first: Rays, second: Rays) -> Rays:
    """A right-handed frame (T, 3, 3) for each pair of rays, axes in columns (the TRIAD construction)."""
    across = np.cross(first, second)
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-9)
    return np.stack([first, across, np.cross(first, across)], axis=2)


def _kabsch(a: Rays, b: Rays) -> Rays:
    u, _, vt = np.linalg.svd(b.T @ a)
    return np.asarray(u @ np.diag([1, 1, np.sign(np.linalg.det(u @ vt))]) @ vt, np.float64)


def _spread(rays: Rays) -> bool:
    """Points all on one small thing (a logo on two boxes) fix no rotation: they must span some degrees both ways."""
    across = np.degrees(np.ptp(np.arctan2(rays[:, 0], rays[:, 2])))
    up = np.degrees(np.ptp(np.arcsin(rays[:, 1])))
    return bool(min(across, up) >= 3 and max(across, up) >= 8)


def pitch_of(grey: npt.NDArray[np.uint8], focal: float) -> float | None:
    """Degrees that the camera looked up, from the vanishing point of upright lines; None where too few agree.

    Every line spans a plane with the lens; the upright direction lies in the planes of all upright lines.
    """
    lines = _upright_lines(grey)
    if len(lines) < 5:
        return None
    ends = _rays(lines[:, :2], grey.shape, focal), _rays(lines[:, 2:], grey.shape, focal)
    planes = np.cross(*ends)
    planes /= np.maximum(np.linalg.norm(planes, axis=1, keepdims=True), 1e-9)
    agreeing = _agreeing_planes(planes)
    width = grey.shape[1]
    if agreeing.sum() < 5 or np.ptp(lines[agreeing][:, 0]) < _WIDE_APART * width:
        return None
    up = np.linalg.svd(planes[agreeing])[2][-1]
    up = up if up[1] > 0 else -up
    return float(np.degrees(np.arctan2(up[2], up[1])))


def _upright_lines(grey: npt.NDArray[np.uint8]) -> Rays:
    """Straight segments (x0, y0, x1, y1) within 20 degrees of upright, at least a twelfth of the picture long."""
    found = cv2.createLineSegmentDetector().detect(grey)[0]
    if found is None:
        return np.zeros((0, 4))
    lines = np.asarray(found, np.float64).reshape(-1, 4)
    run, rise = np.abs(lines[:, 2] - lines[:, 0]), np.abs(lines[:, 3] - lines[:, 1])
    return np.asarray(lines[(rise > grey.shape[0] / 12) & (run < rise * np.tan(np.radians(20)))], np.float64)


def _agreeing_planes(planes: Rays) -> npt.NDArray[np.bool_]:
    """The planes that share one direction within 25 degrees of the picture's own up, to a degree."""
    rng = np.random.default_rng(len(planes))
    picks = rng.integers(0, len(planes), (_TRIALS, 2))
    shared = np.cross(planes[picks[:, 0]], planes[picks[:, 1]])
    shared /= np.maximum(np.linalg.norm(shared, axis=1, keepdims=True), 1e-9)
    shared = shared[np.abs(shared[:, 1]) > np.cos(np.radians(25))]
    if not len(shared):
        return np.zeros(len(planes), bool)
    agree = np.abs(shared @ planes.T) < np.sin(np.radians(1))
    return np.asarray(agree[agree.sum(axis=1).argmax()], bool)
