"""The child process that touches hostile bytes: `python -m intake.imaging.worker`, spoken to by `decode.py`.

It may use little memory and time, writes no file, opens hardly any, and answers in JSON and plain bytes: nothing that
its parent would have to trust.
"""

from __future__ import annotations

import io
import os
import resource
import sys
from pathlib import Path
from typing import Any, BinaryIO

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageFile

from intake.imaging import measure, overlap, pages
from intake.imaging.frames import read_frame, write_frame

DISPLAY_SIDE = 2048
ENOUGH = 1600
"""A long side that serves for showing and measuring: a JPEG is decoded at the smallest scale that gives it."""
DISPLAY_QUALITY = 85
READING_QUALITY = 95
_MEMORY_ROOM = 1200 * 2**20
"""Above what the libraries take: a 130-megapixel picture in RGB is 390 MB, held twice at most."""


def main() -> None:
    requests, answers = _private_pipes()
    pages.prepare()
    cv2.setNumThreads(1)
    _bound(seconds=int(sys.argv[1]))
    write_frame(answers, {"ready": True}, [])
    while (frame := read_frame(requests)) is not None:
        header, blobs = frame
        answer, pictures = _answer(header, blobs)
        write_frame(answers, answer, pictures)


def _private_pipes() -> tuple[BinaryIO, BinaryIO]:
    """Keep the pipes to ourselves: a decoder that prints must not speak to the parent."""
    requests, answers = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_RDWR)
    for descriptor in (0, 1, 2):
        os.dup2(nowhere, descriptor)
    return requests, answers


def _bound(seconds: int) -> None:
    """Memory, file and descriptor limits for good; processor time is granted anew for each picture by `_grant_time`."""
    if sys.platform == "linux":
        held = int(Path("/proc/self/statm").read_text("ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + _MEMORY_ROOM, held + _MEMORY_ROOM))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_NOFILE, (32, 32))
    global _seconds
    _seconds = seconds


_seconds = 20


def _grant_time() -> None:
    used = resource.getrusage(resource.RUSAGE_SELF)
    spent = int(used.ru_utime + used.ru_stime) + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (spent + _seconds, hard))


def _answer(header: dict[str, Any], blobs: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    """Any failure here is the file's: it becomes a `problem` in words."""
    _grant_time()
    try:
        if header["do"] == "compare":
            return compare(blobs, header["focals"]), []
        work = {"examine": examine, "reading": for_reading}[header["do"]]
        return work(blobs[0], header["kind"], int(header["page"]))
    except pages.CutShort as cut:
        return {"problem": str(cut)}, _salvaged(blobs[0], header.get("kind", ""))
    except pages.Unreadable as refusal:
        return {"problem": str(refusal)}, []
    except MemoryError:
        return {"problem": "needs more memory than we allow for one picture"}, []
    except Exception as error:
        return {"problem": _in_words(error)}, _salvaged(blobs[0], header.get("kind", ""))


def _in_words(error: Exception) -> str:
    text = str(error).lower()
    if "truncated" in text or "premature" in text or "end of file" in text or "broken data stream" in text:
        return "is damaged: the end of it is missing"
    return "is damaged or not really a picture, and cannot be opened"


def _salvaged(content: bytes, kind: str) -> list[bytes]:
    """What a cut file still shows, for the designer's eye; nothing where even that fails."""
    ImageFile.LOAD_TRUNCATED_IMAGES = True
    try:
        page = pages.open_page(content, kind, 1)
        image = pages.load(page, content, kind, at_least=ENOUGH, salvage=True)
        return [_jpeg(np.asarray(_display(image)), DISPLAY_QUALITY)]
    except Exception:
        return []
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = False


def examine(content: bytes, kind: str, number: int) -> tuple[dict[str, Any], list[bytes]]:
    """Facts of one page and a clean JPEG to show."""
    page = pages.open_page(content, kind, number)
    image = pages.load(page, content, kind, at_least=ENOUGH)
    shown = np.asarray(_display(image))
    facts = measure.facts_of(page, image, shown, len(content))
    return {"facts": facts, "pages": page.pages}, [_jpeg(shown, DISPLAY_QUALITY)]


def for_reading(content: bytes, kind: str, number: int) -> tuple[dict[str, Any], list[bytes]]:
    """Every pixel of one page, upright, without metadata."""
    page = pages.open_page(content, kind, number)
    image = pages.to_srgb(pages.load(page, content, kind, at_least=None))
    return {"pages": page.pages}, [_jpeg(np.asarray(image), READING_QUALITY)]


def compare(displays: list[bytes], focals: list[float | None]) -> dict[str, Any]:
    """How clean copies of room photographs, made by `examine`, lie to one another."""
    opened = [np.asarray(Image.open(io.BytesIO(d), formats=("JPEG",)).convert("RGB")) for d in displays]
    found = overlap.compare(opened, focals)
    return {
        "overlaps": [[o.first, o.second, o.turn, o.matches] for o in found.overlaps],
        "pitches": list(found.pitches),
    }


def _display(image: Image.Image) -> Image.Image:
    if max(image.size) <= DISPLAY_SIDE:
        return pages.to_srgb(image)
    shown = Image.fromarray(cv2.resize(np.asarray(image), _fitted(image.size), interpolation=cv2.INTER_AREA))
    shown.info = image.info
    return pages.to_srgb(shown)


def _fitted(size: tuple[int, int]) -> tuple[int, int]:
    share = DISPLAY_SIDE / max(size)
    return max(1, round(size[0] * share)), max(1, round(size[1] * share))


def _jpeg(rgb: npt.NDArray[np.uint8], quality: int) -> bytes:
    """A JPEG that holds pixels and nothing else: no EXIF, no place, no serial number, no maker's notes, no comment."""
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, "JPEG", quality=quality, subsampling=0 if quality > 90 else 2)
    return out.getvalue()


if __name__ == "__main__":
    main()
