"""The fold: what was read of a job, and what people said of it, come to its room and to where every item stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.domain.said.heights import heights_in, with_heights
from intake.domain.said.plan_numbers import Numbering, by_people, laid_over, main_sketch, numbering_of
from intake.domain.said.typed_room import evidence_of_heights, evidence_of_room
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.survey.standings import assess
from intake.model.checklist import Checklist, ItemStanding
from intake.model.examination import RoomExamination
from intake.model.picture import Picture
from intake.model.reading import SketchReading
from intake.model.room import RoomSurvey, SectionKind
from intake.model.word import Confirmation, HeightWord, NeedTaken, Statement, TypedRoom, Way, Word


@dataclass(frozen=True)
class Survey:
    """One survey with people's words on it. `read` are the readings as the machine made them, `readings` the same with
    every word on a number laid over it, both by picture id; `pictures` are those that count; `words` are those of the
    mail, then those of the desk, each in order; `title` names the room on its plan."""

    checklist: Checklist
    pictures: tuple[Picture, ...]
    read: Mapping[str, SketchReading]
    words: tuple[Word, ...]
    title: str
    readings: Mapping[str, SketchReading]

    @property
    def sketch(self) -> str:
        """The id of the picture that the room is drawn from; "" where there is none."""
        return main_sketch(self.readings, self.pictures)

    @property
    def plan(self) -> SketchReading | None:
        """The reading that the room is drawn from; None where it was typed or nothing was read."""
        return self.readings[self.sketch] if self.sketch and self.typed is None else None

    @property
    def typed(self) -> TypedRoom | None:
        """The room as a designer typed it, which stands in place of the sketch's."""
        return next((w for w in reversed(self.words) if isinstance(w, TypedRoom)), None)

    @property
    def statements(self) -> tuple[Statement, ...]:
        """What the customer says: by the program's reading of the mail, then by a designer's."""
        written = [w for w in self.words if isinstance(w, Statement)]
        return (*written, *(w.statement for w in self.words if isinstance(w, NeedTaken)))

    def numbering(self, picture: str) -> Numbering:
        """How words call the numbers of one sketch."""
        return numbering_of(picture, self.read[picture], self.words)

    def _told_heights(self) -> tuple[HeightWord, ...]:
        """Those of the mail: of windows and ceilings, then of doors, then what a designer took from its words."""
        written = heights_in([w for w in self.words if isinstance(w, Statement)])
        doors = [w for w in self.words if isinstance(w, HeightWord) and w.way is Way.MAIL]
        taken = heights_in([w.statement for w in self.words if isinstance(w, NeedTaken)])
        # What is of one opening for certain goes first: the rest may then be the others'.
        return tuple(sorted((*written, *doors, *taken), key=lambda height: height.opening is None))

    def _typed_heights(self) -> tuple[HeightWord, ...]:
        """Those that a designer typed for the openings of the sketch that the room is drawn from."""
        if not self.sketch:
            return ()
        numbering = self.numbering(self.sketch)
        typed = [w for w in self.words if isinstance(w, HeightWord) and w.way is Way.DESK]
        return tuple(w for w in typed if w.opening is None or numbering.index(w.opening) is not None)

    def examination(self) -> RoomExamination | None:
        """What the arithmetic says of the room; None where no sketch was read and none was typed."""
        if self.typed is not None:
            return _examined(with_heights(room_from_dict(self.typed.room), self._told_heights()))
        if not self.sketch:
            return None
        reading = self.readings[self.sketch]
        survey = room_from_reading(reading, by_people(reading), self.checklist.room, self.title)
        heights = (*self._told_heights(), *self._typed_heights())
        return _examined(with_heights(survey, heights, self.numbering(self.sketch)))

    def standings(self) -> tuple[ItemStanding, ...]:
        """Where every item stands."""
        examination = self.examination()
        whole = examination.survey if examination and self.typed else None
        return assess(
            self.checklist,
            self.readings,
            self.pictures,
            self.statements,
            examination.findings if examination else (),
            [w for w in self.words if isinstance(w, Confirmation)],
            evidence_of_room(whole, self.checklist) if whole else evidence_of_heights(self._typed_heights()),
            whole is not None,
            examination is not None
            and any(s.kind is SectionKind.WINDOW for w in examination.survey.walls for s in w.sections),
        )


def fold(
    checklist: Checklist,
    pictures: Sequence[Picture],
    read: Mapping[str, SketchReading],
    words: Sequence[Word],
    title: str = "",
) -> Survey:
    """Lay the words over what was read."""
    return Survey(checklist, tuple(pictures), read, tuple(words), title, laid_over(read, words))


@lru_cache(maxsize=128)
def _examined(survey: RoomSurvey) -> RoomExamination:
    """One search for slips serves a page, its plan and its letter."""
    return examine_room(survey)
