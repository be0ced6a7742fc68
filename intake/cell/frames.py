"""Messages over a pipe: four bytes of length, a JSON header that names the sizes of what follows, then plain bytes."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Sequence
from typing import IO, Any

MAX_HEADER = 2**20
MAX_BLOB = 300 * 2**20
MAX_ALL = 500 * 2**20
CHUNK = 2**20

Blob = bytes | IO[bytes]
"""Bytes, or an open file that is sent from its start to its end."""


class BrokenFrame(Exception):
    """The other side stopped in the middle of a message, or sent what is none."""


def write_frame(pipe: IO[bytes], header: dict[str, Any], blobs: Sequence[Blob]) -> None:
    text = json.dumps({**header, "blobs": [_size(b) for b in blobs]}).encode()
    pipe.write(len(text).to_bytes(4, "big") + text)
    for blob in blobs:
        if isinstance(blob, bytes):
            pipe.write(blob)
        else:
            shutil.copyfileobj(blob, pipe, CHUNK)
    pipe.flush()


def read_frame(pipe: IO[bytes]) -> tuple[dict[str, Any], list[bytes]] | None:
    """None at a clean end. Raises BrokenFrame on anything that is not a whole frame within the limits."""
    start = pipe.read(4)
    if not start:
        return None
    length = int.from_bytes(start, "big")
    if length > MAX_HEADER:
        raise BrokenFrame("header too long")
    try:
        header = json.loads(_exactly(pipe, length))
        sizes = [int(n) for n in header.pop("blobs")]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise BrokenFrame(f"header makes no sense: {error}") from None
    if any(not 0 <= n <= MAX_BLOB for n in sizes) or sum(sizes) > MAX_ALL:
        raise BrokenFrame("blob too long")
    return header, [_exactly(pipe, n) for n in sizes]


def _size(blob: Blob) -> int:
    return len(blob) if isinstance(blob, bytes) else os.fstat(blob.fileno()).st_size


def _exactly(pipe: IO[bytes], length: int) -> bytes:
    data = pipe.read(length)
    if len(data) < length:
        raise BrokenFrame("the other side stopped in the middle")
    return data
