"""The survey of a job in a real browser: what a designer does in five minutes, at a desk and on a telephone."""

from __future__ import annotations

from typing import Any

import pytest

from intake.work.accounts import sign_in_link
from intake.work.job_view import job_view
from tests.web.conftest import IN_A_BROWSER, Place, expect

pytestmark = IN_A_BROWSER


def test_correcting_by_keyboard_alone_redraws_the_plan(page: Any, place: Place) -> None:
    job = place.job("Ines")
    before = job_view(place.services, job)
    assert before.main is not None
    page.goto(f"/jobs/{job}")
    doubtful = before.main.doubtful
    assert page.locator("#drawn .state").inner_text().strip().startswith(f"{doubtful} doubtful")
    old = page.locator("#plan img").get_attribute("src")
    shown = page.locator("#card .choice b").first.inner_text()
    page.keyboard.press("b")
    expect(page.locator("#plan img")).not_to_have_attribute("src", old)
    assert page.locator("#drawn .state").inner_text().strip().startswith(f"{doubtful - 1} doubtful")
    assert page.locator("#card .choice b").first.inner_text() != shown, (
        "the next doubtful number comes by itself"
    )
    assert page.locator("#drawn .number.confirmed").count() == 1
    page.keyboard.press("u")
    expect(page.locator("#drawn .number.doubtful")).to_have_count(doubtful)
    assert page.locator("#plan img").evaluate("i => i.decode().then(() => i.naturalWidth)") > 0
    page.reload()
    assert page.locator(".told").count() == 0, "what the script did is not told again on the next page"


def test_what_is_in_doubt_is_gone_through_sums_too(page: Any, place: Place) -> None:
    page.goto(f"/jobs/{place.job('Ines')}")
    doubtful = page.locator("#drawn .number.doubtful").count()
    sums = page.locator("#sums .beyond a").count()
    assert doubtful and sums
    first = page.locator("#drawn .number.chosen").get_attribute("data-number")
    for _ in range(doubtful):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#sums .beyond a").first).to_be_focused()
    assert page.locator("#drawn .number.in-sum").count() > 1, "its numbers are marked on the sketch"
    for _ in range(sums):
        page.keyboard.press("ArrowRight")
    assert page.locator("#drawn .number.chosen").get_attribute("data-number") == first
    assert page.locator("#drawn .number.in-sum").count() == 0
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#sums .beyond a").last).to_be_focused()


def test_the_card_lies_over_no_number_that_it_is_about(sized: Any, place: Place) -> None:
    sized.goto(f"/jobs/{place.job('Ines')}")
    for _ in range(sized.locator("#drawn .number").count()):
        number = sized.locator("#drawn .number.chosen polygon").bounding_box()
        card = sized.locator("#card").bounding_box()
        assert number["y"] + number["height"] <= card["y"] + 1
        sized.keyboard.press("Shift+ArrowRight")


@pytest.mark.parametrize("size", ["desk", "tablet"])
def test_sketch_and_card_are_seen_together_and_neither_lies_over_the_other(
    signed_in: dict[str, Any], place: Place, size: str
) -> None:
    page = signed_in[size].new_page()
    page.goto(f"/jobs/{place.job('Ines')}")
    for key in ("Shift+ArrowRight", "Shift+ArrowLeft"):
        page.keyboard.press(key)
        sketch, card = (page.locator(name).bounding_box() for name in ("#drawn .frame", "#card"))
        assert sketch["y"] >= page.locator(".within").bounding_box()["height"]
        assert sketch["y"] + sketch["height"] <= card["y"]
        assert card["y"] + card["height"] <= page.viewport_size["height"] + 1
    page.close()


def test_the_sketch_is_looked_at_larger(sized: Any, place: Place) -> None:
    sized.goto(f"/jobs/{place.job('Ines')}")
    wide = sized.locator("#drawn .sketch").bounding_box()["width"]
    frame = sized.locator("#drawn .frame").bounding_box()
    sized.get_by_role("button", name="Larger").click()
    sized.keyboard.press("+")
    assert sized.locator("#drawn .sketch").bounding_box()["width"] == pytest.approx(2 * wide, rel=0.01)
    after = sized.locator("#drawn .frame").bounding_box()
    assert (after["width"], after["height"]) == pytest.approx((frame["width"], frame["height"]), abs=20)
    chosen = sized.locator("#drawn .number.chosen").bounding_box()
    assert after["x"] <= chosen["x"] <= after["x"] + after["width"], "the number chosen stays in view"
    sized.keyboard.press("-")
    sized.keyboard.press("-")
    assert sized.locator("#drawn .sketch").bounding_box()["width"] == pytest.approx(wide, rel=0.01)


