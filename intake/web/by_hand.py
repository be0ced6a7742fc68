"""What a designer brings in: a job for somebody who did not write, pictures that came another way, who the customer
is."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.model.checklist import RoomKind
from intake.web import guard
from intake.web.pages import NewJobPage
from intake.web.place import desk
from intake.work import assign
from intake.work import by_hand as work
from intake.work.by_hand import Customer, File, NotTakenIn

pages = Blueprint("by_hand", __name__)


@pages.route("/new-job", methods=["GET", "POST"])
def new_job() -> str | Response | tuple[str, int]:
    """Open a job by hand, with what the customer told and brought."""
    if request.method == "GET":
        return render_template("new_job.html", page=NewJobPage(Customer(), RoomKind.UNKNOWN.value))
    who, room, words = _customer(), request.form.get("room", ""), request.form.get("words", "")
    try:
        job = work.open_job(desk().services, who, room, words, _files(), guard.me().name)
    except NotTakenIn as refused:
        page = NewJobPage(who, room, words[: work.LONGEST_WORDS], refused.line())
        return render_template("new_job.html", page=page), 409
    return redirect(url_for("jobs.one", job_id=job))


@pages.post("/jobs/<job_id>/pictures")
def add_pictures(job_id: str) -> Response:
    files = _files()
    work.add_pictures(desk().services, job_id, files, request.form.get("words", ""), guard.me().name)
    flash("It is with the job now. The history can undo it.")
    return redirect(url_for("jobs.one", job_id=job_id, _anchor="pictures" if files else "history"))


@pages.post("/jobs/<job_id>/customer")
def customer(job_id: str) -> Response:
    work.set_customer(desk().services, job_id, _customer(), guard.me().name)
    return redirect(url_for("jobs.one", job_id=job_id))


@pages.post("/jobs/<job_id>/designer")
def designer(job_id: str) -> Response:
    """Assign the job, to oneself or another."""
    assign.assign(desk().services, job_id, request.form.get("designer", ""), guard.me().name)
    return redirect(url_for("jobs.one", job_id=job_id))


@pages.post("/jobs/<job_id>/archive")
def archive(job_id: str) -> Response:
    assign.archive(desk().services, job_id, guard.me().name)
    flash("The job is archived. It comes back when the customer writes, or here.")
    return redirect(url_for("jobs.one", job_id=job_id))


@pages.post("/jobs/<job_id>/bring-back")
def bring_back(job_id: str) -> Response:
    assign.bring_back(desk().services, job_id, guard.me().name)
    flash("The job is back.")
    return redirect(url_for("jobs.one", job_id=job_id))


def _customer() -> Customer:
    form = request.form
    return Customer(form.get("name", ""), form.get("email", ""), form.get("phone", ""))


def _files() -> list[File]:
    """The files chosen; a browser sends an empty one where none was. One too many is enough to be refused."""
    given = [f for f in request.files.getlist("files") if f.filename][: work.MOST_FILES + 1]
    return [File(f.filename or "", f.read()) for f in given]
