"""A showroom whose customers all write in a hand that the readers did not know:
python -m tests.inspection.learning [--hand NAME] [--sketches N] [--fresh N].

Drawn sketches come by mail and are read by the real readers; a designer, who knows what was drawn, confirms, corrects,
strikes and adds numbers by the desk's own actions; `intake labels` and `intake adapt` are run on what comes of it.
Then further sketches in the same hand, and as many of other hands of the test split, are read by the readers as they
came and as they are taught. See docs/measuring.md.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import re
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from email.utils import format_datetime
from pathlib import Path
from typing import Any, Protocol
from unittest import mock

import cv2
import numpy as np

from fixtures.benchmark.scoring import Tally, match, same_text, score
from fixtures.hands import Hand
from fixtures.hands.gather import quick_hands
from fixtures.hands.hand import CharBox, Ink, Written
from fixtures.sketches import Sketch, render
from intake import wiring
from intake.cli import main as command
from intake.domain.lengths.notation import parse_length
from intake.eyes import SharedEyes
from intake.mailbox.folder import FolderMailbox
from intake.model.reading import Role, SketchReading
from intake.settings import Settings
from intake.work import decide
from intake.work.collect import collect
from intake.work.services import Services

HAND = "quick-50013-0.85"
"""A quick writer of the test split, drawn by code of the project's own, that leans back as none does that the networks
were trained on."""
FIRST, FRESH, OTHERS = 930_000, 940_000, 950_000
"""Sketches of seeds from here on: to learn from, to try what was learned on, and in other hands."""
SHOWROOM = "surveys@alder.example"
NOW = datetime(2026, 3, 3, 9, 30, tzinfo=UTC)


Change = Callable[[Services], Services]


class Drawn(Protocol):
    """What a customer mails, and what truly stands on it."""

    @property
    def jpeg(self) -> bytes: ...

    @property
    def truth(self) -> dict[str, Any]: ...


def as_they_are(services: Services) -> Services:
    return services


@dataclass(frozen=True)
class Leaning:
    """A hand whose writing leans by so much more (to the left where negative)."""

    hand: Hand
    lean: float

    @property
    def name(self) -> str:
        return f"{self.hand.name}{self.lean:+g}"

    @property
    def kind(self) -> str:
        return self.hand.kind

    def write(self, text: str, rng: np.random.Generator, height_px: float) -> Written:
        flat = self.hand.write(text, rng, height_px)
        rows, columns = flat.ink.shape
        aside = abs(self.lean) * rows
        turn = np.array([[1, -self.lean, aside if self.lean > 0 else 0.0], [0, 1, 0]], np.float32)
        ink: Ink = cv2.warpAffine(flat.ink, turn, (int(columns + aside), rows))
        return Written(ink, tuple(self._leaned(box, aside) for box in flat.boxes))

    def _leaned(self, box: CharBox, aside: float) -> CharBox:
        left, top, right, bottom = box
        ends = [-self.lean * y + (aside if self.lean > 0 else 0.0) for y in (top, bottom)]
        return int(left + min(ends)), top, int(right + max(ends)), bottom


def hand_named(name: str) -> Hand:
    """A quick writer of the test split; "quick-50013-0.85" is one that leans by .85 to the left of its own slant."""
    plain, lean = re.fullmatch(r"(\w+-\d+)([+-][\d.]+)?", name).groups()  # type: ignore[union-attr]
    hand = next(hand for hand in quick_hands("test") if hand.name == plain)
    return Leaning(hand, float(lean)) if lean else hand


def sketches(hand: Hand | None, first: int, count: int) -> Iterator[Sketch]:
    """So many drawn sketches in one hand, or each in one of the test split's own."""
    for seed in range(first, first + count):
        yield render(seed, "test", hand=hand, long_side=1800, slips=0)


@dataclass(frozen=True)
class Showroom:
    """The showroom's folder, and what was drawn for each customer, by their address."""

    folder: Path
    drawn: Mapping[str, Drawn]

    @property
    def settings(self) -> Settings:
        return Settings(
            data=self.folder / "data", address=(SHOWROOM,), authserv_id="mx.alder.example", labels="yes"
        )


def opened_by_mail(folder: Path, drawn: Sequence[Drawn], change: Change = as_they_are) -> Showroom:
    """A showroom that got each of these by mail from a customer of its own, and has read them."""
    mail, known = folder / "mail", dict[str, Drawn]()
    mail.mkdir(parents=True)
    for n, sketch in enumerate(drawn):
        address = f"customer{n:02d}@post.example"
        (mail / f"{n:02d}.eml").write_bytes(_message(address, sketch.jpeg))
        known[address] = sketch
    here = Showroom(folder, known)
    with wiring.opened(here.settings) as services:
        collect(FolderMailbox(mail), change(replace(services, clock=lambda: NOW)))
    return here


