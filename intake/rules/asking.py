"""What to ask a customer for next, in order of need, and the letter that asks it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from intake.model.checklist import ChecklistItem, Evidence, ItemStanding, ItemState
from intake.model.job import Job
from intake.model.letter import Ask, Letter, Wording
from intake.model.message import Address, Message
from intake.model.picture import Picture, Subject
from intake.model.reading import ReadNumber, Role, SketchReading
from intake.model.room import RoomExamination
from intake.rules.checklist import UNREADABLE
from intake.rules.notation import format_cm
from intake.rules.overrides import main_sketch

MOST_ASKS = 8
"""More than a customer does in one go (common practice, no source)."""
MOST_DOUBTS = 3
"""Crops in one letter; what is left over waits for the next one or for the designer."""
LIKELY = 0.03
"""An alternative less likely than this is not offered."""

_WINDOW = ("sill-height", "head-height", "reveal-depth")
_SERVICES = ("consumer-unit", "gas-meter", "boiler", "water-main")
_NO_PHOTOGRAPH = frozenset({Subject.SKETCH, Subject.LOGO, Subject.SCREENSHOT, Subject.DOCUMENT})
_ROLE_ORDER = (
    Role.CEILING,
    Role.SECTION,
    Role.OVERALL,
    Role.OPENING,
    Role.SILL,
    Role.HEAD,
    Role.REVEAL,
    Role.FIXTURE,
)
_REFERENCE = re.compile(r"\s*\[R-[0-9A-Z]{4,10}\]", re.I)
_REPLY = re.compile(r"^\s*(?:(?:re|aw|sv|fwd?|wg|tr)(?:\[\d+\])?\s*:\s*)+", re.I)


def what_to_ask(
    standings: Sequence[ItemStanding],
    readings: Mapping[str, SketchReading],
    pictures: Sequence[Picture],
    wording: Wording,
    examination: RoomExamination | None = None,
) -> tuple[Ask, ...]:
    """The requests of one letter, most needed first, never more than MOST_ASKS; none where nothing is wanting.

    An ask with `picture` and `number` is about one reading; its `crop` is for the caller to cut. Cautions are the
    texts to print beside it, each only once in a letter.
    """
    by_id = {s.item.id: s for s in standings}
    plan = by_id.get("sketch")
    if plan is not None and plan.state in (ItemState.MISSING, ItemState.DOUBTFUL):
        asks = [_plan(plan, standings, pictures, wording)]
    else:
        wanted = [*_lengths(by_id, wording)]
        doubts = (
            _slip(examination, main_sketch(readings, pictures), wording)
            + _clashes(by_id, wording)
            + _unread(readings, wording)
        )
        room_left = max(1, MOST_ASKS - len(wanted) - 2)
        asks = _one_each(doubts)[: min(MOST_DOUBTS, room_left)] + wanted
    asks += _photographs(by_id, wording)
    if len(asks) < MOST_DOUBTS:
        asks += _optional(standings, wording)[: MOST_DOUBTS - len(asks)]
    return _cautioned(asks[:MOST_ASKS], by_id, wording)


def letter_for(
    job: Job,
    asks: Sequence[Ask],
    pictures: Sequence[Picture],
    messages: Sequence[Message],
    wording: Wording,
    kind: str = "follow-up",
) -> Letter:
    """The letter to a job's customer in the thread of the newest of `messages` (in order of arrival, not empty).

    `pictures` are those that it gives thanks for. Threading is by RFC 5322 3.6.4.
    """
    newest = messages[-1]
    parents = newest.references or (newest.in_reply_to if len(newest.in_reply_to) == 1 else ())
    chain = (*parents, newest.message_id) if newest.message_id else parents
    return Letter(
        job=job.id,
        kind=kind,
        to=_recipients(newest),
        subject=subject_for(newest.subject, job.id, wording),
        in_reply_to=newest.message_id,
        references=tuple(dict.fromkeys(chain)),
        thanks=_thanks(pictures, wording),
        asks=tuple(asks),
        cautions=(wording.cautions["survey"],),
        language=wording.language,
    )


def subject_for(theirs: str, job: str, wording: Wording) -> str:
    """ "Re: <their subject> [R-7K2M4]": one Re:, one reference, no control characters (RFC 5322 3.6.5)."""
    printable = "".join(c if c.isprintable() else " " for c in theirs)
    base = _REPLY.sub("", _REFERENCE.sub("", " ".join(printable.split()))).strip()
    return f"Re: {base or wording.say('subject-none')} [{job}]"


def _recipients(message: Message) -> tuple[Address, ...]:
    return message.reply_to[:1] or (message.sender,)


def _thanks(pictures: Sequence[Picture], wording: Wording) -> str:
    fresh = [p for p in pictures if not p.same_as]
    plans = sum(p.subject is Subject.SKETCH for p in fresh)
    photographs = sum(p.subject not in _NO_PHOTOGRAPH for p in fresh)
    things = [
        wording.say(f"{name}-one" if count == 1 else f"{name}-many", count=count)
        for name, count in (("plan", plans), ("photograph", photographs))
        if count
    ]
    return (
        wording.say("thanks", things=_joined(things, "and", wording))
        if things
        else wording.say("thanks-mail")
    )


def _joined(parts: Sequence[str], joint: str, wording: Wording) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return wording.say(joint, first=", ".join(parts[:-1]), last=parts[-1])


def _ask(item: ChecklistItem, wording: Wording) -> Ask:
    return Ask(
        item.id,
        wording.of(item, "ask"),
        wording.of(item, "how"),
        wording.of(item, "why"),
        drawing=item.drawing,
    )


def _wanting(by_id: Mapping[str, ItemStanding], ids: Iterable[str]) -> list[ItemStanding]:
    found = (by_id[i] for i in ids if i in by_id)
    return [s for s in found if s.state is ItemState.MISSING and s.item.blocking]


def _plan(
    plan: ItemStanding, standings: Sequence[ItemStanding], pictures: Sequence[Picture], wording: Wording
) -> Ask:
    """A plan, or a better picture of it: it brings every length with it, so none is asked for by itself."""
    numbers = [s.item for s in standings if "number" in s.item.evidence and s.item.blocking and _open(s)]
    if plan.state is ItemState.MISSING:
        measured = [i for i in numbers if i.id not in (*_SERVICES, "wall-sections")]
        titles = _joined([_small(wording.of(i, "title"), wording) for i in measured], "and", wording)
        ask = _ask(plan.item, wording)
        more = " " + wording.say("plan-write", titles=titles) if titles else ""
        also = tuple(i.id for i in numbers if i.id not in _SERVICES)
        return replace(ask, how=ask.how + more, also=also)
    told = next(
        (
            v.ask
            for p in pictures
            if p.subject is Subject.SKETCH
            for v in p.verdicts
            if v.code in UNREADABLE and v.ask
        ),
        "",
    )
    question = told if told and wording.language == "en" else wording.say("plan-again")
    also = tuple(s.item.id for s in standings if s.item.id == "wall-sections" and _open(s))
    return Ask(
        plan.item.id,
        question,
        wording.say("plan-again-how"),
        wording.say("plan-again-why"),
        also=also,
        drawing="flat",
    )


def _open(standing: ItemStanding) -> bool:
    return standing.state in (ItemState.MISSING, ItemState.DOUBTFUL)


def _lengths(by_id: Mapping[str, ItemStanding], wording: Wording) -> list[Ask]:
    window = [i for i in _WINDOW if _wanting(by_id, [i])]
    singles = [
        i
        for i, s in by_id.items()
        if "number" in s.item.evidence and i not in (*_WINDOW, *_SERVICES) and _wanting(by_id, [i])
    ]
    asks = [_ask(by_id[i].item, wording) for i in singles]
    if len(window) == 1:
        asks.append(_ask(by_id[window[0]].item, wording))
    elif window:
        asks.append(_together([by_id[i].item for i in window], "window", wording))
    return sorted(asks, key=lambda a: list(by_id).index(a.item))


def _together(items: Sequence[ChecklistItem], key: str, wording: Wording) -> Ask:
    """One request for several items that are seen to in one go."""
    titles = [_lettered(i, wording.of(i, "title"), key) for i in items]
    parts = _joined(
        [t[:1].lower() + t[1:] if wording.language == "en" else t for t in titles], "and", wording
    )
    return Ask(
        items[0].id,
        wording.say(key, parts=parts),
        wording.say(f"{key}-how"),
        wording.say(f"{key}-why"),
        also=tuple(i.id for i in items[1:]),
        drawing=key,
    )


def _small(title: str, wording: Wording) -> str:
    """A title inside a sentence; German keeps its capitals, and "WC" everywhere."""
    return title[:1].lower() + title[1:] if wording.language == "en" and not title[:2].isupper() else title


def _lettered(item: ChecklistItem, title: str, drawing: str) -> str:
    """The title with the letter that the window's drawing gives it."""
    return f"{title} ({'abc'[_WINDOW.index(item.id)]})" if drawing == "window" else title


