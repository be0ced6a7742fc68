"""A designer's word on numbers, pictures, items and the room.

Forms work without a script and lead back to the page; the script asks for the parts of the page that changed.
"""

from __future__ import annotations

from flask import Blueprint, abort, flash, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.model.errors import IntakeError
from intake.web import guard
from intake.web.jobs import job_page
from intake.web.place import desk, small_number
from intake.work import decide
from intake.work.job_view import job_view

pages = Blueprint("survey", __name__, url_prefix="/jobs/<job_id>")
PARTS = ("head", "needs", "drawn", "plan", "sums", "heights", "checklist", "letter", "history")
"""The parts of a job's page that a decision may change; each is a template and an element's id."""


@pages.post("/numbers")
def number(job_id: str) -> Response:
    """Correct, confirm or drop one number."""
    form, services, me = request.form, desk().services, guard.me().name
    picture, index = form.get("picture", ""), form.get("number", type=small_number, default=-1)
    chosen = form.get("choice", "")
    action = "correct" if chosen else form.get("action", "")
    try:
        if action == "confirm":
            decide.confirm(services, job_id, picture, index, me)
        elif action == "drop":
            decide.drop(services, job_id, picture, index, me)
        elif action == "role":
            wall = form.get("wall", type=small_number)
            decide.replace_role(services, job_id, picture, index, form.get("role", ""), wall, me)
        elif action == "measures":
            wall, text = form.get("wall", type=small_number), form.get("text", "")
            decide.correct(services, job_id, picture, index, text, me, form.get("role", ""), wall)
        elif action == "correct":
            decide.correct(services, job_id, picture, index, chosen or form.get("text", ""), me)
        else:
            abort(400)
    except IntakeError as error:
        return _refused(error)
    return _answer(job_id, picture, index)


@pages.post("/added")
def added(job_id: str) -> Response:
    """Add a number that was not read."""
    form = request.form
    picture = form.get("picture", "")
    at = (form.get("x", type=float, default=0.0), form.get("y", type=float, default=0.0))
    wall = form.get("wall", type=small_number)
    text, role = form.get("text", ""), form.get("role", "")
    try:
        decide.add_number(desk().services, job_id, picture, text, at, role, wall, guard.me().name)
    except IntakeError as error:
        return _refused(error)
    return _answer(job_id, picture)


@pages.post("/heights")
def heights(job_id: str) -> Response:
    """Put the heights that were typed on their openings."""
    form = request.form
    typed = {name: text for name, text in form.items() if name not in ("token", "picture")}
    decide.type_heights(desk().services, job_id, form.get("picture", ""), typed, guard.me().name)
    return _answer(job_id, part="heights")


@pages.post("/needs")
def needs(job_id: str) -> Response:
    """Deal with what waits for a person: take a fact from the words, or say that they were read."""
    form, services, me = request.form, desk().services, guard.me().name
    key = form.get("need", "")
    if form.get("action") == "take":
        value = form.get("value", type=int)
        decide.take(services, job_id, key, form.get("item", ""), form.get("kind", ""), value, me)
    else:
        decide.see(services, job_id, key, form.get("note", ""), me)
    return _answer(job_id, part="needs")


@pages.post("/notes")
def note(job_id: str) -> Response:
    decide.note(desk().services, job_id, request.form.get("text", ""), guard.me().name)
    return _answer(job_id, part="needs")


@pages.post("/undo")
def undo(job_id: str) -> Response:
    try:
        decide.undo(
            desk().services,
            job_id,
            request.form.get("decision", type=small_number, default=-1),
            guard.me().name,
        )
    except IntakeError as error:
        return _refused(error)
    if not _wants_parts():
        flash("Undone.")
    picture, index = request.form.get("picture", ""), request.form.get("number", type=small_number)
    return _answer(job_id, picture, index)


@pages.post("/items/<item>")
def item(job_id: str, item: str) -> Response:
    form = request.form
    decide.set_item(
        desk().services, job_id, item, form.get("state", ""), form.get("note", ""), guard.me().name
    )
    return _answer(job_id, part="checklist")


@pages.post("/pictures/<picture>")
def subject(job_id: str, picture: str) -> Response:
    decide.set_subject(desk().services, job_id, picture, request.form.get("subject", ""), guard.me().name)
    return _answer(job_id, part="pictures")


@pages.post("/room")
def room(job_id: str) -> Response:
    decide.set_room(desk().services, job_id, request.form.get("room", ""), guard.me().name)
    return _answer(job_id)


@pages.post("/typed")
def typed(job_id: str) -> Response:
    """Let the plan rest on the room as the designer typed it."""
    text = request.form.get("text", "")
    room = desk().draughtsman.parse(text)
    decide.type_room(desk().services, job_id, text, room, guard.me().name)
    flash("The plan rests on the room as you typed it. The history can undo it.")
    return _answer(job_id)


@pages.post("/stop")
def stop(job_id: str) -> Response:
    decide.stop(desk().services, job_id, request.form.get("reason", ""), guard.me().name)
    return _answer(job_id, part="letter")


def _wants_parts() -> bool:
    return bool(request.headers.get("X-Desk-Token"))


def _answer(job_id: str, picture: str = "", number: int | None = None, part: str = "survey") -> Response:
    """The parts of the page that changed, for the script; else the page itself."""
    if not _wants_parts():
        selected = {"sketch": picture, "number": number} if picture else {}
        return redirect(url_for("jobs.one", job_id=job_id, **selected, _anchor=part))  # type: ignore[arg-type]
    page = job_page(job_view(desk().services, job_id), picture, number)
    parts = {name: render_template(f"parts/{name}.html", page=page) for name in PARTS}
    return jsonify(
        parts=parts, numbers=page.numbers_json, doubtful=page.overlay.sketch.doubtful if page.overlay else 0
    )


def _refused(error: IntakeError) -> Response:
    if not _wants_parts():
        raise error
    answer = jsonify(refused=error.line())
    answer.status_code = 409
    return answer
