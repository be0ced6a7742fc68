"""The showroom's own figures: how right the readings are here, and how jobs go."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.model.reading import Paper
from intake.web import guard
from intake.web.place import desk
from intake.work.bars import take_bar, undo_bar
from intake.work.measure import (
    Figures,
    Measured,
    amount_text,
    learning_sentences,
    over_time,
    percent,
    proposal_sentences,
    rate_parts,
    silent_parts,
    silent_sentence,
)

pages = Blueprint("figures", __name__)
APART = {"version": "Version of the readers", "paper": "Paper", "month": "Month in which the job began"}
OVER_TIME = ("version", "paper")
"""Whose months are shown apart."""
MONTHS = 24
"""So many, the latest first; `intake measure --json` has them all."""
PAPERS = {
    Paper.OURS: "our measuring sheet",
    Paper.PLAIN: "plain",
    Paper.LINED: "lined",
    Paper.SQUARED: "squared",
    Paper.OWN: "their own, kind not told",
    "": "not known",
}
HEADINGS = (
    "jobs",
    "silent errors",
    "accepted",
    "read, not added",
    "role and wall right",
    "words understood",
    "days to complete",
    "letters a job",
    "asks a letter",
    "minutes at the desk",
)
WIDEST = 0.2
"""The largest share of wrong readings that the axis of limits makes room for; a wider limit runs out of it (set by
hand)."""


@dataclass(frozen=True)
class Row:
    """`cells` are the figures, each with what stands beneath it; `of` is the version or paper that they are of, as the
    address names it, "" for a month."""

    name: str
    cells: tuple[tuple[str, str], ...]
    by: str = ""
    of: str = ""


@dataclass(frozen=True)
class Scale:
    """Where limits and promise lie on a line from 0 to `most`, in hundredths of its length."""

    lower: float
    upper: float
    estimate: float
    promise: float
    most: str


@dataclass(frozen=True)
class FiguresPage:
    sentence: str
    promise: str
    found: Measured
    headings: tuple[str, ...]
    whole: Row
    apart: tuple[tuple[str, tuple[Row, ...]], ...]
    scale: Scale | None
    """None where nothing was looked at yet."""
    proposal: tuple[str, ...] = ()
    learning: tuple[str, ...] = ()
    narrowed: str = ""
    """The version or paper that the months are of; "" for all jobs."""


@pages.get("/figures")
def page() -> str:
    """The figures; `?by=paper&of=squared` shows the months of those jobs alone."""
    found = desk().meter.found(fresh=True)
    by, of = request.args.get("by", ""), request.args.get("of", "")
    months, narrowed = found.apart["month"], ""
    if by in OVER_TIME:
        months, narrowed = (
            over_time(desk().services, by).get(of, {}),
            f"{APART[by].lower()}: {_named(by, of)}",
        )
    rows = {
        name: tuple(_row(_named(name, key), f, name, key) for key, f in found.apart[name].items())
        for name in OVER_TIME
    }
    rows["month"] = tuple(_row(month or "not known", f) for month, f in list(months.items())[::-1][:MONTHS])
    shown = FiguresPage(
        silent_sentence(found.whole),
        percent(found.promise),
        found,
        HEADINGS,
        _row("All", found.whole),
        tuple((heading, rows[name]) for name, heading in APART.items()),
        _scale(found),
        tuple(proposal_sentences(found)),
        tuple(learning_sentences(found)),
        narrowed,
    )
    return render_template("figures.html", page=shown)


@pages.post("/figures/bar")
@guard.owners_only
def bar() -> Response:
    """Take the proposed bar, or go back to the one before."""
    action, me = request.form.get("action", ""), guard.me().name
    if action == "take":
        take_bar(desk().services, request.form.get("bar", type=float, default=0.0), me)
        flash("Taken. Every job is examined anew with it as the mailbox is next looked into.")
    elif action == "undo":
        undo_bar(desk().services, me)
        flash("Undone. Every job is examined anew as the mailbox is next looked into.")
    else:
        abort(400)
    return redirect(url_for("figures.page"))


def _named(by: str, key: str) -> str:
    return PAPERS.get(key, key) if by == "paper" else key or "not known"


def _row(name: str, f: Figures, by: str = "", of: str = "") -> Row:
    rates = (f.acceptance, f.recall, f.placed, f.understood)
    amounts = (f.days, f.letters_a_job, f.asks_a_letter, f.desk_minutes)
    counted = (f"{f.jobs:,}", f"{f.complete:,} complete")
    return Row(
        name,
        (counted, silent_parts(f), *map(rate_parts, rates), *((amount_text(a), "") for a in amounts)),
        by,
        of,
    )


def _scale(found: Measured) -> Scale | None:
    s = found.whole.silent
    if s.estimate is None:
        return None
    most = max(min(s.upper, WIDEST), 2 * found.promise)

    def at(share: float) -> float:
        return round(100 * min(share / most, 1.0), 1)

    return Scale(at(s.lower), at(s.upper), at(s.estimate), at(found.promise), percent(most))
