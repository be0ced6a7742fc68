"""For those who watch: whether it lives, what is wrong, and what can be counted."""

from __future__ import annotations

import hmac
from ipaddress import ip_address

from flask import Blueprint, abort, g, request

from intake.web import guard
from intake.web.place import desk
from intake.work.metrics import TYPE, metrics

pages = Blueprint("watching", __name__)
PLAIN = {"Content-Type": "text/plain; charset=utf-8"}


@pages.get("/alive")
def alive() -> tuple[str, dict[str, str]]:
    """For a supervisor that would start it anew: it answers, whatever else is wrong."""
    return "ok\n", PLAIN


@pages.get("/health")
def health() -> tuple[str, int, dict[str, str]]:
    """For a monitor: 200 and `ok`, or 503 and a word for each thing that is wrong. The sentences are for the
    signed-in."""
    wrong = desk().watchman.wrong()
    if not wrong:
        return "ok\n", 200, PLAIN
    lines = (f"{t.what}: {t.line}" if g.account else t.what for t in wrong)
    return "".join(f"{line}\n" for line in lines), 503, PLAIN


@pages.get("/metrics")
def for_prometheus() -> tuple[str, dict[str, str]]:
    """For this machine itself, or with the token of the settings."""
    if not (_knows_token() or _from_here()):
        abort(403, "Ask from this machine, or with the metrics token.")
    place = desk()
    found = metrics(place.services, place.watchman.wrong(), place.settings.times, place.meter.found())
    return found, {"Content-Type": TYPE}


def _from_here() -> bool:
    try:
        return ip_address(guard.address()).is_loopback
    except ValueError:
        return False


def _knows_token() -> bool:
    token = desk().settings.metrics_token
    given = request.headers.get("Authorization", "")
    return bool(token) and hmac.compare_digest(given.encode(), f"Bearer {token}".encode())
