"""The figures at the desk, in the command and in the metrics: the same numbers, and nothing of a customer."""

from __future__ import annotations

import json
import re
from dataclasses import asdict

from prometheus_client.parser import text_string_to_metric_families

from intake.work.decide import add_number, replace_role
from intake.work.measure import as_document, in_words, measured
from tests.web import world
from tests.web.conftest import Place


def test_figures_are_those_of_the_jobs(place: Place) -> None:
    before = measured(place.services).whole
    assert before.jobs == len(world.jobs(place.services))
    with place.services.store.reading() as tables:
        lengths = [
            n
            for job in world.jobs(place.services)
            for kept in tables.pictures.of_job(job)
            if (reading := tables.pictures.reading(kept.picture.id))
            for n in reading.numbers
            if n.value_mm is not None
        ]
    assert (before.acceptance.seen, before.acceptance.of) == (sum(n.accepted for n in lengths), len(lengths))


def test_the_desk_the_command_and_the_metrics_say_the_same(place: Place) -> None:
    found = measured(place.services)
    document = json.loads(json.dumps(as_document(found)))
    assert document["all"]["acceptance"]["of"] == found.whole.acceptance.of
    assert set(document) == {"promise", "inspection", "all", "month", "version", "paper"}
    page = place.client().get("/figures").text
    assert in_words(found)[0] in page
    told = place.app.test_client().get("/metrics").text
    shares = {
        sample.labels["of"]: sample.value
        for family in text_string_to_metric_families(told)
        if family.name == "intake_share_ratio"
        for sample in family.samples
    }
    assert round(shares["acceptance"], 6) == round(found.whole.acceptance.estimate or 0, 6)


def test_nothing_of_a_customer_is_in_them(place: Place) -> None:
    whole = json.dumps(as_document(measured(place.services)), default=str)
    whole += place.client().get("/figures").text + place.app.test_client().get("/metrics").text
    for person in world.PEOPLE:
        assert person.name not in whole
        assert person.email not in whole
    for job in world.jobs(place.services):
        assert job not in whole


def test_adding_a_number_and_moving_one_are_counted(place: Place) -> None:
    from intake.store.tallies import Tallies

    job = place.job("Tomas")
    with place.services.store.reading() as tables:
        picture = next(
            k.picture.id for k in tables.pictures.of_job(job) if tables.pictures.reading(k.picture.id)
        )
        before = Tallies(tables.db).all()[job]
    add_number(place.services, job, picture, "50", (100.0, 100.0), "", None, "maya")
    replace_role(place.services, job, picture, 0, "fixture", None, "maya")
    with place.services.store.reading() as tables:
        after = Tallies(tables.db).all()[job]
    assert (after.added, after.misplaced) == (before.added + 1, before.misplaced + 1)
    assert asdict(after) == asdict(before) | {"added": after.added, "misplaced": after.misplaced}


def test_the_command_prints_sentences(place: Place) -> None:
    lines = in_words(measured(place.services))
    assert re.match(r"(Of [\d,]+ accepted numbers checked here|No accepted number)", lines[0])
