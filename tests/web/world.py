"""A desk with invented jobs: real messages through the real pipeline, with a reader that knows what was drawn.

Run as a program it serves them: python -m tests.web.world FOLDER [PORT]
"""

from __future__ import annotations

import io
import random
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from email.utils import format_datetime
from pathlib import Path
from typing import Any

import numpy as np
from flask import Flask
from PIL import Image, ImageDraw

from fixtures.sketches import render
from intake import wiring
from intake.desk import desk_app
from intake.mailbox.folder import FolderMailbox
from intake.model.reading import (
    Alternative,
    Direction,
    Feature,
    OutlineWall,
    ReadNumber,
    Role,
    SketchOutline,
    SketchReading,
)
from intake.settings import Settings
from intake.work.accounts import create_account
from intake.work.collect import collect
from intake.work.services import Services

NOW = datetime(2026, 3, 3, 9, 30, tzinfo=UTC)
SHOWROOM = "surveys@alder.example"
PASSWORD = "plain-tape-and-pencil"


@dataclass(frozen=True)
class Person:
    """One invented customer: the seed of their sketch, what they write, how many numbers the reader doubts."""

    name: str
    email: str
    room: str
    seed: int | None
    words: str
    doubts: int = 0
    hours_ago: int = 20
    photographs: int = 2


PEOPLE = (
    Person(
        "Ines Marlow",
        "ines@marlow.example",
        "kitchen",
        3,
        "Hello, here is our plan. The ceiling height is 2.41m. No gas in the house. The consumer unit is in the hall.",
        4,
        70,
    ),
    Person("Tomas Reed", "tomas.reed@post.example", "bathroom", 8, "Plan of our bathroom attached.", 2, 28),
    Person("Ada Fenwick", "ada@fenwick.example", "bedroom", 11, "Bedroom plan, hope it is clear!", 0, 5),
    Person(
        "Wren Castle",
        "wren.castle@post.example",
        "kitchen",
        21,
        "New kitchen. Boiler is in the loft.",
        1,
        100,
    ),
    Person(
        "Oscar Penhale",
        "oscar@penhale.example",
        "kitchen",
        None,
        "A new kitchen, please. What next?",
        0,
        2,
        0,
    ),
)


class KnowingEyes:
    """The real eyes, but reading off the truth of the sketches drawn here."""

    def __init__(self, real: Any, known: dict[tuple[int, int], SketchReading]) -> None:
        self.real, self.known = real, known

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def read(self, jpeg: bytes) -> SketchReading:
        mean = _fingerprint(jpeg)
        nothing = SketchReading(mean[0], mean[1], "cm", (), SketchOutline((), False))
        return self.known.get(mean, nothing)


def _fingerprint(jpeg: bytes) -> tuple[int, int]:
    """A size that each sketch here has alone."""
    return Image.open(io.BytesIO(jpeg)).size


def reading_from(truth: dict[str, Any], doubts: int, seed: int) -> SketchReading:
    """What a perfect reader would read, with some numbers doubted or read wrongly."""
    rng = random.Random(seed)
    numbers = [_number(n) for n in truth["numbers"]]
    doubted = [i for i, n in enumerate(numbers) if n.role in (Role.SECTION, Role.OPENING)]
    for i in rng.sample(doubted, min(doubts, len(doubted))):
        numbers[i] = _doubt(numbers[i], rng)
    walls = tuple(
        OutlineWall(w["wall"], tuple(w["from"]), tuple(w["to"]), Direction(w["direction"]))
        for w in truth["outline"]["walls"]
    )
    features = tuple(
        Feature(f["kind"], f["wall"], tuple(f["span"]) if f["span"] else None, _box(f["box"]))
        for f in truth["features"]
    )
    size = truth["image"]
    outline = SketchOutline(walls, truth["outline"]["closed"], features)
    return SketchReading(size["width"], size["height"], truth["unit"], tuple(numbers), outline)


def _box(box: list[list[float]]) -> Any:
    return tuple((x, y) for x, y in box)


def _number(n: dict[str, Any]) -> ReadNumber:
    return ReadNumber(
        n["text"], n["value_mm"], _box(n["box"]), 0.97, True, (), Role(n["role"]), n["wall"], "test reader"
    )


def _doubt(number: ReadNumber, rng: random.Random) -> ReadNumber:
    """The number with one figure read as its look-alike; the right text is the first alternative."""
    alike = {
        "1": "7",
        "7": "1",
        "3": "8",
        "8": "3",
        "5": "6",
        "6": "5",
        "0": "6",
        "4": "9",
        "9": "4",
        "2": "7",
    }
    place = rng.choice([i for i, c in enumerate(number.text) if c in alike])
    wrong = number.text[:place] + alike[number.text[place]] + number.text[place + 1 :]
    factor = (number.value_mm or 0) / float(number.text)
    return replace(
        number,
        text=wrong,
        value_mm=round(float(wrong) * factor),
        confidence=0.48,
        accepted=False,
        alternatives=(Alternative(number.text, 0.41), Alternative(wrong[:-1] + "1", 0.06)),
        arithmetic="With this reading the wall misses its overall.",
    )


