"""Pictures and sketches for the use cases: imaging decodes, reading reads."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from intake.imaging.decode import Decoder
from intake.model.errors import NotFound
from intake.model.finding import Finding
from intake.model.message import Message, Part
from intake.model.picture import Panorama
from intake.model.reading import Box, SketchReading
from intake.work.services import PicturePage

if TYPE_CHECKING:
    from intake.reading.adapted import Adapted
    from intake.reading.readers import Readers

# What reads and what draws is imported where it does: whoever files mail or sends letters must not wait for it.


class SharedEyes:
    """One decoder for the process; safe to share between threads."""

    def __init__(self, adapted: Adapted | None = None, decoder: Decoder | None = None) -> None:
        self._decoder = decoder or Decoder()
        self._adapted = adapted

    def of(self, adapted: Adapted | None) -> SharedEyes:
        """Eyes with what was learned elsewhere, through the same decoder."""
        return SharedEyes(adapted, self._decoder)

    def close(self) -> None:
        self._decoder.close()

    def without(self) -> tuple[str, ...]:
        """What of its locks the process that opens pictures could not have, in words."""
        return self._decoder.without()

    def look(self, message: Message) -> tuple[list[PicturePage], tuple[Finding, ...]]:
        unpacked = self._decoder.pictures_in(message.parts)
        pages = [
            PicturePage(page.id, raw.sha256, raw.name, raw.inline, page.facts, page.display)
            for raw in unpacked.pictures
            for page in self._decoder.examine(raw)
        ]
        return pages, unpacked.findings

    def full(self, message: Message, picture: str) -> bytes | None:
        sha, _, page = picture.partition("-p")
        for raw in self._decoder.pictures_in(message.parts).pictures:
            if raw.sha256.startswith(sha):
                return self._decoder.for_reading(raw, int(page or 1))
        return None

    def read(self, jpeg: bytes) -> SketchReading:
        from intake.imaging.ours import rgb_of
        from intake.reading.adapted import over
        from intake.reading.sheet import read_page

        rgb = rgb_of(jpeg)
        return read_page(rgb) if self._adapted is None else over(read_page(rgb, self._readers), self._adapted)

    @cached_property
    def _readers(self) -> Readers:
        """The readers with what was learned here."""
        from intake.reading.adapted import Adapted
        from intake.reading.installed import MEMBERS
        from intake.reading.own import OwnReader
        from intake.reading.sketch import default_readers

        adapted, whole = self._adapted or Adapted(), default_readers()
        own = OwnReader(MEMBERS, adapted.heads, adapted.temperature)
        crops = tuple(own if reader is whole.own else reader for reader in whole.crops)
        taught = replace(whole, crops=crops, own=own, vote=adapted.vote)
        return replace(
            whole,
            roles=adapted.roles,
            slips=adapted.slips,
            taught=taught if whole.own and adapted.spells else None,
        )

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        from intake.reading.printed_labels import label_words

        return label_words(jpeg)

    def compare(
        self, displays: Sequence[bytes], focals: Sequence[float | None], known: Collection[int] = ()
    ) -> Panorama:
        return self._decoder.compare(displays, focals, known)

    def read_file(self, name: str, content: bytes) -> SketchReading:
        """Read the first page of a picture file. Raises NotFound, with the reason, where there is no picture in it."""
        pictures = self._decoder.pictures_in([Part("1", name, "", content)]).pictures
        if not pictures:
            raise NotFound(
                f"{name} is no picture that can be read", "Give a JPEG, PNG, HEIC, TIFF, WebP or PDF file"
            )
        jpeg = self._decoder.for_reading(pictures[0])
        if jpeg is None:
            problem = self._decoder.examine(pictures[0])[0].facts.problem or f"{name} could not be opened."
            raise NotFound(problem.rstrip("."), "Ask for the original file")
        return self.read(jpeg)

    def small(self, display: bytes) -> bytes:
        from intake.imaging.ours import small

        return small(display)

    def crop(self, jpeg: bytes, box: Box) -> bytes:
        from intake.imaging.ours import cut_out, grey_of

        return cut_out(grey_of(jpeg), box)

    def piece(self, jpeg: bytes, box: Box) -> bytes:
        from intake.imaging.ours import grey_of, piece

        return piece(grey_of(jpeg), box)
