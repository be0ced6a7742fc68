"""Other people's awkward files: none raises, none takes the child down, none exceeds the limits, bombs are named.

The files are the test images of Pillow, pillow-heif, OCRmyPDF, tnefparse and PyPNG, fetched by
`python -m tests.imaging.fetch`; without them these tests are skipped and say so. A sample runs always, all of them
with INTAKE_ALL_PICTURES=1.
"""

from __future__ import annotations

import importlib
import io
import os
import re
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from intake.imaging.decode import Decoded, Decoder
from intake.imaging.unpack import pictures_in
from tests.imaging.fetch import CACHE
from tests.imaging.files import part, saved, scene

SAMPLE = 60
SLOWEST = 35.0  # seconds: the child's limit of processor time and half of it again for a busy machine
MOST_MEMORY = 1600 * 2**20

pytestmark = pytest.mark.skipif(
    not CACHE.is_dir(), reason="the outside picture files are not here: python -m tests.imaging.fetch"
)


def every_file() -> list[Path]:
    folders = (
        "pillow-*/Tests/images",
        "pillow-*/Tests/fonts",
        "pillow_heif-*/tests",
        "ocrmypdf-*/tests/resources",
    )
    found = [
        f for pattern in folders for folder in CACHE.glob(pattern) for f in folder.rglob("*") if f.is_file()
    ]
    return sorted(f for f in found if f.stat().st_size < 20 << 20)


def chosen() -> list[Path]:
    """Every n-th file, and always the ones whose names promise trouble."""
    files = every_file()
    if os.environ.get("INTAKE_ALL_PICTURES"):
        return files
    step = max(1, len(files) // SAMPLE)
    trouble = [
        f
        for f in files
        if re.search(r"bomb|corrupt|truncat|crash|oom|timeout|enormous|hugemono|poster", f.name)
    ]
    return sorted({*files[::step], *trouble[:: max(1, len(trouble) // 40)]})


def child_peak(decoder: Decoder) -> int:
    """Most memory the child ever held (VmHWM, proc(5)), in bytes."""
    status = Path(f"/proc/{decoder.process}/status").read_text("ascii")
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(found[1]) * 1024 if found else 0


def decoded(decoder: Decoder, file: Path) -> Iterator[Decoded]:
    for raw in pictures_in([part(file.read_bytes(), file.name)]).pictures:
        yield from decoder.examine(raw)


def test_none_crashes_the_worker_or_exceeds_its_limits() -> None:
    with Decoder() as decoder:
        seen = 0
        for file in chosen():
            started, before = time.monotonic(), seen
            for page in decoded(decoder, file):
                seen += 1
                assert bool(page.facts.problem) != bool(page.facts.width), file.name
                if page.facts.problem:
                    assert file.name.strip()[:100] in page.facts.problem
            assert time.monotonic() - started < SLOWEST * max(1, seen - before), file.name
            if decoder._cell._child is not None and decoder._cell._child.poll() is None:
                assert child_peak(decoder) < MOST_MEMORY, file.name
        assert seen > 40
        good = part(saved(scene(), "JPEG"), "good.jpg")
        (after,) = decoder.examine(pictures_in([good]).pictures[0])
        assert after.facts.problem == ""


@pytest.mark.parametrize(
    "name", [f"hopper_orientation_{k}.{e}" for k in range(2, 9) for e in ("jpg", "webp")]
)
def test_orientation_samples_all_come_out_alike(name: str, decoder: Decoder) -> None:
    """Pillow's own orientation samples show one face every way there is; upright they must agree."""
    folder = next(CACHE.glob("pillow-*/Tests/images"))
    first = next(decoded(decoder, folder / "hopper_orientation_2.jpg"))
    other = next(decoded(decoder, folder / name))
    assert (other.facts.width, other.facts.height) == (first.facts.width, first.facts.height)
    bits = int(first.facts.perceptual_hash, 16) ^ int(other.facts.perceptual_hash, 16)
    assert bits.bit_count() <= 4


def test_pngsuite_looks_as_pypng_decodes_it(decoder: Decoder, monkeypatch: pytest.MonkeyPatch) -> None:
    """Willem van Schaik's PngSuite, as far as PyPNG holds it: every colour type, depth and interlacing. PyPNG's own
    decoder, in Python alone, is the outside check, transparency laid on white; a JPEG of a few pixels blurs colours,
    so only their mean is compared there."""
    monkeypatch.syspath_prepend(str(next(CACHE.glob("pypng-*/code"))))
    png, suite = (importlib.import_module(name) for name in ("png", "pngsuite"))
    # Pillow holds tbbn1g04's transparent grey, of four bits, against samples of eight: its ground stays grey.
    drawn = {n: content for n, content in suite.png.items() if n[0].islower() and n != "tbbn1g04"}
    assert len(drawn) > 20
    for name, content in drawn.items():
        (shown,) = decoder.examine(pictures_in([part(content, name)]).pictures[0])
        width, height, rows, _ = png.Reader(bytes=content).asRGBA8()
        rgba = np.array([list(row) for row in rows], float).reshape(height, width, 4)
        expected = 255 - (255 - rgba[..., :3]) * rgba[..., 3:] / 255
        assert (shown.facts.problem, shown.facts.width, shown.facts.height) == ("", width, height), name
        assert shown.display
        found = np.asarray(Image.open(io.BytesIO(shown.display)), float)
        assert np.abs(found.mean(axis=(0, 1)) - expected.mean(axis=(0, 1))).max() < 4, name
        assert width < 32 or np.abs(found - expected).mean() < 16, name


def test_bombs_are_refused_by_name(decoder: Decoder) -> None:
    folder = next(CACHE.glob("pillow-*/Tests/images"))
    for file in sorted(folder.glob("decompression_bomb*")):
        for page in decoded(decoder, file):
            assert page.facts.problem == "" or file.name in page.facts.problem


def test_cut_iphone_pictures_are_caught(decoder: Decoder) -> None:
    """A tiled HEIC cut in half opens without an error in libheif; its box sizes give it away."""
    file = next(CACHE.glob("pillow_heif-*/tests/images/heif_other/pug.heic"))
    whole = next(decoded(decoder, file))
    assert whole.facts.problem == "" and (whole.facts.width, whole.facts.height) == (4032, 3024)
    (raw,) = pictures_in([part(file.read_bytes()[: file.stat().st_size // 2], "half.heic")]).pictures
    assert "bytes are missing from its end" in decoder.examine(raw)[0].facts.problem


def test_other_peoples_winmail_dat_give_their_attachments() -> None:
    """tnefparse's examples; the expected names are in its own tests."""
    folder = next(CACHE.glob("tnefparse-*/tests/examples"))
    for file in sorted(folder.glob("*.tnef")):
        pictures_in([part(file.read_bytes(), "winmail.dat")])
    from intake.imaging.tnef import attachments_in

    two, whole = attachments_in((folder / "two-files.tnef").read_bytes())
    assert [a.name for a in two] == ["AUTHORS", "README"] and whole
    (long,), _ = attachments_in((folder / "long-filename.tnef").read_bytes())
    assert long.name == "allproductsmar2000.dat"
