"""The training material and the measures taken of it."""

from __future__ import annotations

import tomllib
from itertools import islice

import cv2
import numpy as np
import pytest

from fixtures.hands import Hand
from fixtures.hands.fractions import write_raised_five
from fixtures.hands.strokes import StrokeHand
from fixtures.training import clutter
from fixtures.training.crops import Crop, Verdict, draw_crop, otherwise
from fixtures.training.drawers import DRAWERS, choose, drawn
from fixtures.training.measure import Score, calibration_error, covered, reliability, same, score, share
from fixtures.training.pages import page_crops
from fixtures.training.sorter_pages import sorted_page
from fixtures.training.supply import LONGEST, example, stack
from fixtures.training.texts import SYMBOLS, number, target
from intake.domain.lengths.notation import parse_length
from intake.model.reading import Alternative
from intake.reading.own import HEIGHT, CropReading
from intake.reading.ppocr import weights_folder
from intake.reading.session import opened
from intake.reading.sorter import Ink


def writer(rng: np.random.Generator) -> Hand:
    return StrokeHand("test", int(rng.integers(1000)))


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("40·5", "40.5"),
        ("8 cm", "8cm"),
        ("h = 236", "H=236"),
        ("40 70", "40 70"),
        ("14'6 1/2\"", "14'6 1/2\""),
        ("120X60", "120x60"),
        ("145~", "145~"),
        ("s 98", "S98"),
        ("c/h = 240", "C/H=240"),
        ("60 w", "60W"),
    ],
)
def test_what_the_recogniser_should_answer(written: str, wanted: str) -> None:
    assert target(written) == wanted


def test_drawn_numbers_are_lengths_in_the_recognisers_alphabet() -> None:
    rng = np.random.default_rng(4)
    texts = [number(rng) for _ in range(400)]
    assert all(set(target(text)) <= set(SYMBOLS) for text in texts)
    assert sum(any(c.isdigit() for c in text) for text in texts) == 400
    assert sum(parse_length(text, "cm") is not None for text in texts) > 300
    assert 80 < sum("." in text for text in texts) < 240


@pytest.mark.parametrize("verdict", list(Verdict))
def test_a_crop_of_every_verdict_can_be_drawn(verdict: Verdict) -> None:
    rng = np.random.default_rng(int(verdict))
    for _ in range(6):
        crop = draw_crop(rng, writer, verdict)
        assert crop.verdict is verdict
        assert crop.grey.dtype == np.uint8 and crop.grey.ndim == 2 and min(crop.grey.shape) > 4
        assert bool(crop.text) or verdict is not Verdict.NUMBER
        assert crop.spelt or verdict not in (Verdict.NUMBER, Verdict.OTHER)


def test_a_seed_draws_the_same_crop_again() -> None:
    one, two = (draw_crop(np.random.default_rng(8), writer) for _ in range(2))
    assert np.array_equal(one.grey, two.grey) and one.text == two.text


def test_crops_of_one_width_are_stacked_with_their_codes() -> None:
    rng = np.random.default_rng(2)
    examples = [example(draw_crop(rng, writer, Verdict.NUMBER)) for _ in range(12)]
    width = examples[0].width
    chosen = [e for e in examples if e.width == width]
    stacked = stack(chosen)
    assert stacked.ink.shape == (len(chosen), 1, HEIGHT, width)
    assert stacked.codes.shape == (len(chosen), LONGEST)
    assert (stacked.codes[0, : stacked.lengths[0]] > 0).all() and stacked.codes.max() <= len(SYMBOLS)


def test_a_half_written_as_a_fraction_is_spelt_as_point_five() -> None:
    rng = np.random.default_rng(4)
    crops = [draw_crop(rng, writer, Verdict.NUMBER) for _ in range(160)]
    assert sum(crop.text.endswith(".5") for crop in crops) > 8
    assert not any(crop.text.endswith("/2") for crop in crops)


HAND = StrokeHand("three", 3)


def test_a_small_raised_five_hangs_over_the_foot_of_its_number_and_is_half_a_centimetre() -> None:
    rng = np.random.default_rng(4)
    for _ in range(20):
        written = write_raised_five(HAND, "31", rng, 40)
        (_, top, right, foot), (left, _, _, hangs) = written.boxes[1:]
        assert left >= right and hangs - top < 0.6 * (foot - top)
    raised = [otherwise(HAND, "31,5", rng, 40) for _ in range(60)]
    assert {said for each in raised if each for said in [each[1]]} == {"31.5"}


def test_a_stroke_between_two_lengths_is_no_one_and_alone_beside_one_is_not_spelt() -> None:
    rng = np.random.default_rng(4)
    spelt = set()
    for _ in range(40):
        written, said = otherwise(HAND, "86/201", rng, 40) or pytest.fail("written as signs")
        spelt.add(said)
        stroke = max(written.boxes, key=lambda box: box[3] - box[1])
        assert stroke[3] - stroke[1] > 1.2 * 40 and stroke[2] - stroke[0] > 0.25 * 40
    assert spelt == {"86/201", "86", "201"}


