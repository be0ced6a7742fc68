"""Each command in the documents that measures something is one that `python -m fixtures.benchmark.figures` runs."""

from __future__ import annotations

import re
from importlib.util import find_spec

import pytest

from fixtures.benchmark.figures import FIGURES, MAKERS, NO_FIGURES, yardsticks
from intake.settings import PROJECT

SHOWN = {
    module
    for page in [*PROJECT.glob("*.md"), *(PROJECT / "docs").glob("*.md")]
    for module in re.findall(r"python -m ((?:fixtures|tests)[\w.]+)", page.read_text(encoding="utf-8"))
}


def test_every_command_in_the_documents_is_measured_or_known_to_measure_nothing() -> None:
    assert len(SHOWN) > 10
    others = SHOWN - {f.command.split()[0] for f in FIGURES} - set(NO_FIGURES)
    assert {module for module in others if not module.startswith(MAKERS)} == set()


@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f.command)
def test_each_is_there_and_its_page_shows_it(figure) -> None:  # type: ignore[no-untyped-def]
    module = figure.command.split()[0]
    assert find_spec(module) is not None
    assert module in (PROJECT / "docs" / figure.page).read_text(encoding="utf-8")


def test_the_yardsticks_are_of_this_machine() -> None:
    measured = yardsticks()
    assert set(measured) >= {f.yardstick for f in FIGURES}
    assert all(value > 0 for value, _ in measured.values())
