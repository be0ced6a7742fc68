"""Heights told in words, by the customer or by a designer, put on the opening that they are of."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from intake.domain.lengths.notation import AGREE_MM
from intake.domain.lengths.plausible import DOOR_HEIGHT_MM, LEAST_HEAD_MM
from intake.domain.room.naming import cm
from intake.domain.said.plan_numbers import Numbering
from intake.domain.sketch.room_from_reading import HEIGHT_FIELDS, with_height
from intake.domain.words.clause import Clause, clauses_of
from intake.domain.words.concepts import Concept
from intake.domain.words.cues import elsewhere, is_question, sentences
from intake.domain.words.lexicon import lexicon_of
from intake.domain.words.numbers import reading_of
from intake.domain.words.vocabulary import language_of
from intake.model.checklist import Checklist, RoomKind
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import GivenBy, Role
from intake.model.room import OPENINGS, SECTION_LENGTHS, Measurement, RoomSurvey, Section, SectionKind
from intake.model.word import HeightWord, Statement, StatementKind, Way

ELSEWHERE = -1
"""The index of a number that is on no plan."""

_EVERY = re.compile(r"\b(?:all|both|each|every)\b", re.I)
_DOOR = re.compile(r"\bdoor(?:way|s|ways| ?frame)?\b(?!\s*(?:mat|bell|step|handle|knob|swing))", re.I)
_UP = re.compile(r"\b(?:high|tall|heights?|top|head)\b", re.I)
_NO_MEASUREMENT = (
    Concept.COULD_NOT,
    Concept.HEDGE,
    Concept.HEARSAY,
    Concept.ANOTHER_HOME,
    Concept.CHANGE,
    Concept.DISPUTE,
    Concept.TAKEN_BACK,
)
_WINDOWS = frozenset({SectionKind.WINDOW, SectionKind.OPENING})
_DOORS = OPENINGS - {SectionKind.WINDOW}


def heights_in(said: Sequence[Statement]) -> tuple[HeightWord, ...]:
    """The heights among what the customer's words say; `said` in the order in which it was written. An answer about
    one number of the plan is laid over that number and is none."""
    heights = (Role.CEILING, *HEIGHT_FIELDS)
    return tuple(
        HeightWord(
            Role(s.item),
            s.text,
            s.value_mm,
            s.opening,
            door=_of_door(s.text),
            every=_every(s.text),
            settles=s.settles,
            by=s.by,
            at=s.at,
            way=Way.MAIL,
        )
        for s in said
        if s.kind is StatementKind.VALUE and s.value_mm is not None and s.item in heights and s.number is None
    )


def door_heights(text: str, room: str) -> tuple[HeightWord, ...]:
    """Heights of doors in running text ("the door is 204 high"): no checklist asks for them, a drawing shows them.

    Only a clause that names a door, its height and one length counts; a guess, a question or another room's do not.
    """
    if not _DOOR.search(text):
        return ()
    nothing = lexicon_of(Checklist(RoomKind(room), ()))
    language, found = language_of(text), []
    for sentence in sentences(text):
        whole = Clause(sentence, 0, nothing, language)
        if is_question(sentence) or whole.has(*_NO_MEASUREMENT):
            continue
        for clause in clauses_of(sentence, nothing, language):
            read = [reading_of(v.number, DOOR_HEIGHT_MM) for v in clause.lengths if not (v.apart or v.across)]
            if (
                len(read) != 1
                or not (_of_door(clause.text) and _UP.search(clause.text))
                or elsewhere(clause.text, room)
            ):
                continue
            if read[0].usual and len(read[0].values_mm) == 1 and not clause.unknown:
                every = _every(clause.text)
                found.append(
                    HeightWord(
                        Role.HEAD, sentence, read[0].values_mm[0], door=True, every=every, way=Way.MAIL
                    )
                )
    return tuple(found)


def _of_door(text: str) -> bool:
    return bool(_DOOR.search(text)) and not re.search(r"\bwindow", text, re.I)


def _every(text: str) -> bool:
    return bool(_EVERY.search(text))


def with_heights(
    survey: RoomSurvey, told: Sequence[HeightWord], numbering: Numbering | None = None
) -> RoomSurvey:
    """The survey with each height on its opening, in the order told.

    `numbering` finds the openings that are named by a number of the sketch that the survey is of.
    What was read off the plan stands unless the words settle it. A height that may be of several openings is on none:
    it is kept among the unplaced, with a finding that says so; one of the only sure window beside openings that may
    be windows too is put there as doubtful.
    """
    ceilings = [height for height in told if height.role is Role.CEILING]
    survey = replace(survey, ceilings=_ceilings(survey.ceilings, ceilings))
    for n, height in enumerate(told, 1):
        if height.role is not Role.CEILING:
            survey = _height(survey, height, n, _opening(height, numbering))
    return survey


def _opening(height: HeightWord, numbering: Numbering | None) -> int | None:
    """The index of the number that is the width of its opening; ELSEWHERE where that is no longer on the plan."""
    if height.opening is None:
        return None
    found = numbering.index(height.opening) if numbering else None
    return ELSEWHERE if found is None else found


def _ceilings(given: tuple[Measurement, ...], told: Sequence[HeightWord]) -> tuple[Measurement, ...]:
    """What was settled last, with what the same speaker settled just before; else what was read or typed; else all that
    was told."""
    settled = [height for height in told if height.settles]
    if given and not settled:
        return given
    latest = list(takewhile(lambda height: height.speaker is settled[-1].speaker, reversed(settled)))
    return tuple(
        Measurement(f"ceiling told {n}", height.text, height.value_mm, taken_from=height.speaker)
        for n, height in enumerate(latest[::-1] or told, 1)
    )


def _height(survey: RoomSurvey, height: HeightWord, n: int, opening: int | None) -> RoomSurvey:
    spots = _spots(survey, height, opening)
    sure = [(w, s) for w, s in spots if survey.walls[w].sections[s].kind is not SectionKind.OPENING]
    if len(spots) == 1 or (spots and height.every):
        return _put_on_openings(survey, spots, height, n, certain=True)
    if len(sure) == 1:
        return _put_on_openings(survey, sure, height, n, certain=False)
    if bare := _only_one_without(survey, sure, height):
        return _put_on_openings(survey, bare, height, n, certain=False)
    return _unplaced(survey, height, n, len(spots))


def _only_one_without(
    survey: RoomSurvey, spots: Sequence[tuple[int, int]], height: HeightWord
) -> list[tuple[int, int]]:
    """The one of several openings without such a height, for what was told when we asked, or differs from theirs."""
    name = SECTION_LENGTHS[_field(height)]
    there = {(w, s): getattr(survey.walls[w].sections[s], name) for w, s in spots}
    bare = [spot for spot, measured in there.items() if measured is None]
    known = [m.value_mm for m in there.values() if m is not None and m.value_mm is not None]
    said_again = any(abs(mm - height.value_mm) <= AGREE_MM for mm in known)
    return bare if len(bare) == 1 and known and (height.settles or not said_again) else []


def _spots(survey: RoomSurvey, height: HeightWord, opening: int | None) -> list[tuple[int, int]]:
    """The openings it may be of, as (wall, section)."""
    kinds = OPENINGS if opening is not None else _DOORS if height.door else _WINDOWS
    return [
        (w, s)
        for w, wall in enumerate(survey.walls)
        for s, section in enumerate(wall.sections)
        if section.kind in kinds and opening in (None, section.length.number)
    ]


def _put_on_openings(
    survey: RoomSurvey, spots: Sequence[tuple[int, int]], height: HeightWord, n: int, certain: bool
) -> RoomSurvey:
    for wall, at in spots:
        section = survey.walls[wall].sections[at]
        name = _field(height)
        there: Measurement | None = getattr(section, SECTION_LENGTHS[name])
        if there is None or there.value_mm is None or height.settles:
            survey = _replaced(survey, wall, at, _with(section, name, height, certain))
        elif there.taken_from is not GivenBy.SKETCH and abs(there.value_mm - height.value_mm) > AGREE_MM:
            # Two heights told for one opening that do not agree: both are in doubt.
            doubted = with_height(section, name, replace(there, accepted=False))
            survey = _kept_in_the_table(_replaced(survey, wall, at, doubted), height, n)
    return survey


def _field(height: HeightWord) -> str:
    below = height.role is Role.HEAD and not height.door and height.value_mm < LEAST_HEAD_MM
    return "tall" if below else HEIGHT_FIELDS[height.role]


def _with(section: Section, name: str, height: HeightWord, certain: bool) -> Section:
    there: Measurement | None = getattr(section, SECTION_LENGTHS[name])
    measured = Measurement(
        f"{section.length.id} {name}",
        height.text,
        height.value_mm,
        accepted=certain,
        number=there.number if there else None,
        taken_from=height.speaker,
    )
    return with_height(section, name, measured)


def _replaced(survey: RoomSurvey, wall: int, at: int, section: Section) -> RoomSurvey:
    changed = survey.walls[wall]
    changed = replace(changed, sections=(*changed.sections[:at], section, *changed.sections[at + 1 :]))
    return replace(survey, walls=(*survey.walls[:wall], changed, *survey.walls[wall + 1 :]))


def _unplaced(survey: RoomSurvey, height: HeightWord, n: int, openings: int) -> RoomSurvey:
    what = "door" if height.door else "window"
    why = phrase("of-any-opening", count=openings) if openings else phrase(f"no-{what}-read")
    if height.opening is not None:
        why = phrase("opening-gone")
    text = phrase("height-unplaced", words=height.text, length=cm(height.value_mm), why=why)
    survey = _kept_in_the_table(survey, height, n)
    return replace(survey, findings=(*survey.findings, Finding("height-unplaced", text)))


def _kept_in_the_table(survey: RoomSurvey, height: HeightWord, n: int) -> RoomSurvey:
    """Nothing that was told is lost: what no drawing shows is in the table."""
    kept = Measurement(
        f"{height.role.value} told {n}", height.text, height.value_mm, taken_from=height.speaker
    )
    return replace(survey, unplaced=(*survey.unplaced, kept))
