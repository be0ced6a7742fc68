"""The desk as a Flask application: settings, security headers, and the pages."""

from __future__ import annotations

from datetime import timedelta
from http import HTTPStatus

from flask import Flask, Response, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.routing import IntegerConverter, Map

from intake.model.errors import IntakeError, NotFound
from intake.model.phrase import Phrase
from intake.web import filters
from intake.web.place import LARGEST, Desk, DeskSettings
from intake.wording.desk import worded
from intake.work.handover import Draughtsman
from intake.work.health import Watchman
from intake.work.metrics import Meter
from intake.work.services import Services

LARGEST_FORM = 1 << 20
"""Bytes of a posted form; where pictures are uploaded, the guard allows the signed-in more."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}
"""Set on every answer that does not set its own."""


def create_app(services: Services, draughtsman: Draughtsman, settings: DeskSettings) -> Flask:
    """The desk over one set of services. Serve it on loopback, with TLS by the proxy in deploy/."""
    app = Flask("intake.web")
    watchman, meter = Watchman(services, settings.watched), Meter(services)
    app.extensions["desk"] = Desk(services, draughtsman, settings, watchman, meter)
    _configure(app, settings)
    filters.register(app)
    _add_pages(app)
    app.after_request(_with_headers)
    app.register_error_handler(NotFound, _not_found)
    app.register_error_handler(IntakeError, _not_possible)
    app.register_error_handler(HTTPException, _http_error)
    return app


def _configure(app: Flask, settings: DeskSettings) -> None:
    app.config.update(
        SECRET_KEY=settings.session_key,
        SESSION_COOKIE_NAME="desk" + settings.under.replace("/", "-"),
        SESSION_COOKIE_PATH=settings.under or "/",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=settings.behind_proxy,
        PERMANENT_SESSION_LIFETIME=timedelta(hours=12),
        MAX_CONTENT_LENGTH=LARGEST_FORM,
        MAX_FORM_PARTS=1000,
    )
    app.url_map.converters["int"] = _Number
    app.jinja_env.finalize = lambda value: worded(value) if isinstance(value, Phrase) else value
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True


def _add_pages(app: Flask) -> None:
    from intake.web import (
        blind,
        by_hand,
        figures,
        guard,
        handing,
        jobs,
        letters,
        people,
        pictures,
        refiling,
        rooms,
        showroom,
        survey,
        watching,
    )

    guard.register(app)
    places = (
        jobs,
        blind,
        by_hand,
        rooms,
        showroom,
        survey,
        letters,
        refiling,
        people,
        pictures,
        handing,
        figures,
    )
    for place in (*places, watching):
        app.register_blueprint(place.pages)
    app.register_blueprint(letters.desk_letters)


class _Number(IntegerConverter):
    """A number in an address that a column can hold; any other leads nowhere."""

    def __init__(self, map: Map, max: int = LARGEST) -> None:
        super().__init__(map, max=max)


def _with_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.is_secure:
        response.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
    return response


def _not_found(error: NotFound) -> tuple[str, int]:
    # A page speaks of pages: what to type on the console helps nobody here.
    line = f"{error}." if "`" in error.do else error.line()
    return render_template("fault.html", title="Not found", line=line), 404


def _not_possible(error: IntakeError) -> tuple[str, int]:
    return render_template("fault.html", title="That did not work", line=error.line()), 409


def _http_error(error: HTTPException) -> tuple[str, int] | HTTPException:
    if error.code is None or error.code < HTTPStatus.BAD_REQUEST:
        return error
    return render_template("fault.html", title=error.name, line=error.description or ""), error.code
