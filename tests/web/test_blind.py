"""Blind looks at the desk: drawn when a sketch is read, asked on other jobs' pages, and what they lead to."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from intake.domain.inspection.looks import verdict
from intake.model.inspection import SpotCheck, Verdict
from intake.store.inspection import Inspection
from intake.work.accounts import sign_in_link
from intake.work.erase import erase
from intake.work.examine import examine
from intake.work.job_file import open_file
from intake.work.services import InspectionPolicy, Services
from tests.web import world
from tests.web.conftest import IN_A_BROWSER, Place, expect


def often(services: Services) -> Services:
    return replace(services, policy=replace(services.policy, inspection=InspectionPolicy(0.5)))


@pytest.fixture
def looked(desks: world.Desks) -> Iterator[Place]:
    """A desk that looks at half of all accepted numbers."""
    with desks.copy(services_change=often) as opened:
        yield Place(*opened)


def checks(place: Place) -> list[SpotCheck]:
    with place.services.store.reading() as tables:
        return Inspection(tables.db).checks()


def answer(place: Place, page: str, told: str, by: str = "maya") -> str:
    """Look at the number that the page of a job asks about; returns the picture it is on."""
    from intake.work.blind import look, to_look_at

    asked = to_look_at(place.services, page, by)
    assert asked is not None
    with place.services.store.reading() as tables:
        check = Inspection(tables.db).check(asked.check)
    assert check is not None
    look(place.services, page, asked.check, told.replace("READ", check.read), by)
    return f"{check.picture}#{check.number}"


def test_numbers_are_drawn_and_asked_on_another_jobs_page_without_their_reading(looked: Place) -> None:
    found = checks(looked)
    assert found
    page = looked.job("Oscar")  # no sketch of its own
    client = looked.client()
    shown = client.get(f"/jobs/{page}").text
    assert "What does this say?" in shown
    first = shown.partition('id="blind"')[2].partition("</section>")[0]
    words = re.sub(r"<[^>]*>", " ", re.sub(r'<button name="offered".*?</button>', "", first, flags=re.S))
    for check in found:
        assert check.read not in words
        assert check.picture not in first
    picture = first.partition('src="')[2].partition('"')[0]
    ink = client.get(picture)
    assert ink.mimetype == "image/png"
    assert ink.data.startswith(b"\x89PNG")


def test_a_page_never_asks_about_its_own_job_and_only_twice_a_day(looked: Place) -> None:
    from intake.work.blind import to_look_at

    page = looked.job("Ines")
    with looked.services.store.reading() as tables:
        own = {k.picture.id for k in tables.pictures.of_job(page)}
    for _ in range(2):
        assert answer(looked, page, "READ").partition("#")[0] not in own
    assert to_look_at(looked.services, page, "maya") is None
    assert to_look_at(looked.services, page, "jon") is not None


def test_two_looks_against_a_reading_put_its_job_before_a_person(looked: Place) -> None:
    page = looked.job("Oscar")
    name = answer(looked, page, "123.4", "maya")
    picture, _, number = name.partition("#")
    with looked.services.store.reading() as tables:
        home = next(
            j.id for j in tables.jobs.all() if picture in {k.picture.id for k in tables.pictures.of_job(j.id)}
        )
        assert not [
            n for n in open_file(tables, home, looked.services.checklists).needs if n.kind == "misread"
        ]
    assert answer(looked, page, "123.4", "jon") == name
    examine(looked.services, home)
    client = looked.client()
    shown = client.get(f"/jobs/{home}").text
    assert "looked at blind it says 123.4" in shown
    looked.post(
        client, f"/jobs/{home}/numbers", picture=picture, number=number, action="correct", text="123.4"
    )
    with looked.services.store.reading() as tables:
        assert not [
            n for n in open_file(tables, home, looked.services.checklists).needs if n.kind == "misread"
        ]


def test_what_is_no_length_is_refused_and_a_form_without_a_script_leads_back(looked: Place) -> None:
    page, client = looked.job("Oscar"), looked.client()
    number = client.get(f"/jobs/{page}").text.partition("/looks/")[2].partition(".png")[0]
    assert (
        looked.post(client, f"/jobs/{page}/looks/{number}", told="a door", action="told").status_code == 409
    )
    assert "Thank you" in looked.post(client, f"/jobs/{page}/looks/{number}", action="untold").text
    assert looked.post(client, f"/jobs/{page}/looks/999999", told="100", action="told").status_code == 404


def test_one_key_says_one_of_four_texts_that_all_look_alike_and_is_taken_back(looked: Place) -> None:
    from intake.work.blind import last_look, to_look_at

    page, client = looked.job("Oscar"), looked.client()
    asked = to_look_at(looked.services, page, "maya")
    assert asked is not None and len(asked.offered) == 4
    shown = client.get(f"/jobs/{page}").text
    buttons = re.findall(r'<button name="offered" value="(.*?)" class="plain" data-key="(.)">', shown)
    assert buttons == list(zip(asked.offered, "ABCD", strict=True))
    assert "Take that back" not in shown

    read = check_of(looked, asked.check).read
    before = fates(looked)
    answered = looked.post(client, f"/jobs/{page}/looks/{asked.check}", offered=read)
    assert settled(looked) == 1
    assert f"You said {read}." in answered.text
    assert fates(looked) != before
    assert last_look(looked.services, page, "jon") is None  # nobody takes back another's
    assert (
        looked.post(looked.client("jon"), f"/jobs/{page}/looks/{asked.check}", action="back").status_code
        == 409
    )
    taken = looked.post(client, f"/jobs/{page}/looks/{asked.check}", action="back")
    assert "Taken back." in taken.text
    assert check_of(looked, asked.check).looks == ()
    assert settled(looked) == 0
    assert fates(looked) == before
    assert to_look_at(looked.services, page, "maya") == asked
    assert looked.post(client, f"/jobs/{page}/looks/{asked.check}", action="back").status_code == 409


def test_a_second_look_at_a_number_is_offered_nothing_and_one_taken_back_lets_its_job_rest(
    looked: Place,
) -> None:
    from intake.work.blind import take_back, to_look_at

    page = looked.job("Oscar")
    name = answer(looked, page, "123.4", "maya")
    again = to_look_at(looked.services, page, "jon")
    assert again is not None and again.offered == ()
    assert answer(looked, page, "123.4", "jon") == name
    assert Verdict.WRONG in verdicts(looked)
    take_back(looked.services, page, again.check, "jon")
    assert Verdict.WRONG not in verdicts(looked)
    assert [look.by for look in check_of(looked, again.check).looks] == ["maya"]


@pytest.mark.browser
@IN_A_BROWSER[1]
def test_by_keyboard_a_look_is_given_and_taken_back(browser: Any, looked: Place) -> None:
    with world.listening(looked.app) as address:
        context = browser.new_context(base_url=address)
        context.request.get(sign_in_link(looked.services.store, "maya", looked.services.clock()))
        page = context.new_page()
        page.goto(f"/jobs/{looked.job('Oscar')}")
        asked, second = page.locator("#blind").inner_text(), page.locator("[name=offered]").nth(1)
        text = second.get_attribute("value")
        page.keyboard.press("Shift+B")
        expect(page.locator("#blind")).to_contain_text(f"You said {text}.")
        assert [look.told for check in checks(looked) for look in check.looks] == [text]
        page.keyboard.press("q")
        expect(page.locator("#blind")).to_contain_text("What does this say?")
        assert page.locator("#blind").inner_text() == asked
        assert [look.told for check in checks(looked) for look in check.looks] == []
        page.keyboard.press("w")
        page.keyboard.type("123")
        page.keyboard.press("Enter")
        expect(page.locator("#blind")).to_contain_text("You said 123.")
        page.reload()
        page.keyboard.press("q")
        expect(page.locator("main")).to_contain_text("Taken back.")
        assert [look.told for check in checks(looked) for look in check.looks] == []
        context.close()


def check_of(place: Place, check_id: int) -> SpotCheck:
    with place.services.store.reading() as tables:
        check = Inspection(tables.db).check(check_id)
    assert check is not None
    return check


def settled(place: Place) -> int:
    """How many numbers there are to teach the readers with."""
    with place.services.store.reading() as tables:
        return Inspection(tables.db).labels(100)


def fates(place: Place) -> list[bytes]:
    with place.services.store.reading() as tables:
        return [lot.numbers for lot in Inspection(tables.db).counted()]


def verdicts(place: Place) -> set[Verdict]:
    with place.services.store.reading() as tables:
        rows = Inspection(tables.db)
        lots = {check: rows.lot(check.picture) for check in rows.checks()}
    now = place.services.clock()
    return {verdict(check, lot.unit, lot.at, now) for check, lot in lots.items() if lot is not None}


def test_erasing_a_customer_takes_the_looks_at_their_numbers_along(looked: Place) -> None:
    page = looked.job("Oscar")
    picture = answer(looked, page, "READ").partition("#")[0]
    with looked.services.store.reading() as tables:
        home = next(
            j.id for j in tables.jobs.all() if picture in {k.picture.id for k in tables.pictures.of_job(j.id)}
        )
    erase(looked.services, home, "maya")
    assert not [c for c in checks(looked) if c.picture == picture]
    with looked.services.store.reading() as tables:
        assert Inspection(tables.db).lot(picture) is None
