"""Small messages for the tests: invented people, example domains, pictures drawn here."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image

OURS = "survey@rooms.example"
SERVER = "mail.rooms.example"
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@cache
def picture(seed: int, size: tuple[int, int] = (1200, 900)) -> bytes:
    """A coloured picture of nothing: a room view as far as the rules go."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(30, 220, (9, 12, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(coarse).resize(size, Image.Resampling.BICUBIC).save(out, "JPEG", quality=85)
    return out.getvalue()


def message(
    sender: str,
    subject: str,
    text: str,
    hours: float = 0,
    message_id: str = "",
    files: tuple[tuple[str, bytes], ...] = (),
    passed: bool = True,
    **headers: str,
) -> bytes:
    """One message as our own server would have taken it; `passed`: its sender was authenticated."""
    address = sender.partition("<")[2].rstrip(">") or sender
    mail = EmailMessage(policy=SMTP)
    mail["Return-Path"] = f"<{address}>"
    if passed:
        mail["Authentication-Results"] = (
            f"{SERVER}; dmarc=pass header.from={address.partition('@')[2]}; spf=pass"
        )
    mail["From"], mail["To"], mail["Subject"] = sender, OURS, subject
    mail["Date"] = format_datetime(START + timedelta(hours=hours))
    if message_id:
        mail["Message-ID"] = message_id
    for name, value in headers.items():
        mail[name.replace("_", "-")] = value
    mail.set_content(text)
    for name, content in files:
        mail.add_attachment(content, maintype="application", subtype="octet-stream", filename=name)
    return mail.as_bytes()


def folder(path: Path, *messages: bytes) -> Path:
    """The messages as a folder of .eml files."""
    path.mkdir(parents=True, exist_ok=True)
    for number, raw in enumerate(messages):
        (path / f"{number:03d}.eml").write_bytes(raw)
    return path
