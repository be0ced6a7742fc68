"""A plan that came too small and comes again at full size: the larger copy is the one that is read."""

from __future__ import annotations

from dataclasses import replace

from intake.model.picture import Picture, Subject
from intake.model.reading import SketchOutline, SketchReading
from intake.work.what_counts import _once
from tests.checklist.build import picture

HASH = "853c7aaf6ac361c2"


def plan(name: str, width: int, height: int, *verdicts: str) -> Picture:
    told = picture(name, Subject.SKETCH, *verdicts)
    facts = replace(
        told.facts, width=width, height=height, perceptual_hash=HASH, contrast=76.0, problem="", taken_at=None
    )
    return replace(told, facts=facts)


def of(*pictures: Picture, useless: str = "") -> dict[str, str]:
    nothing = SketchReading(640, 480, "cm", (), SketchOutline((), False))
    return {p.id: p.same_as for p in _once(pictures, {useless: nothing} if useless else {})}


def test_the_larger_copy_takes_the_place_of_one_that_was_of_no_use() -> None:
    small, large = plan("small", 640, 480), plan("large", 3000, 2250)
    assert of(small, large, useless=small.id) == {"small": large.id, "large": ""}
    again = replace(plan("again", 3000, 2250), id="again")
    assert of(small, large, again, useless=small.id) == {"small": large.id, "large": "", "again": large.id}


def test_one_with_fewer_faults_takes_its_place_as_well() -> None:
    small, large = plan("small", 640, 480, "shrunk"), plan("large", 3000, 2250)
    assert of(small, large) == {"small": large.id, "large": ""}


def test_a_plan_that_could_be_read_stays_the_one_that_people_have_worked_on() -> None:
    first, large = plan("first", 1600, 1200), plan("large", 3000, 2250)
    assert of(first, large) == {"first": "", "large": first.id}


def test_a_copy_no_larger_is_the_same_once_more() -> None:
    small, again = plan("small", 640, 480), plan("again", 700, 525)
    assert of(small, again, useless=small.id) == {"small": "", "again": small.id}
