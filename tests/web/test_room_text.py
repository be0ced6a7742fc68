"""A room written out as a room file and read again is the same room."""

from __future__ import annotations

from pathlib import Path

import pytest

from intake.domain.room.room_file import room_from_dict
from intake.drawing.load import load_room_file, parse_room_text
from intake.model.room import Measurement, RoomSurvey
from intake.settings import PROJECT
from intake.work.job_view import job_view
from intake.work.room_text import room_text
from tests.web.conftest import Place

ROOMS = sorted((PROJECT / "fixtures" / "rooms").glob("*.y*ml"))


def _again(survey: RoomSurvey) -> RoomSurvey:
    return room_from_dict(parse_room_text(room_text(survey, "kitchen").encode(), "The room"))


def _value(measured: Measurement | None) -> int | None:
    return None if measured is None else measured.value_mm


def _same(one: RoomSurvey, other: RoomSurvey) -> None:
    assert [(w.direction, w.slant_deg) for w in one.walls] == [
        (w.direction, w.slant_deg) for w in other.walls
    ]
    for a, b in zip(one.walls, other.walls, strict=True):
        assert [(s.kind, s.length.value_mm, s.label) for s in a.sections] == [
            (s.kind, s.length.value_mm, s.label) for s in b.sections
        ]
        assert [o.value_mm for o in a.overalls] == [o.value_mm for o in b.overalls]
        for s, r in zip(a.sections, b.sections, strict=True):
            for name in ("depth", "sill", "reveal", "worktop", "worktop_to_sill"):
                assert _value(getattr(s, name)) == _value(getattr(r, name)), name
            assert (s.swing, s.architrave, s.length.estimated) == (r.swing, r.architrave, r.length.estimated)
    assert [c.value_mm for c in one.ceilings] == [c.value_mm for c in other.ceilings]
    assert [(a.corners, a.walls, a.length.value_mm) for a in one.across] == [
        (a.corners, a.walls, a.length.value_mm) for a in other.across
    ]
    assert [(f.name, f.wall, _value(f.height)) for f in one.fixed] == [
        (f.name, f.wall, _value(f.height)) for f in other.fixed
    ]


@pytest.mark.parametrize("path", ROOMS, ids=lambda p: p.stem)
def test_the_example_rooms_come_back_as_they_were(path: Path) -> None:
    survey = room_from_dict(load_room_file(path))
    again = _again(survey)
    _same(survey, again)
    assert len(again.findings) <= len(survey.findings)


def test_there_are_examples() -> None:
    assert len(ROOMS) >= 3


def test_a_room_read_off_a_sketch_can_be_typed_and_takes_over(place: Place) -> None:
    client, job = place.client(), place.job("Ines")
    before = job_view(place.services, job)
    assert before.room is not None and "# doubtful, read as" in before.room_text
    _same(before.room.survey, _again(before.room.survey))
    text = "room: kitchen\nunit: cm\nwalls:\n" + "".join(
        f"  - runs: {way}\n    sections: [{length}]\n"
        for way, length in zip("ESWN", (400, 300, 400, 300), strict=True)
    )
    place.post(client, f"/jobs/{job}/typed", text=text)
    after = job_view(place.services, job)
    assert after.last is not None
    place.post(client, f"/jobs/{job}/undo", decision=after.last.id)
    assert after.room is not None and after.room.placed.area_mm2 == 4000 * 3000 and after.typed_by == "maya"
    assert job_view(place.services, job).room == before.room


@pytest.mark.parametrize("text", ["", "walls: [", "room: kitchen", "a: &a [*a]", "- 1", "walls: []"])
def test_what_is_no_room_is_refused_in_one_line(place: Place, text: str) -> None:
    answer = place.post(place.client(), f"/jobs/{place.job('Ines')}/typed", text=text)
    assert answer.status_code == 409
    assert job_view(place.services, place.job("Ines")).typed_by == ""
