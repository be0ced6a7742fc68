"""Fetch the outside picture files: `python -m tests.imaging.fetch`, once, about 70 MB into `.cache/pictures`.

They are the test images inside the source packages of Pillow (MIT-CMU), pillow-heif (BSD-3-Clause), OCRmyPDF
(MPL-2.0; its pictures under the licences in its tests/resources/README.rst), tnefparse (LGPL) and PyPNG (MIT; it holds
most of PngSuite, free to use). None is kept in this repository.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path

CACHE = Path(__file__).parents[2] / ".cache" / "pictures"
PACKAGES = ("pillow", "pillow-heif", "ocrmypdf", "tnefparse", "pypng")


def main() -> None:
    CACHE.mkdir(parents=True, exist_ok=True)
    for package in PACKAGES:
        fetch = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--no-binary", ":all:"]
        subprocess.run([*fetch, "--dest", str(CACHE), package], check=True)
    for archive in CACHE.glob("*.tar.gz"):
        with tarfile.open(archive) as packed:
            packed.extractall(CACHE, filter="data")


if __name__ == "__main__":
    main()