def _photographs(by_id: Mapping[str, ItemStanding], wording: Wording) -> list[Ask]:
    asks: list[Ask] = []
    room = by_id.get("room-photographs")
    if room is not None and _open(room):
        ask = _ask(room.item, wording)
        partly = room.state is ItemState.DOUBTFUL
        asks.append(replace(ask, question=wording.say("more-photographs")) if partly else ask)
    services = [by_id[i].item for i in _SERVICES if i in by_id and by_id[i].item.blocking and _open(by_id[i])]
    return asks + _services(services, wording)


def _services(items: Sequence[ChecklistItem], wording: Wording) -> list[Ask]:
    """One request each for one or two; more are seen to in one walk through the house."""
    if len(items) < 3:
        return [_ask(item, wording) for item in items]
    together = _together(items, "services", wording)
    no_gas = any(i.may_be_absent for i in items)
    return [replace(together, how=f"{together.how} {wording.say('no-gas')}") if no_gas else together]


def _optional(standings: Sequence[ItemStanding], wording: Wording) -> list[Ask]:
    """Only what the customer can tell in a word or measure easily, and only once the rest is nearly there."""
    return [_ask(s.item, wording) for s in standings if not s.item.blocking and s.state is ItemState.MISSING]


def _slip(examination: RoomExamination | None, picture: str, wording: Wording) -> list[Ask]:
    """The likeliest slip where the room does not close; else what to measure to find it."""
    if examination is None or examination.closes is not False:
        return []
    base = Ask(
        "wall-sections", wording.say("does-not-add-up"), wording.say("measure-again-how"), drawing="sections"
    )
    slip = next(iter(examination.slips), None)
    if slip is None:
        measure = next(iter(examination.next_measures), None)
        return [replace(base, question=measure.question) if measure and wording.language == "en" else base]
    choices = tuple(format_cm(v) for v in (slip.read_mm, slip.would_be_mm) if v is not None)
    # The room's own sentences are English; in another language the crop says which stretch is meant.
    question = slip.question if wording.language == "en" else base.question
    if len(choices) == 2 and (wording.language != "en" or not question):
        question = wording.say("measure-again", read=choices[0], would_be=choices[1])
    return [
        replace(
            base, question=question or base.question, choices=choices, picture=picture, number=slip.number
        )
    ]


