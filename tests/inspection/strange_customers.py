"""A showroom each of whose customers writes in another hand that the networks did not know:
python -m tests.inspection.strange_customers [--weights FILE FILE] [--hands KIND] [--learn SPLIT] [--sketches N]
[--fresh N] [--known N] [--jobs N], or, of bare strings in place of sketches, [--strings N].

Drawn sketches are read, a designer who knows what was drawn settles what was not accepted and what is wrong, and
`intake adapt` learns from it. Then sketches of other customers, in hands of other writers, are read by the readers as
they came and as they are taught, and as many of the hands that the readers know. See docs/measuring.md.
"""

from __future__ import annotations

import argparse
import io
import json
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from multiprocessing import get_context
from operator import attrgetter
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageOps
from scipy.stats import binomtest

from fixtures.benchmark.scoring import match, same_text
from fixtures.hands.gather import quick_hands
from fixtures.sketches import Sketch, render
from fixtures.training.strangers import SHEET, string
from intake.adapt import Undone, as_lines, labels_of
from intake.domain.lengths.notation import likelihood_of_form
from intake.eyes import SharedEyes
from intake.imaging.ours import cut_out
from intake.model.reading import Role, SketchReading
from intake.reading import adapted, heads, installed
from intake.reading import sketch as reader
from intake.reading.adapted import load, save
from intake.reading.adapting import Labels, adapt, scored, shipped
from intake.reading.heads import LabelledCrop, LookedAt
from intake.reading.texts import SURE
from intake.work.labels import Label

STRINGS, TRIED = 51, 1500
"""The seed of bare strings, and how many of them are tried."""
LEARNT, FRESH, KNOWN = 960_000, 970_000, 980_000
"""Sketches of seeds from here on: to learn from, to try what was learned on, and in hands that the readers know."""


def use(weights: Sequence[Path], folder: Path) -> None:
    """Read with these networks from now on, by the shipped rule of acceptance, which was fitted for others; it is kept
    in `folder`."""
    if not weights:
        return
    rule = json.loads(installed.RULE.read_text())
    rule["fitted_for"] = {path.name: installed.digest(path) for path in weights}
    (folder / installed.RULE.name).write_text(json.dumps(rule))
    for room in (adapted, heads, installed, reader):
        room.MEMBERS = tuple(weights)  # type: ignore[attr-defined]
    installed.RULE = folder / installed.RULE.name


@dataclass(frozen=True)
class Order:
    """A sketch to draw: its seed, the split of its layout and writer, and the kind of writer ("" for those of the
    split)."""

    seed: int
    split: str
    kind: str

    @property
    def sketch(self) -> Sketch:
        writers = [hand for hand in quick_hands(self.split) if hand.kind == self.kind]
        hand = writers[self.seed % len(writers)] if self.kind else None
        return render(self.seed, self.split, hand=hand, long_side=1800, slips=0)


@dataclass(frozen=True)
class Outcome:
    """What became of a sheet's true numbers, each: whether its text was read rightly, and whether something was read
    in its place; and of the numbers accepted, and of those left to a person though SURE or more was said of them, each,
    whether it is wrong."""

    right: tuple[bool, ...]
    found: tuple[bool, ...]
    accepted: tuple[bool, ...]
    left: tuple[bool, ...]


def outcome(reading: SketchReading, sketch: Sketch) -> Outcome:
    true, pairs = sketch.truth["numbers"], match(reading.numbers, sketch.truth["numbers"])
    right = {t for n, t in pairs.items() if same_text(reading.numbers[n].text, true[t]["text"])}
    wrong = [(number, pairs.get(n) not in right) for n, number in enumerate(reading.numbers)]
    every, placed = range(len(true)), set(pairs.values())
    return Outcome(
        tuple(t in right for t in every),
        tuple(t in placed for t in every),
        tuple(amiss for number, amiss in wrong if number.accepted),
        tuple(amiss for number, amiss in wrong if not number.accepted and number.confidence >= SURE),
    )


