"""The desk in a real browser: what a designer does in five minutes, at a desk, on a tablet and on a telephone.

Accessibility is checked by axe-core (Deque, MPL-2.0), fetched from the npm registry into .cache; without it those tests
are skipped, and say so.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tarfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from waitress import create_server
from werkzeug.middleware.dispatcher import DispatcherMiddleware
from werkzeug.wrappers import Response

from intake.work.accounts import sign_in_link
from intake.work.job_view import job_view
from tests.web import world
from tests.web.conftest import Place

playwright = pytest.importorskip("playwright.sync_api")
CHROMIUM = os.environ.get("INTAKE_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        not Path(CHROMIUM).exists(), reason="Chromium is not installed (apt-get install chromium)"
    ),
]
QUIET = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
QUIET += ["--disable-component-update", "--disable-sync"]
SIZES = {"desk": (1440, 900), "tablet": (1024, 768), "telephone": (390, 844)}
CACHE = Path(__file__).resolve().parents[2] / ".cache" / "axe"


@pytest.fixture(scope="module")
def served(place: Place) -> Iterator[str]:
    """The desk's address on a port of its own."""
    server = create_server(place.app, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def signed_in(browser: Any, served: str, place: Place) -> Iterator[dict[str, Any]]:
    """A browser's profile of each size in which maya is signed in."""
    contexts = {}
    for name, (width, height) in SIZES.items():
        contexts[name] = browser.new_context(
            base_url=served, viewport={"width": width, "height": height}, reduced_motion="reduce"
        )
        contexts[name].request.get(sign_in_link(place.services.store, "maya", place.services.clock()))
    yield contexts
    for context in contexts.values():
        context.close()


@pytest.fixture(params=["desk", "telephone"])
def sized(request: pytest.FixtureRequest, signed_in: dict[str, Any]) -> Iterator[Any]:
    """A signed-in page of each size; anything that the browser complains of fails the test."""
    yield from _page(signed_in[request.param])


@pytest.fixture
def page(signed_in: dict[str, Any]) -> Iterator[Any]:
    yield from _page(signed_in["desk"])


def _page(context: Any) -> Iterator[Any]:
    page, complaints = context.new_page(), []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda said: complaints.append(said.text) if _is_complaint(said) else None)
    yield page
    page.close()
    assert complaints == []


def _is_complaint(said: Any) -> bool:
    """An error of a script or of the policy; a refused correction is an answer with a status of its own."""
    return said.type == "error" and "status of 409" not in said.text


