"""Bytes to pixels: one page of one picture file, upright. Runs only inside the bounded child process."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import pillow_heif
import pypdfium2
from PIL import Image, ImageCms

from intake.imaging import exif
from intake.imaging.whole import missing_bytes

MAX_PIXELS = 130_000_000
"""No telephone makes more pixels that cannot be decoded smaller: 200-megapixel JPEGs are decoded at a fraction."""
MAX_SIDE = 40_000
MAX_PAGES = 20
PDF_LONG_SIDE = 3508
"""A4 at 300 dots an inch, the resolution at which Tesseract's authors measure."""

_FORMATS = {
    "jpeg": ("JPEG", "MPO"),
    "png": ("PNG",),
    "gif": ("GIF",),
    "webp": ("WEBP",),
    "tiff": ("TIFF",),
    "heif": ("HEIF",),
    "avif": ("AVIF",),
    "bmp": ("BMP",),
}

# Exif 2.32 (CIPA DC-008) 4.6.4: what undoes each orientation but the first. Pillow's own exif_transpose copies an
# upright picture whole, which doubles the memory of a large one.
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


class CannotShow(Exception):
    """The customer's file cannot be shown; the text completes the sentence "NAME ..."."""


class CutShort(CannotShow):
    """The file ends too early: what there is of it may still be worth a look."""


@dataclass
class OpenedPage:
    """One opened page. `image` may still be lazy; `size` is the stored size before orientation, in pixels."""

    image: Image.Image
    format: str
    size: tuple[int, int]
    pages: int
    text_characters: int = 0


def prepare() -> None:
    """Teach Pillow the formats it lacks; our own limits stand in for its bomb guard."""
    pillow_heif.register_heif_opener(thumbnails=False, aux_images=False, depth_images=False)
    Image.MAX_IMAGE_PIXELS = None


def open_page(content: bytes, kind: str, number: int) -> OpenedPage:
    """Open page `number` (from 1). Raises Unreadable for what our limits refuse; decoders raise their own errors."""
    if kind == "pdf":
        return _open_pdf(content, number)
    image = Image.open(io.BytesIO(content), formats=_FORMATS[kind])
    _refuse_giants(image.size, draftable=image.format in ("JPEG", "MPO"))
    pages = _page_count(image)
    if number > 1:
        image.seek(number - 1)
        _refuse_giants(image.size, draftable=False)
    return OpenedPage(image, image.format or kind.upper(), image.size, pages)


def _page_count(image: Image.Image) -> int:
    """Only a TIFF's frames are pages: those of a GIF are an animation, those of an MPO the same view again."""
    return min(getattr(image, "n_frames", 1), MAX_PAGES) if image.format == "TIFF" else 1


def _refuse_giants(size: tuple[int, int], draftable: bool) -> None:
    width, height = size
    if max(size) > MAX_SIDE or width * height > MAX_PIXELS * (4 if draftable else 1):
        raise CannotShow(f"claims to be {width} x {height} pixels, which is more than we open")


def load(
    page: OpenedPage, content: bytes, kind: str, at_least: int | None, salvage: bool = False
) -> Image.Image:
    """Decode the whole page, upright, as RGB or L. `at_least`: a long side that is enough (JPEG then decodes faster,
    though still every byte of it); `salvage`: take a cut file for what it holds. Raises CutShort otherwise."""
    image = page.image
    short_by = missing_bytes(content, kind)
    if short_by and not salvage:
        raise CutShort(f"is damaged: at least {short_by:,} bytes are missing from its end")
    if image.format in ("JPEG", "MPO"):
        image.draft(None, _draft_size(image.size, at_least))
    image.load()
    turn = _UPRIGHT.get(exif.orientation(image))
    flat = _opaque(image)
    return flat if turn is None else flat.transpose(turn)


def _draft_size(size: tuple[int, int], at_least: int | None) -> tuple[int, int]:
    """The smallest acceptable size, for libjpeg to choose a scale of 1, 1/2, 1/4 or 1/8 that is no smaller."""
    long_side = max(size)
    wanted = at_least or long_side
    if size[0] * size[1] > MAX_PIXELS:
        wanted = min(wanted, long_side // 2)
    share = min(1.0, wanted / long_side)
    return max(1, round(size[0] * share)), max(1, round(size[1] * share))


def _opaque(image: Image.Image) -> Image.Image:
    """RGB or L, transparency laid on white paper, deep samples scaled to eight bits."""
    if image.mode in ("RGB", "L") and not image.has_transparency_data:
        return image
    if image.mode.startswith("I") or image.mode == "F":
        flat = _eight_bits(image)
    elif image.has_transparency_data:
        rgba = image.convert("RGBA")
        flat = Image.new("RGB", image.size, "white")
        flat.paste(rgba, mask=rgba.getchannel("A"))
    else:
        flat = image.convert("L" if image.mode in ("1", "LA") else "RGB")
    flat.info = dict(image.info)
    return flat


_EIGHT_BITS, _SIXTEEN_BITS = 255.0, 65_535.0
"""The largest samples of so many bits."""


def _eight_bits(image: Image.Image) -> Image.Image:
    """Deep greys: 16-bit samples where any is above 255, else eight-bit ones in a wide mode."""
    samples = np.nan_to_num(np.asarray(image, np.float32))
    top = _SIXTEEN_BITS if samples.max(initial=0) > _EIGHT_BITS else _EIGHT_BITS
    return Image.fromarray(np.clip(samples * (_EIGHT_BITS / top), 0, 255).astype(np.uint8))


def to_srgb(image: Image.Image) -> Image.Image:
    """Colours as an sRGB screen shows them, by the embedded profile (ICC.1); a broken profile is ignored."""
    profile = image.info.get("icc_profile")
    rgb = image if image.mode == "RGB" else image.convert("RGB")
    if not profile or image.mode != "RGB":
        return rgb
    try:
        source, target = ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
        change = ImageCms.buildTransform(source, target, "RGB", "RGB")
        return rgb if _is_nothing(change) else ImageCms.applyTransform(rgb, change) or rgb
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return rgb


_COLOURS = Image.fromarray(
    np.stack(np.meshgrid(*[np.arange(0, 256, 17).astype(np.uint8)] * 3), axis=-1).reshape(64, 64, 3)
)
"""Sixteen steps of each channel, in all their mixtures."""


def _is_nothing(change: ImageCms.ImageCmsTransform) -> bool:
    """Whether it moves no colour by more than one step of 255, as sRGB's own profile does not: millions of pixels need
    not go through it then."""
    changed = ImageCms.applyTransform(_COLOURS, change)
    return bool(np.abs(np.asarray(changed, np.int16) - np.asarray(_COLOURS)).max() <= 1)


def _open_pdf(content: bytes, number: int) -> OpenedPage:
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as error:
        locked = "password" in str(error).lower()
        raise CannotShow(
            "is locked with a password" if locked else "is damaged and cannot be opened"
        ) from None
    try:
        page = document[number - 1]
        width, height = page.get_size()
        scale = PDF_LONG_SIDE / max(width, height, 1.0)
        image = page.render(scale=min(scale, 300 / 72 * 4)).to_pil().convert("RGB")
        characters = page.get_textpage().count_chars()
        return OpenedPage(image, "PDF", image.size, min(len(document), MAX_PAGES), characters)
    except pypdfium2.PdfiumError:
        raise CannotShow(f"has a page {number} that cannot be drawn") from None
    finally:
        document.close()
