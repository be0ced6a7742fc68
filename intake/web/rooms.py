"""A job's room corrected by pointer and by form: each change is one decision."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.web import guard
from intake.web.pages import RoomPage
from intake.web.place import desk
from intake.web.room_plan import room_plan
from intake.work import edit_room
from intake.work.edit_room import CannotEdit

pages = Blueprint("rooms", __name__, url_prefix="/jobs/<job_id>/room")


@pages.get("")
def shown(job_id: str) -> str:
    """The plan to point at, and the form of what is chosen on it."""
    return _page(job_id, request.args.get("at", ""))


@pages.post("")
def change(job_id: str) -> Response | tuple[str, int]:
    form = request.form
    parse, me = desk().draughtsman.parse, guard.me().name
    try:
        then = edit_room.change(
            desk().services, parse, job_id, form.get("stamp", ""), form.get("do", ""), form, me
        )
    except CannotEdit as refused:
        return _page(job_id, form.get("at", ""), refused.line()), 409
    flash("Changed. The history of the job can undo it.")
    return redirect(url_for("rooms.shown", job_id=job_id, at=then or None))


def _page(job_id: str, at: str, refused: str = "") -> str:
    room = edit_room.editing(desk().services, desk().draughtsman.parse, job_id, at)
    plan = room_plan(room.examined) if room.examined and room.examined.placed.walls else None
    return render_template("room.html", page=RoomPage(room, plan, refused, request.args.get("from", "")[:12]))
