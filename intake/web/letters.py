"""The customer's letter: as it will be sent, edited, released or held."""

from __future__ import annotations

from flask import Blueprint, Response, abort, flash, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from intake.web import guard
from intake.web.handing import invitation, when_called
from intake.web.place import desk
from intake.work import write
from intake.work.letter_view import letter_page
from intake.work.settle import settle_letter

pages = Blueprint("letters", __name__, url_prefix="/jobs/<job_id>/letters/<int:letter_id>")
desk_letters = Blueprint("desk_letters", __name__, url_prefix="/jobs/<job_id>/letters")
LETTER_POLICY = (
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; frame-ancestors 'self'; sandbox"
)
"""The letter is shown as it is, with nothing that can run and nothing fetched."""
MOST_FIGURES = 9
"""Of a number in a form; no list is longer than that."""


@pages.get("")
def shown(job_id: str, letter_id: int) -> Response:
    """The letter's own HTML, for a frame in which nothing may run."""
    answer = Response(letter_page(desk().services, job_id, letter_id), mimetype="text/html")
    answer.headers["Content-Security-Policy"] = LETTER_POLICY
    return answer


@pages.post("/release")
def release(job_id: str, letter_id: int) -> AnyResponse:
    write.release_letter(
        desk().services, job_id, letter_id, guard.me().name, sure=request.form.get("sure") == "yes"
    )
    flash("The letter is released; it goes within minutes.")
    return _back(job_id)


@pages.post("/hold")
def hold(job_id: str, letter_id: int) -> AnyResponse:
    write.hold_letter(desk().services, job_id, letter_id, guard.me().name)
    flash("The letter is taken back.")
    return _back(job_id)


@pages.post("/settle")
def settle(job_id: str, letter_id: int) -> AnyResponse:
    """Somebody has found out whether a letter in doubt went."""
    arrived = request.form.get("arrived", "")
    if arrived not in ("yes", "no"):
        abort(400, "Say whether it went out.")
    settle_letter(desk().services, job_id, letter_id, arrived == "yes", guard.me().name)
    flash(
        "The letter counts as sent."
        if arrived == "yes"
        else "The letter counts as not sent; look at the new one."
    )
    return _back(job_id)


@pages.post("/edit")
def edit(job_id: str, letter_id: int) -> AnyResponse:
    write.edit_letter(desk().services, job_id, letter_id, _edit(), guard.me().name)
    flash("The letter is changed.")
    return _back(job_id)


def _edit() -> write.Edit:
    form = request.form
    kept = [int(n) for n in form.getlist("keep") if n.isdecimal() and len(n) <= MOST_FIGURES]
    asks = {n: (form.get(f"question-{n}", ""), form.get(f"how-{n}", "")) for n in kept}
    return write.Edit(form.get("thanks", ""), asks, form.get("note", ""), _own_asks())


def _own_asks() -> list[tuple[str, str]]:
    """What was typed as requests of the designer's own."""
    form = request.form
    return list(zip(form.getlist("own-question"), form.getlist("own-how"), strict=False))


@pages.post("/drop")
def drop(job_id: str, letter_id: int) -> AnyResponse:
    write.drop_letter(desk().services, job_id, letter_id, guard.me().name)
    flash("The letter is thrown away.")
    return _back(job_id)


@desk_letters.post("")
def own(job_id: str) -> AnyResponse:
    """Draft a letter of the designer's own words."""
    write.write_own(desk().services, job_id, request.form.get("note", ""), _own_asks(), guard.me().name)
    return _back(job_id)


@desk_letters.post("/guide")
def guide(job_id: str) -> AnyResponse:
    """Draft the letter with the measuring guide."""
    write.send_guide(desk().services, job_id, guard.me().name)
    return _back(job_id)


@desk_letters.post("/call")
def call(job_id: str) -> AnyResponse:
    """Draft the letter with the invitation to the design call."""
    starts_at, lasts = when_called(request.form)
    calendar = invitation(job_id, starts_at, lasts).decode()
    write.send_call(desk().services, job_id, calendar, starts_at, lasts, guard.me().name)
    return _back(job_id)


def _back(job_id: str) -> AnyResponse:
    return redirect(url_for("jobs.one", job_id=job_id, _anchor="letter"))
