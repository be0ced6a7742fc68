"""The showroom's own figures: how right the readings are here, and how jobs go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from intake.web import guard
from intake.web.place import desk
from intake.work.bars import take_bar, undo_bar
from intake.work.measure import (
    Figures,
    Measured,
    amount_text,
    percent,
    proposal_sentences,
    rate_text,
    silent_sentence,
    silent_text,
)

pages = Blueprint("figures", __name__)
APART = {"version": "Version of the readers", "paper": "Paper", "month": "Month in which the job began"}
MONTHS = 24
"""So many, the latest first; `intake measure --json` has them all."""
PAPERS = {"measuring-sheet": "our measuring sheet", "own-paper": "the customer's own", "": "not known"}
HEADINGS = (
    "jobs",
    "silent errors",
    "accepted",
    "read, not added",
    "role and wall right",
    "words understood",
    "days",
    "letters a job",
    "asks a letter",
    "minutes at the desk",
)


@dataclass(frozen=True)
class Row:
    name: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Scale:
    """Where limits and promise lie on a line from 0 to `most`, in hundredths of its length."""

    lower: float
    upper: float
    estimate: float | None
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
    scale: Scale
    proposal: tuple[str, ...] = ()


@pages.get("/figures")
def page() -> str:
    found = desk().meter.found(fresh=True)
    apart = tuple(
        (heading, tuple(_row(_named(name, key), figures) for key, figures in _shown(name, found.apart[name])))
        for name, heading in APART.items()
    )
    shown = FiguresPage(
        silent_sentence(found.whole),
        percent(found.promise),
        found,
        HEADINGS,
        _row("All", found.whole),
        apart,
        _scale(found),
        tuple(proposal_sentences(found)),
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


def _shown(name: str, some: Mapping[str, Figures]) -> Sequence[tuple[str, Figures]]:
    rows = list(some.items())
    return rows[::-1][:MONTHS] if name == "month" else rows


def _named(by: str, key: str) -> str:
    return PAPERS.get(key, key) if by == "paper" else key or "not known"


def _row(name: str, f: Figures) -> Row:
    rates = (f.acceptance, f.recall, f.placed, f.understood)
    amounts = (f.days, f.letters_a_job, f.asks_a_letter, f.desk_minutes)
    return Row(name, (f"{f.jobs:,}", silent_text(f), *map(rate_text, rates), *map(amount_text, amounts)))


def _scale(found: Measured) -> Scale:
    s = found.whole.silent
    most = max(min(s.upper, 0.2), 2 * found.promise)

    def at(share: float) -> float:
        return round(100 * min(share / most, 1.0), 1)

    estimate = None if s.estimate is None else at(s.estimate)
    return Scale(at(s.lower), at(s.upper), estimate, at(found.promise), percent(most))
