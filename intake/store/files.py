"""The files beside the database: raw messages and pictures, each under the hash of its content."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from intake.model.errors import StoreFull
from intake.store.shelf import Shelf

CHUNK = 1 << 20
ABANDONED = 3600.0
"""Seconds after which a spool file that nobody writes to is taken to be a crash's."""


class Files:
    """Content-addressed files under one folder. Writing the same bytes twice is harmless."""

    def __init__(self, root: Path, shelf: Shelf | None = None) -> None:
        """`shelf` holds the pictures where the settings name one; the folder then holds what was used lately."""
        self.root = root
        self._shelf = shelf
        for name in ("raw", "pictures", "spool"):
            (root / name).mkdir(parents=True, exist_ok=True)

    def raw_path(self, sha256: str) -> Path:
        return self.root / "raw" / sha256[:2] / f"{sha256}.eml"

    def picture_path(self, name: str) -> Path:
        """Where a picture file of ours lies; `name` is one we made ("<id>-display.jpg"), never a sender's."""
        path = self.root / "pictures" / name[:2] / name
        if self._shelf is not None and not path.exists():
            self._shelf.get(name, path)
        return path

    def keep_raw(self, fetch: Callable[[Path], datetime]) -> tuple[str, datetime]:
        """Let `fetch` write one raw message to a spool file and say when it arrived, then move the file to its hash.

        Returns the SHA-256 in hex and the arrival.

        Raises StoreFull where the disk refuses. A crash leaves a spool file at most, which `clear_spool` drops.
        """
        spool = self.root / "spool" / f"{secrets.token_hex(8)}.part"
        try:
            arrived = fetch(spool)
            sha256 = _hash(spool)
            _settle(spool, self.raw_path(sha256))
        except OSError as error:
            raise StoreFull(
                f"A message could not be kept: {error}", "Free disk space; it is fetched again"
            ) from error
        finally:
            spool.unlink(missing_ok=True)
        return sha256, arrived

    def keep_picture(self, name: str, content: bytes) -> None:
        """Write one picture file under our own name for it."""
        if self._shelf is not None:
            self._shelf.put(name, content)
        target = self.root / "pictures" / name[:2] / name
        if target.exists():
            return
        spool = self.root / "spool" / f"{secrets.token_hex(8)}.part"
        try:
            spool.write_bytes(content)
            _settle(spool, target)
        except OSError as error:
            raise StoreFull(
                f"A picture could not be kept: {error}", "Free disk space and run again"
            ) from error
        finally:
            spool.unlink(missing_ok=True)

    def clear_spool(self, now: float) -> None:
        """Drop what a crash left half written. What was written to within the hour may be another worker's."""
        for part in (self.root / "spool").glob("*.part"):
            with suppress(FileNotFoundError):
                if part.stat().st_mtime < now - ABANDONED:
                    part.unlink()


def _hash(path: Path) -> str:
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(CHUNK):
            digest.update(block)
    return digest.hexdigest()


def _settle(spool: Path, target: Path) -> None:
    """Flush to the disk, then rename: after a power cut the target is whole or absent."""
    with spool.open("rb") as file:
        os.fsync(file.fileno())
    target.parent.mkdir(parents=True, exist_ok=True)
    spool.replace(target)
    folder = os.open(target.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