def test_typing_a_length_and_a_wrong_one(page: Any, place: Place) -> None:
    page.goto(f"/jobs/{place.job('Ines')}")
    page.keyboard.press("1")
    page.keyboard.type("2 ells")
    page.keyboard.press("Enter")
    expect(page.locator("#card [data-f=refused]")).to_contain_text("no length")
    page.keyboard.press("Escape")
    page.keyboard.press("1")
    page.keyboard.type("23.5")
    page.keyboard.press("Enter")
    page.wait_for_selector("#drawn .number.confirmed")
    assert "123.5" in (page.locator("#drawn .number.confirmed").first.text_content() or "")
    page.keyboard.press("u")
    expect(page.locator("#drawn .number.confirmed")).to_have_count(0)


def test_adding_a_number_that_was_missed(page: Any, place: Place) -> None:
    page.goto(f"/jobs/{place.job('Ines')}")
    before = page.locator("#drawn .number").count()
    page.keyboard.press("n")
    box = page.locator("#drawn .sketch").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.keyboard.type("199.5")
    page.keyboard.press("Enter")
    expect(page.locator("#drawn .number")).to_have_count(before + 1)
    added = page.locator("#drawn .number.confirmed").last.bounding_box()
    assert abs(added["x"] + added["width"] / 2 - box["x"] - box["width"] / 2) < 60, "not where it was clicked"
    page.keyboard.press("u")
    expect(page.locator("#drawn .number")).to_have_count(before)


def test_what_a_number_measures_and_a_height_are_set_on_the_page(sized: Any, place: Place) -> None:
    job = place.job("Ines")
    sized.goto(f"/jobs/{job}")
    doubtful = sized.locator("#drawn .number.doubtful").count()
    old = sized.locator("#plan img").get_attribute("src")
    sized.locator("#card [name=role]").select_option("fixture")
    expect(sized.locator("#plan img")).not_to_have_attribute("src", old)
    expect(sized.locator("#card [data-f=by]")).to_contain_text("Placed by maya")
    assert sized.locator("#drawn .number.doubtful").count() == doubtful, (
        "what it says is as doubtful as before"
    )
    sized.locator("#heights [name=ceiling-height]").fill("239.5")
    with sized.expect_navigation():
        sized.get_by_role("button", name="Set the heights typed").click()
    assert "239.5 typed" in sized.locator("#heights").inner_text()
    for _ in range(2):
        with sized.expect_navigation():
            sized.locator("[data-undo] button").click()
    assert job_view(place.services, job).last is None


def test_corrections_work_without_a_script(browser: Any, served: str, place: Place) -> None:
    context = browser.new_context(base_url=served, java_script_enabled=False)
    page = context.new_page()
    page.goto(sign_in_link(place.services.store, "maya", place.services.clock()))
    page.goto(f"/jobs/{place.job('Ines')}")
    page.locator("#card [name=text]").fill("123.5")
    with page.expect_navigation():
        page.locator("#card [name=text]").press("Enter")
    assert page.locator("#drawn .number.confirmed").count() == 1
    with page.expect_navigation():
        page.locator("[data-undo] button").click()
    assert page.locator("#drawn .number.confirmed").count() == 0
    context.close()


def test_releasing_a_letter_and_holding_it_back(sized: Any, place: Place) -> None:
    sized.goto(f"/jobs/{place.job('Tomas')}#letter")
    frame = sized.frame_locator("#letter iframe")
    assert "Hello Tomas" in frame.locator("body").inner_text()
    with sized.expect_navigation():
        sized.get_by_role("button", name="Release the letter").click()
    assert "released" in sized.locator("#letter header .tag").inner_text()
    with sized.expect_navigation():
        sized.get_by_role("button", name="Hold it back").click()
    assert "waits for release" in sized.locator("#letter header .tag").inner_text()


def test_merging_two_jobs_and_undoing_it(sized: Any, place: Place) -> None:
    home, other = place.job("Oscar"), place.job("Wren")
    sized.goto(f"/jobs/{home}")
    sized.get_by_text("Merge, or move a message").click()
    sized.get_by_label("Merge into this job the job").fill(other.lower())
    with sized.expect_navigation():
        sized.get_by_role("button", name="Merge", exact=True).click()
    sized.locator("#history .messages > ol > li").nth(1).wait_for()
    sized.goto(f"/jobs/{other}")
    assert sized.url.endswith(home), "the merged job's page leads to the one that it is in"
    with sized.expect_navigation():
        sized.locator("[data-undo] button").click()
    sized.goto(f"/jobs/{other}")
    assert sized.url.endswith(other)
