"""Every format upright and in sRGB, hostile files refused in words, nothing private in what is shown."""

from __future__ import annotations

import io
import os
import time
from datetime import UTC, datetime

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms, ImageOps

from fixtures.photographs import WIDE_PRIMARIES, Shot, as_jpeg, colour_profile
from intake.cell.keeper import CellBroken
from intake.imaging.decode import Decoded, Decoder
from tests.imaging.files import pdf_of, png_claiming, raw, saved, scene

pillow_heif.register_heif_opener()


def opened(decoded: Decoded) -> Image.Image:
    assert decoded.display is not None
    return Image.open(io.BytesIO(decoded.display))


def difference(a: Image.Image, b: Image.Image) -> float:
    return float(np.abs(np.asarray(a.convert("RGB"), int) - np.asarray(b.convert("RGB"), int)).mean())


@pytest.mark.parametrize("form", ["JPEG", "MPO", "PNG", "WEBP", "TIFF", "GIF", "HEIF", "AVIF", "BMP"])
def test_every_format_shows_the_same_picture(decoder: Decoder, form: str) -> None:
    (found,) = decoder.examine(raw(saved(scene(), form)))
    assert found.facts.problem == ""
    assert (found.facts.width, found.facts.height) == (640, 480)
    assert difference(opened(found), scene()) < (12 if form == "GIF" else 5)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_is_applied_as_pillow_does(decoder: Decoder, orientation: int) -> None:
    """Exif 2.32, tag 0x0112; Pillow's own exif_transpose is the outside check."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    content = saved(scene(), "JPEG", exif=exif, quality=95)
    upright = ImageOps.exif_transpose(Image.open(io.BytesIO(content)))
    (found,) = decoder.examine(raw(content))
    assert (found.facts.width, found.facts.height) == upright.size
    assert difference(opened(found), upright) < 4
    reading = decoder.for_reading(found.raw)
    assert reading and difference(Image.open(io.BytesIO(reading)), upright) < 2


def test_a_large_picture_is_shown_small_and_read_whole(decoder: Decoder) -> None:
    (found,) = decoder.examine(raw(saved(scene(4032, 3024), "JPEG")))
    assert (found.facts.width, found.facts.height) == (4032, 3024)
    assert max(opened(found).size) <= 2048
    reading = decoder.for_reading(found.raw)
    assert reading and Image.open(io.BytesIO(reading)).size == (4032, 3024)


def test_place_serial_number_and_makers_notes_do_not_survive(decoder: Decoder) -> None:
    content = as_jpeg(Shot(np.asarray(scene())))
    assert b"SERIAL-12345" in content and b"MAKERNOTE-SECRET" in content
    (found,) = decoder.examine(raw(content))
    reading = decoder.for_reading(found.raw)
    for shown in (found.display, reading):
        assert shown is not None
        assert b"SERIAL" not in shown and b"MAKERNOTE" not in shown and b"Exif" not in shown
        assert not Image.open(io.BytesIO(shown)).getexif()


def test_exif_facts(decoder: Decoder) -> None:
    moment = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
    content = as_jpeg(
        Shot(np.asarray(scene()), focal=26), orientation=6, taken_at=moment, claimed=(4032, 3024)
    )
    facts = decoder.examine(raw(content))[0].facts
    assert facts.exif_size == (3024, 4032)
    assert (facts.focal_length_35mm, facts.taken_at) == (26.0, moment)


def test_colours_come_out_as_srgb(decoder: Decoder) -> None:
    """Red in a file whose profile says that its red is sRGB's blue is blue; an sRGB profile, and a broken one, change
    nothing. littleCMS, called here on every pixel, is the outside check for a telephone's wide colours."""
    red = Image.new("RGB", (200, 200), (220, 30, 30))
    same = saved(red, "PNG", icc_profile=colour_profile())
    assert difference(opened(decoder.examine(raw(same))[0]), red) < 3
    broken = saved(red, "PNG", icc_profile=b"no profile at all")
    assert difference(opened(decoder.examine(raw(broken))[0]), red) < 3
    exchanged = {b"rXYZ": (0.1431, 0.0606, 0.7141), b"bXYZ": (0.4360, 0.2225, 0.0139)}  # sRGB's, under D50
    blue = decoder.examine(raw(saved(red, "PNG", icc_profile=colour_profile(exchanged))))[0]
    assert difference(opened(blue), Image.new("RGB", (200, 200), (30, 30, 220))) < 6
    wide = colour_profile(WIDE_PRIMARIES)
    source = ImageCms.ImageCmsProfile(io.BytesIO(wide))
    expected = ImageCms.profileToProfile(scene(), source, ImageCms.createProfile("sRGB"))
    assert expected and difference(expected, scene()) > 5
    shown = opened(decoder.examine(raw(saved(scene(), "PNG", icc_profile=wide)))[0])
    assert difference(shown, expected) < 3


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16", "CMYK"])
def test_every_mode_is_shown(decoder: Decoder, mode: str) -> None:
    grey = scene().convert("L")
    image = Image.fromarray(np.asarray(grey, np.uint16) * 257) if mode == "I;16" else scene().convert(mode)
    (found,) = decoder.examine(raw(saved(image, "TIFF" if mode == "CMYK" else "PNG")))
    assert found.facts.problem == ""
    if mode in ("L", "LA", "I;16"):
        assert difference(opened(found), grey) < 4


def test_transparency_lies_on_white_paper(decoder: Decoder) -> None:
    image = Image.new("RGBA", (200, 200), (0, 0, 0, 0))
    (found,) = decoder.examine(raw(saved(image, "PNG")))
    assert found.facts.brightness > 250


