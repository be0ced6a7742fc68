"""Teaching the readers: what is fitted, what is refused, and that a hand which they did not know is read better."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import binomtest

from fixtures.hands.gather import quick_hands
from fixtures.plain_plans import plain_plan
from fixtures.training.strangers import string
from intake import adaptations, wiring
from intake.adapt import Undone, as_lines
from intake.domain.room.slip_chances import KNOWN_SLIP
from intake.model.reading import Alternative, Box, Role, Sighting
from intake.reading.adapted import Adapted, load, over, save, weighed
from intake.reading.adapting import HARM, HELD_BACK, LabelledNumber, Labels, Trial, adapt, scored, shipped
from intake.reading.heads import LabelledCrop, LookedAt, occupied, voted
from intake.reading.installed import MEMBERS, version
from intake.reading.own import CropReading, FeatureHead, Member, OwnReader, inked_of
from intake.reading.ppocr import RECOGNISER, PaddleReader, weights_folder
from intake.reading.readers import VOTE
from intake.reading.texts import CropReaders, is_unknown, same_number
from intake.reading.tidy import Cutting
from intake.settings import Settings
from tests.inspection.build import reading

WRITER, LEAN = 13, -0.6
"""A quick writer of the test split whose writing leans back as nobody's does that the networks were trained on."""
FURTHER = -0.85
"""Leaning so far, a third of this writer's strings are misread."""


def leaning(count: int, seed: int, lean: float = LEAN) -> Iterator[LabelledCrop]:
    """Crops of digit strings in that hand, twenty a sketch."""
    rng, hand = np.random.default_rng(seed), quick_hands("test")[WRITER]
    for n in range(count):
        crop = string(hand, rng)
        yield LabelledCrop(_sheared(crop.grey, lean), crop.text, f"s{seed}-{n // 20}")


def _sheared(grey: NDArray[np.uint8], lean: float) -> NDArray[np.uint8]:
    rows, columns = grey.shape
    turn = np.array([[1, -lean, 0.0], [0, 1, 0]], np.float32)
    wide = int(columns + abs(lean) * rows)
    return np.asarray(cv2.warpAffine(grey, turn, (wide, rows), borderMode=cv2.BORDER_REPLICATE), np.uint8)


@pytest.mark.long
def test_a_hand_that_the_networks_did_not_know_is_read_better_and_the_shipped_ones_no_worse() -> None:
    """Of half as many labels, 80 held back on four sheets, the heads' gain is not beyond chance."""
    labels = Labels(tuple(leaning(480, 1, FURTHER)), ())
    found, trials = adapt(labels, Labels(shipped("validation").crops, ()), Labels(shipped("test").crops, ()))
    assert trials[0].what == "heads"
    assert trials[0].better
    fresh = LookedAt(list(leaning(120, 2, FURTHER)))
    before, after = fresh.score(), scored(found, fresh)
    # A gain beyond chance, by McNemar's exact test (Psychometrika 12, 1947).
    mended, spoilt = len(before.new(after)), len(after.new(before))
    assert binomtest(mended, mended + spoilt, alternative="greater").pvalue < 0.01
    assert after.loss < before.loss


def test_labels_that_say_nothing_true_are_refused() -> None:
    """Texts dealt out anew among their crops: whatever is fitted to them is worse on both."""
    rng = np.random.default_rng(9)
    known = list(leaning(60, 3))
    texts = [crop.text for crop in known]
    rng.shuffle(texts)
    wrong = tuple(replace(crop, text=text) for crop, text in zip(known, texts, strict=True))
    some, test = (Labels(shipped(split).crops[:60], ()) for split in ("validation", "test"))
    _, trials = adapt(Labels(wrong, ()), some, test)
    assert not trials[0].better


def test_the_ways_to_spell_a_text_are_those_that_can_be_counted_out() -> None:
    """Of four frames over blank, 1, 7, point and comma, every way that spells "17" or "1.", by hand."""
    signs = "17.,"
    rng = np.random.default_rng(2)
    chances = rng.dirichlet(np.ones(5), size=4)
    for text in ("17", "1.", "11"):
        weights: dict[str, list[tuple[float, tuple[int, ...]]]] = {}
        for way in itertools.product(range(5), repeat=4):
            spelt = "".join(signs[c - 1] for n, c in enumerate(way) if c and (n == 0 or way[n - 1] != c))
            weight = float(np.prod([chances[t, c] for t, c in enumerate(way)]))
            weights.setdefault(spelt, []).append((weight, way))
        variants = [v for v in dict.fromkeys((text, text.replace(".", ","))) if v in weights]
        best = max(variants, key=lambda v: sum(w for w, _ in weights[v]))
        counted = np.zeros((4, 5))
        for weight, way in weights[best]:
            for t, c in enumerate(way):
                counted[t, c] += weight
        found = occupied(np.log(chances), text, signs)
        assert found is not None
        assert np.allclose(found, counted / counted.sum(axis=1, keepdims=True))
    assert occupied(np.log(chances), "x", signs) is None
    assert occupied(np.log(chances[:1]), "17", signs) is None