def _clashes(by_id: Mapping[str, ItemStanding], wording: Wording) -> list[Ask]:
    """Lengths that were typed and are in doubt: guessed, unusual, or at odds with the plan."""
    asks = []
    for standing in by_id.values():
        if standing.state is ItemState.DOUBTFUL and standing.item.range_mm and standing.item.blocking:
            asks += [a for a in (_clash(standing, wording),) if a]
    return asks


def _clash(standing: ItemStanding, wording: Wording) -> Ask | None:
    item, title = standing.item, _small(wording.of(standing.item, "title"), wording)
    sound = [e for e in standing.evidence if e.value_mm is not None and not e.doubt]
    values = sorted({e.value_mm for e in sound if e.value_mm is not None})
    base = _ask(item, wording)
    if len(values) > 1 and (item.one_value or {e.kind for e in sound} == {"number", "words"}):
        choices = (format_cm(values[0]), format_cm(values[-1]))
        return replace(
            base,
            question=wording.say("two-values", title=title, first=choices[0], last=choices[1]),
            choices=choices,
        )
    doubted = next((e for e in standing.evidence if e.doubt and e.kind == "words"), None)
    if doubted is None or sound:
        return _unusual(standing, base, title, wording)
    text = re.sub(r"^the customer writes “|”$", "", doubted.text)
    plausible = doubted.value_mm and not _outside(item, doubted)
    offered = (format_cm(doubted.value_mm or 0),) if plausible else ()
    return replace(base, question=wording.say("typed-unsure", text=text, title=title), choices=offered)


