"""docs/licences.md names every library that the installed wheels bundle."""

from __future__ import annotations

import re
import sysconfig
from pathlib import Path

from intake.settings import PROJECT

CHECKS_ONLY = {"scikit_learn"}


def test_every_bundled_library_is_named() -> None:
    table = (PROJECT / "docs" / "licences.md").read_text(encoding="utf-8")
    bundled = {
        path.parent.name.removesuffix(".libs"): path
        for path in Path(sysconfig.get_paths()["purelib"]).glob("*.libs/*")
    }
    assert {"pillow_heif", "opencv_python_headless"} <= set(bundled)
    for folder in Path(sysconfig.get_paths()["purelib"]).glob("*.libs"):
        if folder.name.removesuffix(".libs") in CHECKS_ONLY:
            continue
        for library in folder.iterdir():
            name = re.split(r"-[0-9a-f]{8}|\.so", library.name)[0].removesuffix("-r0")
            assert name in table, f"{folder.name}: {name}"
