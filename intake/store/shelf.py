"""Where originals and pictures lie beside the data folder: any store that fsspec knows (S3, FTP, another disk)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from intake.model.errors import SettingsError, StoreFull


class Shelf:
    """A folder of an fsspec store, by its URL. The same name always means the same bytes: nothing is written twice."""

    def __init__(self, url: str, key: str = "pictures_url") -> None:
        """`key` is the setting that names the URL. Raises SettingsError."""
        try:
            import fsspec  # type: ignore[import-untyped]

            system, root = fsspec.url_to_fs(url)
            system.makedirs(root, exist_ok=True)
        except Exception as error:  # each store has exceptions of its own
            raise SettingsError(
                f"The file store {_without_password(url)} cannot be used: {error}", f"Correct {key}"
            ) from error
        self._system: Any = system
        self._root = str(root).rstrip("/")

    def put(self, name: str, content: bytes) -> None:
        """Raises StoreFull where the store does not take it."""
        target = f"{self._root}/{name}"
        try:
            if not self._system.exists(target):
                part = f"{target}.part"
                self._system.pipe_file(part, content)
                self._system.mv(part, target)
        except Exception as error:
            raise StoreFull(
                f"A file could not be kept: {error}", "Look at the file store; it is tried again"
            ) from error

    def drop(self, name: str) -> None:
        """Delete a file, if it is there. Raises StoreFull where the store does not do it."""
        try:
            self._system.rm_file(f"{self._root}/{name}")
        except FileNotFoundError:
            return
        except Exception as error:
            raise StoreFull(f"A file could not be deleted: {error}", "Look at the file store") from error

    def get(self, name: str, to: Path) -> bool:
        """Copies a file to `to`; False where the store does not have it."""
        try:
            content = self._system.cat_file(f"{self._root}/{name}")
        except FileNotFoundError:
            return False
        except Exception as error:
            raise StoreFull(f"A file could not be fetched: {error}", "Look at the file store") from error
        part = to.with_suffix(".part")
        part.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(to)
        return True


def _without_password(url: str) -> str:
    """The URL without a password."""
    head, at, rest = url.rpartition("@")
    return f"{head.partition('://')[0]}://…@{rest}" if at else url
