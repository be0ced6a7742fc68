"""What nobody has told of a room's openings, for a designer to settle with one look: which kind one is of, which one is
the way in, which one is the window whose heights were told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.domain.room.phrases import wall_phrase
from intake.domain.room.ways_in import NO_WAY_IN
from intake.domain.sketch.drawn_openings import WAY_IN_TAKEN
from intake.domain.survey.phrasing import written
from intake.model.checklist import ItemStanding, ItemState
from intake.model.examination import RoomExamination
from intake.model.letter import Ask
from intake.model.phrase import Phrase, phrase
from intake.model.reading import Hinge, Role, SketchReading
from intake.model.room import RoomSurvey, Section, SectionKind
from intake.model.wording import Wording


class OpeningDoubtKind(StrEnum):
    """What is not told."""

    UNTOLD = "opening-untold"
    """Whether an opening is a window, a door, an open doorway or plain wall."""
    WAY_IN = "way-in-unsure"
    """Whether what looks like a window, and was taken for the only door, is one."""
    NO_WAY_IN = "way-in-unknown"
    """Where the door is: none is known."""
    NO_WINDOW = "window-unknown"
    """Where the window is whose heights were told: none is known."""


_Place = tuple[int, int]
"""A wall of the room and one of its sections."""

MAY_BE = {
    OpeningDoubtKind.UNTOLD: (SectionKind.WINDOW, SectionKind.DOOR, SectionKind.DOORWAY, SectionKind.WALL),
    OpeningDoubtKind.WAY_IN: (SectionKind.DOOR, SectionKind.DOORWAY, SectionKind.WINDOW),
    OpeningDoubtKind.NO_WAY_IN: (SectionKind.DOOR, SectionKind.DOORWAY),
    OpeningDoubtKind.NO_WINDOW: (SectionKind.WINDOW,),
}
"""What each of the places may be said to be."""
_WHICH_KIND = (OpeningDoubtKind.UNTOLD, OpeningDoubtKind.WAY_IN)
_WAYS_IN = (SectionKind.DOOR, SectionKind.DOORWAY)
_ITEM_OF = {OpeningDoubtKind.NO_WAY_IN: "openings", OpeningDoubtKind.NO_WINDOW: "sill-height"}
"""The item by which a designer says that there is none."""


@dataclass(frozen=True)
class OpeningDoubt:
    """One thing that is not told; `places` are the openings that it may be about."""

    kind: OpeningDoubtKind
    places: tuple[_Place, ...] = ()


def openings_in_doubt(
    examination: RoomExamination | None, plan: SketchReading | None, standings: Sequence[ItemStanding]
) -> tuple[OpeningDoubt, ...]:
    """What is not told of the openings of a room, read off `plan` or, where that is None, typed: of a typed room only
    which kind an opening is of. A designer's word on doors and windows, or on the sill, says that there is none."""
    if examination is None or not examination.survey.walls:
        return ()
    room, codes = examination.survey, {f.code for f in (*examination.findings, *examination.notes)}
    found = [OpeningDoubt(OpeningDoubtKind.UNTOLD, (place,)) for place in _of_kind(room, SectionKind.OPENING)]
    if plan is None:
        return tuple(found)
    if WAY_IN_TAKEN in codes and (doors := tuple(_of_kind(room, *_WAYS_IN))):
        found.append(OpeningDoubt(OpeningDoubtKind.WAY_IN, doors))
    windows, may_be_one = [*_of_kind(room, SectionKind.WINDOW)], bool(found)
    if NO_WAY_IN in codes:
        found.append(
            OpeningDoubt(
                OpeningDoubtKind.NO_WAY_IN, tuple(p for p in windows if section_at(room, p).sill is None)
            )
        )
    if not (windows or may_be_one) and _tells_of_a_window(examination, plan):
        unhung = tuple(
            p for p in _of_kind(room, *_WAYS_IN) if section_at(room, p).swing.hinge is Hinge.UNTOLD
        )
        found.append(OpeningDoubt(OpeningDoubtKind.NO_WINDOW, unhung))
    settled = {s.item.id for s in standings if s.state in (ItemState.CONFIRMED, ItemState.NOT_APPLICABLE)}
    return tuple(u for u in found if _ITEM_OF.get(u.kind) not in settled)


def _of_kind(room: RoomSurvey, *kinds: SectionKind) -> Iterator[_Place]:
    for w, wall in enumerate(room.walls):
        yield from ((w, n) for n, section in enumerate(wall.sections) if section.kind in kinds)


def section_at(room: RoomSurvey, place: _Place) -> Section:
    """The section of a room at a place."""
    return room.walls[place[0]].sections[place[1]]


def _tells_of_a_window(examination: RoomExamination, plan: SketchReading) -> bool:
    """Whether a sill's height stands on the plan, or a window's height was told and is on no opening."""
    on_plan = any(n.role is Role.SILL for n in plan.numbers)
    return on_plan or any(f.text.gap("why") == phrase("no-window-read") for f in examination.findings)


def said_of(room: RoomSurvey, one: OpeningDoubt) -> Phrase:
    """What is not told, for a designer: of the opening by its name on the plan."""
    tags, letters = room.opening_tags(), [wall.letter for wall in room.walls]
    named = [phrase("opening-on-wall", tag=tags[w, n], wall=letters[w]) for w, n in one.places[:1]]
    return phrase(one.kind.value, opening=named[0] if named else "")


def asks_about(
    room: RoomSurvey, open_: Sequence[OpeningDoubt], picture: str, unit: str, wording: Wording
) -> list[Ask]:
    """The questions to the customer about what no designer has settled of the plan on `picture`. Of what turns out to
    be a window the next letter asks the heights: told here, nobody could be sure whether they are this window's."""
    asks = []
    for one in open_:
        if one.kind in _WHICH_KIND:
            if not _without_width(room, one):
                asks.append(_which_kind(room, one.places[0], picture, unit, wording))
        else:
            how = wording.say(f"{one.kind}-how")
            asks.append(Ask("openings", wording.say(one.kind), how, drawing="opening"))
    return asks


def lacks_a_width(room: RoomSurvey, open_: Sequence[OpeningDoubt]) -> bool:
    """Whether the width of one of which the kind is open was not read: what it is, is asked with its width, as a letter
    tells openings apart by their widths."""
    return any(one.kind in _WHICH_KIND and _without_width(room, one) for one in open_)


def _without_width(room: RoomSurvey, one: OpeningDoubt) -> bool:
    return section_at(room, one.places[0]).length.number is None


def _which_kind(room: RoomSurvey, place: _Place, picture: str, unit: str, wording: Wording) -> Ask:
    length = section_at(room, place).length
    wide = "" if length.value_mm is None else written(length.value_mm, unit)
    wall = wording.worded(wall_phrase(room, room.walls[place[0]]))
    question = wording.say("opening-untold-wide" if wide else "opening-untold", wall=wall, width=wide)
    how = wording.say("opening-untold-how")
    return Ask("openings", question, how, picture=picture, opening=length.number)
