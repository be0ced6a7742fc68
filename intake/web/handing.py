"""What leaves with a job: drawings, the pack, the invitation to the design call."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from flask import Blueprint, Response, abort, request
from werkzeug.datastructures import MultiDict

from intake.model.checklist import RoomKind
from intake.model.errors import NotFound
from intake.web import guard
from intake.web.place import caption, desk, small_number
from intake.work.handover import handover_pdf, handover_zip
from intake.work.invitation import Invitation, icalendar
from intake.work.job_view import room_of

pages = Blueprint("handing", __name__, url_prefix="/jobs/<job_id>")
TYPES = {
    "svg": "image/svg+xml",
    "pdf": "application/pdf",
    "dxf": "image/vnd.dxf",
    "json": "application/json",
}


@pages.get("/drawings.<ending>")
def drawings(job_id: str, ending: str) -> Response:
    """All drawings as one file."""
    if ending not in TYPES:
        abort(404)
    file, room = room_of(desk().services, job_id)
    if room is None or not room.survey.walls:
        raise NotFound("There is no plan yet", "A sketch must be read first")
    content = desk().draughtsman.sheets(room, caption(file), f".{ending}")
    return _saved(content, TYPES[ending], f"{file.job.id}-drawings.{ending}")


@pages.get("/handover.pdf")
def pdf(job_id: str) -> Response:
    content = handover_pdf(desk().services, desk().draughtsman, job_id, _today())
    return _saved(content, TYPES["pdf"], f"{job_id}-survey.pdf")


@pages.post("/handover.zip")
def pack(job_id: str) -> Response:
    """The whole pack; a post, because the audit notes who took it."""
    content = handover_zip(desk().services, desk().draughtsman, job_id, guard.me().name, _today())
    return _saved(content, "application/zip", f"{job_id}-handover.zip")


@pages.get("/call.ics")
def call(job_id: str) -> Response:
    """The invitation to a design call at a time of the showroom's own clock."""
    content = invitation(job_id, *when_called(request.args))
    return _saved(content, "text/calendar; charset=utf-8; method=REQUEST", f"{job_id}-call.ics")


def invitation(job_id: str, starts_at: datetime, lasts: timedelta) -> bytes:
    """The iCalendar object of a job's design call."""
    file, _ = room_of(desk().services, job_id)
    place, head, customer = desk().settings, desk().services.letterhead(), file.job.customer
    room = "room" if file.job.room is RoomKind.UNKNOWN else file.job.room.value
    call = Invitation(
        uid=f"call-{file.job.id}@{place.address.rpartition('@')[2] or 'desk.invalid'}",
        starts_at=starts_at,
        lasts=lasts,
        summary=f"Design call: your {room} [{file.job.id}]",
        description=f"We go through the survey of your {room} together. Have your plan and a tape measure at hand."
        + (f"\nTo change the time ring {head.phone}." if head.phone else ""),
        organiser=(head.designer or head.name, place.address),
        guest=(customer.name, customer.email),
        location="By telephone or video",
        revision=int(desk().services.clock().timestamp()) // 60 % (1 << 31),
    )
    return icalendar(call, desk().services.clock())


def when_called(given: MultiDict[str, str]) -> tuple[datetime, timedelta]:
    """When a call starts, by the showroom's own clock, and how long it lasts."""
    try:
        local = datetime.fromisoformat(given.get("at", ""))
    except ValueError:
        abort(400, "Say the day and time of the call.")
    minutes = given.get("minutes", default=45, type=small_number)
    return local.replace(tzinfo=desk().settings.zone), timedelta(minutes=min(max(minutes, 5), 480))


def _today() -> date:
    return desk().services.clock().astimezone(desk().settings.zone).date()


def _saved(content: bytes, media_type: str, name: str) -> Response:
    answer = Response(content, content_type=media_type)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
