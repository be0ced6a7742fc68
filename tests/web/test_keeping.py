"""What is kept of a customer's files, and for how long."""

from __future__ import annotations

import io
import shutil
import zipfile
from dataclasses import replace
from datetime import timedelta
from email.message import EmailMessage
from email.utils import format_datetime
from pathlib import Path

import pillow_heif
import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from fixtures.photographs import as_jpeg, close_up
from intake.mailbox.folder import FolderMailbox
from intake.model.checklist import ItemState
from intake.model.errors import NotFound
from intake.reading.printed_labels import label_words
from intake.reading.tesseract import tesseract_missing
from intake.store.database import Store
from intake.wording.desk import worded
from intake.work import decide
from intake.work.accounts import sign_in_link
from intake.work.collect import collect
from intake.work.desk import raw_message
from intake.work.job_view import job_view
from intake.work.purge import purge
from intake.work.services import Services
from tests.web import plans, world

OSCAR = next(p for p in world.PEOPLE if p.name.startswith("Oscar"))
SECRETS = (b"SERIAL-12345", b"MAKERNOTE-SECRET", b"Edith Example", b"1999:12:31", b"COMMENT-SECRET")


def _with_secrets(pixels: Image.Image) -> Image.Exif:
    """EXIF as a telephone writes it: place, serial number, maker's notes, owner (tags of Exif 2.32)."""
    exif = pixels.getexif()
    exif[0x0112] = 1
    exif.get_ifd(0x8769).update(
        {0xA431: "SERIAL-12345", 0x927C: b"MAKERNOTE-SECRET", 0xA430: "Edith Example"}
    )
    degrees = tuple(IFDRational(v) for v in (51, 30, 26))
    exif.get_ifd(0x8825).update({1: "N", 2: degrees, 3: "W", 4: degrees, 29: "1999:12:31"})
    return exif


def _picture(plan: plans.Plan, kind: str) -> bytes:
    pixels = Image.open(io.BytesIO(plans.picture_of(plan)))
    out = io.BytesIO()
    exif = _with_secrets(pixels).tobytes()
    if kind == "HEIF":
        pillow_heif.from_pillow(pixels).save(out, exif=exif, quality=80)
    else:
        pixels.save(out, kind, exif=exif, comment=b"COMMENT-SECRET")
    return out.getvalue()


def _mail(*attachments: tuple[str, bytes]) -> bytes:
    mail = EmailMessage()
    mail["From"], mail["To"], mail["Subject"] = "Oscar <oscar@penhale.example>", world.SHOWROOM, "Our kitchen"
    mail["Date"], mail["Message-ID"] = format_datetime(world.NOW), "<keeping@post.example>"
    mail["Return-Path"] = "<oscar@penhale.example>"
    mail["Authentication-Results"] = "mx.alder.example; dmarc=pass header.from=penhale.example"
    mail.set_content("Here are the plan and a photograph of our kitchen.")
    for name, content in attachments:
        mail.add_attachment(content, "application", "octet-stream", filename=name)
    return bytes(mail)


def _everything_else(data: Path) -> dict[str, bytes]:
    """Every file of ours but the raw messages."""
    return {
        str(path.relative_to(data)): path.read_bytes()
        for path in data.rglob("*")
        if path.is_file() and path.suffix != ".eml"
    }


@pytest.mark.parametrize("kind", ["JPEG", "HEIF"])
def test_place_serial_number_and_makers_notes_are_in_nothing_that_is_kept_but_the_original(
    tmp_path: Path, kind: str
) -> None:
    picture = _picture(plans.KITCHEN, kind)
    wanted = SECRETS if kind == "JPEG" else SECRETS[:4]
    assert all(secret in picture for secret in wanted)
    with world.desk(tmp_path, ()) as (app, services):
        (tmp_path / "new").mkdir()
        (tmp_path / "new" / "a.eml").write_bytes(_mail((f"plan of the room.{kind.lower()}", picture)))
        collect(FolderMailbox(tmp_path / "new"), services)
        (job,) = world.jobs(services)
        client = app.test_client()
        client.get(sign_in_link(services.store, "maya", services.clock()))
        with client.session_transaction() as session:
            token = session.setdefault("token", "token-of-a-page")
        pack = client.post(f"/jobs/{job}/handover.zip", data={"token": token}).data
        view = job_view(services, job)
        assert view.main is not None, "the sketch was kept at full size for the readers too"
        kept = _everything_else(tmp_path / "data")
        assert {n.rpartition("-")[2] for n in kept if n.startswith("pictures")} == {"display.jpg", "full.jpg"}
        for name, content in kept.items():
            if name.endswith(".jpg"):
                assert not Image.open(io.BytesIO(content)).getexif(), name
    given = {
        n: zipfile.ZipFile(io.BytesIO(pack)).read(n) for n in zipfile.ZipFile(io.BytesIO(pack)).namelist()
    }
    for name, content in (kept | given).items():
        assert [secret for secret in SECRETS if secret in content] == [], name