def test_signing_in_by_name_and_password(browser: Any, served: str) -> None:
    page = browser.new_context(base_url=served).new_page()
    page.goto("/jobs?need=to-check")
    assert "/sign-in" in page.url
    page.get_by_label("Name").fill("jon")
    page.get_by_label("Password").fill(world.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    assert page.url.endswith("/jobs?need=to-check")
    page.get_by_role("button", name="Sign out").click()
    page.goto("/")
    assert "/sign-in" in page.url


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
    playwright.expect(page.locator("#plan img")).not_to_have_attribute("src", old)
    assert page.locator("#drawn .state").inner_text().strip().startswith(f"{doubtful - 1} doubtful")
    assert page.locator("#card .choice b").first.inner_text() != shown, (
        "the next doubtful number comes by itself"
    )
    assert page.locator("#drawn .number.confirmed").count() == 1
    page.keyboard.press("u")
    playwright.expect(page.locator("#drawn .number.doubtful")).to_have_count(doubtful)
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
    playwright.expect(page.locator("#sums .beyond a").first).to_be_focused()
    assert page.locator("#drawn .number.in-sum").count() > 1, "its numbers are marked on the sketch"
    for _ in range(sums):
        page.keyboard.press("ArrowRight")
    assert page.locator("#drawn .number.chosen").get_attribute("data-number") == first
    assert page.locator("#drawn .number.in-sum").count() == 0
    page.keyboard.press("ArrowLeft")
    playwright.expect(page.locator("#sums .beyond a").last).to_be_focused()


def test_the_card_lies_over_no_number_that_it_is_about(sized: Any, place: Place) -> None:
    sized.goto(f"/jobs/{place.job('Ines')}")
    for _ in range(sized.locator("#drawn .number").count()):
        number = sized.locator("#drawn .number.chosen polygon").bounding_box()
        card = sized.locator("#card").bounding_box()
        assert number["y"] + number["height"] <= card["y"] + 1
        sized.keyboard.press("Shift+ArrowRight")


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


def test_a_desk_under_a_path_of_its_own_keeps_within_it(browser: Any, place: Place) -> None:
    """As one of several showrooms (intake/house.py): what the scripts ask for and go to lies under the same path."""
    door = DispatcherMiddleware(Response("nothing here", 404), {"/elm": place.app})
    server = create_server(door, host="127.0.0.1", port=0, threads=4)
    threading.Thread(target=server.run, daemon=True).start()
    context = browser.new_context(base_url=f"http://127.0.0.1:{server.effective_port}")
    link = sign_in_link(place.services.store, "maya", place.services.clock())
    context.request.get(f"/elm{link}")
    page, missed = context.new_page(), []
    page.on("response", lambda answer: missed.append(answer.url) if answer.status >= 400 else None)
    page.goto(f"/elm/jobs/{place.job('Ines')}")
    doubtful = page.locator("#drawn .number.doubtful").count()
    page.keyboard.press("b")
    playwright.expect(page.locator("#drawn .number.confirmed")).to_have_count(1)
    page.keyboard.press("u")
    playwright.expect(page.locator("#drawn .number.doubtful")).to_have_count(doubtful)
    page.keyboard.press("j")
    page.wait_for_url("**/elm/")
    assert missed == []
    context.close()
    server.close()


def test_typing_a_length_and_a_wrong_one(page: Any, place: Place) -> None:
    page.goto(f"/jobs/{place.job('Ines')}")
    page.keyboard.press("1")
    page.keyboard.type("2 ells")
    page.keyboard.press("Enter")
    playwright.expect(page.locator("#card [data-f=refused]")).to_contain_text("no length")
    page.keyboard.press("Escape")
    page.keyboard.press("1")
    page.keyboard.type("23.5")
    page.keyboard.press("Enter")
    page.wait_for_selector("#drawn .number.confirmed")
    assert "123.5" in (page.locator("#drawn .number.confirmed").first.text_content() or "")
    page.keyboard.press("u")
    playwright.expect(page.locator("#drawn .number.confirmed")).to_have_count(0)


def test_adding_a_number_that_was_missed(page: Any, place: Place) -> None:
    page.goto(f"/jobs/{place.job('Ines')}")
    before = page.locator("#drawn .number").count()
    page.keyboard.press("n")
    box = page.locator("#drawn .sketch").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.keyboard.type("199.5")
    page.keyboard.press("Enter")
    playwright.expect(page.locator("#drawn .number")).to_have_count(before + 1)
    added = page.locator("#drawn .number.confirmed").last.bounding_box()
    assert abs(added["x"] + added["width"] / 2 - box["x"] - box["width"] / 2) < 60, "not where it was clicked"
    page.keyboard.press("u")
    playwright.expect(page.locator("#drawn .number")).to_have_count(before)


def test_what_a_number_measures_and_a_height_are_set_on_the_page(sized: Any, place: Place) -> None:
    job = place.job("Ines")
    sized.goto(f"/jobs/{job}")
    doubtful = sized.locator("#drawn .number.doubtful").count()
    old = sized.locator("#plan img").get_attribute("src")
    sized.locator("#card [name=role]").select_option("fixture")
    playwright.expect(sized.locator("#plan img")).not_to_have_attribute("src", old)
    playwright.expect(sized.locator("#card [data-f=by]")).to_contain_text("Placed by maya")
    assert sized.locator("#drawn .number.doubtful").count() == doubtful, (
        "what it says is as doubtful as before"
    )
    sized.locator("#heights [name=ceiling-height]").fill("239.5")
    sized.get_by_role("button", name="Set the heights typed").click()
    assert "239.5 typed" in sized.locator("#heights").inner_text()
    for _ in range(2):
        sized.locator("[data-undo] button").click()
        sized.wait_for_load_state("networkidle")
    assert job_view(place.services, job).last is None


def test_corrections_work_without_a_script(browser: Any, served: str, place: Place) -> None:
    context = browser.new_context(base_url=served, java_script_enabled=False)
    page = context.new_page()
    page.goto(sign_in_link(place.services.store, "maya", place.services.clock()))
    page.goto(f"/jobs/{place.job('Ines')}")
    page.locator("#card [name=text]").fill("123.5")
    page.locator("#card [name=text]").press("Enter")
    assert page.locator("#drawn .number.confirmed").count() == 1
    page.locator("[data-undo] button").click()
    assert page.locator("#drawn .number.confirmed").count() == 0
    context.close()


def test_releasing_a_letter_and_holding_it_back(sized: Any, place: Place) -> None:
    sized.goto(f"/jobs/{place.job('Tomas')}#letter")
    frame = sized.frame_locator("#letter iframe")
    assert "Hello Tomas" in frame.locator("body").inner_text()
    sized.get_by_role("button", name="Release the letter").click()
    assert "released" in sized.locator("#letter header .tag").inner_text()
    sized.get_by_role("button", name="Hold it back").click()
    assert "waits for release" in sized.locator("#letter header .tag").inner_text()


def test_merging_two_jobs_and_undoing_it(sized: Any, place: Place) -> None:
    home, other = place.job("Oscar"), place.job("Wren")
    sized.goto(f"/jobs/{home}")
    sized.get_by_text("Merge, or move a message").click()
    sized.get_by_label("Merge into this job the job").fill(other.lower())
    sized.get_by_role("button", name="Merge", exact=True).click()
    sized.locator("#history .messages > ol > li").nth(1).wait_for()
    sized.goto(f"/jobs/{other}")
    assert sized.url.endswith(home), "the merged job's page leads to the one that it is in"
    sized.locator("[data-undo] button").click()
    sized.goto(f"/jobs/{other}")
    assert sized.url.endswith(other)


def test_the_lists_by_keyboard(page: Any, place: Place) -> None:
    page.goto("/")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    second = page.locator("[data-row]").nth(1).get_attribute("href")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{second}")
    page.keyboard.press("j")
    page.wait_for_selector("h1:has-text('need')")
    page.keyboard.press("/")
    page.keyboard.type("fenwick")
    page.keyboard.press("Enter")
    page.wait_for_url("**/jobs?find=fenwick")
    assert page.locator("[data-row]").count() == 1
    page.keyboard.press("?")
    assert page.get_by_role("dialog").is_visible()


PAGES = (
    "/",
    "/jobs",
    "/jobs?find=nobody",
    "/set-aside",
    "/people",
    "/audit",
    "/me",
    "JOB Ines",
    "JOB Oscar",
    "/jobs/R-NO",
)


def _path(place: Place, path: str) -> str:
    return f"/jobs/{place.job(path.removeprefix('JOB '))}" if path.startswith("JOB") else path


def test_nothing_is_cut_off_at_the_side(page: Any, place: Place) -> None:
    for path in (p for p in PAGES if p != "/jobs/R-NO"):
        page.goto(_path(place, path))
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            wide = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
            assert wide[0] <= wide[1], (path, size)


@pytest.fixture(scope="session")
def axe() -> str:
    """The source of axe-core, from the cache or the registry."""
    found = CACHE / "axe.min.js"
    if not found.exists():
        try:
            CACHE.mkdir(parents=True, exist_ok=True)
            subprocess.run(["npm", "pack", "axe-core@4", "--silent"], cwd=CACHE, check=True, timeout=120)
            with tarfile.open(next(CACHE.glob("axe-core-*.tgz"))) as package:
                content = package.extractfile("package/axe.min.js")
                assert content is not None
                found.write_bytes(content.read())
        except (OSError, subprocess.SubprocessError, StopIteration) as error:
            pytest.skip(f"axe-core could not be fetched: {error}")
    return found.read_text(encoding="utf-8")


def test_axe_finds_nothing_serious(sized: Any, place: Place, axe: str) -> None:
    for path in ("/", "/jobs", "/set-aside", "/people", "JOB Ines"):
        sized.goto(_path(place, path))
        sized.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        sized.evaluate(axe)
        found = sized.evaluate("axe.run(document, {resultTypes: ['violations'], iframes: false})")
        serious = [
            (v["id"], v["nodes"][0]["html"][:160], v["nodes"][0]["failureSummary"][:300])
            for v in found["violations"]
            if v["impact"] in ("serious", "critical")
        ]
        assert serious == [], path


def test_a_page_weighs_less_than_200_kilobytes(page: Any, place: Place) -> None:
    """The page with its style and script; the customer's pictures are what they are."""
    for path in ("/", "JOB Ines"):
        weights: dict[str, int] = {}
        page.on("response", lambda r, w=weights: w.update({r.url: len(r.body())}) if r.ok else None)
        page.goto(_path(place, path), wait_until="networkidle")
        own = {u: n for u, n in weights.items() if "/pictures/" not in u and "/letters/" not in u}
        assert own and sum(own.values()) < 200_000, own


def test_a_room_is_corrected_by_the_pointer(sized: Any, place: Place) -> None:
    job = place.job("Ada")
    sized.goto(f"/jobs/{job}/room")
    sized.locator(".piece.door .reach").first.click()
    sized.get_by_role("button", name="Hinges on the right, opens away from the room").click()
    assert "Changed" in sized.locator(".told").inner_text()
    assert sized.locator(".swings [aria-pressed=true]").count() == 1
    sized.locator(".piece.wall .reach").first.click(position={"x": 4, "y": 4})
    sized.wait_for_url("**from=*")
    assert sized.locator("[name=from-left]").first.input_value().isdecimal()
    decided = job_view(place.services, job).last
    assert decided is not None
    sized.goto(f"/jobs/{job}")
    sized.locator("[data-undo] button").click()
    sized.wait_for_load_state("networkidle")
    assert job_view(place.services, job).last is None


def test_a_fixed_thing_is_dragged_to_another_wall(page: Any, place: Place) -> None:
    job = place.job("Ada")
    page.goto(f"/jobs/{job}/room")
    form = page.locator("form").filter(has=page.locator("[name=do][value=add-fixed]"))
    form.locator("[name=name]").fill("radiator")
    form.locator("[name=wall]").select_option("B")
    form.get_by_role("button").click()
    page.wait_for_url("**at=F*")
    taken = page.locator(".thing.chosen rect").bounding_box()
    wall = page.locator(".piece[data-wall='3'] .reach").first.bounding_box()
    page.mouse.move(taken["x"] + taken["width"] / 2, taken["y"] + taken["height"] / 2)
    page.mouse.down()
    page.mouse.move(wall["x"] + wall["width"] / 2 + 8, wall["y"] + wall["height"] / 2, steps=6)
    page.mouse.up()
    playwright.expect(page.locator(".told")).to_contain_text("Changed")
    survey = job_view(place.services, job).room.survey  # type: ignore[union-attr]
    (thing,) = [f for f in survey.fixed if f.name == "radiator"]
    assert thing.wall == 3 and thing.from_left is not None and not thing.from_left.accepted
    for _ in range(2):
        page.goto(f"/jobs/{job}")
        page.locator("[data-undo] button").click()
        page.wait_for_load_state("networkidle")
