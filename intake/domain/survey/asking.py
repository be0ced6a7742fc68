"""What to ask a customer for next, in order of need, and the letter that asks it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import replace

from intake.domain.room.phrases import section_phrase
from intake.domain.said.plan_numbers import main_sketch
from intake.domain.survey.doubts import doubts_of, tells_no_length
from intake.domain.survey.openings import asks_about, lacks_a_width, openings_in_doubt
from intake.domain.survey.phrasing import ask_for, joined, small
from intake.domain.survey.readiness import of_some_windows
from intake.domain.survey.standings import UNREADABLE
from intake.model.answering import Answered
from intake.model.checklist import ChecklistItem, EvidenceKind, ItemStanding, ItemState
from intake.model.examination import RoomExamination
from intake.model.job import Job
from intake.model.letter import Ask, Letter, LetterKind
from intake.model.picture import Picture, Subject
from intake.model.reading import SketchReading
from intake.model.room import SectionKind
from intake.model.wording import Wording

MOST_ASKS = 8
"""More than a customer does in one go (common practice, no source)."""
MOST_DOUBTS = 3
"""Crops in one letter; what is left over waits for the next one or for the designer."""
_WINDOW = ("sill-height", "head-height", "reveal-depth")
_SERVICES = ("consumer-unit", "gas-meter", "boiler", "water-main")
_OPENINGS = "openings"
_MANY = ("wall-sections", _OPENINGS)
_NONE_OF = {"gas-meter": "no-gas", "boiler": "no-boiler"}
"""What a house may be without."""
_NO_PHOTOGRAPH = frozenset({Subject.SKETCH, Subject.LOGO, Subject.SCREENSHOT, Subject.DOCUMENT})
_REFERENCE = re.compile(r"\s?\[R-[0-9A-Z]{4,10}(?:-[0-9A-Z]{4,10})?\]", re.I)
_REPLY = re.compile(r"^\s*(?:(?:re|aw|sv|fwd?|wg|tr)(?:\[\d+\])?\s*:\s*)+", re.I)


def what_to_ask(
    standings: Sequence[ItemStanding],
    readings: Mapping[str, SketchReading],
    pictures: Sequence[Picture],
    wording: Wording,
    examination: RoomExamination | None = None,
    passed_over: Set[str] = frozenset(),
) -> tuple[Ask, ...]:
    """The requests of one letter, most needed first, never more than MOST_ASKS; none where nothing is wanting.

    An ask with `picture` and `number` is about one reading; its `crop` is for the caller to cut. Cautions are the
    texts to print beside it, each only once in a letter. `passed_over` are items that the customer was asked for, as
    no more than a help, and answered without: nobody is asked for these twice.
    """
    by_id = {s.item.id: s for s in standings}
    plan = by_id.get("sketch")
    if plan is not None and plan.state in (ItemState.MISSING, ItemState.DOUBTFUL):
        asks = [_plan(plan, standings, pictures, wording)]
    else:
        wanted = _lengths(by_id, wording, _windows(examination))
        wanted += _other_windows(standings, examination, wording)
        main = main_sketch(readings, pictures)
        wanted = _with_openings(wanted, standings, main, readings.get(main), wording, examination)
        doubts = doubts_of(standings, readings, main, wording, examination)
        room_left = max(1, MOST_ASKS - len(wanted) - 2)
        asks = doubts[: min(MOST_DOUBTS, room_left)] + wanted
    asks += _photographs(by_id, wording)
    if len(asks) < MOST_DOUBTS:
        asks += _optional(standings, wording, passed_over)[: MOST_DOUBTS - len(asks)]
    return _cautioned(asks[:MOST_ASKS], by_id, wording)


def _with_openings(
    wanted: list[Ask],
    standings: Sequence[ItemStanding],
    picture: str,
    plan: SketchReading | None,
    wording: Wording,
    examination: RoomExamination | None,
) -> list[Ask]:
    """What is wanted, with what nobody has told of the openings before it. Where the width of every door is asked, so
    is where the door is, and what an opening is whose width was not read."""
    if plan is None or examination is None:
        return wanted
    open_ = openings_in_doubt(examination, plan, standings)
    asks = asks_about(examination.survey, open_, picture, plan.unit, wording)
    which = [ask for ask in asks if ask.opening is not None][:MOST_DOUBTS]
    where = [ask for ask in asks if ask.opening is None]
    unread = lacks_a_width(examination.survey, open_)
    width = next((ask for ask in wanted if ask.item == _OPENINGS), None)
    if width is None and unread:
        wanted = [ask_for(s.item, wording) for s in standings if s.item.id == _OPENINGS] + wanted
        width = wanted[0]
    if width is None:
        return [*which, *where, *wanted]
    each = [wording.say("opening-untold-each")] if unread else []
    how = " ".join([width.how, *(ask.question for ask in where), *each]).strip()
    return [*which, *(replace(a, how=how) if a is width else a for a in wanted)]


def needed(asks: Iterable[Ask]) -> tuple[Ask, ...]:
    """The asks that the design waits for."""
    return tuple(ask for ask in asks if not ask.optional)


def requests_of(asks: Iterable[Ask]) -> tuple[str, ...]:
    """What tells whether two letters ask for the same: the items, and of lengths along the walls, of which an item has
    many, the question itself."""
    found = (
        (i, a.reworded or a.question if a.number is not None or i in _MANY else "")
        for a in asks
        for i in a.items
    )
    return tuple(dict.fromkeys(f"{item} {question}".strip() for item, question in found))


def at_one_look(asks: Iterable[Ask], readings: Mapping[str, SketchReading]) -> tuple[Ask, ...]:
    """The asks that whoever sees the ink may settle: what a doubtful number says, or measures."""
    numbered = (a for a in asks if a.number is not None and a.picture in readings)
    return tuple(a for a in numbered if a.measures or not readings[a.picture].numbers[a.number or 0].accepted)


def letter_for(
    job: Job,
    asks: Sequence[Ask],
    pictures: Sequence[Picture],
    answered: Answered,
    wording: Wording,
    kind: LetterKind = LetterKind.FOLLOW_UP,
) -> Letter:
    """The letter to a job's customer in the thread of what it answers; `pictures` are those that it gives thanks
    for."""
    return Letter(
        job=job.id,
        kind=kind,
        to=(answered.to,),
        subject=subject_for(answered.subject, job.id, wording, reply=not answered.met),
        in_reply_to=answered.message_id,
        references=answered.references,
        thanks=_thanks(pictures, wording, "thanks-met" if answered.met else "thanks-mail"),
        asks=tuple(asks),
        cautions=(wording.cautions["survey"],),
        language=wording.language,
    )


def subject_for(theirs: str, job: str, wording: Wording, reply: bool = True) -> str:
    """ "Re: <their subject> [R-7K2M4]": one Re: where it is a reply, one reference, no control characters (RFC 5322
    3.6.5)."""
    printable = "".join(c if c.isprintable() else " " for c in theirs)
    base = _REPLY.sub("", _REFERENCE.sub("", " ".join(printable.split()))).strip()
    return f"{'Re: ' if reply else ''}{base or wording.say('subject-none')} [{job}]"


def _thanks(pictures: Sequence[Picture], wording: Wording, plainly: str) -> str:
    """Thanks for what came, counted; the sentence `plainly` where nothing did."""
    fresh = [p for p in pictures if not p.same_as]
    plans = sum(p.subject is Subject.SKETCH for p in fresh)
    photographs = sum(p.subject not in _NO_PHOTOGRAPH for p in fresh)
    things = [
        wording.say(f"{name}-one" if count == 1 else f"{name}-many", count=count)
        for name, count in (("plan", plans), ("photograph", photographs))
        if count
    ]
    return wording.say("thanks", things=joined(things, "and", wording)) if things else wording.say(plainly)


def _wanting(by_id: Mapping[str, ItemStanding], ids: Iterable[str]) -> list[ItemStanding]:
    found = (by_id[i] for i in ids if i in by_id)
    return [s for s in found if s.item.blocking and (s.state is ItemState.MISSING or tells_no_length(s))]


def _plan(
    plan: ItemStanding, standings: Sequence[ItemStanding], pictures: Sequence[Picture], wording: Wording
) -> Ask:
    """A plan, or a better picture of it: it brings every length with it, so none is asked for by itself."""
    numbers = [
        s.item for s in standings if EvidenceKind.NUMBER in s.item.evidence and s.item.blocking and _open(s)
    ]
    if plan.state is ItemState.MISSING:
        measured = [i for i in numbers if i.id not in (*_SERVICES, "wall-sections")]
        titles = joined([small(wording.of(i, "title"), wording) for i in measured], "and", wording)
        ask = ask_for(plan.item, wording)
        more = " " + wording.say("plan-write", titles=titles) if titles else ""
        also = tuple(i.id for i in numbers if i.id not in _SERVICES)
        return replace(ask, how=ask.how + more, also=also)
    also = tuple(s.item.id for s in standings if s.item.id == "wall-sections" and _open(s))
    return _better_picture(plan, pictures, also, wording)


def _better_picture(
    plan: ItemStanding, pictures: Sequence[Picture], also: tuple[str, ...], wording: Wording
) -> Ask:
    """A plan came and cannot be read: what is wrong with its picture says how to do better."""
    judged = (v for p in pictures if p.subject is Subject.SKETCH for v in p.verdicts)
    told = next((v.ask for v in judged if v.code in UNREADABLE and v.ask), "")
    how = wording.say(told, send=wording.say("how-to-send")) if told else wording.say("plan-again-how")
    return Ask(
        plan.item.id,
        wording.say("plan-again"),
        how,
        wording.say("plan-again-why"),
        also=also,
        drawing="flat",
    )


def _open(standing: ItemStanding) -> bool:
    return standing.state in (ItemState.MISSING, ItemState.DOUBTFUL)


def _windows(examination: RoomExamination | None) -> int:
    """How many windows the plan shows for certain."""
    walls = examination.survey.walls if examination else ()
    return sum(s.kind is SectionKind.WINDOW for w in walls for s in w.sections)


def _lengths(by_id: Mapping[str, ItemStanding], wording: Wording, windows: int) -> list[Ask]:
    window = [i for i in _WINDOW if _wanting(by_id, [i])]
    singles = [
        i
        for i, s in by_id.items()
        if EvidenceKind.NUMBER in s.item.evidence and i not in (*_WINDOW, *_SERVICES) and _wanting(by_id, [i])
    ]
    asks = [ask_for(by_id[i].item, wording) for i in singles]
    if len(window) == 1:
        ask = ask_for(by_id[window[0]].item, wording)
        asks.append(replace(ask, how=_of_windows(ask.how, windows, wording)) if windows > 1 else ask)
    elif window:
        together = _together([by_id[i].item for i in window], "window", wording)
        asks.append(replace(together, how=_of_windows(together.how, windows, wording)))
    return sorted(asks, key=lambda a: list(by_id).index(a.item))


def _other_windows(
    standings: Sequence[ItemStanding], examination: RoomExamination | None, wording: Wording
) -> list[Ask]:
    """The heights that were told for one window and not for another, one request for all that the same windows lack."""
    lacking = of_some_windows(standings, examination)
    items = {s.item.id: s.item for s in standings if s.item.blocking and s.item.id in lacking}
    asks = []
    for windows in dict.fromkeys(tuple((w.index, n) for w, n in lacking[i]) for i in items):
        alike = [items[i] for i in items if tuple((w.index, n) for w, n in lacking[i]) == windows]
        ask = ask_for(alike[0], wording) if len(alike) == 1 else _together(alike, "window", wording)
        asks.append(replace(ask, how=f"{ask.how} {_which_windows(windows, examination, wording)}"))
    return asks


def _which_windows(
    windows: Sequence[tuple[int, int]], examination: RoomExamination | None, wording: Wording
) -> str:
    """By what they are called, where some have been told; else all."""
    count = _windows(examination)
    if examination is None or len(windows) == count:
        return wording.say("window-each", count=count)
    room = examination.survey
    which = [wording.worded(section_phrase(room, room.walls[w], n)) for w, n in windows]
    return wording.say("window-this", which=joined(which, "and", wording))


def _of_windows(how: str, windows: int, wording: Wording) -> str:
    """How to measure, and at which windows."""
    if windows == 1:
        return how
    return f"{how} {wording.say('window-each', count=windows) if windows else wording.say('window-any')}"


def _together(items: Sequence[ChecklistItem], key: str, wording: Wording) -> Ask:
    """One request for several items that are seen to in one go."""
    titles = [_lettered(i, wording.of(i, "title"), key) for i in items]
    parts = joined([t[:1].lower() + t[1:] if wording.language == "en" else t for t in titles], "and", wording)
    return Ask(
        items[0].id,
        wording.say(key, parts=parts),
        wording.say(f"{key}-how"),
        wording.say(f"{key}-why"),
        also=tuple(i.id for i in items[1:]),
        drawing=key,
    )


def _lettered(item: ChecklistItem, title: str, drawing: str) -> str:
    """The title with the letter that the window's drawing gives it."""
    return f"{title} ({'abc'[_WINDOW.index(item.id)]})" if drawing == "window" else title


