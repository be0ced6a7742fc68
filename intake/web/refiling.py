"""Merge, split, move and keep apart; and the messages that are in no job."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.web import guard
from intake.web.pages import SetAsidePage
from intake.web.place import desk
from intake.work import refile
from intake.work.desk import set_aside

pages = Blueprint("refiling", __name__)


@pages.get("/set-aside")
def aside() -> str:
    return render_template("set_aside.html", page=SetAsidePage(set_aside(desk().services.store)))


@pages.post("/set-aside/<sha256>/again")
def again(sha256: str) -> Response:
    taken = refile.read_again(desk().services, sha256, guard.me().name)
    why = taken.set_aside.why if taken.set_aside else ""
    flash(f"It still cannot be read: {why}" if why else "It could be read now.")
    return redirect(url_for("refiling.aside"))


@pages.post("/jobs/<job_id>/merge")
def merge(job_id: str) -> Response:
    other = _reference("other")
    refile.merge_jobs(desk().services, job_id, other, guard.me().name)
    flash(f"{other} is merged into this job. The history can undo it.")
    return _to(job_id)


@pages.post("/jobs/<job_id>/apart")
def apart(job_id: str) -> Response:
    other = _reference("other")
    refile.keep_apart(desk().services, job_id, other, guard.me().name)
    flash(f"{other} stays a job of its own.")
    return _to(job_id)


@pages.post("/jobs/<job_id>/split")
def split(job_id: str) -> Response:
    new = refile.split_job(desk().services, job_id, request.form.getlist("message"), guard.me().name)
    flash(f"Split from {job_id}. The history of {job_id} can undo it.")
    return _to(new)


@pages.post("/jobs/<job_id>/vouch")
def vouch(job_id: str) -> Response:
    refile.vouch(desk().services, job_id, request.form.get("message", ""), guard.me().name)
    flash("The message counts now. The history can undo it.")
    return _to(job_id)


@pages.post("/messages/<sha256>/move")
def move(sha256: str) -> Response:
    target = _reference("to")
    refile.move_message(desk().services, sha256, target, guard.me().name)
    flash("The message is in this job now. The history can undo it.")
    return _to(target)


def _reference(field: str) -> str:
    return request.form.get(field, "").strip().upper()[:16]


def _to(job_id: str) -> Response:
    return redirect(url_for("jobs.one", job_id=job_id))