def test_a_head_of_nothing_changes_nothing_and_features_are_those_of_the_network() -> None:
    crop = next(leaning(1, 4)).crop
    inked = inked_of([crop])
    member = Member(MEMBERS[0])
    inside = member.look(inked, inside=True)[0]
    assert np.array_equal(member.look(inked)[0].spelling, inside.spelling)
    shape = inside.features.shape[1] + 1, inside.spelling.shape[1]
    assert np.array_equal(FeatureHead(np.zeros(shape, np.float32)).over(inside), inside.spelling)
    lifted = np.zeros(shape, np.float32)
    lifted[-1, 3] = 5.0
    more = FeatureHead(lifted).over(inside) - inside.spelling
    assert np.allclose(more[:, 3], 5.0, atol=1e-4)
    assert np.allclose(np.delete(more, 3, axis=1), 0.0, atol=1e-4)


def test_what_is_tested_is_what_the_program_makes_of_a_crop_with_its_vote() -> None:
    """Of shipped crops, the readers of whole sketches (texts.CropReaders) give the texts that teaching reckons with."""
    crops = [crop for crop in shipped("test").crops if "x" not in crop.text][:40]
    looked = LookedAt(crops)
    looked.unknown[:] = True
    for vote in (VOTE, 8.0):
        own, paddle = OwnReader(), PaddleReader(paddle_folder() / RECOGNISER)
        texts = CropReaders((paddle, own), paddle, own, vote=vote).look(
            [Cutting(BOX, c.crop, BOX) for c in crops]
        )
        read = [
            bool(t.numbers) and same_number(t.numbers[0].text, c.text)
            for t, c in zip(texts, crops, strict=True)
        ]
        score = looked.score(vote=vote)
        agree = [right == (p == 0) for right, p in zip(read, score.misread, strict=True)]
        assert sum(agree) >= len(crops) - 1  # one may be taken for two numbers, or for a word


def test_heads_are_heard_of_hands_alone_that_the_networks_do_not_know() -> None:
    """One that knows nothing but ones, over crops of the shipped kind and over a hand that leans far back."""
    known = [replace(crop, sketch="known") for crop in shipped("test").crops[:40]]
    looked = LookedAt(
        [*known, *leaning(20, 5, FURTHER), *(replace(c, others=400) for c in leaning(20, 6, FURTHER))]
    )
    surely = [n for n in range(40) if not looked.score().misread[n]][:20]
    plain = LookedAt([known[n] for n in surely])
    assert not plain.unknown.any()
    member = Member(MEMBERS[0])
    seen = member.look(inked_of([known[0].crop]), inside=True)[0]
    ones = np.zeros((seen.features.shape[1] + 1, seen.spelling.shape[1]), np.float32)
    ones[-1, member.symbols.index("1") + 1] = 50.0
    heads = {MEMBERS[0].name: FeatureHead(ones)}
    assert np.array_equal(plain.score(heads).losses, plain.score().losses)
    assert looked.unknown[40:60].all() and not looked.unknown[60:].any()
    before, after = looked.score(), looked.score(heads)
    assert (after.misread[40:60] > 0).sum() > (before.misread[40:60] > 0).sum()
    assert np.array_equal(after.losses[60:], before.losses[60:])


def test_a_hand_is_unknown_where_three_tenths_of_its_numbers_are_doubted() -> None:
    assert is_unknown([True, True, True, *[False] * 7])
    assert not is_unknown([True, True, *[False] * 8])
    assert not is_unknown([True, True, True], more=8)
    assert is_unknown([True, True, True, None], more=7)
    assert not is_unknown([])


def paddle_folder() -> Path:
    folder = weights_folder()
    assert folder is not None
    return folder


def test_a_vote_that_swamps_what_was_learned_weighs_less() -> None:
    """Where the networks are unsure and right and PP-OCR sure and wrong, its word counts for less the more theirs does;
    by hand: 0.8 of (0, 1) and (0.6, 0.4) with 1 to 2, and with 1 to 8."""
    own = CropReading((Alternative("174", 0.6), Alternative("114", 0.4)), 0.0)
    witness = (Alternative("114", 0.8),)
    said = {vote: {a.text: a.confidence for a in voted(own, witness, vote)} for vote in (2.0, 8.0)}
    assert said[2.0] == pytest.approx({"174": 1.2 / 3, "114": 1.6 / 3})
    assert said[8.0] == pytest.approx({"174": 4.8 / 9, "114": 4.0 / 9})
    sure = CropReading((Alternative("174", 0.97),), 0.0)
    assert [a.text for a in voted(sure, witness, 1.0)] == ["174"]