@lru_cache(maxsize=4)
def _eyes(folder: str) -> SharedEyes:
    return SharedEyes(load(Path(folder)) if folder else None)


def read(order: Order, taught: Sequence[str]) -> list[Outcome]:
    """A sheet read by the readers as they came, and with what lies in each of these folders."""
    cv2.setNumThreads(1)
    sketch = order.sketch
    return [outcome(_eyes(folder).read_file("plan.jpg", sketch.jpeg), sketch) for folder in ("", *taught)]


def settled(order: Order) -> list[Label]:
    """What a designer says of a sheet's numbers: those not accepted are confirmed, corrected or struck, those that are
    wrong corrected or struck, and the others left."""
    cv2.setNumThreads(1)
    sketch = order.sketch
    return list(_labels(_eyes("").read_file("plan.jpg", sketch.jpeg), sketch, str(order.seed)))


def _labels(reading: SketchReading, sketch: Sketch, name: str) -> Iterator[Label]:
    true, pairs = sketch.truth["numbers"], match(reading.numbers, sketch.truth["numbers"])
    upright = ImageOps.exif_transpose(Image.open(io.BytesIO(sketch.jpeg)))
    rgb = np.asarray(upright.convert("RGB"))
    for n, number in enumerate(reading.numbers):
        said = true[pairs[n]] if n in pairs else None
        right = said is not None and same_text(number.text, said["text"])
        if number.accepted and right:
            continue
        text = said["text"] if said is not None and "~" not in said["text"] else ""
        role = Role(said["role"]) if said is not None and said["role"] in set(Role) else None
        crop, among = cut_out(rgb, number.box), len(reading.numbers)
        yield Label(name, number, text, role, right, False, crop, reading.version, among)


def compared(name: str, before: Sequence[Outcome], after: Sequence[Outcome]) -> str:
    """Both in words: wrong or missed numbers with the 95 % interval of the difference by sheets (numbers of a sheet
    share a hand), McNemar's exact test by numbers (Psychometrika 12, 1947), and what is accepted and what is not."""
    pairs = [p for b, a in zip(before, after, strict=True) for p in zip(b.right, a.right, strict=True)]
    won, lost = sum(a and not b for b, a in pairs), sum(b and not a for b, a in pairs)
    fewer = np.array([sum(a.right) - sum(b.right) for b, a in zip(before, after, strict=True)], float)
    spread = 1.96 * float(fewer.std(ddof=1)) * len(fewer) ** 0.5
    wrong = " -> ".join(str(sum(not r for o in some for r in o.right)) for some in (before, after))
    misread = " -> ".join(
        str(sum(f and not r for o in some for f, r in zip(o.found, o.right, strict=True)))
        for some in (before, after)
    )
    accepted, left = (
        " -> ".join(
            f"{sum(map(len, map(of, some)))} with {sum(map(sum, map(of, some)))} wrong"
            for some in (before, after)
        )
        for of in (attrgetter("accepted"), attrgetter("left"))
    )
    return (
        f"{name}: {len(before)} sheets, {len(pairs)} numbers; wrong or missed {wrong}, {fewer.sum():.0f} fewer"
        f" ({fewer.sum() - spread:.0f} to {fewer.sum() + spread:.0f}), {won} mended, {lost} spoilt,"
        f" p {_chance(won, lost):.1g}; of these misread {misread}; accepted {accepted};"
        f" left to a person though {SURE} or more was said of them {left}"
    )


