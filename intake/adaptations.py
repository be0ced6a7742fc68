"""What the readers learned here, version beside version in the data folder, and which of them is in use."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from intake.reading.adapted import Adapted

_IN_USE = "in-use"
AS_SHIPPED = "as-shipped"
"""The name of the readers as they came."""


def in_use(folder: Path) -> Adapted | None:
    """What is laid over the readers now; None where nothing is, or where it was fitted for other weights."""
    name = name_in_use(folder)
    if name == AS_SHIPPED or not (folder / name).is_dir():
        return None
    from intake.reading.adapted import load

    return load(folder / name)


def name_in_use(folder: Path) -> str:
    path = folder / _IN_USE
    lines = path.read_text().split() if path.is_file() else []
    return lines[-1] if lines else AS_SHIPPED


def use(folder: Path, name: str) -> None:
    """Use a version from now on; the ones before stay named, to go back to."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / _IN_USE
    lines = path.read_text().split() if path.is_file() else [AS_SHIPPED]
    path.write_text("\n".join([*lines, name]) + "\n")


def back(folder: Path) -> str | None:
    """Go back to the version before; its name, None where there is none before."""
    path = folder / _IN_USE
    lines = path.read_text().split() if path.is_file() else []
    if len(lines) < 2:
        return None
    path.write_text("\n".join(lines[:-1]) + "\n")
    return lines[-2]


def measured(version: Path) -> list[str]:
    """What a version was fitted to and how each thing did on labels held back and on the shipped test set, in lines;
    none of the readers as they came."""
    from intake.reading.adapted import TOLD

    told = version / TOLD
    report = json.loads(told.read_text())["report"] if told.is_file() else {}
    return list(report.get("lines", ()))


def versions(folder: Path) -> list[str]:
    """Every version that was ever fitted, the oldest first."""
    found = sorted(p for p in folder.iterdir() if p.is_dir()) if folder.is_dir() else []
    return [p.name for p in sorted(found, key=lambda p: p.stat().st_mtime)]