def photograph(seed: int) -> bytes:
    """A picture that may pass for a room: a floor, walls, a window, with noise."""
    rng = np.random.default_rng(seed)
    picture = Image.new("RGB", (1200, 900), tuple(int(v) for v in rng.integers(120, 220, 3)))
    draw = ImageDraw.Draw(picture)
    draw.polygon([(0, 900), (300, 600), (900, 600), (1200, 900)], fill=(126, 92, 62))
    draw.rectangle((300, 190, 900, 600), fill=(214, 205, 188))
    draw.rectangle((460, 260, 680, 450), fill=(176, 208, 236), outline=(90, 80, 70), width=12)
    for _ in range(160):
        x, y = int(rng.integers(0, 1100)), int(rng.integers(0, 820))
        size, colour = rng.integers(10, 160, 2), tuple(int(v) for v in rng.integers(20, 230, 3))
        draw.rectangle((x, y, x + int(size[0]), y + int(size[1])), fill=colour)
    noisy = np.asarray(picture).astype(np.int16) + rng.normal(0, 9, (900, 1200, 3))
    out = io.BytesIO()
    Image.fromarray(noisy.clip(0, 255).astype(np.uint8)).save(out, "JPEG", quality=88)
    return out.getvalue()


def message(person: Person, now: datetime, sketch: bytes | None) -> bytes:
    mail = EmailMessage()
    sent = now - timedelta(hours=person.hours_ago)
    mail["From"] = f"{person.name} <{person.email}>"
    mail["To"] = SHOWROOM
    mail["Subject"] = f"Our {person.room}"
    mail["Date"] = format_datetime(sent)
    mail["Message-ID"] = f"<{person.email.replace('@', '.')}@post.example>"
    mail["Return-Path"] = f"<{person.email}>"
    mail["Authentication-Results"] = (
        f"mx.alder.example; dmarc=pass header.from={person.email.partition('@')[2]}"
    )
    mail.set_content(person.words)
    if sketch:
        mail.add_attachment(sketch, "image", "jpeg", filename="plan of the room.jpg")
    for n in range(person.photographs):
        mail.add_attachment(
            photograph(hash(person.email) % 1000 + n), "image", "jpeg", filename=f"IMG_{n + 1}.jpg"
        )
    return bytes(mail)


def write_mail(
    folder: Path, now: datetime, people: tuple[Person, ...]
) -> dict[tuple[int, int], SketchReading]:
    """Put everybody's first message into a folder; returns what a reader finds on each sketch, by its size."""
    folder.mkdir(parents=True, exist_ok=True)
    known = {}
    for n, person in enumerate(people):
        sketch = None
        if person.seed is not None:
            drawn = render(person.seed, "training", long_side=1500 + 4 * n)
            sketch = drawn.jpeg
            size = drawn.truth["image"]
            known[size["width"], size["height"]] = reading_from(drawn.truth, person.doubts, person.seed)
        (folder / f"{n}.eml").write_bytes(message(person, now, sketch))
    (folder / "broken.eml").write_bytes(b"")
    (folder / "away.eml").write_bytes(_automatic_reply(now))
    return known


def _automatic_reply(now: datetime) -> bytes:
    mail = EmailMessage()
    mail["From"], mail["To"], mail["Subject"] = "away@post.example", SHOWROOM, "Out of office"
    mail["Date"], mail["Auto-Submitted"] = format_datetime(now - timedelta(hours=3)), "auto-replied"
    mail["Message-ID"], mail["Return-Path"] = "<away@post.example>", "<>"
    mail.set_content("I am away until Monday.")
    return bytes(mail)


@contextmanager
def desk(
    folder: Path, people: tuple[Person, ...] = PEOPLE, now: datetime = NOW
) -> Iterator[tuple[Flask, Services]]:
    """A desk over everybody's messages, with the accounts owner and designer."""
    settings = Settings(
        data=folder / "data",
        address=(SHOWROOM,),
        authserv_id="mx.alder.example",
        showroom_name="Alder & Row",
        showroom_phone="01632 960 111",
        designer="Maya Alder",
        session_key="for tests alone",
    )
    known = write_mail(folder / "mail", now, people)
    with wiring.opened(settings) as real:
        services = replace(real, eyes=KnowingEyes(real.eyes, known), clock=lambda: now)  # type: ignore[arg-type]
        collect(FolderMailbox(folder / "mail"), services)
        create_account(services.store, "maya", PASSWORD, "owner", now)
        create_account(services.store, "jon", PASSWORD, "designer", now)
        yield desk_app(settings, services), services


if __name__ == "__main__":
    from waitress import serve

    with desk(Path(sys.argv[1]), now=datetime.now(UTC)) as (app, _):
        serve(app, host="127.0.0.1", port=int(sys.argv[2]) if len(sys.argv) > 2 else 8047)
