"""One desk for each file of tests, a copy of one that is filled once."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from intake.work.accounts import sign_in_link
from intake.work.job_view import JobView, job_view
from intake.work.services import Services
from tests.web import world

PROGRAMS = ("chromium-headless-shell", "chromium")
"""The first takes half the time: it has no windows."""
CHROMIUM = os.environ.get("INTAKE_CHROMIUM") or next(filter(None, map(shutil.which, PROGRAMS)), "chromium")
QUIET = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
QUIET += ["--disable-component-update", "--disable-sync"]
SIZES = {"desk": (1440, 900), "tablet": (1024, 768), "telephone": (390, 844)}
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(
        not Path(CHROMIUM).exists(), reason=f"Chromium is not installed (apt-get install {PROGRAMS[0]})"
    ),
]
"""The marks of tests that need one."""


@dataclass(frozen=True)
class Place:
    """The desk under test. `job` finds the job of an invented person by the first name."""

    app: Flask
    services: Services

    def job(self, first_name: str) -> str:
        with self.services.store.reading() as tables:
            return next(j.id for j in tables.jobs.all() if j.customer.name.startswith(first_name))

    def view(self, job: str) -> JobView:
        return job_view(self.services, job)

    def client(self, name: str = "maya") -> FlaskClient:
        """A browser in which `name` is signed in."""
        client = self.app.test_client()
        client.get(sign_in_link(self.services.store, name, self.services.clock()))
        return client

    def post(self, client: FlaskClient, path: str, **form: object) -> TestResponse:
        """Post a form with the token that the pages carry, and follow to the page it leads to."""
        with client.session_transaction() as session:
            token = session.setdefault("token", "token-of-a-page")
        return client.post(path, data={"token": token, **form}, follow_redirects=True)


@pytest.fixture(scope="session")
def desks(tmp_path_factory: pytest.TempPathFactory) -> world.Desks:
    return world.Desks(tmp_path_factory.mktemp)


@pytest.fixture(scope="module")
def place(desks: world.Desks) -> Iterator[Place]:
    """A desk for each file of tests alone: what one file does to a job, another must not find."""
    with desks.copy() as opened:
        yield Place(*opened)


@pytest.fixture(scope="module")
def served(place: Place) -> Iterator[str]:
    """The desk's address on a port of its own."""
    with world.listening(place.app) as address:
        yield address


def expect(locator: Any) -> Any:
    """What a page must come to show; its library takes a second to import, and is needed with a browser alone."""
    from playwright.sync_api import expect as expected

    return expected(locator)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    playwright = pytest.importorskip("playwright.sync_api")
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