def strings(kind: str, split: str, count: int) -> list[LabelledCrop]:
    """Bare strings that may be lengths in hands of a kind, `SHEET` of a customer, one writer after another."""
    writers, rng = [hand for hand in quick_hands(split) if hand.kind == kind], np.random.default_rng(STRINGS)
    found: list[LabelledCrop] = []
    while len(found) < count:
        hand = writers[len(found) // SHEET % len(writers)]
        crop = string(hand, rng)
        if likelihood_of_form(crop.text) == 1:
            found.append(LabelledCrop(crop.grey, crop.text, hand.name))
    return found


def on_strings(kind: str, learn: str, try_on: str, count: int) -> None:
    """Learns from `count` strings, and says how many of TRIED of other customers are read wrongly before and after."""
    learned, trials = adapt(
        Labels(tuple(strings(kind, learn, count)), ()), shipped("validation"), shipped("test")
    )
    print("\n".join(as_lines(trials)), flush=True)
    fresh = LookedAt(strings(kind, try_on, TRIED))
    before, after = fresh.score(), scored(learned, fresh)
    won, lost = len(before.new(after)), len(after.new(before))
    fewer = (before.misread > 0).astype(float) - (after.misread > 0)
    _, writer = np.unique([crop.sketch for crop in fresh.crops], return_inverse=True)
    spread = 1.96 * float(np.std(np.bincount(writer, fewer), ddof=1)) * (int(writer.max()) + 1) ** 0.5
    print(
        f"temperature {learned.temperature}, vote {learned.vote}; other customers' strings"
        f" ({fresh.unknown.mean():.2f} of them in hands that the networks do not know):\n"
        f" wrong {before.wrong} -> {after.wrong} of {len(fresh.crops)}, {fewer.sum():.0f} fewer"
        f" ({fewer.sum() - spread:.0f} to {fewer.sum() + spread:.0f} by writers), {won} mended, {lost} spoilt,"
        f" p {_chance(won, lost):.1g}; said with .9 or more and wrong {before.surely} -> {after.surely}"
    )


def _chance(won: int, lost: int) -> float:
    """McNemar's exact test."""
    return float(binomtest(won, won + lost).pvalue) if won + lost else 1.0


def on_sheets(asked: argparse.Namespace, folder: Path) -> None:
    """Learns from sheets, and says how other sheets of such customers and of known hands are read before and after."""
    with get_context("spawn").Pool(asked.jobs, use, (asked.weights, folder)) as pool:
        orders = [Order(LEARNT + n, asked.learn, asked.hands) for n in range(asked.sketches)]
        found = [label for each in pool.imap(settled, orders) for label in each]
        labels = labels_of(found, [], Undone(folder))
        print(f"{len(labels.crops)} labels of {asked.sketches} sketches", flush=True)
        learned, trials = adapt(labels, shipped("validation"), shipped("test"))
        print("\n".join(as_lines(trials)), flush=True)
        print(f"temperature {learned.temperature}, vote {learned.vote}", flush=True)
        save(learned, folder / learned.name, {})
        taught = [str(folder / learned.name)]
        for name, first, kind, count in (
            ("other customers", FRESH, asked.hands, asked.fresh),
            ("hands they know", KNOWN, "", asked.known),
        ):
            tried = [(Order(first + n, asked.try_on, kind), taught) for n in range(count)]
            if not tried:
                continue
            both = pool.starmap(read, tried, chunksize=1)
            print(compared(name, [b for b, _ in both], [a for _, a in both]), flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--weights", type=Path, nargs="*", default=[], help="other networks than the committed"
    )
    parser.add_argument("--hands", default="pen", help="the kind of writer: pen, semeion, digits or quick")
    parser.add_argument("--learn", default="validation", help="the split whose writers are learned from")
    parser.add_argument("--try-on", default="test", help="the split of the other customers' writers")
    parser.add_argument("--sketches", type=int, default=60)
    parser.add_argument("--fresh", type=int, default=40)
    parser.add_argument("--known", type=int, default=40, help="sketches in hands that the readers know")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--strings", type=int, help="learn from so many bare strings, in place of sketches")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        use(asked.weights, Path(folder))
        if asked.strings:
            on_strings(asked.hands, asked.learn, asked.try_on, asked.strings)
        else:
            on_sheets(asked, Path(folder))


if __name__ == "__main__":
    main()
