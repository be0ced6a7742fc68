"""Who is asking: sessions, the token that every change must carry, and roles."""

from __future__ import annotations

import hmac
import re
import secrets
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from flask import Flask, abort, g, redirect, request, session, url_for
from werkzeug.wrappers import Response

from intake.web.place import desk
from intake.work import accounts
from intake.work.accounts import Account
from intake.work.by_hand import LARGEST_IN_ALL

_View = TypeVar("_View", bound=Callable[..., Any])
OPEN = frozenset({"static", "people.sign_in", "people.enter"}) | {
    "watching.alive",
    "watching.health",
    "watching.for_prometheus",
}
"""Endpoints that answer without a session."""
UPLOADS = frozenset({"by_hand.new_job", "by_hand.add_pictures", "showroom.change"})
"""Endpoints that take pictures, from the signed-in alone."""

_OURS = re.compile(r"/(?![/\\])(?!.*(?:\.|%2[eE]){2})[^\\\x00-\x20\x7f]*")
"""A path that climbs nowhere, and no host: browsers drop blanks and control characters, and take \\ for / and %2e for a
dot (WHATWG URL, basic URL parser)."""


def register(app: Flask) -> None:
    app.before_request(_check)
    app.context_processor(_of_every_page)


def _of_every_page() -> dict[str, Any]:
    place = desk()
    known = {"account": g.get("account"), "place": place.settings}
    return {"token": token, "house": place.services.letterhead(), **known}


def _check() -> Response | None:
    g.account = None
    if request.endpoint == "static":
        return None
    held = session.get("key")
    if held:
        g.account = accounts.whose(desk().services.store, held, desk().services.clock())
    if g.account is not None and request.endpoint in UPLOADS:
        request.max_content_length = LARGEST_IN_ALL + (1 << 20)
    if g.account is None and request.endpoint not in OPEN:
        return _to_sign_in()
    if request.method not in ("GET", "HEAD"):
        _check_token()
    return None


def _to_sign_in() -> Response:
    """Somebody is signed out, or their session has ended over a form: nothing of it is read; they come back to where
    they were."""
    if request.headers.get("X-Desk-Token"):
        abort(401, "You are signed out. Load the page again.")
    job = (request.view_args or {}).get("job_id")
    back = request.script_root + request.full_path.rstrip("?") if request.method == "GET" else None
    return redirect(
        url_for("people.sign_in", back=back or (url_for("jobs.one", job_id=job) if job else None))
    )


def token() -> str:
    """The token that this browser's forms carry, so that no other site can post in its name."""
    if "token" not in session:
        session["token"] = secrets.token_urlsafe(24)
    return str(session["token"])


def _check_token() -> None:
    given = request.headers.get("X-Desk-Token") or request.form.get("token", "")
    if not hmac.compare_digest(given.encode(), token().encode()):
        abort(403, "This form is out of date. Go back, load the page again and repeat it.")


def start(signed_in: accounts.SignedIn) -> None:
    """Let this browser hold the session, with a new token (nothing from before signing in lives on)."""
    session.clear()
    session.permanent = True
    session["key"] = signed_in.token


def me() -> Account:
    """The account that asks; every endpoint that is not OPEN has one."""
    account: Account = g.account
    return account


def owners_only(view: _View) -> _View:
    """Refuse a designer."""

    @wraps(view)
    def guarded(*args: Any, **kwargs: Any) -> Any:
        if not me().is_owner:
            abort(403, "Only an owner may do that.")
        return view(*args, **kwargs)

    return guarded  # type: ignore[return-value]


def address() -> str:
    """The network address that asks (through the proxy's header where one is set up)."""
    return request.remote_addr or ""


def safe_back(path: str | None) -> str:
    """A path of this desk to go back to; never another site, nor another showroom."""
    ours = path and _OURS.fullmatch(path) and path.startswith(f"{request.script_root}/")
    return str(path) if ours else url_for("jobs.front")
