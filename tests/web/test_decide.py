"""A designer's decisions: each takes effect at once, is kept with who and when, and can be undone."""

from __future__ import annotations

import pytest

from intake.model.checklist import ItemState
from intake.model.errors import NotFound
from intake.model.reading import Role
from intake.web.filters import choices
from intake.work import decide
from intake.work.decide import NotPossible
from intake.work.job_view import JobView
from intake.work.sketch_view import Trust
from tests.web.conftest import Place


def _doubtful(view: JobView) -> tuple[str, int, str]:
    """The picture, index and right text of the first doubtful number."""
    assert view.main is not None
    number = next(n for n in view.main.numbers if n.standing is Trust.DOUBTFUL)
    return view.main.picture.id, number.index, number.alternatives[0].text


def test_a_correction_moves_the_plan_and_undoing_moves_it_back(place: Place) -> None:
    job = place.job("Ines")
    before = place.view(job)
    picture, index, right = _doubtful(before)
    key = decide.correct(place.services, job, picture, index, right, "maya")
    after = place.view(job)
    assert before.room and after.room and before.main and after.main
    number = after.main.numbers[index]
    assert (number.text, number.standing, number.by) == (right, Trust.CONFIRMED, "maya")
    assert number.read_as == before.main.numbers[index].text
    assert after.room.placed != before.room.placed
    assert after.main.doubtful == before.main.doubtful - 1
    decide.undo(place.services, job, key, "jon")
    again = place.view(job)
    assert again.room is not None and again.room.placed == before.room.placed
    assert again.decisions[0].undone == "jon" and again.decisions[0].by == "maya"


def test_correcting_every_doubtful_number_rightly_closes_the_room(place: Place) -> None:
    job = place.job("Tomas")
    before = place.view(job)
    assert before.main is not None and before.main.doubtful and before.room is not None
    keys = []
    for number in before.main.numbers:
        if number.standing is Trust.DOUBTFUL:
            right = number.alternatives[0].text
            keys.append(
                decide.correct(place.services, job, before.main.picture.id, number.index, right, "maya")
            )
    after = place.view(job)
    assert after.room is not None and after.room.closes
    for key in reversed(keys):
        decide.undo(place.services, job, key, "maya")


def test_what_would_close_the_room_is_offered_with_a_key_of_its_own(place: Place) -> None:
    job = place.job("Wren")
    view = place.view(job)
    assert view.main is not None and view.room is not None and view.room.closes is False
    number = next(n for n in view.main.numbers if n.fits)
    right = f"{view.room.slips[0].would_be_mm / 10:g}" if view.room.slips[0].would_be_mm else ""
    offered = choices(number)
    assert [(c["text"], c["how"]) for c in offered[:2]] == [
        (number.read_as, "as read"),
        (right, "fits the sums"),
    ]
    assert len({c["text"] for c in offered}) == len(offered)
    page = place.client().get(f"/jobs/{job}?number={number.index}").text
    assert f"<kbd>b</kbd> <b>{right}</b> <i>fits the sums</i>" in page
    key = decide.correct(place.services, job, view.main.picture.id, number.index, right, "maya")
    after = place.view(job)
    assert after.main is not None and not after.main.numbers[number.index].fits
    decide.undo(place.services, job, key, "maya")


@pytest.mark.parametrize("text", ["", "about two metres", "0", "12.34.5", "1e9", "-3"])
def test_what_is_no_length_is_refused(place: Place, text: str) -> None:
    job = place.job("Ines")
    picture, index, _ = _doubtful(place.view(job))
    with pytest.raises(NotPossible):
        decide.correct(place.services, job, picture, index, text, "maya")
    assert place.view(job).main.numbers[index].standing is Trust.DOUBTFUL  # type: ignore[union-attr]


def test_numbers_of_another_job_cannot_be_reached(place: Place) -> None:
    picture, index, right = _doubtful(place.view(place.job("Ines")))
    with pytest.raises(NotFound):
        decide.correct(place.services, place.job("Ada"), picture, index, right, "maya")
    for index in (-1, 999):
        with pytest.raises((NotFound, NotPossible)):
            decide.confirm(place.services, place.job("Ines"), picture, index, "maya")


def test_what_is_no_length_leaves_the_room(place: Place) -> None:
    job = place.job("Ines")
    picture, index, _ = _doubtful(place.view(job))
    key = decide.drop(place.services, job, picture, index, "maya")
    number = place.view(job).main.numbers[index]  # type: ignore[union-attr]
    assert number.standing is Trust.DROPPED and number.value_mm is None
    decide.undo(place.services, job, key, "maya")
    with pytest.raises(NotPossible):
        decide.undo(place.services, job, key, "maya")


