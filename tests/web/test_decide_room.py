"""A designer's word on the room: heights, a room typed whole, what an opening is."""

from __future__ import annotations

import pytest
import yaml

from intake.model.checklist import ItemState
from intake.model.errors import NotFound
from intake.model.reading import Role
from intake.work import decide
from intake.work.decide import NotPossible
from intake.work.job_view import JobView
from intake.work.sketch_view import Trust
from tests.web.conftest import Place


def _heights(view: JobView, name: str) -> list[int | None]:
    assert view.room is not None
    sections = [s for w in view.room.survey.walls for s in w.sections]
    return [m.value_mm for s in sections if (m := getattr(s, name)) is not None]


def test_heights_told_in_the_mail_stand_on_the_openings(place: Place) -> None:
    view = place.view(place.job("Wren"))
    assert _heights(view, "sill") == [1040] and _heights(view, "top_above_floor") == [2040]
    rows = {row.title: [(h.label, h.said) for h in row.heights] for row in view.heights}
    assert ("sill", "104 told") in rows["Window 1, wall A: window, 150 cm wide"]
    assert rows["Door 1, wall E: door, 78 cm wide"] == [("top", "204 told")]


def test_a_height_is_typed_for_the_window_meant_and_taken_back(place: Place) -> None:
    job = place.job("Ines")
    view = place.view(job)
    assert view.main is not None and _heights(view, "sill") == []
    picture = view.main.picture.id
    windows = [n for n in view.main.numbers if n.role is Role.OPENING and n.text in ("120", "62.5")]
    (second,) = (n.index for n in windows if n.text == "62.5")
    for bad in ({f"sill-height {second}": "high"}, {"sill-height 99": "104"}, {"wall-section 1": "104"}):
        with pytest.raises((NotPossible, NotFound)):
            decide.type_heights(place.services, job, picture, {"ceiling-height": "240"} | bad, "maya")
    assert place.view(job).decisions == view.decisions, "where one is wrong none is taken"
    typed = {
        f"sill-height {second}": "98.5",
        f"head-height {second}": "205",
        "ceiling-height": "240",
        "x": " ",
    }
    keys = decide.type_heights(place.services, job, picture, typed, "maya")
    after = place.view(job)
    assert after.room is not None
    assert [s.sill.value_mm for s in after.room.survey.walls[3].sections if s.sill] == [985]
    assert [c.value_mm for c in after.room.survey.ceilings] == [2400]
    stands = {s.item.id: s.state for s in after.standings}
    assert stands["sill-height"] is ItemState.PRESENT and stands["ceiling-height"] is ItemState.PRESENT
    for key in keys:
        decide.undo(place.services, job, key, "jon")
    assert _heights(place.view(job), "sill") == []


ROOM = """room: kitchen
unit: cm
walls:
  - runs: E
    sections: [100, {window: 120, sill: 104, head: 205, reveal: 12}, 180]
    overall: 400
  - runs: S
    sections: [300]
  - runs: W
    sections: [250, {door: 80}, 70]
    overall: 400
  - runs: N
    sections: [300]
ceilings: [241]
"""


def test_a_typed_room_settles_what_it_answers_and_nobody_is_asked_about_ink(place: Place) -> None:
    job = place.job("Ines")
    before = place.view(job)
    assert before.letter is not None and any(a.picture for a in before.letter.letter.asks)
    key = decide.type_room(place.services, job, ROOM, yaml.safe_load(ROOM), "maya")
    after = place.view(job)
    stands = {s.item.id: s.state for s in after.standings}
    lengths = (
        "wall-sections",
        "overall",
        "openings",
        "sill-height",
        "head-height",
        "reveal-depth",
        "ceiling-height",
    )
    assert {stands[i] for i in lengths} == {ItemState.PRESENT}
    assert stands["water-main"] is ItemState.MISSING
    assert after.letter is not None and not any(a.picture for a in after.letter.letter.asks)
    decide.undo(place.services, job, key, "maya")
    assert {s.item.id: s.state for s in place.view(job).standings} == {
        s.item.id: s.state for s in before.standings
    }


def test_a_designer_says_which_opening_is_the_window(place: Place) -> None:
    """The drawing shows the window as an opening of no kind; the mail gives its sill."""
    job = place.job("Wren")
    view = place.view(job)
    assert view.main is not None
    window, door = (next(n for n in view.main.numbers if n.text == text) for text in ("150", "78"))
    assert (window.opening, door.opening) == ("window", "door"), "as drawn"
    picture = view.main.picture.id
    keys = [
        decide.replace_role(place.services, job, picture, window.index, "door", 0, "maya"),
        decide.replace_role(place.services, job, picture, door.index, "window", 4, "maya"),
    ]
    after = place.view(job)
    assert after.main is not None and after.room is not None
    kinds = {s.length.text: s.kind.value for w in after.room.survey.walls for s in w.sections}
    assert (kinds["150"], kinds["78"]) == ("door", "window") and list(kinds.values()).count("window") == 1
    (sill,) = [s.sill for w in after.room.survey.walls for s in w.sections if s.sill]
    assert (sill.id, sill.value_mm) == ("E2 sill", 1040)
    assert after.main.numbers[door.index].standing is Trust.ACCEPTED, "what it says was sure before"
    assert after.decisions[0].text == "“78” measures something else (window)"
    for key in keys:
        decide.undo(place.services, job, key, "maya")
    assert place.view(job).room == view.room
