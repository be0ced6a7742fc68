"""What an opening is, and what a number measures, is told at the desk with one key. No outside source."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from intake.model.need import Need, NeedKind
from intake.model.phrase import phrase
from intake.model.reading import Measures, OpeningKind, Role, SketchReading
from intake.work.job_file import open_file
from intake.work.services import Services
from intake.work.sketch_view import Trust
from tests.web import plans, world
from tests.web.conftest import Place
from tests.web.plans import Plan, Side, door, wall, window

PLAN = Plan(
    (
        Side("E", (wall("84.5"), window("120"), wall("156")), "360.5"),
        Side("S", (wall("283.5"),)),
        Side("W", (wall("236.5"), door("86"), wall("38")), "360.5"),
        Side("N", (wall("140"), window("62.5"), wall("81"))),
    ),
    width=1670,
)
A_TOSS_UP = ((OpeningKind.DOORWAY, 0.42), (OpeningKind.WINDOW, 0.34), (OpeningKind.DOOR, 0.24))


WITHOUT = replace(PLAN, width=1672)
"""The same, of which the width of that opening is not read."""


def unsure(services: Services) -> Services:
    """The reader cannot tell what the opening on the left is."""
    known = {(r.width, r.height): r for r in map(read, (PLAN, WITHOUT))}
    return replace(services, eyes=world.KnowingEyes(services.eyes.real, known))  # type: ignore[attr-defined]


def read(plan: Plan) -> SketchReading:
    reading = plans.reading_of(plan)
    features = tuple(
        replace(f, kind=OpeningKind.DOORWAY, kinds=A_TOSS_UP) if f.wall == 3 else f
        for f in reading.outline.features
    )
    numbers = tuple(n for n in reading.numbers if plan is PLAN or n.wall != 3)
    return replace(reading, numbers=numbers, outline=replace(reading.outline, features=features))


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    people = (
        world.Person("Ines Marlow", "ines@marlow.example", "kitchen", PLAN, "Hello, here is our plan."),
        world.Person("Olive Tarn", "olive@tarn.example", "kitchen", WITHOUT, "Hello, here is our plan."),
    )
    folder: Path = tmp_path_factory.mktemp("openings")
    with world.desk(folder, people, services_change=unsure) as opened:
        yield Place(*opened)


def test_the_sketch_round_it_stands_beside_its_keys(place: Place) -> None:
    job, client = place.job("Ines"), place.client()
    page = client.get(f"/jobs/{job}").get_data(as_text=True)
    needs = page[page.index('<section id="needs"') : page.index('<nav class="within"')]
    assert "Opening 1 on wall D" in needs and "I cannot tell: ask the customer" in needs
    assert [needs.count(f"Opening 1 is {kind}") for kind in ("a window", "a door", "plain wall")] == [1, 1, 1]
    (source,) = re.findall(r'src="(/pictures/[^"]+/openings/[0-9]+[.]png)"', needs)
    answer = client.get(source)
    assert answer.mimetype == "image/png"
    wide, high = Image.open(io.BytesIO(answer.data)).size
    assert wide > 50 and high > 50
    assert client.get(re.sub("[0-9]+[.]png", "999.png", source)).status_code == 404
    assert place.app.test_client().get(source).status_code != 200, "for the signed-in alone"


def test_the_key_says_what_it_is_and_the_page_follows(place: Place) -> None:
    job, client = place.job("Ines"), place.client()
    (need,) = (n for n in place.view(job).needs if n.openings)
    key = next(k for k in need.openings if k.label == "Opening 1 is a door")
    form = {
        "picture": need.need.message.partition("#")[0],
        "number": key.number,
        "role": key.role,
        "action": "role",
    }
    answer = place.post(client, f"/jobs/{job}/numbers", **form)
    assert answer.status_code == 200 and "Opening 1 is" not in answer.get_data(as_text=True)
    room = place.view(job).room
    assert room is not None
    assert [s.kind.value for s in room.survey.walls[3].sections] == ["wall", "door", "wall"]


def test_where_no_width_was_read_the_page_leads_to_where_it_is_pointed_at(place: Place) -> None:
    job, client = place.job("Olive"), place.client()
    page = client.get(f"/jobs/{job}").get_data(as_text=True)
    needs = page[page.index('<section id="needs"') : page.index('<nav class="within"')]
    assert "Opening 1 on wall D" in needs and "Opening 1 is" not in needs
    (link,) = re.findall(r'<a href="([^"]+)">point at it on the sketch</a>', needs)
    assert client.get(link).status_code == 200


MEASURED = Plan(PLAN.sides, width=1674)


def unsure_of_38(services: Services) -> Services:
    """Of which wall the 38 is nobody can tell, and a letter has asked."""
    reading = plans.reading_of(MEASURED)
    own, other = (Measures(Role.SECTION, (w,), (0.0, 0.1), c) for w, c in ((2, 0.6), (1, 0.4)))
    unsure = {"accepted": False, "measures": own, "may_measure": (other,)}
    numbers = tuple(replace(n, **unsure) if n.text == "38" else n for n in reading.numbers)  # type: ignore[arg-type]
    known = {(reading.width, reading.height): replace(reading, numbers=numbers)}
    return replace(services, eyes=world.KnowingEyes(services.eyes.real, known))  # type: ignore[attr-defined]


def test_a_key_says_what_a_number_says_and_measures(tmp_path: Path) -> None:
    people = (
        world.Person("Ines Marlow", "ines@marlow.example", "kitchen", MEASURED, "Hello, here is our plan."),
    )
    with world.desk(tmp_path, people, services_change=unsure_of_38) as opened:
        place = Place(*opened)
        job, client = place.job("Ines"), place.client()
        (shown,) = (n for s in place.view(job).sketches for n in s.numbers if n.text == "38")
        picture = place.view(job).file.survey.sketch
        need = Need(
            NeedKind.MEASURES,
            "of the alcove",
            phrase("need-measures", number="38"),
            f"{picture}#{shown.index}",
        )
        with place.services.store.transaction() as tables:
            file = open_file(tables, job, place.services.checklists)
            tables.jobs.keep_found(
                job, place.view(job).standings, (need,), file.job.customer, room=file.job.room
            )
        page = client.get(f"/jobs/{job}").get_data(as_text=True)
        needs = page[page.index('<section id="needs"') : page.index('<nav class="within"')]
        assert "of the alcove" in needs and "Read and dealt with" not in needs
        assert [needs.count(f"It is 38, section of wall {letter}") for letter in "CB"] == [1, 1]
        form = {
            "picture": picture,
            "number": shown.index,
            "text": "38",
            "role": Role.SECTION.value,
            "wall": 2,
        }
        answer = place.post(client, f"/jobs/{job}/numbers", action="measures", **form)
        assert answer.status_code == 200
        (after,) = (n for s in place.view(job).sketches for n in s.numbers if n.text == "38")
        assert (after.standing, after.role, after.wall) == (Trust.CONFIRMED, Role.SECTION, 2)