def test_a_number_that_was_missed_is_added_and_taken_back(place: Place) -> None:
    job = place.job("Ines")
    before = place.view(job)
    assert before.main is not None and before.room is not None
    picture, count = before.main.picture.id, len(before.main.numbers)
    at = (before.main.width * 0.5, before.main.height * 0.5)
    with pytest.raises(NotPossible):
        decide.add_number(place.services, job, picture, "wide", at, "overall", 0, "maya")
    key = decide.add_number(place.services, job, picture, "81", at, "overall", 1, "maya")
    after = place.view(job)
    assert after.main is not None and after.room is not None
    added = after.main.numbers[count]
    assert (added.text, added.value_mm, added.standing, added.added) == ("81", 810, Trust.CONFIRMED, True)
    assert [o.value_mm for o in after.room.survey.walls[1].overalls] == [810]
    assert all(0 <= x <= after.main.width and 0 <= y <= after.main.height for x, y in added.box)
    decide.undo(place.services, job, key, "maya")
    again = place.view(job)
    assert again.main is not None and len(again.main.numbers) == count


def test_an_added_number_is_corrected_in_place_whatever_else_is_undone(place: Place) -> None:
    job = place.job("Ines")
    view = place.view(job)
    assert view.main is not None
    picture, count = view.main.picture.id, len(view.main.numbers)
    at = (300.0, 300.0)
    first = decide.add_number(place.services, job, picture, "81", at, "overall", 1, "maya")
    second = decide.add_number(place.services, job, picture, "92", at, "overall", 3, "maya")
    fixed = decide.correct(place.services, job, picture, count + 1, "95", "jon")
    numbers = place.view(job).main.numbers  # type: ignore[union-attr]
    assert [(n.text, n.read_as, n.by) for n in numbers[count:]] == [("81", "81", "maya"), ("95", "92", "jon")]
    assert "“92” is 95" in [d.text for d in place.view(job).decisions]
    decide.undo(place.services, job, first, "maya")
    alone = place.view(job)
    assert alone.main is not None and alone.room is not None
    assert [n.text for n in alone.main.numbers[count:]] == ["95"], "the correction went to another number"
    assert [o.value_mm for o in alone.room.survey.walls[3].overalls] == [950]
    decide.drop(place.services, job, picture, count, "jon")
    assert place.view(job).main.numbers[count].standing is Trust.DROPPED  # type: ignore[union-attr]
    decide.confirm(place.services, job, picture, count, "jon")
    back = place.view(job).main.numbers[count]  # type: ignore[union-attr]
    assert (back.text, back.standing, back.wall) == ("95", Trust.CONFIRMED, 3)
    decide.undo(place.services, job, second, "maya")
    left = place.view(job)
    assert left.main is not None and len(left.main.numbers) == count, "what is not there cannot be corrected"
    for trace in (d for d in left.decisions if not d.undone and d.id >= fixed):
        decide.undo(place.services, job, trace.id, "maya")


def test_what_a_number_measures_says_nothing_of_what_it_says(place: Place) -> None:
    job = place.job("Ines")
    picture, index, right = _doubtful(place.view(job))
    moved = decide.replace_role(place.services, job, picture, index, "fixture", 2, "maya")
    number = place.view(job).main.numbers[index]  # type: ignore[union-attr]
    assert (number.role, number.wall, number.standing) == (Role.FIXTURE, 2, Trust.DOUBTFUL)
    settled = decide.correct(place.services, job, picture, index, right, "maya")
    number = place.view(job).main.numbers[index]  # type: ignore[union-attr]
    assert (number.role, number.wall, number.text) == (Role.FIXTURE, 2, right)
    assert [t.text for t in place.view(job).holds] == [f"“{number.read_as}” is {right} (fixture)"]
    decide.undo(place.services, job, settled, "maya")
    decide.undo(place.services, job, moved, "maya")
    assert place.view(job).holds == ()


def test_an_item_is_what_the_designer_says_until_it_is_undone(place: Place) -> None:
    job = place.job("Ada")
    key = decide.set_item(place.services, job, "consumer-unit", "confirmed", "Seen on the telephone.", "maya")
    standing = next(s for s in place.view(job).standings if s.item.id == "consumer-unit")
    assert standing.state is ItemState.CONFIRMED
    decide.undo(place.services, job, key, "maya")
    standing = next(s for s in place.view(job).standings if s.item.id == "consumer-unit")
    assert standing.state is not ItemState.CONFIRMED


def test_every_change_is_in_the_audit(place: Place) -> None:
    client = place.client()
    job = place.job("Ada")
    place.post(client, f"/jobs/{job}/room", room="bedroom")
    html = client.get("/audit").get_data(as_text=True)
    assert "room" in html and job in html and "maya" in html
