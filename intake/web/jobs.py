"""The lists of jobs and one job's page."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.model.checklist import RoomKind
from intake.model.job import JobState
from intake.web import filters, guard
from intake.web.overlay import in_order, overlay
from intake.web.pages import FrontPage, JobPage, ListPage
from intake.web.place import desk, small_number
from intake.work import desk as work
from intake.work.accounts import open_names
from intake.work.blind import last_look, to_look_at
from intake.work.desk import Place, Wanted
from intake.work.handover import doubts
from intake.work.job_view import JobView, job_view
from intake.work.sketch_view import NumberView, SketchView, Trust

pages = Blueprint("jobs", __name__)


@pages.get("/")
def front() -> str:
    """Everything by what it needs next."""
    whose = _whose()
    found = work.front(desk().services, whose)
    return render_template("front.html", page=FrontPage(found, desk().watchman.known(), whose))


@pages.get("/jobs")
def some() -> str | Response:
    """The jobs of one need, or those that a search finds."""
    wanted = _wanted()
    after = _after(request.args.get("after", ""))
    found = work.listing(desk().services, wanted, after)
    if _exactly(wanted.words, found.rows):
        return redirect(url_for("jobs.one", job_id=found.rows[0].id))
    further = _further(found.further)
    page = ListPage(
        wanted,
        _heading(wanted),
        found.rows,
        found.counts,
        _items(),
        tuple(RoomKind),
        further,
        after is None,
        open_names(desk().services.store),
    )
    return render_template("list.html", page=page)


def _exactly(text: str, rows: tuple[work.JobRow, ...]) -> bool:
    """A job's reference was typed: go straight to it."""
    return len(rows) == 1 and text.strip().upper() == rows[0].id


def _wanted() -> Wanted:
    args = request.args
    state, room = args.get("need", ""), args.get("room", "")
    return Wanted(
        state=JobState(state) if state in set(JobState) else None,
        room=RoomKind(room) if room in set(RoomKind) else None,
        lacking=args.get("lacking", "")[:64],
        words=args.get("find", "").strip()[:100],
        designer=_whose(),
        unarchived=not args.get("find", "").strip(),
    )


NOBODYS = "-"
"""In an address: the jobs that are assigned to nobody. No account has so short a name."""


def _whose() -> str | None:
    """The account whose jobs are asked for, "" for nobody's, None for all."""
    given = request.args.get("whose", "")[:128]
    return "" if given == NOBODYS else given or None


def _heading(wanted: Wanted) -> str:
    if wanted.words:
        return f"Jobs that match “{wanted.words}”"
    return filters.need(wanted.state) if wanted.state else "All jobs"


def _items() -> list[tuple[str, str]]:
    """Every item of any checklist, for filtering by what is lacking."""
    titles = {i.id: i.title for c in desk().services.checklists.values() for i in c.items}
    return sorted(titles.items(), key=lambda pair: pair[1])


def _after(text: str) -> Place | None:
    at, _, job = text.partition("|")
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return None
    return Place(moment, job) if job and moment.tzinfo else None


def _further(place: Place | None) -> str:
    if place is None:
        return ""
    query = {k: v for k, v in request.args.items() if v and k != "after"}
    return url_for("jobs.some", **query, after=f"{place.at.isoformat()}|{place.id}")  # type: ignore[arg-type]


@pages.get("/jobs/<job_id>")
def one(job_id: str) -> str | Response:
    """One job; a job that was merged away leads to the one it stands in now."""
    view = job_view(desk().services, job_id)
    if view.file.job.id != job_id:
        return redirect(url_for("jobs.one", job_id=view.file.job.id))
    services, me = desk().services, guard.me().name
    blind, last = to_look_at(services, job_id, me), last_look(services, job_id, me)
    return render_template("job.html", page=replace(job_page(view), blind=blind, last_look=last))


def job_page(view: JobView, picture: str = "", number: int | None = None) -> JobPage:
    """The context of a job's page, with one sketch and one number selected."""
    picture = picture or request.args.get("sketch", "")
    number = request.args.get("number", type=small_number) if number is None else number
    chosen = [s for s in view.sketches if s.picture.id == picture]
    sketch = chosen[0] if chosen else view.main
    return JobPage(
        view=view,
        overlay=overlay(sketch) if sketch else None,
        number=_selected(sketch, number),
        numbers_json=json.dumps([_for_script(n) for n in sketch.numbers] if sketch else []),
        stamp=f"{len(view.decisions)}.{sum(bool(d.undone) for d in view.decisions)}",
        doubts=doubts(view),
        designers=open_names(desk().services.store),
    )


def _selected(sketch: SketchView | None, number: int | None) -> NumberView | None:
    """The number asked for, else the first doubtful one round the room, else the first."""
    if sketch is None or not sketch.numbers:
        return None
    if number is not None and 0 <= number < len(sketch.numbers):
        return sketch.numbers[number]
    round_the_room = in_order(sketch)
    doubtful = [n for n in round_the_room if n.standing is Trust.DOUBTFUL]
    return (doubtful or round_the_room)[0]


def _for_script(number: NumberView) -> dict[str, object]:
    """What the script needs to show a number's card without asking again."""
    return {
        "index": number.index,
        "text": number.text,
        "read": number.read_as,
        "standing": number.standing.value,
        "choices": filters.choices(number),
        "role": number.opening or number.role.value,
        "wall": number.wall,
        "arithmetic": number.arithmetic,
        "reader": number.reader,
        "by": filters.who_said(number),
        "added": number.added,
        "meant": filters.meant(number),
        "meanings": [
            {"role": m.role.value, "wall": m.walls[0] if m.walls else None, "text": filters.meaning(m)}
            for m in number.may_measure
        ],
        "stretch": number.stretch,
    }