def test_every_drawer_draws_to_train_on_and_one_can_be_left_out() -> None:
    rng = np.random.default_rng(3)
    assert {choose(rng) for _ in range(200)} == set(DRAWERS)
    assert "fourth" not in {choose(rng, "fourth") for _ in range(200)}
    assert sum(share for share, _ in DRAWERS.values()) == pytest.approx(1)


@pytest.mark.parametrize("name", DRAWERS)
def test_what_a_drawer_draws_becomes_a_page_with_its_ink_sorted(name: str) -> None:
    page = sorted_page(drawn(name, 11, "validation", kinds=True))
    assert page.grey.shape == page.kinds.shape
    assert {Ink.NONE, Ink.WALL, Ink.WRITING} <= set(np.unique(page.kinds).tolist())
    assert page.which.max() == len(page.facts) > 3
    of_a_wall = page.facts[page.facts[:, 1] > 0]
    assert len(of_a_wall) and (of_a_wall[:, 6] == 1).mean() > 0.8
    walled = np.isin(page.kinds, (Ink.WALL, Ink.OPENING)).astype(np.uint8)
    near = cv2.dilate(walled, np.ones((41, 41), np.uint8))
    ends = of_a_wall[of_a_wall[:, 6] > 0, 2:6].reshape(-1, 2).round().astype(int)
    x, y = np.clip(ends, 0, np.array(near.shape[::-1]) - 1).T
    assert near[y, x].mean() > 0.9


def test_whole_sketches_are_cut_up_with_their_truth() -> None:
    crops = list(islice(page_crops("validation", np.random.default_rng(6)), 40))
    kinds = {crop.verdict for crop in crops}
    assert Verdict.NUMBER in kinds
    assert all(crop.text for crop in crops if crop.verdict is Verdict.NUMBER)
    assert not any(crop.text for crop in crops if crop.verdict is not Verdict.NUMBER)


def test_a_crossing_out_crosses_the_whole_box() -> None:
    for seed in range(8):
        layer = np.zeros((60, 120), np.uint8)
        clutter.strike(layer, (30, 15, 90, 45), 30, 3, np.random.default_rng(seed))
        columns = np.flatnonzero(layer.any(axis=0))
        assert columns[0] <= 36 and columns[-1] >= 84


def test_comma_blank_and_crossing_out_make_no_difference_to_what_is_said() -> None:
    assert same("40,5", "40.5") and same("8 cm", "8cm") and same("145~", "145")
    assert not same("405", "40.5")


def reading(*texts: tuple[str, float]) -> CropReading:
    return CropReading(tuple(Alternative(t, p) for t, p in texts), 1 - sum(p for _, p in texts))


def crop(text: str, verdict: Verdict = Verdict.NUMBER) -> Crop:
    return Crop(np.zeros((8, 8), np.uint8), text, verdict, "test")


def test_any_text_is_wrong_where_no_number_stands() -> None:
    wrong = score(crop("", Verdict.OTHER), reading(("11", 0.9)))
    assert not wrong.right and not wrong.listed and wrong.number
    listed = score(crop("40.5"), reading(("405", 0.6), ("40,5", 0.3)))
    assert not listed.right and listed.listed


def test_a_well_calibrated_reader_has_no_calibration_error() -> None:
    rng = np.random.default_rng(0)
    chances = rng.uniform(0, 1, 20_000)
    honest = [Score(Verdict.NUMBER, bool(rng.random() < p), True, float(p), True) for p in chances]
    boastful = [Score(s.verdict, s.right, True, 0.999, True) for s in honest]
    assert calibration_error(honest) < 0.02
    assert calibration_error(boastful) == pytest.approx(0.5, abs=0.02)
    assert sum(count for _, _, count in reliability(honest)) == 20_000


def test_coverage_counts_true_numbers_above_the_bar_that_keeps_errors_rare() -> None:
    good = [Score(Verdict.NUMBER, True, True, 0.9, True)] * 90
    bad = [Score(Verdict.NUMBER, False, True, 0.5, True)] * 10
    assert covered(good + bad, 0.005) == pytest.approx(0.9)
    assert covered([*good, Score(Verdict.OTHER, False, False, 0.95, True)], 0.0) == 0.0


def test_the_interval_is_wilsons() -> None:
    # Newcombe, Statistics in Medicine 17 (1998), table I, method 3: 81 of 263 gives 0.2553 to 0.3662 (from memory).
    assert share([True] * 81 + [False] * 182) == "0.308 (0.255 to 0.366, 263)"


def test_scikit_learns_digits_are_mostly_read() -> None:
    """8x8 pixels of 43 people (UCI, Alpaydin and Kaynak, 1998), none of them trained on."""
    datasets = pytest.importorskip("sklearn.datasets")
    from fixtures.training.evaluate import single_digits
    from intake.reading.own import OwnReader

    known = datasets.load_digits()
    images = np.pad(np.asarray(known.images[:150] * 255 / 16, np.uint8), ((0, 0), (2, 2), (2, 2)))
    assert float(single_digits(OwnReader(), images, known.target[:150]).split()[0]) > 0.8