def _message(address: str, jpeg: bytes) -> bytes:
    mail = EmailMessage()
    mail["From"], mail["To"], mail["Subject"] = address, SHOWROOM, "Our kitchen"
    mail["Date"] = format_datetime(NOW - timedelta(hours=2))
    mail["Message-ID"], mail["Return-Path"] = f"<{address.replace('@', '.')}>", f"<{address}>"
    mail["Authentication-Results"] = "mx.alder.example; dmarc=pass header.from=post.example"
    mail.set_content("Here is our plan for the new kitchen.")
    mail.add_attachment(jpeg, "image", "jpeg", filename="plan.jpg")
    return bytes(mail)


def settle(here: Showroom, change: Change = as_they_are) -> int:
    """A designer settles every job's numbers; returns how many decisions that took."""
    with wiring.opened(here.settings) as real:
        services = change(replace(real, clock=lambda: NOW))
        with services.store.reading() as tables:
            jobs = {job.id: here.drawn[job.customer.email] for job in tables.jobs.all()}
            read = {
                (job, kept.picture.id): reading
                for job in jobs
                for kept in tables.pictures.of_job(job)
                if (reading := tables.pictures.reading(kept.picture.id))
            }
        return sum(
            _settle(services, job, picture, reading, jobs[job]) for (job, picture), reading in read.items()
        )


def _settle(services: Services, job: str, picture: str, reading: SketchReading, sketch: Drawn) -> int:
    true, pairs, done = sketch.truth["numbers"], match(reading.numbers, sketch.truth["numbers"]), 0
    for n, number in enumerate(reading.numbers):
        said = true[pairs[n]] if n in pairs else None
        if said is None:
            decide.drop(services, job, picture, n, "maya")
        elif same_text(number.text, said["text"]):
            if number.accepted:
                continue
            decide.confirm(services, job, picture, n, "maya")
        elif parse_length(said["text"], reading.unit) is not None:
            decide.correct(services, job, picture, n, said["text"], "maya")
        if said is not None and said["role"] in set(Role) and number.role.value != said["role"]:
            decide.replace_role(services, job, picture, n, said["role"], None, "maya")
        done += 1
    return done


def told(here: Showroom, *arguments: str) -> str:
    """What a command prints. Raises AssertionError where it fails."""
    out = io.StringIO()
    config = here.folder / "intake.yaml"
    config.write_text(f"labels: 'yes'\naddress: {SHOWROOM}\nauthserv_id: mx.alder.example\n")
    with mock.patch.dict(os.environ, INTAKE_SETTINGS=str(config)), contextlib.redirect_stdout(out):
        code = command([*arguments, "--data", str(here.settings.data)])
    assert code == 0, (arguments, code, out.getvalue())
    return out.getvalue()


def read_by(eyes: SharedEyes, some: Sequence[Sketch]) -> Tally:
    total = Tally()
    for sketch in some:
        total += score(eyes.read_file("plan.jpg", sketch.jpeg), sketch.truth)
    return total


def in_words(tally: Tally, sheets: int) -> str:
    silent = tally.accepted - tally.accepted_right
    return (
        f"{tally.right} of {tally.true} numbers right, {(tally.true - tally.right) / sheets:.1f} a sheet wrong or"
        f" missed; {tally.accepted} accepted, {silent} of them wrong;"
        f" {tally.role_right} of {tally.placed} with their role"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--hand", default=HAND, help="a quick writer of the test split (fixtures.hands.gather)"
    )
    parser.add_argument("--sketches", type=int, default=24)
    parser.add_argument(
        "--fresh", type=int, default=8, help="further sketches in that hand, and of other hands"
    )
    asked = parser.parse_args()
    hand = hand_named(asked.hand)
    with tempfile.TemporaryDirectory() as folder:
        here = opened_by_mail(Path(folder), list(sketches(hand, FIRST, asked.sketches)))
        print(f"{settle(here)} numbers settled on {asked.sketches} sketches of {asked.hand}", flush=True)
        print(told(here, "labels", "--out", str(Path(folder) / "labels")), end="", flush=True)
        began = time.perf_counter()
        print(told(here, "adapt"), end="")
        print(f"taught in {time.perf_counter() - began:.0f} s", flush=True)
        adapted = wiring.adapted(here.settings)
        for name, some in (
            ("the same hand", list(sketches(hand, FRESH, asked.fresh))),
            ("other hands", list(sketches(None, OTHERS, asked.fresh))),
        ):
            for how, learned in (("as they came", None), ("as taught", adapted)):
                eyes = SharedEyes(learned)
                print(f"{name}, readers {how}: {in_words(read_by(eyes, some), len(some))}", flush=True)
                eyes.close()


if __name__ == "__main__":
    main()
