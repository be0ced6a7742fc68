"""The files beside the database: raw messages and pictures, each under the hash of its content."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from intake.model.errors import StoreFull
from intake.store.shelf import Shelf

CHUNK = 1 << 20
ABANDONED = 3600.0
"""Seconds after which a spool file that nobody writes to is taken to be a crash's."""
FLUSHES = 8
"""Files that are flushed to the disk at a time."""
KEPT_HERE = timedelta(days=7)
"""How long a file that lies on a shelf lies here as well."""


@dataclass(frozen=True)
class Spooled:
    """A raw message that was fetched and is not kept yet: its file, the SHA-256 of its bytes in hex, its size in bytes
    and when it arrived."""

    path: Path
    sha256: str
    size: int
    arrived: datetime


class Files:
    """Content-addressed files under one folder. Writing the same bytes twice is harmless."""

    def __init__(self, root: Path, shelf: Shelf | None = None, originals: Shelf | None = None) -> None:
        """`shelf` holds the pictures, `originals` the raw messages, where the settings name one; the folder then holds
        what came or was fetched lately."""
        self.root = root
        self._shelf = shelf
        self._originals = originals
        for name in ("raw", "pictures", "spool"):
            (root / name).mkdir(parents=True, exist_ok=True)

    @property
    def elsewhere(self) -> bool:
        """The pictures lie on a shelf, and here only those that were used lately."""
        return self._shelf is not None

    @property
    def originals_elsewhere(self) -> bool:
        """The raw messages lie on a shelf, and here only those that were used lately."""
        return self._originals is not None

    def pictures_here(self) -> list[Path]:
        """Every picture file in this folder, by name."""
        return sorted(path for path in (self.root / "pictures").glob("*/*") if path.suffix != ".part")

    def raw_path(self, sha256: str) -> Path:
        """Where a raw message lies, if it is kept. Raises StoreFull where its shelf does not answer."""
        path = self._raw(sha256)
        if self._originals is not None and not path.exists():
            self._originals.get(path.name, path)
        return path

    def _raw(self, sha256: str) -> Path:
        return self.root / "raw" / sha256[:2] / f"{sha256}.eml"

    def picture_path(self, name: str) -> Path:
        """Where a picture file of ours lies; `name` is one we made ("<id>-display.jpg"), never a sender's."""
        path = self.root / "pictures" / name[:2] / name
        if self._shelf is not None and not path.exists():
            self._shelf.get(name, path)
        return path

    def spool(self, fetch: Callable[[Path], datetime]) -> Spooled:
        """Let `fetch` write one raw message to a spool file and say when it arrived. Raises StoreFull where the disk
        refuses, and what `fetch` raises. A crash leaves a spool file at most, which `clear_spool` drops."""
        path = self.root / "spool" / f"{secrets.token_hex(8)}.part"
        try:
            arrived = fetch(path)
            return Spooled(path, _hash(path), path.stat().st_size, arrived)
        except OSError as error:
            path.unlink(missing_ok=True)
            raise _full("A message could not be kept", error) from error
        except BaseException:
            path.unlink(missing_ok=True)
            raise

    def settle(self, spooled: Sequence[Spooled]) -> None:
        """Keep messages for good, each under its hash, and flushed to the disk before that. Raises StoreFull."""
        try:
            if self._originals is not None:
                for each in spooled:
                    self._originals.put(f"{each.sha256}.eml", each.path.read_bytes())
            _settle([(each.path, self._raw(each.sha256)) for each in spooled])
        except OSError as error:
            raise _full("A message could not be kept", error) from error
        finally:
            for each in spooled:
                each.path.unlink(missing_ok=True)

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
            _settle([(spool, target)])
        except OSError as error:
            raise _full("A picture could not be kept", error) from error
        finally:
            spool.unlink(missing_ok=True)

    def drop_raw(self, sha256: str) -> None:
        """Delete a raw message, if it is there, here and on the shelf."""
        self._raw(sha256).unlink(missing_ok=True)
        if self._originals is not None:
            self._originals.drop(f"{sha256}.eml")

    def drop_picture(self, name: str) -> None:
        """Delete a picture file, if it is there, here and on the shelf."""
        (self.root / "pictures" / name[:2] / name).unlink(missing_ok=True)
        if self._shelf is not None:
            self._shelf.drop(name)

    def drop_pictures_of(self, picture: str) -> None:
        """Delete every file of a picture, here and on the shelf."""
        kinds = {f"{picture}-display.jpg", f"{picture}-full.jpg"}
        here = (self.root / "pictures" / picture[:2]).glob(f"{picture}-*")
        for name in kinds | {path.name for path in here}:
            self.drop_picture(name)

    def trim(self, now: float) -> int:
        """Delete here what lies on a shelf and came or was fetched more than KEPT_HERE ago; returns how many files.

        What is not on its shelf yet, because the setting is newer than the file, goes there first. Raises StoreFull.
        """
        gone = 0
        for folder, shelf in (("raw", self._originals), ("pictures", self._shelf)):
            if shelf is None:
                continue
            for path in (self.root / folder).glob("*/*"):
                if path.suffix == ".part" or path.stat().st_mtime > now - KEPT_HERE.total_seconds():
                    continue
                shelf.put(path.name, path.read_bytes())
                path.unlink()
                gone += 1
        return gone

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


def _settle(moves: Sequence[tuple[Path, Path]]) -> None:
    """Flush each file to the disk, then rename it: after a power cut its target is whole or absent."""
    _flush([spool for spool, _ in moves])
    folders = {target.parent for _, target in moves}
    new = [folder for folder in folders if not folder.exists()]
    for folder in new:
        folder.mkdir(parents=True, exist_ok=True)
    for spool, target in moves:
        spool.replace(target)
    _flush([*folders, *{folder.parent for folder in new}])


def _flush(paths: Sequence[Path]) -> None:
    """Flush files or folders to the disk; several at a time, which file systems commit together."""
    if len(paths) == 1:
        _fsync(paths[0])
    else:
        from concurrent.futures import ThreadPoolExecutor  # a list of jobs writes nothing

        with ThreadPoolExecutor(FLUSHES) as pool:
            list(pool.map(_fsync, paths))


def _fsync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _full(what: str, error: OSError) -> StoreFull:
    return StoreFull(f"{what}: {error}", "Free disk space and run again; nothing was lost")
