"""What the camera wrote into the picture: claims by the sender, none of them kept beyond these."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any

from PIL import Image

# Exif 2.32 (CIPA DC-008), section 4.6: tag numbers.
_ORIENTATION, _MODEL, _EXIF_IFD = 0x0112, 0x0110, 0x8769
_TAKEN, _ZONE, _FOCAL_35, _WIDTH, _HEIGHT = 0x9003, 0x9011, 0xA405, 0xA002, 0xA003


def orientation(image: Image.Image) -> int:
    """1 to 8; 1 where unknown."""
    value = _tags(image).get(_ORIENTATION, 1)
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def facts_of(image: Image.Image, turned: bool) -> dict[str, Any]:
    """exif_size (upright), focal_length_35mm, taken_at (RFC 3339), whether a camera is named; absent ones left out."""
    tags = _tags(image)
    inner = _parsed(lambda: image.getexif().get_ifd(_EXIF_IFD))
    facts: dict[str, Any] = {"extra": {}}
    size = _positive(inner.get(_WIDTH)), _positive(inner.get(_HEIGHT))
    if size[0] and size[1]:
        facts["exif_size"] = size[::-1] if turned else size
    if focal := _positive(inner.get(_FOCAL_35)):
        facts["focal_length_35mm"] = focal
    if taken := _taken_at(_text(inner.get(_TAKEN)), _text(inner.get(_ZONE))):
        facts["taken_at"] = taken.isoformat()
    facts["extra"]["camera"] = float(bool(tags.get(_MODEL)))
    return facts


def _tags(image: Image.Image) -> dict[int, Any]:
    """The first directory."""
    return _parsed(image.getexif)


def _parsed(directory: Callable[[], Mapping[int, Any]]) -> dict[int, Any]:
    """A directory, or nothing where it cannot be parsed: broken EXIF is common and harms no picture, and Pillow fails
    on it with errors of a dozen kinds."""
    try:
        return dict(directory())
    except Exception:
        return {}


def _text(value: object) -> str:
    return "".join(c for c in value if c.isprintable())[:80].strip() if isinstance(value, str) else ""


_MOST_PIXELS = 1_000_000
"""Along a side; more is no camera's."""


def _positive(value: object) -> int:
    try:
        number = int(value)  # type: ignore[call-overload]
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return 0
    return number if 0 < number < _MOST_PIXELS else 0


def _taken_at(text: str, zone: str) -> datetime | None:
    """UTC where the camera wrote its zone (Exif 2.31 on); its local time taken as UTC where it did not, good enough
    to put one customer's pictures in order."""
    for written, pattern in ((f"{text} {zone}", "%Y:%m:%d %H:%M:%S %z"), (text, "%Y:%m:%d %H:%M:%S")):
        try:
            moment = datetime.strptime(written, pattern)
        except ValueError:
            continue
        return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
    return None
