"""Is a file all there? For the formats whose decoders do not notice a missing end."""

from __future__ import annotations


def missing_bytes(content: bytes, kind: str) -> int:
    """How many bytes the file's own structure promises beyond its end; 0 where nothing is known to be missing.

    HEIF and AVIF are boxes, each with its size (ISO/IEC 14496-12 4.2): the last box of a cut file is too long. RIFF
    (WebP) states its whole size at the front.
    """
    if kind in ("heif", "avif"):
        return _missing_from_boxes(content)
    if kind == "webp" and len(content) >= 8:
        return max(0, int.from_bytes(content[4:8], "little") + 8 - len(content))
    return 0


def _missing_from_boxes(content: bytes) -> int:
    at = 0
    while at + 8 <= len(content):
        size = int.from_bytes(content[at : at + 4], "big")
        if size == 1:
            size = int.from_bytes(content[at + 8 : at + 16], "big")
        if size == 0:  # the box runs to the end of the file, wherever that is
            return 0
        if size < 8:
            return 0
        at += size
    return max(0, at - len(content))
