"""Small picture files for the tests, made here."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from typing import Any

import numpy as np
from PIL import Image, ImageFilter
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from intake.imaging.unpack import RawPicture, pictures_in
from intake.model.message import Part


def scene(width: int = 640, height: int = 480, seed: int = 0) -> Image.Image:
    """A smooth coloured picture with some texture, different in its four corners."""
    rng = np.random.default_rng(seed)
    rough = Image.fromarray(rng.integers(0, 255, (12, 16, 3), dtype=np.uint8))
    return rough.resize((width, height), Image.Resampling.BICUBIC).filter(ImageFilter.SHARPEN)


def saved(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def pdf_of(*images: Image.Image) -> bytes:
    """Each picture on a page of its own size, one point to the pixel."""
    out = io.BytesIO()
    canvas = Canvas(out)
    for image in images:
        canvas.setPageSize(image.size)
        canvas.drawImage(ImageReader(image), 0, 0)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def part(content: bytes, name: str = "picture", inline: bool = False, path: str = "1") -> Part:
    return Part(path, name, "application/octet-stream", content, inline)


def raw(content: bytes, name: str = "picture") -> RawPicture:
    (only,) = pictures_in([part(content, name)]).pictures
    return only


def zipped(members: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def png_claiming(width: int, height: int) -> bytes:
    """A PNG whose header claims a size and whose data are a few bytes (ISO/IEC 15948 5, 11.2.2)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def tnef(attachments: list[tuple[str, bytes]]) -> bytes:
    """A winmail.dat by [MS-OXTNEF] 2.1.3: each attribute is level, id, length, data, checksum."""

    def attribute(identity: int, data: bytes) -> bytes:
        return struct.pack("<BII", 2, identity, len(data)) + data + struct.pack("<H", sum(data) & 0xFFFF)

    out = struct.pack("<IH", 0x223E9F78, 1)
    for name, content in attachments:
        out += attribute(0x00069002, b"\0" * 14)
        out += attribute(0x00018010, name.encode("cp1252") + b"\0")
        out += attribute(0x0006800F, content)
    return out
