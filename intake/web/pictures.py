"""Pictures, crops, plans and papers, for the signed-in alone, each with its strict type."""

from __future__ import annotations

from flask import Blueprint, Response, abort, send_file

from intake.model.checklist import RoomKind
from intake.model.errors import NotFound
from intake.web.place import desk
from intake.work.desk import picture_file, raw_message
from intake.work.job_view import crop, room_of

pages = Blueprint("pictures", __name__)
KEPT = "private, max-age=86400, immutable"
"""A picture's name is the hash of its content, so that a browser may keep it for its own user."""
SVG_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox"


@pages.get("/pictures/<picture>.jpg")
def display(picture: str) -> Response:
    path = picture_file(desk().services.store, picture)
    if not path.is_file():
        abort(404)
    answer = send_file(path, mimetype="image/jpeg", conditional=True)
    answer.headers["Cache-Control"] = KEPT
    return answer


@pages.get("/pictures/<picture>/numbers/<int:number>.png")
def ink(picture: str, number: int) -> Response:
    """One number's ink, enlarged and upright."""
    answer = Response(crop(desk().services, picture, number), mimetype="image/png")
    answer.headers["Cache-Control"] = KEPT
    return answer


@pages.get("/pictures/<picture>/openings/<int:number>.png")
def opening(picture: str, number: int) -> Response:
    """The sketch round the opening whose width is a number."""
    answer = Response(crop(desk().services, picture, number, opening=True), mimetype="image/png")
    answer.headers["Cache-Control"] = KEPT
    return answer


@pages.get("/jobs/<job_id>/plan.svg")
def plan(job_id: str) -> Response:
    """The plan to scale as it stands now."""
    _, room = room_of(desk().services, job_id)
    if room is None:
        raise NotFound("No sketch of this job has been read")
    answer = Response(desk().draughtsman.plan(room), mimetype="image/svg+xml")
    answer.headers["Content-Security-Policy"] = SVG_POLICY
    return answer


@pages.get("/for-customers/guide-<room>.pdf")
def guide(room: str) -> Response:
    """The measuring guide to send at first contact."""
    if room not in set(RoomKind) - {RoomKind.UNKNOWN}:
        abort(404)
    return Response(desk().draughtsman.guide(RoomKind(room)), mimetype="application/pdf")


@pages.get("/for-customers/measuring-sheet.pdf")
def sheet() -> Response:
    return Response(desk().draughtsman.blank_sheet(), mimetype="application/pdf")


@pages.get("/messages/<sha256>.eml")
def message(sha256: str) -> Response:
    """A message as it arrived, to save; never shown as a page."""
    answer = Response(raw_message(desk().services.store, sha256), mimetype="message/rfc822")
    answer.headers["Content-Disposition"] = f'attachment; filename="{sha256[:16]}.eml"'
    return answer
