"""Blind looks: a number of another job, its ink without its reading."""

from __future__ import annotations

from flask import Blueprint, flash, jsonify, redirect, request, url_for
from werkzeug.wrappers import Response

from intake.model.errors import IntakeError
from intake.web import guard
from intake.web.place import desk
from intake.work import blind

pages = Blueprint("blind", __name__)


@pages.get("/looks/<int:check>.png")
def ink(check: int) -> tuple[bytes, dict[str, str]]:
    """The ink alone; where it is from is not told."""
    return blind.ink(desk().services, check), {"Content-Type": "image/png"}


@pages.post("/jobs/<job_id>/looks/<int:check>")
def look(job_id: str, check: int) -> Response:
    """What a designer saw: a length, typed or one of those offered, or that they cannot tell; or take it back."""
    action, scripted = request.form.get("action"), bool(request.headers.get("X-Desk-Token"))
    told = "" if action == "untold" else request.form.get("offered") or request.form.get("told", "").strip()
    if not told and action not in ("untold", "back"):
        return redirect(url_for("jobs.one", job_id=job_id))
    try:
        said = _taken_back(job_id, check) if action == "back" else _looked(job_id, check, told)
    except IntakeError as refused:
        if not scripted:
            raise
        return jsonify(refused=refused.line())
    if scripted:
        return jsonify(said=said)
    flash(said)
    return redirect(url_for("jobs.one", job_id=job_id))


def _looked(job_id: str, check: int, told: str) -> str:
    misread = blind.look(desk().services, job_id, check, told, guard.me().name)
    said = f"You said {told}. Thank you." if told else "You said that you cannot tell. Thank you."
    return f"{said} A number of {misread} was misread; that job says so." if misread else said


def _taken_back(job_id: str, check: int) -> str:
    blind.take_back(desk().services, job_id, check, guard.me().name)
    return "Taken back."