def _originals(store: Store) -> list[str]:
    root = store.files.root
    return sorted(p.name for p in (*root.glob("raw/*/*"), *root.glob("pictures/*/*-full.jpg")))


def _later(services: Services, days: float) -> Services:
    policy = replace(services.policy, retention=timedelta(days=30))
    return replace(services, policy=policy, clock=lambda: world.NOW + timedelta(days=days))


def test_originals_go_when_their_time_is_over_and_the_job_stays(tmp_path: Path) -> None:
    with world.desk(tmp_path, (replace(OSCAR, plan=plans.KITCHEN, photographs=1),), came_then=True) as (
        app,
        services,
    ):
        (job,) = world.jobs(services)
        before, originals = job_view(services, job), _originals(services.store)
        assert before.main is not None
        mine = {f"{before.file.messages[0].sha256}.eml", f"{before.main.picture.id}-full.jpg"}
        assert mine < set(originals), (
            "and two messages that are in no job, and came later than this clock says"
        )
        for_ever = replace(services.policy, retention=None)
        assert purge(services) == 0 and purge(_later(services, 29)) == 0
        assert purge(replace(_later(services, 10_000), policy=for_ever)) == 0
        assert _originals(services.store) == originals
        assert purge(_later(services, 31), sure=True) == 1 and purge(_later(services, 32)) == 0
        assert set(_originals(services.store)) == set(originals) - mine
        client = app.test_client()
        client.get(sign_in_link(services.store, "maya", services.clock()))
        assert client.get(f"/jobs/{job}").status_code == 200
        assert client.get(f"/pictures/{before.main.picture.id}.jpg").status_code == 200
        with pytest.raises(NotFound, match="no longer kept"):
            raw_message(services.store, before.file.messages[0].sha256)
        decide.set_item(services, job, "boiler", "confirmed", "", "maya")
        after = job_view(services, job)
        assert next(s for s in after.standings if s.item.id == "boiler").state is ItemState.CONFIRMED
        assert purge(_later(services, 10_000), sure=True) == 2 and _originals(services.store) == []


def test_a_message_that_comes_again_after_its_original_went_is_let_go_again(tmp_path: Path) -> None:
    with world.desk(tmp_path, (replace(OSCAR, photographs=0),), came_then=True) as (_, services):
        originals = _originals(services.store)
        assert purge(_later(services, 31), sure=True) == 1
        again = tmp_path / "again"
        again.mkdir()
        shutil.copy2(tmp_path / "mail" / "0.eml", again / "once-more.eml")
        collect(FolderMailbox(again), _later(services, 40))
        assert _originals(services.store) == originals
        assert (
            purge(_later(services, 41), sure=True) == 1
            and len(_originals(services.store)) == len(originals) - 1
        )


class _Labelled(world.KnowingEyes):
    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        return label_words(jpeg)


def _with_real_labels(services: Services) -> Services:
    knowing = services.eyes
    assert isinstance(knowing, world.KnowingEyes)
    return replace(services, eyes=_Labelled(knowing.real, knowing.known))


@pytest.mark.skipif(bool(tesseract_missing()), reason="Tesseract is not installed")
def test_a_label_in_a_photograph_settles_its_item(tmp_path: Path) -> None:
    """Neither the file's name nor the mail names the consumer unit; a label in the picture does."""
    with world.desk(tmp_path, (), services_change=_with_real_labels) as (_, services):
        (tmp_path / "new").mkdir()
        photograph = as_jpeg(close_up("consumer-unit", 1))
        (tmp_path / "new" / "a.eml").write_bytes(_mail(("IMG_0009.jpg", photograph)))
        collect(FolderMailbox(tmp_path / "new"), services)
        (job,) = world.jobs(services)
        standing = next(s for s in job_view(services, job).standings if s.item.id == "consumer-unit")
        assert standing.state is ItemState.PRESENT and "A label in it names the consumer unit" in worded(
            standing.reason
        )
        picture = standing.evidence[0].picture
        decide.set_subject(services, job, picture, "room", "maya")
        standing = next(s for s in job_view(services, job).standings if s.item.id == "consumer-unit")
        assert standing.state is ItemState.MISSING, "a designer's word wins"