def test_pages_of_pdf_and_tiff_are_pictures_of_their_own(decoder: Decoder) -> None:
    second = scene(seed=1)
    both = saved(scene(), "TIFF", save_all=True, append_images=[second])
    for content in (both, pdf_of(scene(), second)):
        pages = decoder.examine(raw(content))
        assert [p.page for p in pages] == [1, 2]
        assert pages[1].id == pages[0].id + "-p2"
        assert difference(opened(pages[1]).resize(second.size), second) < 8


def test_an_animation_is_one_picture(decoder: Decoder) -> None:
    content = saved(scene(), "GIF", save_all=True, append_images=[scene(seed=1)])
    assert len(decoder.examine(raw(content))) == 1


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "GIF", "HEIF", "AVIF"])
@pytest.mark.parametrize("share", [0.5, 0.9, 0.995])
def test_a_cut_file_is_seen_to_be_cut(decoder: Decoder, form: str, share: float) -> None:
    content = saved(scene(), form)
    (found,) = decoder.examine(raw(content[: int(len(content) * share)], "sketch.x"))
    assert "sketch.x is damaged" in found.facts.problem
    assert found.facts.width == 0


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_rows": 4}])
@pytest.mark.parametrize("share", [0.3, 0.9, 0.999])
def test_a_cut_jpeg_is_seen_to_be_cut_though_it_is_decoded_at_half_its_size(
    decoder: Decoder, share: float, options: dict[str, object]
) -> None:
    content = saved(scene(3600, 2700), "JPEG", quality=60, **options)
    assert decoder.examine(raw(content))[0].facts.problem == ""
    (found,) = decoder.examine(raw(content[: int(len(content) * share)], "room.jpg"))
    assert found.facts.problem == "room.jpg is damaged: the end of it is missing."


def test_what_is_left_of_a_cut_jpeg_can_still_be_looked_at(decoder: Decoder) -> None:
    content = saved(scene(), "JPEG")
    (found,) = decoder.examine(raw(content[: len(content) // 2]))
    assert found.facts.problem and opened(found).size == (640, 480)


def test_a_tiled_heif_that_is_cut_decodes_in_silence_and_is_caught_by_its_boxes(decoder: Decoder) -> None:
    """libheif fills missing tiles with black and says nothing; the box sizes tell (ISO/IEC 14496-12 4.2)."""
    content = saved(scene(), "HEIF")
    padded = (
        content + (5000).to_bytes(4, "big") + b"free" + b"\0" * 100
    )  # a last box that promises more than there is
    assert Image.open(io.BytesIO(padded)).size == (640, 480)
    (found,) = decoder.examine(raw(padded, "plan.heic"))
    assert "bytes are missing" in found.facts.problem


@pytest.mark.parametrize("size", [(50_000, 50_000), (1_000_000, 10), (20_000, 20_000)])
def test_a_bomb_is_refused_by_name(decoder: Decoder, size: tuple[int, int]) -> None:
    (found,) = decoder.examine(raw(png_claiming(*size), "bomb.png"))
    assert found.facts.problem.startswith(f"bomb.png claims to be {size[0]} x {size[1]} pixels")


def test_a_picture_of_nothing_but_its_claim_stays_within_memory(decoder: Decoder) -> None:
    (found,) = decoder.examine(raw(png_claiming(11_000, 11_000), "thin.png"))
    assert "thin.png" in found.facts.problem


def test_a_child_that_hangs_is_stopped_and_the_next_picture_still_served(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with Decoder(seconds=4) as decoder:
        good = raw(saved(scene(), "JPEG"), "good.jpg")
        assert decoder.examine(good)[0].facts.problem == ""
        child = decoder._cell._child
        assert child is not None
        os.kill(child.pid, 19)  # SIGSTOP: as good as an endless loop
        started = time.monotonic()
        with monkeypatch.context() as hurried:
            hurried.setattr("intake.cell.keeper.PATIENCE", 0.1)
            (stuck,) = decoder.examine(raw(saved(scene(), "JPEG"), "stuck.jpg"))
        assert "stuck.jpg could not be opened within the time" in stuck.facts.problem
        assert 0.4 <= time.monotonic() - started < 20
        assert decoder.examine(good)[0].facts.problem == ""


def test_a_child_that_never_starts_is_our_fault_and_raised(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.executable", "/bin/false")
    with Decoder() as decoder, pytest.raises(CellBroken, match="did not start"):
        decoder.examine(raw(saved(scene(), "JPEG")))


def test_the_child_cannot_take_more_memory_or_write_files(decoder: Decoder) -> None:
    decoder.examine(raw(saved(scene(), "JPEG")))
    assert decoder._cell._child is not None
    with open(f"/proc/{decoder._cell._child.pid}/limits", encoding="ascii") as table:  # noqa: PTH123
        limits = {line[:26].strip(): line[26:].split() for line in table}
    assert limits["Max file size"][0] == "0"
    assert int(limits["Max address space"][0]) < 3 * 2**30
    assert int(limits["Max open files"][0]) <= 32


def test_a_locked_pdf_says_so(decoder: Decoder) -> None:
    from reportlab.lib.pdfencrypt import StandardEncryption
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, encrypt=StandardEncryption("secret"))
    canvas.drawString(100, 100, "plan")
    canvas.save()
    (found,) = decoder.examine(raw(out.getvalue(), "plan.pdf"))
    assert found.facts.problem == "plan.pdf is locked with a password."
