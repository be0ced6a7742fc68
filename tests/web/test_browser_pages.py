"""The desk's pages in a real browser: lists, the room to point at, what fits a desk, a tablet and a telephone.

Accessibility is checked by axe-core (Deque, MPL-2.0), fetched from the npm registry into .cache; without it those tests
are skipped, and say so.
"""

from __future__ import annotations

import subprocess
import tarfile
from pathlib import Path
from typing import Any

import pytest
from werkzeug.middleware.dispatcher import DispatcherMiddleware
from werkzeug.wrappers import Response

from intake.work.accounts import sign_in_link
from intake.work.job_view import job_view
from tests.web import world
from tests.web.conftest import IN_A_BROWSER, SIZES, Place, expect
from tests.web.test_needs import writes

pytestmark = IN_A_BROWSER
CACHE = Path(__file__).resolve().parents[2] / ".cache" / "axe"


def test_signing_in_by_name_and_password(browser: Any, served: str) -> None:
    page = browser.new_context(base_url=served).new_page()
    page.goto("/jobs?need=to-check")
    assert "/sign-in" in page.url
    page.get_by_label("Name").fill("jon")
    page.get_by_label("Password").fill(world.PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()
    assert page.url.endswith("/jobs?need=to-check")
    with page.expect_navigation():
        page.get_by_role("button", name="Sign out").click()
    page.goto("/")
    assert "/sign-in" in page.url


def test_a_desk_under_a_path_of_its_own_keeps_within_it(browser: Any, place: Place) -> None:
    """As one of several showrooms (intake/house.py): what the scripts ask for and go to lies under the same path."""
    door = DispatcherMiddleware(Response("nothing here", 404), {"/elm": place.app})
    with world.listening(door) as address:
        context = browser.new_context(base_url=address)
        link = sign_in_link(place.services.store, "maya", place.services.clock())
        context.request.get(f"/elm{link}")
        page, missed = context.new_page(), []
        page.on("response", lambda answer: missed.append(answer.url) if answer.status >= 400 else None)
        page.goto(f"/elm/jobs/{place.job('Ines')}")
        doubtful = page.locator("#drawn .number.doubtful").count()
        page.keyboard.press("b")
        expect(page.locator("#drawn .number.confirmed")).to_have_count(1)
        page.keyboard.press("u")
        expect(page.locator("#drawn .number.doubtful")).to_have_count(doubtful)
        page.keyboard.press("j")
        page.wait_for_url("**/elm/")
        assert missed == []
        context.close()


def test_the_lists_by_keyboard(page: Any, place: Place) -> None:
    page.goto("/")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    second = page.locator("[data-row]").nth(1).get_attribute("href")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{second}")
    with page.expect_navigation():
        page.keyboard.press("j")
    assert "need" in page.locator("h1").inner_text()
    page.keyboard.press("/")
    page.keyboard.type("fenwick")
    page.keyboard.press("Enter")
    page.wait_for_url("**/jobs?find=fenwick")
    assert page.locator("[data-row]").count() == 1
    page.keyboard.press("?")
    assert page.get_by_role("dialog").is_visible()


def test_each_words_that_wait_have_their_keys(page: Any, place: Place, tmp_path: Path) -> None:
    """`r` acts on the first, after `v` on those gone to."""
    job = writes(
        place, tmp_path, "Tess", "The frobnicated ledge is 236 wotsits. Could you phone me on 01632 960222?"
    )
    first, second, *others = (n.need.key for n in job_view(place.services, job).needs)
    page.goto(f"/jobs/{job}")
    page.keyboard.press("v")
    page.keyboard.press("v")
    assert page.locator(".need:focus [name=need]").last.input_value() == second
    assert page.locator(".need:focus kbd").last.is_visible()
    with page.expect_navigation():
        page.keyboard.press("r")
    assert [n.need.key for n in job_view(place.services, job).needs] == [first, *others]
    with page.expect_navigation():
        page.keyboard.press("r")
    assert [n.need.key for n in job_view(place.services, job).needs] == others


def test_a_plan_without_numbers_stands_in_sight(page: Any, place: Place) -> None:
    """The sketch fills the screen that is left under the head, however little was read."""
    for name in ("Ines", "Oscar"):
        page.goto(f"/jobs/{place.job(name)}")
        page.evaluate("document.querySelector('#card')?.setAttribute('hidden', '')")
        page.evaluate("dispatchEvent(new Event('resize'))")
        if page.locator("#drawn .sketch").count():
            assert page.locator("#drawn .sketch").bounding_box()["height"] <= SIZES["desk"][1]


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
    "ROOM Ada",
    "/new-job",
    "/showroom",
    "/figures",
    "/jobs/R-NO",
)


def _path(place: Place, path: str) -> str:
    if path.startswith("ROOM"):
        return f"/jobs/{place.job(path.removeprefix('ROOM '))}/room"
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
    with sized.expect_navigation():
        sized.get_by_role("button", name="Hinges on the right, opens away from the room").click()
    assert "Changed" in sized.locator(".told").inner_text()
    assert sized.locator(".swings [aria-pressed=true]").count() == 1
    sized.locator(".piece.wall .reach").first.click(position={"x": 4, "y": 4})
    sized.wait_for_url("**from=*")
    assert sized.locator("[name=from-left]").first.input_value().isdecimal()
    decided = job_view(place.services, job).last
    assert decided is not None
    sized.goto(f"/jobs/{job}")
    with sized.expect_navigation():
        sized.locator("[data-undo] button").click()
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
    with page.expect_navigation():
        page.mouse.up()
    expect(page.locator(".told")).to_contain_text("Changed")
    survey = job_view(place.services, job).room.survey  # type: ignore[union-attr]
    (thing,) = [f for f in survey.fixed if f.name == "radiator"]
    assert thing.wall == 3 and thing.from_left is not None and not thing.from_left.accepted
    for _ in range(2):
        page.goto(f"/jobs/{job}")
        with page.expect_navigation():
            page.locator("[data-undo] button").click()
