"""One desk for the whole folder of tests; each test changes a job of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from intake.work.accounts import sign_in_link
from intake.work.services import Services
from tests.web import world


@dataclass(frozen=True)
class Place:
    """The desk under test. `job` finds the job of an invented person by the first name."""

    app: Flask
    services: Services

    def job(self, first_name: str) -> str:
        with self.services.store.reading() as tables:
            return next(j.id for j in tables.jobs.all() if j.customer.name.startswith(first_name))

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
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    with world.desk(tmp_path_factory.mktemp("desk")) as (app, services):
        app.testing = True
        yield Place(app, services)