BOX: Box = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))


def test_the_line_of_certainty_is_that_of_scikit_learn() -> None:
    """Logistic regression on the log odds, nearly without its penalty; ours is pulled a little to leaving things."""
    rng = np.random.default_rng(4)
    odds = rng.normal(2.5, 1.5, 1500)
    right = rng.random(1500) < 1 / (1 + np.exp(-(0.7 * odds - 0.5)))
    sure = 1 / (1 + np.exp(-odds))
    numbers = [
        LabelledNumber(f"s{n // 15}", float(c), bool(r))
        for n, (c, r) in enumerate(zip(sure, right, strict=True))
    ]
    found, trials = adapt(Labels((), tuple(numbers)), Labels((), ()), Labels((), tuple(numbers[:300])))
    line = next(o for o in trials if o.what == "line")
    assert line.better
    from sklearn.linear_model import LogisticRegression

    fit, _ = Labels((), tuple(numbers)).parted(HELD_BACK)
    known = LogisticRegression(C=1e6).fit(
        np.log([[n.certainty / (1 - n.certainty)] for n in fit.numbers]), [bool(n.right) for n in fit.numbers]
    )
    assert found.slope == pytest.approx(float(known.coef_[0, 0]), abs=0.05)
    assert found.level == pytest.approx(float(known.intercept_[0]), abs=0.08)


def test_roles_that_are_rarer_here_weigh_less() -> None:
    some = {Role.SECTION: 0.5, Role.FIXTURE: 0.5}
    numbers = tuple(LabelledNumber(f"s{n // 10}", roles=some, role=Role.SECTION) for n in range(200))
    found, trials = adapt(Labels((), numbers), Labels((), ()), Labels((), numbers[:50]))
    assert next(o for o in trials if o.what == "roles").better
    assert weighed(some, found.roles)[Role.SECTION] > 0.9


