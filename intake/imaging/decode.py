"""Pictures decoded and measured in a bounded child process, so that no file a stranger sends can hurt this one."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import TracebackType
from typing import Any, Self

from intake.cell.keeper import Keeper, Overrun
from intake.imaging.sniff import PICTURES, kind_of
from intake.imaging.unpack import RawItem, RawPicture, Unpacked, pictures_in
from intake.model.finding import Finding
from intake.model.message import Part
from intake.model.phrase import as_said
from intake.model.picture import Overlap, Panorama, PictureFacts

SECONDS = 20
MAX_FILE_BYTES = 80 * 2**20
MOST_COMPARED = 24
_KEPT = 64 * 2**20
_KEEPING = {
    "MALLOC_MMAP_THRESHOLD_": str(32 * 2**20),
    "MALLOC_TRIM_THRESHOLD_": str(2 * _KEPT),
    "MALLOC_TOP_PAD_": str(_KEPT),
}
"""For the GNU C library (mallopt(3)): keep 64 MB from picture to picture. Given back and fetched anew for each, they
cost 14,000 page faults, a quarter of the time that a picture takes."""
ENVIRONMENT = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", **_KEEPING}
PICTURES_A_CHILD = 60
"""A new child after so many, so that nothing that leaks adds up (set by hand)."""


@dataclass(frozen=True)
class Decoded:
    """One page of one file, measured.

    `page` counts from 1; `display` is a clean upright sRGB JPEG, at most 2048 pixels long, or None. Where
    `facts.problem` is set, `display` may still hold what could be saved of a damaged picture.
    """

    raw: RawPicture
    page: int
    facts: PictureFacts
    display: bytes | None = field(default=None, repr=False)

    @property
    def id(self) -> str:
        """The first 16 hex digits of the file's SHA-256, and its page after the first ("3fa...-p2")."""
        return self.raw.sha256[:16] + (f"-p{self.page}" if self.page > 1 else "")


