"""The figures at the desk, in the command and in the metrics: the same numbers, and nothing of a customer."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import select, update

from intake.domain.inspection.packing import packed
from intake.model.inspection import HandKind, JobCounts, Look, Lot, Weighed
from intake.model.reading import Paper, SketchReading
from intake.store import schema as t
from intake.store.inspection import Inspection
from intake.store.tallies import Tallies
from intake.work.decide import add_number, replace_role
from intake.work.job_file import open_file
from intake.work.lots import settle_looks
from intake.work.measure import as_document, in_words, measured, over_time
from intake.work.services import InspectionPolicy, Services
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
    months = {by: over_time(place.services, by) for by in ("version", "paper")}
    document = json.loads(json.dumps(as_document(found, months)))
    assert document["all"]["acceptance"]["of"] == found.whole.acceptance.of
    apart = {"month", "version", "paper", "over_time"}
    assert set(document) == {"promise", "inspection", "bar", "labels", "all", *apart}
    for by, parts in document["over_time"].items():
        assert set(parts) == set(document[by])
        for name, each in parts.items():
            assert sum(month["jobs"] for month in each.values()) == document[by][name]["jobs"]
    page = place.client().get("/figures").text
    assert in_words(found)[0] in page
    assert all(
        sentence in page for sentence in in_words(found)[-2:]
    )  # what they learned, and what that takes
    told = place.app.test_client().get("/metrics").text
    shares = {
        sample.labels["of"]: sample.value
        for family in text_string_to_metric_families(told)
        if family.name == "intake_share_ratio"
        for sample in family.samples
    }
    assert round(shares["acceptance"], 6) == round(found.whole.acceptance.estimate or 0, 6)


def test_nothing_of_a_customer_is_in_them(place: Place) -> None:
    whole = json.dumps(as_document(measured(place.services), {"paper": over_time(place.services, "paper")}))
    whole += place.client().get("/figures").text + place.app.test_client().get("/metrics").text
    for person in world.PEOPLE:
        assert person.name not in whole
        assert person.email not in whole
    for job in world.jobs(place.services):
        assert job not in whole


def test_the_months_of_one_paper_are_shown_alone(place: Place) -> None:
    months = over_time(place.services, "paper")
    paper, some = next(iter(months.items()))
    page = place.client().get("/figures", query_string={"by": "paper", "of": paper}).text
    shown = page[page.index('id="months"') :]
    assert "all jobs" in shown
    for month, each in some.items():
        assert re.search(rf">\s*{month}\s*</th>\s*<td>{each.jobs} <small>", shown)
    nothing = place.client().get("/figures", query_string={"by": "paper", "of": "papyrus"}).text
    assert "<td>" not in nothing[nothing.index('id="months"') :]


def test_adding_a_number_and_moving_one_are_counted(place: Place) -> None:
    job = place.job("Tomas")
    with place.services.store.reading() as tables:
        picture = next(
            k.picture.id for k in tables.pictures.of_job(job) if tables.pictures.reading(k.picture.id)
        )
        before = sum(Tallies(tables.db).cells().values(), JobCounts())
    later = replace(place.services, clock=lambda: place.services.clock() + timedelta(seconds=40))
    add_number(place.services, job, picture, "50", (100.0, 100.0), "", None, "zoe")
    replace_role(later, job, picture, 0, "fixture", None, "zoe")
    with place.services.store.reading() as tables:
        after = sum(Tallies(tables.db).cells().values(), JobCounts())
        kept = tables.db.execute(select(t.tallies).where(t.tallies.c.job == job)).one()
    assert (kept.added, kept.misplaced) == (1, 1)
    assert kept.desk_seconds == 30 + 40
    assert after.acceptance == before.acceptance
    assert after.jobs == before.jobs


def test_no_interval_is_drawn_before_a_look_has_settled_anything(place: Place) -> None:
    page = place.client().get("/figures").text
    assert "Blind looks have settled no accepted number yet." in page
    assert "promised:" not in page and "own slip" not in page


def test_papers_are_told_apart_by_name(place: Place) -> None:
    with place.services.store.transaction() as tables:
        for job, paper in zip(world.jobs(place.services), Paper, strict=False):
            tables.db.execute(update(t.tallies).where(t.tallies.c.job == job).values(paper=paper))
    page = place.client().get("/figures").text
    for name in ("our measuring sheet", "plain", "lined", "squared", "their own, kind not told"):
        assert re.search(rf">\s*{name}\s*</a>", page)


def test_the_command_prints_sentences(place: Place) -> None:
    lines = in_words(measured(place.services))
    assert re.match(r"(Of [\d,]+ accepted numbers checked here|Blind looks)", lines[0])


def test_the_owner_takes_the_proposed_bar_and_undoes_it(tmp_path: Path) -> None:
    """Nineteen hundred sheets more than came by mail show the shipped bar to be tighter than the promise needs."""
    with world.desk(tmp_path / "desk", services_change=_with_evidence) as (app, services):
        app.testing = True
        here = Place(app, services)
        owner, designer = here.client(), here.client("jon")
        offered = designer.get("/figures").text
        assert "tighter than the promise" in offered and "An owner may take it" in offered
        assert here.post(designer, "/figures/bar", action="take", bar="0.8").status_code == 403
        assert here.post(owner, "/figures/bar", action="take", bar="0.86").status_code == 409
        job = here.job("Ines")
        before = doubtful(services, job)
        assert "Taken." in here.post(owner, "/figures/bar", action="take", bar="0.8").text
        assert doubtful(services, job) < before
        with services.store.reading() as tables:
            assert not tables.jobs.is_examined(job)
        assert measured(services).bar == 0.8
        here.post(owner, "/figures/bar", action="undo")
        assert doubtful(services, job) == before
        assert here.post(owner, "/figures/bar", action="undo").status_code == 409


def doubtful(services: Services, job: str) -> int:
    with services.store.reading() as tables:
        read = open_file(tables, job, services.checklists).survey.read
    return sum(not n.accepted for each in read.values() for n in each.numbers)


def _with_evidence(services: Services) -> Services:
    """Readers of a version of their own that read a few numbers of each sketch at .85, and 1,900 sheets without
    fault."""
    numbers = dict(enumerate((*(Weighed(0.99, True, True),) * 12, Weighed(0.85, False, True))))
    now = services.clock() - timedelta(days=30)
    with services.store.transaction() as tables:
        for n in range(1900):
            lot = Lot(f"p{n}", now, "v-1", "own-paper", HandKind.CLEAR, "cm", 0.15)
            Inspection(tables.db).draw(lot, packed(numbers, [0]), {0: ("386.5", numbers[0])})
        for check in Inspection(tables.db).checks():
            Inspection(tables.db).look(check.id, Look("jon", now, "386.5"), "R-1")
            settle_looks(tables, replace(lot, picture=check.picture), now)

    class Eyes:
        def __getattr__(self, name: str) -> object:
            return getattr(services.eyes, name)

        def read(self, jpeg: bytes) -> SketchReading:
            read = services.eyes.read(jpeg)
            unsure = [
                replace(n, eligible=True, confidence=0.95 if n.accepted else 0.85) for n in read.numbers
            ]
            return replace(read, numbers=tuple(unsure), version="v-1")

    policy = replace(services.policy, inspection=InspectionPolicy(version="v-1"))
    return replace(services, policy=policy, eyes=Eyes())
