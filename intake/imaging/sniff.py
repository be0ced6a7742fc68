"""What a file is, told from its first bytes; its name and its declared media type are never believed."""

from __future__ import annotations

PICTURES = frozenset({"jpeg", "png", "gif", "webp", "tiff", "heif", "avif", "bmp", "pdf"})
CONTAINERS = frozenset({"zip", "tnef"})

# File signatures: PNG (ISO/IEC 15948 5.2), GIF89a 17, TIFF 6.0 section 2, PDF (ISO 32000-1 7.5.2, which readers look
# for in the first 1024 bytes), ZIP (APPNOTE 4.3.7, 4.3.16), TNEF ([MS-OXTNEF] 2.1.3.1); the programs from memory.
_STARTS: tuple[tuple[bytes, str], ...] = (
    (b"\xff\xd8\xff", "jpeg"),
    (b"\x89PNG\r\n\x1a\n", "png"),
    (b"GIF87a", "gif"),
    (b"GIF89a", "gif"),
    (b"II*\x00", "tiff"),
    (b"MM\x00*", "tiff"),
    (b"BM", "bmp"),
    (b"PK\x03\x04", "zip"),
    (b"PK\x05\x06", "zip"),
    (b"\x78\x9f\x3e\x22", "tnef"),
    (b"MZ", "program"),
    (b"\x7fELF", "program"),
    (b"\xcf\xfa\xed\xfe", "program"),
    (b"#!", "program"),
    (b"Rar!\x1a\x07", "archive"),
    (b"7z\xbc\xaf\x27\x1c", "archive"),
    (b"\x1f\x8b", "archive"),
)
# Brands of ISO/IEC 23008-12 (HEIF) and AV1 Image File Format; mif1 and msf1 name neither codec.
_HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_AVIF_BRANDS = (b"avif", b"avis")


def kind_of(content: bytes) -> str:
    """A picture kind, a container kind, "program", "archive", "video" or "unknown"."""
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "webp"
    if content[4:8] == b"ftyp":
        return _brand_of(content)
    for start, kind in _STARTS:
        if content.startswith(start):
            return kind
    if b"%PDF-" in content[:1024]:
        return "pdf"
    return "unknown"


def _brand_of(content: bytes) -> str:
    """ISO/IEC 14496-12 4.3: the file type box lists a major brand and the compatible ones."""
    size = min(int.from_bytes(content[:4], "big"), 256)
    brands = [content[8:12]] + [content[i : i + 4] for i in range(16, size, 4)]
    if any(brand in _AVIF_BRANDS for brand in brands):
        return "avif"
    if any(brand in _HEIF_BRANDS for brand in brands):
        return "heif"
    return "video"