class Decoder:
    """Owns the child. Safe to share between threads; one picture at a time goes through it. Close it when done."""

    def __init__(self, seconds: int = SECONDS) -> None:
        self._cell = Keeper("intake.imaging.worker", seconds, PICTURES_A_CHILD, ENVIRONMENT)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def process(self) -> int:
        """The id of the child that is running; 0 where none is."""
        return self._cell.process

    def without(self) -> tuple[str, ...]:
        """What of its locks the child could not have, in words. Raises CellBroken."""
        return self._cell.without()

    def pictures_in(self, parts: Sequence[Part]) -> Unpacked:
        """All pictures among a message's parts in order, containers unpacked, and a finding for each thing refused."""
        return pictures_in(parts, self._open_container)

    def _open_container(self, content: bytes, path: str, name: str) -> list[RawItem]:
        if len(content) > MAX_FILE_BYTES:
            text = f"{name or 'An attachment'} is larger than {MAX_FILE_BYTES >> 20} MB: kept aside, never opened."
            return [Finding("archive-refused", as_said(text))]
        try:
            header, blobs = self._cell.ask({"do": "unpack", "path": path, "name": name}, [content])
            return list(_items(header["items"], blobs))
        except (Overrun, KeyError, TypeError, ValueError):
            text = (
                f"{name or 'An attachment'} could not be unpacked within the time and memory that we allow."
            )
            return [Finding("archive-refused", as_said(text))]

    def examine(self, raw: RawPicture) -> tuple[Decoded, ...]:
        """Every page of the file, measured. Never raises for the customer's material: see `facts.problem`.
        Raises CellBroken where the child cannot be started."""
        first, pages = self._examine_page(raw, 1)
        return (first, *(self._examine_page(raw, n)[0] for n in range(2, pages + 1)))

    def for_reading(self, raw: RawPicture, page: int = 1) -> bytes | None:
        """One page at full resolution, upright, as a JPEG of quality 95 without metadata; None if it cannot be had."""
        header, blobs = self._ask(raw, "reading", page)
        return blobs[0] if blobs and "problem" not in header else None

    def compare(
        self, displays: Sequence[bytes], focals: Sequence[float | None], known: Collection[int] = ()
    ) -> Panorama:
        """How room photographs overlap: `displays` as `examine` gave them, `focals` their 35 mm equivalents. Compares
        the first 24, but not those at the places `known` with one another; costs about a tenth of a second each. An
        empty answer where the child failed."""
        shown, lenses = list(displays)[:MOST_COMPARED], list(focals)[:MOST_COMPARED]
        asked = {"do": "compare", "focals": lenses, "known": sorted(known)}
        header, _ = self._send(asked, shown, 3 * self._cell.seconds)
        try:
            overlaps = tuple(Overlap(int(a), int(b), float(t), int(n)) for a, b, t, n in header["overlaps"])
            pitches = tuple(None if p is None else float(p) for p in header["pitches"])
        except (KeyError, TypeError, ValueError):
            return Panorama((), (None,) * len(shown))
        inside = range(len(shown))
        return Panorama(tuple(o for o in overlaps if o.first in inside and o.second in inside), pitches)

    def close(self) -> None:
        self._cell.close()

    def _examine_page(self, raw: RawPicture, page: int) -> tuple[Decoded, int]:
        header, blobs = self._ask(raw, "examine", page)
        display = blobs[0] if blobs else None
        try:
            facts = facts_from(header)
        except (KeyError, TypeError, ValueError):
            header = {"problem": "could not be measured"}
            facts = facts_from(header)
        if facts.problem:
            facts = replace(facts, problem=f"{raw.name or 'A picture without a name'} {facts.problem}.")
        return Decoded(raw, page, facts, display), int(header.get("pages", 1))

    def _ask(self, raw: RawPicture, do: str, page: int) -> tuple[dict[str, Any], list[bytes]]:
        if len(raw.content) > MAX_FILE_BYTES:
            return {"problem": f"is larger than {MAX_FILE_BYTES >> 20} MB, which is more than we open"}, []
        return self._send({"do": do, "kind": raw.kind, "page": page}, [raw.content])

    def _send(
        self, header: dict[str, Any], blobs: Sequence[bytes], seconds: float = 0
    ) -> tuple[dict[str, Any], list[bytes]]:
        try:
            return self._cell.ask(header, blobs, seconds)
        except Overrun:
            return {"problem": "could not be opened within the time and memory we allow for one picture"}, []


def _items(given: Sequence[dict[str, Any]], blobs: Sequence[bytes]) -> Iterator[RawItem]:
    """The child's account of a container, field by field; each picture in it is the next of the blobs."""
    contents = iter(blobs)
    for item in given:
        if "code" in item:
            yield Finding(str(item["code"])[:40], as_said(str(item["text"])[:400]))
            continue
        content = next(contents)
        kind = kind_of(content)
        if kind not in PICTURES:
            raise ValueError("what came out of a container is no picture")
        sha256 = hashlib.sha256(content).hexdigest()
        yield RawPicture(str(item["path"])[:200], str(item["name"])[:120], kind, sha256, content)


def facts_from(answer: dict[str, Any]) -> PictureFacts:
    """The child's JSON made into facts, field by field: a wrong type is an error here, never a surprise later.

    Raises KeyError, TypeError or ValueError.
    """
    if "problem" in answer:
        return PictureFacts(problem=str(answer["problem"])[:300])
    given = answer["facts"]
    size = given.get("exif_size")
    focal = given.get("focal_length_35mm")
    return PictureFacts(
        width=int(given["width"]),
        height=int(given["height"]),
        format=str(given["format"])[:10],
        exif_size=(int(size[0]), int(size[1])) if size else None,
        focal_length_35mm=float(focal) if focal else None,
        taken_at=datetime.fromisoformat(given["taken_at"]) if given.get("taken_at") else None,
        sharpness=float(given["sharpness"]),
        brightness=float(given["brightness"]),
        contrast=float(given["contrast"]),
        paper=float(given["paper"]),
        ink=float(given["ink"]),
        colourfulness=float(given["colourfulness"]),
        quality=int(given["quality"]),
        perceptual_hash=str(given["perceptual_hash"])[:16],
        extra={str(k): float(v) for k, v in given.get("extra", {}).items()},
    )
