"""The owner's page of the showroom itself: name, logo, signature, hours and wording of letters."""

from __future__ import annotations

from flask import Blueprint, Response, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from intake.web import guard
from intake.web.pages import ShowroomPage
from intake.web.place import desk
from intake.work import showroom as work
from intake.work.showroom import NotSettable

pages = Blueprint("showroom", __name__, url_prefix="/showroom")


@pages.get("")
@guard.owners_only
def shown() -> str:
    return _page(work.set_at_desk(desk().services))


def _page(said: work.Said, refused: str = "") -> str:
    services = desk().services
    usual = {key: services.pen.usual_wording().sentences[key] for key in work.SENTENCES}
    return render_template("showroom.html", page=ShowroomPage(said, services.letterhead(), usual, refused))


@pages.post("")
@guard.owners_only
def change() -> AnyResponse | tuple[str, int]:
    form = request.form
    hours = f"{form.get('from', '')}-{form.get('until', '')}" if form.get("from") or form.get("until") else ""
    texts = {k: form.get(k, "") for k in ("name", "phone", "designer", "signature")}
    texts |= {"hours": hours, "days": " ".join(form.getlist("days"))}
    sentences = {k: form.get(f"say-{k}", "") for k in work.SENTENCES}
    try:
        work.set_showroom(desk().services, texts, sentences, _logo(), guard.me().name)
    except NotSettable as refused:
        return _page(work.Said(texts, sentences), refused.line()), 409
    flash("It is set; letters that are written from now on show it.")
    return redirect(url_for("showroom.shown"))


def _logo() -> bytes | None:
    """The picture uploaded, b"" where the logo is to go, None where it stays as it is."""
    given = request.files.get("logo")
    if given is not None and given.filename:
        return bytes(given.read(work.LARGEST_LOGO + 1))
    return b"" if request.form.get("no-logo") == "yes" else None


@pages.get("/logo.jpg")
def logo() -> Response:
    """The logo as letters bear it."""
    picture = desk().services.letterhead().logo
    if not picture:
        abort(404)
    return Response(picture, mimetype="image/jpeg")
