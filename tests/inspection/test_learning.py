"""Labels out of the desk's own actions teach the readers, by the commands, and what was learned is in use."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fixtures.benchmark.scoring import Tally
from fixtures.hands.gather import quick_hands
from fixtures.training.crops import Verdict
from fixtures.training.labels import labelled, stacked
from intake import adapt, adaptations, wiring
from intake.eyes import SharedEyes
from intake.imaging.ours import cut_out
from intake.model.errors import NotFound
from intake.model.reading import Box, ReadNumber, SketchOutline, SketchReading
from intake.reading.adapting import Labels, scored, shipped
from intake.reading.heads import LabelledCrop, LookedAt
from intake.reading.own import OwnReader
from intake.work.labels import LEAST, labels
from intake.work.services import Services
from tests.inspection.learning import (
    FIRST,
    FRESH,
    HAND,
    OTHERS,
    hand_named,
    in_words,
    opened_by_mail,
    read_by,
    settle,
    sketches,
    told,
)
from tests.inspection.test_adapting import FURTHER, WRITER

SIZE = (1500, 1180)
ACROSS, DOWN = 5, 6
FEW = {"validation": 60, "test": 60}
"""Shipped crops of each split to fit beside and to test on: of fewer to test on nothing could be shown."""


@dataclass(frozen=True)
class Sheet:
    """A page of lengths in rows, as it would be mailed, with what stands where."""

    jpeg: bytes
    truth: dict[str, Any]


def sheet(seed: int) -> Sheet:
    """Lengths in the hand that leans back, each on a place of its own."""
    rng, hand = np.random.default_rng([31, seed]), quick_hands("test")[WRITER]
    page, numbers = np.full((SIZE[1] + seed, SIZE[0]), 238.0), []
    for n in range(ACROSS * DOWN):
        text = f"{rng.integers(30, 420)}" + str(rng.choice(["", ".5"]))
        ink = _leaning(hand.write(text, rng, float(rng.uniform(34, 44))).ink)
        x, y = 40 + 290 * (n % ACROSS), 40 + 110 * (n // ACROSS)
        rows, columns = min(ink.shape[0], 90), min(ink.shape[1], 260)
        page[y : y + rows, x : x + columns] -= 170 * ink[:rows, :columns]
        corners = ((x, y), (x + columns, y), (x + columns, y + rows), (x, y + rows))
        numbers.append({"text": text, "box": [list(map(float, c)) for c in corners], "role": "wall-section"})
    noisy = np.clip(page + rng.normal(0, 3, page.shape), 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(noisy).convert("RGB").save(out, "JPEG", quality=92)
    return Sheet(out.getvalue(), {"numbers": numbers})


def _leaning(ink: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    import cv2

    rows, columns = ink.shape
    turn = np.array([[1, -FURTHER, 0.0], [0, 1, 0]], np.float32)
    return np.asarray(cv2.warpAffine(ink, turn, (int(columns + abs(FURTHER) * rows), rows)))


class Eyes:
    """The real eyes, but that they know where the numbers of such pages stand, and read each by the project's own
    recogniser alone."""

    def __init__(self, real: Any, drawn: Sequence[Sheet]) -> None:
        self.real, self.own = real, OwnReader()
        self.known = {Image.open(io.BytesIO(each.jpeg)).size: each.truth["numbers"] for each in drawn}

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        return ()

    def read(self, jpeg: bytes) -> SketchReading:
        grey = np.asarray(Image.open(io.BytesIO(jpeg)).convert("L"))
        boxes: list[Box] = [tuple(map(tuple, n["box"])) for n in self.known[grey.shape[1], grey.shape[0]]]
        cuts = [grey[int(b[0][1]) : int(b[2][1]), int(b[0][0]) : int(b[2][0])] for b in boxes]
        numbers = [self._number(box, read) for box, read in zip(boxes, self.own.read(cuts), strict=True)]
        return SketchReading(grey.shape[1], grey.shape[0], "cm", tuple(numbers), SketchOutline((), False))

    @staticmethod
    def _number(box: Box, read: Sequence[Any]) -> ReadNumber:
        text, sure = (read[0].text, read[0].confidence) if read else ("", 0.0)
        value = round(float(text) * 10) if text.replace(".", "", 1).isdigit() else None
        return ReadNumber(text, value, box, sure, False, eligible=True)


def test_what_designers_settle_teaches_the_readers_by_the_commands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = [sheet(seed) for seed in range(3)]

    def known(services: Services) -> Services:
        return replace(services, eyes=Eyes(services.eyes, drawn))

    here = opened_by_mail(tmp_path, drawn, known)
    count = settle(here, known)
    assert count == 3 * ACROSS * DOWN

    assert f"Wrote {count} crops" in told(here, "labels", "--out", str(tmp_path / "labels"))
    with (tmp_path / "labels" / "labels.csv").open() as file:
        texts = sorted(row["text"].replace(",", ".") for row in csv.DictReader(file))
    assert texts == sorted(n["text"] for each in drawn for n in each.truth["numbers"])

    known_crops, held_out = labelled(tmp_path / "labels")
    assert len(known_crops) + len(held_out) == count
    assert len(held_out) == count // 3
    assert {crop.verdict for crop in known_crops} == {Verdict.NUMBER}
    assert sum(len(each.ink) for each in stacked(known_crops)) == len(known_crops)

    with (
        wiring.opened(here.settings) as services,
        pytest.raises(NotFound, match=f"{count} are there, {LEAST - count} are missing"),
    ):
        adapt.teach(list(labels(services)), [], tmp_path / "adapted")
    monkeypatch.setattr(adapt, "LEAST", count)
    # Of so few crops no harm can be ruled out: test_adapting.py holds that rule.
    monkeypatch.setattr("intake.reading.adapting._is_harmless", lambda before, after: True)
    monkeypatch.setattr("intake.reading.adapting._is_more", lambda lost, won: False)
    monkeypatch.setattr("intake.reading.adapting.HARM", 1.0)
    monkeypatch.setattr("intake.reading.adapting.MORE_WRONG", 1.0)
    monkeypatch.setattr(adapt, "shipped", lambda split: Labels(shipped(split).crops[: FEW[split]], ()))
    said = told(here, "adapt")
    assert "heads on the networks" in said, said
    learned = wiring.adapted(here.settings)
    assert learned is not None and learned.name in said, said
    # Lengths in the same hand, drawn apart from those that it was taught with.
    fresh = LookedAt([crop for seed in (7, 8) for crop in _crops(sheet(seed))])
    before, after = fresh.score(), scored(learned, fresh)
    assert after.loss < before.loss
    assert after.wrong <= before.wrong
    # Versions side by side: what each was fitted to, and how each thing did.
    versions = told(here, "adapt", "--versions").splitlines()
    assert versions[:3] == ["  as-shipped", f"* {learned.name}", f"    of {count} labels"]
    assert [line.strip() for line in versions[3:]] == said.splitlines()[: len(versions) - 3]
    assert "* as-shipped" in told(here, "adapt", "--back")
    assert wiring.adapted(here.settings) is None
    assert adaptations.name_in_use(here.settings.data / "adapted") == adaptations.AS_SHIPPED


def _crops(one: Sheet) -> list[LabelledCrop]:
    rgb = np.asarray(Image.open(io.BytesIO(one.jpeg)).convert("RGB"))
    return [
        LabelledCrop(adapt.inner(cut_out(rgb, tuple(map(tuple, n["box"])))), n["text"], "")  # type: ignore[arg-type]
        for n in one.truth["numbers"]
    ]


@pytest.mark.long
def test_a_showroom_whose_hand_the_readers_did_not_know_is_read_no_worse_and_no_other_is(
    tmp_path: Path,
) -> None:
    """Whole sketches, read as customers' are (python -m tests.inspection.learning): of a few a number more or fewer is
    chance; what is held back tells that the hand is read better, or nothing is taken."""
    hand = hand_named(HAND)
    here = opened_by_mail(tmp_path, list(sketches(hand, FIRST, 18)))
    settle(here)
    said = told(here, "adapt")
    learned = wiring.adapted(here.settings)
    assert (learned is not None) == ("taken" in said)
    if learned is None:
        return
    as_they_came, taught = SharedEyes(), SharedEyes(learned)
    for some in (list(sketches(hand, FRESH, 3)), list(sketches(None, OTHERS, 3))):
        before, after = read_by(as_they_came, some), read_by(taught, some)
        assert after.right >= before.right - 1, (in_words(before, len(some)), in_words(after, len(some)))
        assert silent(after) <= silent(before), (in_words(before, len(some)), in_words(after, len(some)))


def silent(tally: Tally) -> int:
    return tally.accepted - tally.accepted_right
