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
    """What a designer saw: a length, or that they cannot tell."""
    told = "" if request.form.get("action") == "untold" else request.form.get("told", "").strip()
    if not told and request.form.get("action") != "untold":
        return redirect(url_for("jobs.one", job_id=job_id))
    scripted = bool(request.headers.get("X-Desk-Token"))
    try:
        misread = blind.look(desk().services, job_id, check, told, guard.me().name)
    except IntakeError as refused:
        if not scripted:
            raise
        return jsonify(refused=refused.line())
    if scripted:
        return jsonify(misread=misread)
    flash("Thank you." if not misread else f"Thank you. A number of {misread} was misread; that job says so.")
    return redirect(url_for("jobs.one", job_id=job_id))
