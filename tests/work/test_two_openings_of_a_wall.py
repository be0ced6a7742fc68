"""Two openings on one wall of which nobody told what they are: each is looked at for itself. No outside source."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from intake import wiring
from intake.model.reading import OpeningKind
from intake.settings import Settings
from intake.work import decide
from tests.web import plans
from tests.web.plans import Plan, Side, door, wall, window
from tests.work.mail import OURS, SERVER
from tests.work.test_numbers_by_mail import Reader
from tests.work.test_openings_by_mail import A_TOSS_UP, ALL_ELSE, HEIGHTS, PLANS, Showroom

TOP, LEFT = 0, 3
TWO = Plan(
    (
        Side("E", (wall("60.5"), door("80"), wall("55.5"), door("85"), wall("79.5")), "360.5"),
        Side("S", (wall("283.5"),)),
        Side("W", (wall("236.5"), door("86"), wall("38")), "360.5"),
        Side("N", (wall("82.5"), window("120"), wall("81"))),
    ),
    1672,
)


def test_who_cannot_tell_what_one_is_has_said_nothing_of_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Openings are counted anew where one is settled: the second is then the first on its wall."""
    monkeypatch.setitem(PLANS, "two", TWO)
    reading = plans.reading_of(TWO)
    sure = {LEFT: ((OpeningKind.WINDOW, 1.0),), TOP: A_TOSS_UP}
    features = tuple(replace(f, kinds=sure.get(f.wall, ())) for f in reading.outline.features)
    reading = replace(reading, outline=replace(reading.outline, features=features))
    settings = Settings(
        data=tmp_path / "data", address=(OURS,), authserv_id=SERVER, letters_folder=str(tmp_path / "out")
    )
    with wiring.opened(settings) as real:
        eyes = Reader(real.eyes, {(reading.width, reading.height): reading})
        showroom = Showroom(replace(real, eyes=eyes), settings, tmp_path)
        job = showroom.job("two", ALL_ELSE + HEIGHTS)
        first, second = showroom.needs(job)
        decide.see(showroom.services, job, first.key, "", "ines")
        assert showroom.needs(job) == [second]
        number = next(n.openings[0].number for n in showroom.view(job).needs)
        picture = showroom.view(job).file.survey.sketch
        of_first = next(n.index for n in showroom.view(job).sketches[0].numbers if n.text == "80")
        assert number != of_first
        decide.replace_role(showroom.services, job, picture, of_first, "door", None, "ines")
        print(
            showroom.kinds(job),
            showroom.state(job),
            showroom.view(job).holds[-1:],
            [n.need for n in showroom.view(job).needs],
            showroom.asks(job),
        )
        (left,) = showroom.view(job).needs
        assert left.need.key == second.key and {k.number for k in left.openings} == {number}
