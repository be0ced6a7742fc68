"""Teaches the readers with the showroom's own labels: `intake adapt`. Brings labels, readers and the data folder
together."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from intake import adaptations
from intake.imaging.ours import CROP_ENDS, CROP_HEIGHT, CROP_MARGIN
from intake.model.errors import NotFound
from intake.model.reading import ReadNumber
from intake.reading.adapted import Adapted, load, save
from intake.reading.adapting import FEWEST, LabelledNumber, Labels, Trial, adapt, shipped
from intake.reading.heads import LabelledCrop
from intake.reading.installed import version
from intake.work.labels import LEAST, Label, PlacedLabel

_LEFT = 0.2
"""Paper left round a number, in heights of its box."""


def teach(found: Sequence[Label], placed: Sequence[PlacedLabel], folder: Path) -> tuple[str, list[Trial]]:
    """Fit to these labels and use what is better; the name of the version now in use, and how each thing did. Raises
    NotFound where there are too few."""
    labels = labels_of(found, placed, Undone(folder))
    if len(labels.crops) < LEAST:
        there = len(labels.crops)
        raise NotFound(
            f"Teaching takes {LEAST} labels at least: {there} {'are' if there != 1 else 'is'} there,"
            f" {LEAST - there} are missing",
            "Confirm and correct numbers at the desk, and answer its blind looks",
        )
    adapted, outcomes = adapt(labels, shipped("validation"), shipped("test"))
    if not any(outcome.better for outcome in outcomes):
        return adaptations.name_in_use(folder), outcomes
    _keep(adapted, outcomes, len(labels.crops), folder)
    return adapted.name, outcomes


def _keep(adapted: Adapted, outcomes: Sequence[Trial], count: int, folder: Path) -> None:
    report = {"labels": count, "outcomes": [asdict(o) | {"better": o.better} for o in outcomes]}
    report["lines"] = [f"of {count} labels", *as_lines(outcomes)]
    if not (folder / adapted.name).is_dir():
        save(adapted, folder / adapted.name, report)
    adaptations.use(folder, adapted.name)


class Undone:
    """Numbers as the readers would have had them that came with the program, whatever had been learned when they were
    read: what is fitted is laid over those."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._known: dict[str, Adapted | None] = {version(): Adapted()}

    def number(self, number: ReadNumber, read_by: str) -> ReadNumber | None:
        """None where other readers read it, whose certainty says nothing of the present ones'."""
        if read_by not in self._known:
            base, _, name = read_by.partition("+")
            known = base == version() and name in adaptations.versions(self._folder)
            self._known[read_by] = load(self._folder / name) if known else None
        adapted = self._known[read_by]
        return adapted.as_shipped(number) if adapted is not None else None


def labels_of(found: Sequence[Label], placed: Sequence[PlacedLabel], undone: Undone) -> Labels:
    """Labels as the fitting takes them: crops of lengths; roles and slips; and certainty, of what was not accepted,
    which designers settle whether right or wrong, and of what was looked at blind: what was accepted they touch only
    where it is wrong."""
    labelled = Counter(label.sketch for label in found)
    crops = [
        LabelledCrop(inner(label.crop), label.text, label.sketch, label.among - labelled[label.sketch])
        for label in found
        if label.text
    ]
    sure = [
        LabelledNumber(label.sketch, number.confidence, label.right)
        for label in found
        if label.number.eligible
        and (label.blind or not label.number.accepted)
        and (number := undone.number(label.number, label.version))
    ]
    roles = [
        LabelledNumber(p.sketch, roles=number.sighting.roles, role=p.role)
        for p in placed
        if (number := undone.number(p.number, p.version)) and number.sighting
    ]
    slips = [LabelledNumber(p.sketch, slip=p.slip) for p in placed if p.slip is not None]
    return Labels(tuple(crops), (*sure, *roles, *slips))


def inner(png: bytes) -> NDArray[np.uint8]:
    """The crop with less paper round its number: what stands beside it is not its own."""
    grey = np.asarray(Image.open(io.BytesIO(png)).convert("L"))
    height = CROP_HEIGHT / (1 + 2 * CROP_MARGIN)
    down, across = round((CROP_MARGIN - _LEFT) * height), round((CROP_ENDS - _LEFT) * height)
    inner = grey[down : grey.shape[0] - down, across : grey.shape[1] - across]
    return np.ascontiguousarray(inner if inner.size and inner.shape[1] > 4 else grey)


def as_lines(outcomes: Sequence[Trial]) -> list[str]:
    """How each thing that was fitted did, in a line."""
    names = {
        "heads": "heads on the networks",
        "temperature": "temperature",
        "vote": "vote beside PP-OCR",
        "line": "acceptance",
        "roles": "roles",
        "slips": "slips",
    }
    return [f"{names[o.what]:22s} {_outcome_in_words(o)}" for o in outcomes]


def _outcome_in_words(o: Trial) -> str:
    if o.of[0] < FEWEST:
        return f"refused: {o.of[0]} labels held back tell of it, {FEWEST} are the least"
    held_back = f"held back {_pair(o.held_back)}{_errors(o.wrong_held_back, o.of[0])}"
    shipped_test = f"shipped test {_pair(o.shipped)}{_errors(o.wrong_shipped, o.of[1])}"
    return f"{held_back}, {shipped_test}: {'taken' if o.better else 'refused, not better'}"


def _pair(losses: tuple[float, float]) -> str:
    return f"{losses[0]:.4f} -> {losses[1]:.4f}"


def _errors(errors: tuple[int, int], of: int) -> str:
    return f" ({errors[0]} -> {errors[1]} wrong of {of})" if any(errors) else f" ({of})"