def test_slips_are_as_often_as_here_where_that_is_so_on_the_shipped_set_too() -> None:
    """Of a showroom's 600 lengths 24 were written in metres and no other kind happened; by hand, a thousand supposed
    ones beside 600 counted."""

    def lengths(count: int, metres: int, sheet: str) -> tuple[LabelledNumber, ...]:
        return tuple(
            LabelledNumber(f"{sheet}{n // 12}", slip="metres" if n % (count // metres) == 0 else "")
            for n in range(count)
        )

    known, alike = lengths(600, 24, "s"), lengths(300, 9, "t")
    found, trials = adapt(Labels((), known), Labels((), ()), Labels((), alike))
    trial = next(t for t in trials if t.what == "slips")
    assert trial.better
    fit, _ = Labels((), known).parted(HELD_BACK)
    metres, of = sum(n.slip == "metres" for n in fit.numbers), len(fit.numbers)
    assert found.slips["metres"] * KNOWN_SLIP == pytest.approx((1000 * KNOWN_SLIP + metres) / (1000 + of))
    assert found.slips["inches"] == pytest.approx(1000 / (1000 + of))
    other = tuple(replace(n, slip="ten-times" if n.slip else "") for n in alike)
    refused, trials = adapt(Labels((), known), Labels((), ()), Labels((), other))
    assert not next(t for t in trials if t.what == "slips").better
    assert refused.slips == {}


def test_what_was_learned_before_is_taken_out_of_labels_before_more_is_learned(tmp_path: Path) -> None:
    learned = Adapted(slope=0.8, level=-0.7, roles={Role.SECTION: 2.0, Role.FIXTURE: 0.5})
    save(learned, tmp_path / learned.name, {})
    roles = {Role.SECTION: 0.3, Role.FIXTURE: 0.7}
    number = replace(
        reading(("386.5", 0.93, False)).numbers[0],
        sighting=Sighting((), weighed(roles, learned.roles)),
        confidence=learned.certainty(0.93),
    )
    undone = Undone(tmp_path)
    before = undone.number(number, f"{version()}+{learned.name}")
    assert before is not None and before.sighting is not None
    assert before.confidence == pytest.approx(0.93)
    assert before.sighting.roles == pytest.approx(roles)
    assert undone.number(number, version()) == number
    # Other readers' certainty says nothing of the present ones'.
    assert undone.number(number, "v-0") is undone.number(number, f"{version()}+a-0") is None


def test_what_too_few_labels_tell_of_is_refused_with_their_number() -> None:
    """Each thing that was fitted in a line; 0 -> 0 of 0 would tell nobody anything."""
    few = Trial("slips", (0.2, 0.1), (0.2, 0.1), of=(4, 842))
    taken = Trial("heads", (2.2, 2.0), (0.26, 0.25), (24, 19), (22, 22), of=(40, 350), least_gain=0.1)
    assert not few.better and taken.better
    told = as_lines([few, taken])
    assert told[0].endswith("refused: 4 labels held back tell of it, 30 are the least")
    assert "held back 2.2000 -> 2.0000 (24 -> 19 wrong of 40)" in told[1] and told[1].endswith("taken")


def test_what_chance_alone_may_have_done_is_no_gain_and_a_harm_that_is_not_ruled_out_is_refused() -> None:
    """McNemar's (Psychometrika 12, 1947) upper limit by hand: of 1,000 texts 16 went wrong and 12 right, 4 more, and
    1.645 roots of 28 beside, 8.7: 12.7 in 1,000. Of 350 it would be 3.6 in 100."""
    told = Trial(
        "heads", (1.2, 1.0), (0.3, 0.3), (60, 50), (90, 94), (16, 12), (2, 1), (200, 1000), 0.05, 0.02
    )
    assert told.most_more_wrong == pytest.approx(0.0127, abs=1e-4)
    assert told.better
    assert not replace(told, of=(200, 350)).better
    assert not replace(told, least_gain=-0.01).better
    assert not replace(told, most_harm=HARM + 0.01).better
    assert not replace(told, surely_turned=(2, 0)).better  # by 2, which is over the root of 2


def test_too_many_crops_are_fewer_whole_sketches() -> None:
    crops = tuple(LabelledCrop(np.zeros((4, 4), np.uint8), "1", f"s{n // 20:02d}") for n in range(100))
    few = Labels(crops, ()).with_few_crops(50)
    assert [c.sketch for c in few.crops] == ["s00"] * 20 + ["s01"] * 20
    assert Labels(crops, ()).with_few_crops(100).crops == crops


def test_versions_lie_side_by_side_and_back_is_one_step(tmp_path: Path) -> None:
    head = FeatureHead(np.full((193, 34), 0.25, np.float32))
    first, second = (
        Adapted({MEMBERS[0].name: head}, 1.2),
        Adapted(slope=0.8, level=-0.1, roles={Role.SILL: 1.5}, slips={"metres": 3.0}),
    )
    for each in (first, second):
        save(each, tmp_path / each.name, {"labels": 200})
        adaptations.use(tmp_path, each.name)
    assert adaptations.in_use(tmp_path) == second
    assert adaptations.back(tmp_path) == first.name
    again = load(tmp_path / first.name)
    assert again is not None
    assert again.name == first.name
    assert np.array_equal(again.heads[MEMBERS[0].name].weight, head.weight)
    assert again.temperature == 1.2
    assert adaptations.back(tmp_path) == adaptations.AS_SHIPPED
    assert adaptations.in_use(tmp_path) is None
    assert adaptations.back(tmp_path) is None
    assert set(adaptations.versions(tmp_path)) == {first.name, second.name}


def test_what_was_learned_for_other_weights_is_not_used(tmp_path: Path) -> None:
    save(Adapted(slope=0.8), tmp_path / "a-1", {})
    told = tmp_path / "a-1" / "told.json"
    told.write_text(told.read_text().replace('"recogniser.onnx": "', '"recogniser.onnx": "0'))
    assert load(tmp_path / "a-1") is None


def test_a_picture_read_alone_is_read_with_what_was_learned(tmp_path: Path) -> None:
    learned = Adapted(level=-20.0)
    save(learned, tmp_path / "adapted" / learned.name, {})
    adaptations.use(tmp_path / "adapted", learned.name)
    (tmp_path / "plan.jpg").write_bytes(plain_plan(3, "validation").jpeg)
    found = wiring.read_picture(Settings(data=tmp_path), tmp_path / "plan.jpg")
    assert found.version.endswith(learned.name)
    assert found.numbers and not any(n.accepted for n in found.numbers if n.eligible)


def test_certainty_of_here_decides_over_what_nothing_else_bars() -> None:
    read = reading(("100", 0.95, True), ("200", 0.97, True))
    barred = replace(read, numbers=(read.numbers[0], replace(read.numbers[1], eligible=False)))
    doubting = over(barred, Adapted(level=-2.0))
    assert [n.accepted for n in doubting.numbers] == [False, True]
    assert doubting.numbers[0].confidence < 0.9
    assert doubting.version.startswith("v-1+a-")
