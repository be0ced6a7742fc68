"""A room is corrected by pointer and by form: each change is one decision, and nothing that was read is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from intake.model.word import TypedRoom
from intake.work import by_hand, decide
from intake.work.job_view import job_view
from tests.web import world
from tests.web.conftest import Place


@pytest.fixture
def place(desks: world.Desks) -> Iterator[Place]:
    with desks.copy(world.PEOPLE[:2]) as opened:
        yield Place(*opened)


def stamp(client: FlaskClient, job: str) -> str:
    found = re.search(r'name="stamp"\s+value="(\w+)"', client.get(f"/jobs/{job}/room").text)
    assert found is not None
    return found[1]


def change(place: Place, client: FlaskClient, job: str, do: str, **form: object) -> TestResponse:
    return place.post(client, f"/jobs/{job}/room", stamp=stamp(client, job), do=do, **form)


def test_turning_a_door_leaves_every_doubt_and_every_reading(place: Place) -> None:
    job, maya = place.job("Tomas"), place.client()
    before = job_view(place.services, job)
    assert before.main is not None and before.main.doubtful and before.room is not None
    doubtful = {m.id for m in before.room.survey.lengths() if not m.accepted}
    wall, n = next(
        (w.index, k) for w in before.room.survey.walls for k, s in enumerate(w.sections) if s.kind == "door"
    )
    answer = change(place, maya, job, "swing", wall=wall, section=n, swing="left away")
    assert answer.status_code == 200 and 'aria-pressed="true"' in answer.text
    after = job_view(place.services, job)
    assert after.room is not None and after.main is not None
    assert after.room.survey.walls[wall].sections[n].swing.hinge == "left"
    assert {m.id for m in after.room.survey.lengths() if not m.accepted} == doubtful and doubtful
    states = {s.item.id: s.state.value for s in after.standings}
    assert states["wall-sections"] == "doubtful", "a doubt is not settled by turning a door"
    assert after.row.state != "complete"
    assert [x.text for x in after.main.numbers] == [x.text for x in before.main.numbers]
    assert after.last is not None
    decide.undo(place.services, job, after.last.id, "maya")
    again = job_view(place.services, job)
    assert again.room == before.room and again.standings == before.standings


def test_a_room_from_nothing_by_forms_alone(place: Place) -> None:
    maya = place.client()
    job = by_hand.open_job(place.services, by_hand.Customer("Petra Lund"), "kitchen", "", [], "maya")
    assert "Start with four walls" in maya.get(f"/jobs/{job}/room").text
    change(place, maya, job, "four-walls", across="400", down="300")
    change(
        place, maya, job, "put-in", wall=0, section=0, kind="window", **{"from-left": "100", "length": "120"}
    )
    change(
        place, maya, job, "section", wall=0, section=1, kind="window", length="120", sill="104", head="210"
    )
    change(place, maya, job, "put-in", wall=2, section=0, kind="door", **{"from-left": "0", "length": "80"})
    change(place, maya, job, "add-fixed", name="boiler", wall="B", height="140", **{"from-left": "20"})
    change(place, maya, job, "ceilings", ceilings="241")
    change(place, maya, job, "wall", wall=1, runs="S", slant="", overall="300")
    view = job_view(place.services, job)
    assert view.room is not None and view.room.closes and view.room.placed.area_mm2 == 4000 * 3000
    assert sum(isinstance(w, TypedRoom) for w in view.file.words) == 7, "each change is a decision of its own"
    states = {s.item.id: s.state.value for s in view.standings}
    assert states["ceiling-height"] == states["boiler"] == states["sill-height"] == "present"
    page = maya.get(f"/jobs/{job}/room?at=A2").text
    assert 'value="104"' in page and "A2: window" in page
    assert "boiler" in maya.get(f"/jobs/{job}/room?at=F:1").text


def test_a_fixed_thing_is_put_where_a_pointer_lets_it_go_and_that_is_doubtful(place: Place) -> None:
    maya = place.client()
    job = by_hand.open_job(place.services, by_hand.Customer("Petra Lund"), "kitchen", "", [], "maya")
    change(place, maya, job, "four-walls", across="400", down="300")
    given = {"from-right": "20", "width": "45", "height": "140"}
    change(place, maya, job, "add-fixed", name="boiler", wall="B", **given)
    answer = change(place, maya, job, "place-fixed", fixed=0, wall=3, middle="100")
    assert answer.status_code == 200
    room = job_view(place.services, job).room
    assert room is not None
    (boiler,) = room.survey.fixed
    assert boiler.from_left is not None and boiler.from_right is None and boiler.height is not None
    assert (boiler.wall, boiler.from_left.value_mm, boiler.from_left.accepted) == (3, 775, False)
    assert change(place, maya, job, "place-fixed", fixed=7, wall=3, middle="100").status_code == 409
    assert change(place, maya, job, "place-fixed", fixed=0, wall=9, middle="100").status_code == 409


def test_what_is_refused(place: Place) -> None:
    job, maya = place.job("Tomas"), place.client()
    before = job_view(place.services, job).room_text
    for do, form in (
        ("put-in", {"wall": 0, "section": 0, "kind": "door", "from-left": "9999", "length": "80"}),
        ("section", {"wall": 0, "section": 0, "kind": "<script>", "length": "1"}),
        ("section", {"wall": 99, "section": 0, "length": "1"}),
        ("wall", {"wall": 0, "runs": "U"}),
        ("four-walls", {"across": "1", "down": "1"}),
        ("no such thing", {}),
        ("move", {"wall": 0, "section": 1, "by": "far"}),
    ):
        assert change(place, maya, job, do, **form).status_code == 409, do
    stale = place.post(maya, f"/jobs/{job}/room", stamp="0" * 16, do="ceilings", ceilings="240")
    assert stale.status_code == 409 and "changed meanwhile" in stale.text
    assert job_view(place.services, job).room_text == before
    assert maya.post(f"/jobs/{job}/room", data={"do": "ceilings"}).status_code == 403, "without the token"
    for at in ("ZZ9", "A0", "A99999999", "F:9", "'\"><script>", "\u0661"):
        assert maya.get(f"/jobs/{job}/room", query_string={"at": at, "from": "<b>"}).status_code == 200
