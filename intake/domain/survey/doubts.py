"""The questions to a customer about what came but is in doubt: a room that does not close, lengths that clash or are
unusual, numbers that cannot be read for certain."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from intake.domain.lengths.notation import format_cm, parse_length, split_label
from intake.domain.room.beside import stands_beside
from intake.domain.room.phrases import SIDE
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.sketch.settled import is_open_what_it_measures
from intake.domain.survey.phrasing import ask_for, joined, offered, small
from intake.domain.survey.standings import Readings, clash_of
from intake.domain.words.numbers import numbers
from intake.model.checklist import (
    ChecklistItem,
    EvidenceKind,
    ItemEvidence,
    ItemStanding,
    ItemState,
    RoomKind,
)
from intake.model.examination import RoomExamination, Slip
from intake.model.letter import Ask
from intake.model.reading import Direction, ReadNumber, Role, SketchReading
from intake.model.room import RoomSurvey
from intake.model.wording import Wording

LIKELY = 0.03
"""An alternative less likely than this is not offered."""
MOST_CHOICES = 3
"""Texts that a customer is asked to choose from at most (set by hand)."""

_ON_WALLS = frozenset({Role.SECTION, Role.OVERALL, Role.OPENING})
_ROLE_ORDER = (Role.CEILING, Role.SECTION, Role.OVERALL, Role.OPENING, Role.SILL, Role.HEAD, Role.REVEAL)
_ITEM_OF = {Role.SECTION: "wall-sections", Role.OPENING: "openings"}


def doubts_of(
    standings: Sequence[ItemStanding],
    readings: Readings,
    main: str,
    wording: Wording,
    examination: RoomExamination | None = None,
) -> list[Ask]:
    """The questions about doubtful lengths, most telling first, each reading asked about once.

    `main` is the picture that the room is drawn from. While a number on a wall is not certain, a room that does not
    close is no reason to send the customer back to the wall: the reading is asked about instead.
    """
    asks = _closing(readings.get(main), main, examination, wording)
    asks += [a for s in standings if (a := _clash(s, readings, wording)) is not None]
    asks += _unread(readings, wording)
    seen: dict[object, Ask] = {}
    for position, ask in enumerate(asks):
        seen.setdefault((ask.picture, ask.number) if ask.number is not None else position, ask)
    rooms = {
        p: _room(p, main, readings, examination) for p in {a.picture for a in seen.values() if a.picture}
    }
    return [
        ask if ask.number is None else replace(ask, beside=stands_beside(rooms[ask.picture], ask.number))
        for ask in seen.values()
    ]


def _room(picture: str, main: str, readings: Readings, examination: RoomExamination | None) -> RoomSurvey:
    """The room of a plan as it is known; of one beside the main one as it was read."""
    if examination is not None and picture == main:
        return examination.survey
    return room_from_reading(
        readings[picture], kind=examination.survey.kind if examination else RoomKind.UNKNOWN
    )


def _closing(
    reading: SketchReading | None, picture: str, examination: RoomExamination | None, wording: Wording
) -> list[Ask]:
    """The likeliest slip of a room that does not close; else what to measure to find it."""
    if examination is None or examination.closes is not False:
        return []
    slip = next(iter(examination.slips), None)
    if reading and any(not n.accepted and n.role in _ON_WALLS for n in reading.numbers):
        if slip is None or slip.number is None or reading.numbers[slip.number].accepted:
            return []
        return [_with_slip(_which(picture, slip.number, reading, wording), slip, reading.unit, wording)]
    how, unit = wording.say("measure-again-how"), reading.unit if reading else "cm"
    if slip is None:
        measure = next(iter(examination.next_measures), None)
        question = wording.worded(measure.question) if measure else wording.say("does-not-add-up")
        return [Ask("wall-sections", question, how, drawing="sections")]
    return [
        Ask(
            "wall-sections",
            wording.worded(slip.question),
            how,
            choices=tuple(offered(v, unit) for v in (slip.read_mm, slip.would_be_mm) if v is not None),
            drawing="sections",
            picture=picture,
            number=slip.number,
        )
    ]


def _with_slip(ask: Ask, slip: Slip, unit: str, wording: Wording) -> Ask:
    """The question what a number says, with what would make the room close among its choices."""
    if slip.would_be_mm is None:
        return ask
    choices = tuple(dict.fromkeys([*ask.choices[: MOST_CHOICES - 1], offered(slip.would_be_mm, unit)]))
    if len(choices) < 2:
        return ask
    return replace(
        ask, choices=choices, question=wording.say("is-this", choices=joined(choices, "or", wording))
    )


def _clash(standing: ItemStanding, readings: Readings, wording: Wording) -> Ask | None:
    """A length that was typed as a guess, is at odds with the plan, or is read surely and yet unusual."""
    item = standing.item
    if standing.state is not ItemState.DOUBTFUL or not item.range_mm or not item.blocking:
        return None
    title, base = small(wording.of(item, "title"), wording), ask_for(item, wording)
    if pair := clash_of(item, standing.evidence):
        first, last = (format_cm(v) for v in sorted(e.value_mm or 0 for e in pair))
        question = wording.say("two-values", title=title, first=first, last=last)
        return replace(base, question=question, choices=(first, last))
    if odd := next((e for e in standing.evidence if _surely_unusual(e, item, readings)), None):
        question = wording.say("out-of-range", title=title, value=format_cm(odd.value_mm or 0))
        return replace(base, question=question, picture=odd.picture, number=odd.number)
    guess = next((e for e in standing.evidence if e.doubt and e.kind is EvidenceKind.WORDS), None)
    if (
        guess is None
        or tells_no_length(standing)
        or any(not e.doubt and e.value_mm is not None for e in standing.evidence)
    ):
        return None
    text = guess.words
    meant = _meant(guess, text, item)
    if len(meant) == 1:
        question = wording.say("typed-one", text=text, title=title, choice=meant[0])
        return replace(base, question=question, choices=meant)
    return replace(base, question=wording.say("typed-unsure", text=text, title=title), choices=meant)


def tells_no_length(standing: ItemStanding) -> bool:
    """Whether all that is doubtful about a length are words without one ("no window, I think"): there is no figure to
    ask about, the length itself is asked for."""
    doubtful = standing.state is ItemState.DOUBTFUL and standing.item.range_mm is not None
    return doubtful and all(
        e.kind is EvidenceKind.WORDS and e.value_mm is None and not numbers(e.words)[0]
        for e in standing.evidence
    )


def _meant(guess: ItemEvidence, text: str, item: ChecklistItem) -> tuple[str, ...]:
    """What a doubtful typed length may mean, in centimetres: as written, else in metres or millimetres where only that
    is usual ("ceiling height 2.36"). It is offered, never taken."""
    if guess.value_mm and not _outside(guess, item):
        return (format_cm(guess.value_mm),)
    low, high = item.range_mm or (0, 0)
    found = {
        v for n in numbers(text)[0] for unit in ("m", "mm") if (v := parse_length(n.text, unit)) is not None
    }
    return tuple(format_cm(v) for v in sorted(v for v in found if low <= v <= high))


def _surely_unusual(evidence: ItemEvidence, item: ChecklistItem, readings: Readings) -> bool:
    if evidence.kind is not EvidenceKind.NUMBER or evidence.number is None or not _outside(evidence, item):
        return False
    return readings[evidence.picture].numbers[evidence.number].accepted


def _outside(evidence: ItemEvidence, item: ChecklistItem) -> bool:
    low, high = item.range_mm or (0, 0)
    return evidence.value_mm is not None and not low <= evidence.value_mm <= high


def _unread(readings: Readings, wording: Wording) -> list[Ask]:
    """The numbers that are not certain: first those with a real choice, then those that the design rests on."""
    doubtful = [
        (picture, index, reading)
        for picture, reading in readings.items()
        for index, number in enumerate(reading.numbers)
        if (not number.accepted and number.role in _ROLE_ORDER) or is_open_what_it_measures(number)
    ]

    def weight(found: tuple[str, int, SketchReading]) -> tuple[bool, int, float]:
        number = found[2].numbers[found[1]]
        role = Role.SECTION if is_open_what_it_measures(number) else number.role
        return len(_choices(number, found[2].unit)) < 2, _ROLE_ORDER.index(role), -number.confidence

    return [
        _which(picture, index, reading, wording) for picture, index, reading in sorted(doubtful, key=weight)
    ]


def _choices(number: ReadNumber, unit: str) -> tuple[str, ...]:
    """What the ink may say, likeliest first, without its label; one choice a length, however it is written, and each
    such that it says the same to somebody who takes bare numbers for centimetres."""
    ranked = sorted(number.alternatives, key=lambda a: -a.confidence)
    likely = [a.text for a in ranked if a.confidence >= LIKELY]
    texts = [number.text, *likely] if number.value_mm is not None else likely
    by_length: dict[object, str] = {}
    for text in (split_label(text)[1] or text for text in texts):
        by_length.setdefault(parse_length(text, unit) or text, _with_unit(text, unit))
    return tuple(by_length.values())[:MOST_CHOICES]


def _with_unit(text: str, unit: str) -> str:
    """ "2840 mm" on a plan in millimetres; "284" on one in centimetres, and what says its unit itself as it is."""
    value = parse_length(text, unit)
    named = f"{text} {unit}"
    return (
        named
        if value not in (None, parse_length(text, "cm")) and parse_length(named, "cm") == value
        else text
    )


def _which(picture: str, index: int, reading: SketchReading, wording: Wording) -> Ask:
    """What does this ink say?"""
    number = reading.numbers[index]
    choices = _choices(number, reading.unit)
    if is_open_what_it_measures(number) and len(choices) == 1:
        question, how = (
            wording.say("what-it-measures", choice=choices[0]),
            wording.say("what-it-measures-how"),
        )
        return Ask("wall-sections", question, how, picture=picture, number=index, measures=True)
    if len(choices) > 1:
        question = wording.say("is-this", choices=joined(choices, "or", wording))
    else:
        question = wording.say("is-this-one", choice=choices[0]) if choices else wording.say("what-is-this")
    how = wording.say("is-this-how" if choices else "what-is-this-how")
    item = _ITEM_OF.get(number.role, str(number.role))
    place = _place(reading, number, wording)
    return Ask(item, question, f"{place} {how}".strip(), choices=choices, picture=picture, number=index)


def _place(reading: SketchReading, number: ReadNumber, wording: Wording) -> str:
    """Where a number stands on the customer's own plan: by which wall, as they drew it, and next to what; "" where
    neither is known."""
    neighbour, side = _neighbour(reading, number), _side(reading, number, wording)
    keys = {(False, True): "beside", (True, False): "by-wall", (True, True): "by-wall-beside"}
    key = keys.get((bool(side), bool(neighbour)))
    return wording.say(key, side=side, neighbour=neighbour) if key else ""


def _side(reading: SketchReading, number: ReadNumber, wording: Wording) -> str:
    """On which side of the page the wall is that it measures, where no other runs that way; else ""."""
    walls = reading.outline.walls
    own = next((w for w in walls if w.wall == number.wall and number.role in _ON_WALLS), None)
    if (
        own is None
        or own.direction is Direction.OTHER
        or sum(w.direction is own.direction for w in walls) > 1
    ):
        return ""
    return wording.say(SIDE[own.direction])


def _neighbour(reading: SketchReading, number: ReadNumber) -> str:
    """The sure number that stands nearest on the plan, so that the customer finds the place; "" for none."""
    sure = [n for n in reading.numbers if n.accepted and n.value_mm is not None]
    return min(sure, key=lambda n: math.dist(_middle(n), _middle(number))).text if sure else ""


def _middle(number: ReadNumber) -> tuple[float, float]:
    return sum(x for x, _ in number.box) / 4, sum(y for _, y in number.box) / 4
