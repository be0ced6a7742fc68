"""Which parts hold pictures: by content, with everything refused or kept aside said aloud."""

from __future__ import annotations

import zipfile

import pytest

from intake.imaging import unpack
from intake.imaging.sniff import kind_of
from intake.imaging.unpack import pictures_in, shown_name
from intake.wording import desk
from tests.imaging.files import part, pdf_of, saved, scene, tnef, zipped

JPEG = saved(scene(), "JPEG")
PNG = saved(scene(), "PNG")


@pytest.mark.parametrize(
    ("form", "kind"),
    [*((f, f.lower()) for f in ("JPEG", "PNG", "GIF", "WEBP", "TIFF", "AVIF", "BMP")), ("MPO", "jpeg")],
)
def test_kind_is_told_from_content_alone(form: str, kind: str) -> None:
    content = saved(scene(), form)
    assert kind_of(content) == kind
    (found,) = pictures_in([part(content, "notes.txt")]).pictures
    assert found.kind == kind


def test_a_pdf_is_found_even_behind_a_line_of_mail_rubbish() -> None:
    """ISO 32000-1 annex H: readers accept the header anywhere in the first 1024 bytes."""
    assert kind_of(b"\n" * 40 + pdf_of(scene())) == "pdf"


def test_heif_is_told_by_its_brand() -> None:
    import pillow_heif

    pillow_heif.register_heif_opener()
    assert kind_of(saved(scene(), "HEIF")) == "heif"


def test_an_inline_picture_without_a_name_counts() -> None:
    (found,) = pictures_in([part(JPEG, "", inline=True)]).pictures
    assert (found.name, found.inline) == ("", True)


def test_a_program_dressed_as_a_picture_is_kept_aside_and_named() -> None:
    unpacked = pictures_in([part(b"MZ\x90\0", "holiday.jpg"), part(b"just words", "readme")])
    assert unpacked.pictures == ()
    assert [f.code for f in unpacked.findings] == ["kept-aside", "kept-aside"]
    assert "holiday.jpg is a program" in desk.worded(unpacked.findings[0].text)


def test_names_are_for_showing_only() -> None:
    assert shown_name("../../etc/passwd") == "passwd"
    assert shown_name("C:\\photos\\plan.jpg") == "plan.jpg"
    assert shown_name("gpj.\u202enalp\x07") == "gpj.nalp"
    assert len(shown_name("a" * 1000)) == 120


def test_pictures_in_a_zip_come_out_in_order_and_rubbish_is_named() -> None:
    content = zipped({"a/sketch.jpg": JPEG, "b.png": PNG, "run.exe": b"MZ", "__MACOSX/._b.png": b"\0"})
    unpacked = pictures_in([part(content, "pictures.zip", path="3")])
    assert [(p.name, p.path) for p in unpacked.pictures] == [("sketch.jpg", "3!1"), ("b.png", "3!2")]
    assert [desk.worded(f.text).split(":")[0] for f in unpacked.findings] == ["run.exe is a program"]


def test_an_office_document_gives_its_pictures_without_a_word_about_its_xml() -> None:
    content = zipped(
        {"[Content_Types].xml": b"<x/>", "word/document.xml": b"<x/>", "word/media/image1.jpeg": JPEG}
    )
    unpacked = pictures_in([part(content, "plan.docx")])
    assert [p.name for p in unpacked.pictures] == ["image1.jpeg"]
    assert unpacked.findings == ()


def test_a_zip_in_a_zip_is_refused_by_name() -> None:
    unpacked = pictures_in([part(zipped({"inner.zip": zipped({"a.jpg": JPEG})}), "outer.zip")])
    assert unpacked.pictures == ()
    assert unpacked.findings[0].code == "archive-nested"
    assert "inner.zip in outer.zip" in desk.worded(unpacked.findings[0].text)


def test_a_zip_bomb_is_refused_and_the_honest_picture_beside_it_kept() -> None:
    content = zipped({"bomb.bmp": b"BM" + b"\0" * (30 << 20), "plan.jpg": JPEG})
    unpacked = pictures_in([part(content, "both.zip")])
    assert [p.name for p in unpacked.pictures] == ["plan.jpg"]
    assert [f.code for f in unpacked.findings] == ["archive-bomb"]


def test_a_zip_that_would_fill_the_disk_is_refused_before_anything_is_unpacked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(unpack, "MAX_ARCHIVE_BYTES", 1000)
    unpacked = pictures_in([part(zipped({"a.jpg": JPEG}), "a.zip")])
    assert (unpacked.pictures, [f.code for f in unpacked.findings]) == ((), ["archive-bomb"])


def test_a_damaged_or_locked_zip_is_one_finding() -> None:
    damaged = pictures_in([part(zipped({"a.jpg": JPEG})[:-30], "cut.zip")])
    assert [f.code for f in damaged.findings] == ["archive-damaged"]
    locked = bytearray(zipped({"a.jpg": JPEG}, zipfile.ZIP_STORED))
    for mark in (b"PK\x03\x04", b"PK\x01\x02"):  # APPNOTE 4.4.4: bit 0 of the flags, six and eight bytes in
        locked[locked.index(mark) + (6 if mark[2] == 3 else 8)] |= 1
    assert [f.code for f in pictures_in([part(bytes(locked), "locked.zip")]).findings] == ["archive-locked"]


def test_a_member_whose_data_are_damaged_loses_only_itself() -> None:
    content = bytearray(zipped({"a.jpg": JPEG, "b.png": PNG}, zipfile.ZIP_STORED))
    content[content.index(JPEG[100:120]) + 5] ^= 0xFF
    unpacked = pictures_in([part(bytes(content), "two.zip")])
    assert [p.name for p in unpacked.pictures] == ["b.png"]
    assert [f.code for f in unpacked.findings] == ["archive-damaged"]


def test_winmail_dat_gives_its_attachments() -> None:
    unpacked = pictures_in([part(tnef([("PLAN~1.JPG", JPEG), ("b.png", PNG)]), "winmail.dat")])
    assert [(p.name, p.kind) for p in unpacked.pictures] == [("PLAN~1.JPG", "jpeg"), ("b.png", "png")]
    assert unpacked.findings == ()


def test_a_zip_inside_winmail_dat_is_opened_for_it_is_only_an_envelope() -> None:
    unpacked = pictures_in([part(tnef([("two.zip", zipped({"a.jpg": JPEG}))]), "winmail.dat")])
    assert [p.name for p in unpacked.pictures] == ["a.jpg"]


def test_a_cut_winmail_dat_says_so_and_keeps_what_came() -> None:
    unpacked = pictures_in([part(tnef([("a.jpg", JPEG), ("b.png", PNG)])[:-2000], "winmail.dat")])
    assert [p.name for p in unpacked.pictures] == ["a.jpg"]
    assert [f.code for f in unpacked.findings] == ["attachment-damaged"]


@pytest.mark.parametrize(
    "start", [b"PK\x03\x04", b"\x78\x9f\x3e\x22", b"%PDF-", b"II*\0", b"\0\0\0\x18ftypheic"]
)
def test_rubbish_behind_a_true_signature_never_raises(start: bytes) -> None:
    for tail in (b"", b"\xff" * 50, bytes(range(256)) * 4):
        pictures_in([part(start + tail, "odd")])