def test_the_mean_of_two_trainings_is_each_weights_mean_and_the_last_ones_counts() -> None:
    torch = pytest.importorskip("torch", reason="installed for training only")
    from fixtures.training.average import average

    first = {"weight": torch.tensor([1.0, 2.0]), "count": torch.tensor(3)}
    last = {"weight": torch.tensor([3.0, 0.0]), "count": torch.tensor(5)}
    mean = average([first, last])
    assert mean["weight"].tolist() == [2.0, 1.0] and int(mean["count"]) == 5


@pytest.mark.parametrize(
    ("network", "layer"), [("recogniser", "neck.by_itself_norm"), ("second", "trunk.0.1")]
)
def test_training_goes_on_from_committed_weights_as_they_answer(network: str, layer: str) -> None:
    """Against the runtime (onnxruntime) that answers from the file itself, and normalised as training would have it."""
    torch = pytest.importorskip("torch", reason="installed for training only")
    from fixtures.training.committed import NETWORKS, restored

    weights, empty = NETWORKS[network]
    rng = np.random.default_rng(3)
    material = [torch.from_numpy(rng.random((6, 1, HEIGHT, 64), np.float32)) for _ in range(4)]
    net = restored(empty(), weights, material).eval()
    with torch.no_grad():
        spelling, verdict = net(material[0])
    wanted = opened(weights).run(None, {"ink": material[0].numpy()})
    known = spelling.numpy()[:, :, : wanted[0].shape[2]]  # signs newer than the file come after its own
    assert np.abs(known - wanted[0]).max() < 1e-3 > np.abs(verdict.numpy() - wanted[1]).max()
    normalised = net.get_submodule(layer)
    assert float(normalised.running_var.min()) > 0 and float(normalised.weight.detach().std()) > 0


def test_the_runs_start_from_states_that_earlier_ones_leave_and_leave_sources_out() -> None:
    pytest.importorskip("torch", reason="installed for training only")
    from fixtures.training.train import RUNS, runs

    manifest = tomllib.loads(RUNS.read_text())
    known = {"first", "second", "pp-ocr", *manifest["mean"]}
    for run in runs().values():
        starts = {learner.start for learner in run.learners} - {""}
        assert starts <= known
        known |= {learner.name for learner in run.learners}
    left_out = {kind for learner in runs()["hands"].learners for kind in learner.without}
    assert left_out == {"digits", "pen", "semeion"}


def test_a_learner_never_draws_from_a_source_that_it_leaves_out() -> None:
    torch = pytest.importorskip("torch", reason="installed for training only")
    from fixtures.training.train import Pool

    rng = np.random.default_rng(2)
    examples = [example(draw_crop(rng, writer, Verdict.NUMBER)) for _ in range(8)]
    wide = [e for e in examples if e.width == examples[0].width]
    pool = Pool("cpu")
    for source, level in (("pen", 1), ("page pen", 1), ("strokes", 2)):
        stacked = stack(wide, source)
        stacked.ink[:] = level
        pool.add(stacked)
    assert {int(v) for v in torch.unique(pool.draw(rng, 40).ink)} == {1, 2}
    assert {int(v) for v in torch.unique(pool.draw(rng, 40, ("pen",)).ink)} == {2}


def test_what_is_borrowed_answers_as_pp_ocr_does() -> None:
    torch = pytest.importorskip("torch")
    pytest.importorskip("onnx")
    from fixtures.training.pretrained import Pretrained, borrow

    models = weights_folder()
    assert models is not None
    file = models / "PP-OCRv6_rec_small.onnx"
    net = borrow(Pretrained(), file).eval()
    ink = np.random.default_rng(3).random((2, 1, 48, 96), np.float32)
    with torch.no_grad():
        trunk = net.blocks(net.stem(1 - 2 * torch.from_numpy(ink)))
        # PP-OCR goes eight columns a step, the borrowed network four.
        mine = net.spelling(net.neck(torch.nn.functional.avg_pool2d(trunk, (3, 2))))
    session = opened(file)
    theirs = session.run(None, {"x": np.repeat(1 - 2 * ink, 3, axis=1)})[0]
    characters = session.get_modelmeta().custom_metadata_map["character"].split("\n")
    columns = [0] + [1 + [*characters, " "].index(sign) for sign in SYMBOLS]
    # Both before the softmax, but for what all signs of a step share.
    told = np.log(np.maximum(theirs[:, :, columns], 1e-30))
    seen = mine.numpy()
    known = theirs[:, :, columns].min(axis=2) > 1e-12
    gap = (seen - seen[:, :, :1]) - (told - told[:, :, :1])
    assert known.any()
    assert np.abs(gap[known]).max() < 1e-2