def _photographs(by_id: Mapping[str, ItemStanding], wording: Wording) -> list[Ask]:
    asks: list[Ask] = []
    room = by_id.get("room-photographs")
    if room is not None and _open(room):
        ask = ask_for(room.item, wording)
        partly = room.state is ItemState.DOUBTFUL
        asks.append(replace(ask, question=wording.say("more-photographs")) if partly else ask)
    services = [by_id[i].item for i in _SERVICES if i in by_id and by_id[i].item.blocking and _open(by_id[i])]
    return asks + _services(services, wording)


def _services(items: Sequence[ChecklistItem], wording: Wording) -> list[Ask]:
    """One request each for one or two; more are seen to in one walk through the house."""
    if len(items) < 3:
        return [ask_for(item, wording) for item in items]
    together = _together(items, "services", wording)
    absent = "-".join(_NONE_OF[i.id] for i in items if i.id in _NONE_OF)
    return [replace(together, how=f"{together.how} {wording.say(absent)}") if absent else together]


def _optional(standings: Sequence[ItemStanding], wording: Wording, passed_over: Set[str]) -> list[Ask]:
    """Only what the customer can tell in a word or measure easily, and only once the rest is nearly there; what they
    passed over only where a designer asks for it again."""
    return [
        replace(ask_for(s.item, wording), optional=True)
        for s in standings
        if not s.item.blocking and s.state is ItemState.MISSING
        if s.item.id not in passed_over or any(e.kind is EvidenceKind.DESIGNER for e in s.evidence)
    ]


def _cautioned(asks: Sequence[Ask], by_id: Mapping[str, ItemStanding], wording: Wording) -> tuple[Ask, ...]:
    """Each caution beside the first request that needs it."""
    told: set[str] = set()
    done = []
    for ask in asks:
        fresh = [c for c in _cautions(ask, by_id) if c not in told] if ask.number is None else []
        told.update(fresh)
        done.append(replace(ask, caution=" ".join(wording.cautions[c] for c in fresh)))
    return tuple(done)


def _cautions(ask: Ask, by_id: Mapping[str, ItemStanding]) -> list[str]:
    if ask.drawing == "services":
        return ["services"]
    found = (by_id[i].item.caution for i in ask.items if i in by_id)
    return [c for c in dict.fromkeys(found) if c]