def _unusual(standing: ItemStanding, base: Ask, title: str, wording: Wording) -> Ask | None:
    odd = [e for e in standing.evidence if e.kind == "number" and _outside(standing.item, e)]
    if not odd or standing.item.id == "wall-sections":
        return None
    value = format_cm(odd[0].value_mm or 0)
    question = wording.say("out-of-range", title=title, value=value)
    return replace(base, question=question, picture=odd[0].picture, number=odd[0].number)


def _outside(item: ChecklistItem, evidence: Evidence) -> bool:
    if item.range_mm is None or evidence.value_mm is None:
        return False
    return not item.range_mm[0] <= evidence.value_mm <= item.range_mm[1]


def _unread(readings: Mapping[str, SketchReading], wording: Wording) -> list[Ask]:
    """The numbers that are not certain, those that the design rests on first."""
    doubtful = [
        (picture, index, number)
        for picture, reading in readings.items()
        for index, number in enumerate(reading.numbers)
        if not number.accepted and number.role in _ROLE_ORDER
    ]
    doubtful.sort(key=lambda found: (_ROLE_ORDER.index(found[2].role), -found[2].confidence))
    return [_which(p, i, n, _neighbour(readings[p], n), wording) for p, i, n in doubtful]


def _neighbour(reading: SketchReading, number: ReadNumber) -> str:
    """The sure number that stands nearest on the plan, so that the customer finds the place; "" for none."""
    sure = [n for n in reading.numbers if n.accepted and n.value_mm is not None]
    return min(sure, key=lambda n: math.dist(_middle(n), _middle(number))).text if sure else ""


def _middle(number: ReadNumber) -> tuple[float, float]:
    return sum(x for x, _ in number.box) / 4, sum(y for _, y in number.box) / 4


_ITEM_OF: dict[Role, str] = {
    Role.SECTION: "wall-sections",
    Role.OPENING: "openings",
}


def _which(picture: str, index: int, number: ReadNumber, neighbour: str, wording: Wording) -> Ask:
    likely = [
        a.text for a in sorted(number.alternatives, key=lambda a: -a.confidence) if a.confidence >= LIKELY
    ]
    choices = (
        tuple(dict.fromkeys([number.text, *likely]))[:3] if number.value_mm is not None else tuple(likely[:3])
    )
    if len(choices) > 1:
        question = wording.say("is-this", choices=_joined(choices, "or", wording))
    elif choices:
        question = wording.say("is-this-one", choice=choices[0])
    else:
        question = wording.say("what-is-this")
    item = _ITEM_OF.get(number.role, str(number.role))
    place = wording.say("beside", neighbour=neighbour) + " " if neighbour else ""
    return Ask(
        item, question, place + wording.say("is-this-how"), choices=choices, picture=picture, number=index
    )


def _one_each(asks: Sequence[Ask]) -> list[Ask]:
    """Each reading is asked about once, by whatever asks first."""
    seen: dict[object, Ask] = {}
    for position, ask in enumerate(asks):
        seen.setdefault((ask.picture, ask.number) if ask.number is not None else position, ask)
    return list(seen.values())


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
