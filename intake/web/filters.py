"""The desk's words for states, roles and times, as filters of its templates."""

from __future__ import annotations

from datetime import datetime, timedelta

from flask import Flask

from intake.model.chances import chance
from intake.model.job import JobState
from intake.model.phrase import phrase
from intake.model.reading import Measures
from intake.model.room import wall_letter as letter_of
from intake.web.overlay import small_plan, strip
from intake.web.place import desk
from intake.web.terms import ITEMS, LETTERS, MEASURES, NEEDS, SENTENCES
from intake.wording.desk import sentence, worded
from intake.work.contact import Reach, is_sure
from intake.work.desk import format_cm
from intake.work.sketch_view import NumberView, Trust
from intake.work.what_counts import why_not

A_MOMENT = timedelta(minutes=5)
MOST_CHOICES = 5
"""Texts that a number may say, each with a key of its own."""
MINUTES_IN_AN_HOUR = 60  # by definition


def need(state: JobState) -> str:
    return NEEDS[state][0]


def need_hint(state: JobState) -> str:
    return NEEDS[state][1]


def ago(moment: datetime) -> str:
    """How long ago, roughly: "5 min", "3 h", "2 days"."""
    gone = max(desk().services.clock() - moment, timedelta())
    minutes = int(gone.total_seconds() // 60)
    if minutes < MINUTES_IN_AN_HOUR:
        return f"{max(minutes, 1)} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return f"{minutes // 1440} days"


def on_day(moment: datetime) -> str:
    """Day and time in the showroom's zone: "Tue 3 Mar, 14:05"."""
    local = moment.astimezone(desk().settings.zone)
    return f"{local:%a} {local.day} {local:%b}, {local:%H:%M}"


def ahead(moment: datetime | None) -> bool:
    """Whether a moment is still some minutes away."""
    return moment is not None and moment - desk().services.clock() > A_MOMENT


def machine_time(moment: datetime) -> str:
    return moment.isoformat(timespec="seconds")


def wall_letter(index: int | None) -> str:
    """A, B, ... Z, AA, AB, ... clockwise, as on the plan; a dash for none."""
    return "\N{EN DASH}" if index is None else letter_of(index)


def centimetres(mm: int | None) -> str:
    return "–" if mm is None else format_cm(round(mm))


def signed_cm(mm: int) -> str:
    return f"{'+' if mm > 0 else ''}{format_cm(mm)}"


def plain(value: str) -> str:
    """A kebab-case word as words."""
    return str(value).replace("-", " ")


def reach(seen: Reach | None) -> str:
    """ " Floor in view, ceiling not.": what is known of both, with a blank before it; "" for nothing."""
    said = [
        f"{name} {'in view' if told else 'out of view'}"
        for name, told in zip(("floor", "ceiling"), seen or (), strict=False)
        if told is not None
    ]
    return f" {', '.join(said).capitalize()}." if said else ""


def who_said(number: NumberView) -> str:
    """ "386.5, says maya, Tue 3 Mar, 14:05"; "Placed by maya" where only what it measures was said."""
    if not number.by:
        return ""
    settled = number.standing in (Trust.CONFIRMED, Trust.DROPPED)
    text = "No length" if number.standing is Trust.DROPPED else number.text
    when = f", {on_day(number.at)}" if number.at else ""
    return (f"{text}, says {number.by}" if settled else f"Placed by {number.by}") + when


def register(app: Flask) -> None:
    app.jinja_env.filters.update(
        sentence=sentence,
        fate=lambda fate: worded(phrase(f"fate-{fate}")),
        need=need,
        need_hint=need_hint,
        ago=ago,
        on_day=on_day,
        ahead=ahead,
        why_not=why_not,
        machine_time=machine_time,
        wall_letter=wall_letter,
        cm=centimetres,
        signed_cm=signed_cm,
        plain=plain,
        small_plan=small_plan,
        strip=strip,
        reach=reach,
        chance=chance,
        who_said=who_said,
        sure=is_sure,
        item_state=ITEMS.__getitem__,
        letter_state=LETTERS.__getitem__,
    )
    app.jinja_env.globals["meant"], app.jinja_env.globals["meaning"] = meant, meaning
    app.jinja_env.globals["choices"] = choices
    app.jinja_env.globals["sentences"] = SENTENCES
    app.jinja_env.globals["measures"] = {str(key): text for key, text in MEASURES.items()}


def choices(number: NumberView) -> list[dict[str, str]]:
    """The texts that the ink may say, the one read first, then what would make the sums come out, and how likely each
    other is, in words."""
    read = "as added" if number.added else "as read"
    found = {number.read_as: read} | {text: "fits the sums" for text in number.fits if text != number.read_as}
    found = found | {a.text: chance(a.confidence) for a in number.alternatives if a.text not in found}
    return [{"text": text, "how": how} for text, how in found.items()][:MOST_CHOICES]


_HOW_SURE = ((0.95, ""), (0.7, "probably "), (0.0, "perhaps "))


def meant(number: NumberView) -> str:
    """What a number is thought to measure and how surely: "probably section of wall B"; "" where nothing is told."""
    if number.measures is None or number.by:
        return ""
    sure = next(word for least, word in _HOW_SURE if number.measures.chance >= least)
    return f"{sure}{meaning(number.measures)}"


def meaning(told: Measures) -> str:
    """ "overall of wall C", "across, wall A to wall C", "ceiling height"."""
    name = MEASURES[told.role]
    letters = [wall_letter(w) for w in told.walls]
    if len(letters) == 2:
        return f"across, wall {letters[0]} to wall {letters[1]}"
    of_wall = name.removesuffix(" of wall")
    return f"{of_wall} of wall {letters[0]}" if letters else name
