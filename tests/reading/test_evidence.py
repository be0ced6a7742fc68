"""The table of what each part of the evidence brings leaves out what it says."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from fixtures.benchmark.evidence import PARTS, score_without
from fixtures.benchmark.whole import read_sheet


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    kept = tmp_path_factory.mktemp("sheets")
    sheet = read_sheet("plain-bare", "validation", 2)
    (kept / "2.pkl").write_bytes(pickle.dumps(sheet))
    return kept


def test_a_plain_sheet_closes_with_everything_and_the_roles_make_the_most_of_it(folder: Path) -> None:
    whole = score_without("with everything", folder)
    assert whole.hits["rooms wholly right"] == 1 and whole.hits["clean plans that close"] == 1
    without = {part: score_without(part, folder).hits["role right"] for part in PARTS}
    worst = min(without, key=lambda part: without[part])
    assert worst == "without the sorter's word on roles"


def test_leaving_out_leaves_nothing_changed_behind(folder: Path) -> None:
    before = score_without("with everything", folder)
    for part in PARTS:
        score_without(part, folder)
    assert score_without("with everything", folder).hits == before.hits
