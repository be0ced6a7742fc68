"""How much of the room the photographs show."""

from __future__ import annotations

import math
from typing import NamedTuple

FILM_DIAGONAL = math.hypot(36.0, 24.0)  # mm; a "35 mm equivalent" focal length refers to this frame


class FieldOfView(NamedTuple):
    """Degrees seen across and up."""

    across: float
    up: float


def field_of_view(focal_length_35mm: float, width: int, height: int) -> FieldOfView:
    """2 atan(d / 2f) on a frame of the picture's own shape with the 35 mm diagonal (equivalence by diagonal, which is
    what telephones write; from memory). Width and height in pixels, upright."""
    diagonal = math.hypot(width, height)
    sides = (FILM_DIAGONAL * width / diagonal, FILM_DIAGONAL * height / diagonal)
    across, up = (2 * math.degrees(math.atan(side / (2 * focal_length_35mm))) for side in sides)
    return FieldOfView(across, up)


def frames_for_circle(across: float, overlap: float = 0.3) -> int:
    """Photographs that close a full circle, each `across` degrees wide, neighbours sharing `overlap` of a frame."""
    return math.ceil(360 / (across * (1 - overlap)))
