"""The child process that touches hostile bytes: `python -m intake.imaging.worker`, spoken to by `decode.py`.

It may use little memory and time, opens no file, no connection and no program (`intake/cell`), and answers in JSON and
plain bytes: nothing that its parent would have to trust.
"""

from __future__ import annotations

import io
import sys
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageFile

from intake.cell import bars
from intake.cell.frames import read_frame, write_frame
from intake.imaging import measure, overlap, pages
from intake.imaging.unpack import RawPicture, open_container
from intake.model.finding import Finding

DISPLAY_SIDE = 2048
ENOUGH = 1600
"""A long side that serves for showing and measuring: a JPEG is decoded at the smallest scale that gives it."""
DISPLAY_QUALITY = 85
READING_QUALITY = 95
_MEMORY_ROOM = 1200 * 2**20
"""Above what the libraries take: a 130-megapixel picture in RGB is 390 MB, held twice at most."""


def main() -> None:
    requests, answers = bars.private_pipes()
    pages.prepare()
    cv2.setNumThreads(1)
    _warm_up()
    seconds = int(sys.argv[1])
    write_frame(answers, {"without": bars.lock_up(_MEMORY_ROOM)}, [])
    while (frame := read_frame(requests)) is not None:
        header, blobs = frame
        bars.grant_time(3 * seconds if header.get("do") == "compare" else seconds)
        answer, pictures = _answer(header, blobs)
        write_frame(answers, answer, pictures)


def _warm_up() -> None:
    """Import whatever is imported late: once the process is locked up, no file can be opened any more."""
    Image.init()
    speckled = np.random.default_rng(0).integers(0, 255, (480, 640, 3), np.uint8)
    jpeg = _jpeg(speckled, DISPLAY_QUALITY)
    examine(jpeg, "jpeg", 1)
    compare([jpeg, jpeg], [None, None])


def _answer(header: dict[str, Any], blobs: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
    """Any failure here is the file's: it becomes a `problem` in words."""
    try:
        if header["do"] == "unpack":
            return _unpacked(blobs[0], header["path"], header["name"])
        if header["do"] == "compare":
            return compare(blobs, header["focals"], frozenset(header.get("known", ()))), []
        work = {"examine": examine, "reading": for_reading}[header["do"]]
        return work(blobs[0], header["kind"], int(header["page"]))
    except pages.CutShort as cut:
        return {"problem": str(cut)}, _salvaged(blobs[0], header.get("kind", ""))
    except pages.CannotShow as refusal:
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


def _unpacked(content: bytes, path: str, name: str) -> tuple[dict[str, Any], list[bytes]]:
    """What a container holds, in order: findings whole, pictures by their place, each with its bytes behind."""
    found = list(open_container(content, path, name))
    items = [
        {"code": i.code, "text": i.text.gap("words")}
        if isinstance(i, Finding)
        else {"path": i.path, "name": i.name}
        for i in found
    ]
    return {"items": items}, [i.content for i in found if isinstance(i, RawPicture)]


def compare(
    displays: list[bytes], focals: list[float | None], known: frozenset[int] = frozenset()
) -> dict[str, Any]:
    """How clean copies of room photographs, made by `examine`, lie to one another, but for those known."""
    opened = [np.asarray(Image.open(io.BytesIO(d), formats=("JPEG",)).convert("RGB")) for d in displays]
    found = overlap.compare(opened, focals, known)
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


_FINE = 90
"""Above this quality colour is kept at every pixel."""


def _jpeg(rgb: npt.NDArray[np.uint8], quality: int) -> bytes:
    """A JPEG that holds pixels and nothing else: no EXIF, no place, no serial number, no maker's notes, no comment."""
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, "JPEG", quality=quality, subsampling=0 if quality > _FINE else 2)
    return out.getvalue()


if __name__ == "__main__":
    main()
