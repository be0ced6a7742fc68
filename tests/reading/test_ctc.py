"""The beam search against the definition: the sum over every path that spells a text (Graves et al., ICML
2006)."""

from __future__ import annotations

from collections import defaultdict
from itertools import product

import numpy as np
import pytest

from intake.reading.ctc import greedy, n_best


def _by_definition(frames: np.ndarray, signs: str) -> dict[str, float]:
    total: dict[str, float] = defaultdict(float)
    for path in product(range(frames.shape[1]), repeat=len(frames)):
        kept = [p for i, p in enumerate(path) if p and (i == 0 or p != path[i - 1])]
        total["".join(signs[p - 1] for p in kept)] += float(
            np.prod([frames[t, p] for t, p in enumerate(path)])
        )
    return total


@pytest.mark.parametrize("seed", range(5))
def test_the_beam_gives_each_text_the_sum_of_its_paths(seed: int) -> None:
    rng = np.random.default_rng(seed)
    frames = rng.dirichlet(np.ones(4), 5).astype(np.float32)
    exact = _by_definition(frames, "012")
    for text, p in n_best(frames, "012", beam=1000)[:10]:
        assert p == pytest.approx(exact[text], rel=1e-3)


def test_a_doubled_digit_needs_a_blank_between() -> None:
    frames = np.array([[0, 1], [1, 0], [0, 1]], np.float32)
    assert n_best(frames, "1")[0][0] == "11"
    assert greedy(frames, ["1"])[0] == "11"
    assert n_best(np.array([[0, 1], [0, 1]], np.float32), "1")[0][0] == "1"


def test_nothing_seen_is_the_empty_text() -> None:
    assert greedy(np.array([[1.0, 0.0]], np.float32), ["1"]) == ("", 0.0)
