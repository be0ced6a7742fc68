"""Faults that change nothing that anybody could see, found when no test noticed them; each with the reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Explained:
    """The line, without the blanks round it, and what it becomes."""

    line: str
    becomes: str
    why: str


_PAPER = '_PAPER = ((0.6, "mostly even and pale"), (0.25, "partly even and pale"), '
EXPLAINED: Mapping[str, tuple[Explained, ...]] = {
    "pictures/coverage.py": (
        Explained("if len(piece) > 1:", "if len(piece) > 0:", "a piece is empty or of two at least"),
        *(
            Explained("placed = {piece[0]: 0.0}", becomes, "only the turns between directions count")
            for becomes in (
                "placed = {piece[0]: 1.0}",
                "placed = {piece[0]: -1.0}",
                "placed = {piece[ 1]: 0.0}",
                "placed = {piece[ -1]: 0.0}",
            )
        ),
    ),
    "pictures/quality.py": tuple(
        Explained(
            'edge, height = facts.extra.get("stroke_edge", 0), facts.extra.get("mark_height", 0)',
            f'edge, height = facts.extra.get("stroke_edge", {edge}), facts.extra.get("mark_height", {height})',
            "an edge of one pixel is as sharp as can be, and writing of one is lower than any blur tells by",
        )
        for edge, height in (("1", "0"), (" -1", "0"), ("0", "1"), ("0", " -1"))
    ),
    "said/heights.py": (
        Explained("ELSEWHERE = -1", "ELSEWHERE = - 2", "no number of a plan has either"),
        Explained(
            "Role.HEAD, sentence, read[0].values_mm[0], door=True, every=every, way=Way.MAIL",
            "Role.HEAD, sentence, read[ -1].values_mm[0], door=True, every=every, way=Way.MAIL",
            "there is one reading here",
        ),
        Explained(
            "if read[0].usual and len(read[0].values_mm) == 1 and not clause.unknown:",
            "if read[0].usual and len(read[ -1].values_mm) == 1 and not clause.unknown:",
            "there is one reading here",
        ),
    ),
    "said/plan_numbers.py": (
        Explained(
            "if not (word.not_a_number and any(w.number == word.number and w.says for w in words[n + 1 :]))",
            "if not (word.not_a_number and any(w.number == word.number and w.says for w in words[n + 0 :]))",
            "a word that it is no number says nothing itself",
        ),
    ),
    "room/adjusting.py": (
        Explained(
            "redundancy = np.clip(np.diag(residual_cofactor) * weights, 0.0, 1.0)",
            "redundancy = np.clip(np.diag(residual_cofactor) * weights, -1.0, 1.0)",
            "below 0 it is by rounding alone, and so small counts as unchecked",
        ),
        *(
            Explained(f"{name}=0.0,", f"{name}={value},", "both are added up anew once the parts stand in it")
            for name in ("sum_of_squares", "freedom")
            for value in (" -1.0", " 1.0")
        ),
    ),
    "room/catalogue.py": (
        Explained(
            "z = math.log(max(value, 1.0) / usual.middle_mm) / usual.spread",
            "z = math.log(max(value, 2.0) / usual.middle_mm) / usual.spread",
            "no length of a plan is a millimetre",
        ),
    ),
    "room/changes.py": tuple(
        Explained(
            "size: float = 0.0", f"size: float = {n}", "where no size is given, what fits best is taken"
        )
        for n in ("-1.0", "1.0")
    ),
    "room/room_edit.py": (
        Explained(
            "if left < 0 or wide <= 0 or (rest is not None and rest < 0):",
            "if left < -1 or wide <= 0 or (rest is not None and rest < 0):",
            "no length that is typed is below 0",
        ),
    ),
    "room/soundness.py": (
        Explained(
            "sides = [(corners[i], corners[(i + 1) % count]) for i in range(count)]",
            "sides = [(corners[i], corners[(i - 1) % count]) for i in range(count)]",
            "the same sides, each from its other end, one further on",
        ),
    ),
    "room/posterior.py": (
        Explained(
            "if share / total > SHARE_KEPT / MOST_KEPT",
            "if share * total > SHARE_KEPT / MOST_KEPT",
            "the total is 1 at least, and the limit only spares work",
        ),
    ),
    "pictures/subject.py": (
        Explained(
            f'{_PAPER}(0.0, "little of it even and pale"))',
            f'{_PAPER}( -1.0, "little of it even and pale"))',
            "no share is below 0",
        ),
    ),
    "sketch/drawn_openings.py": (
        Explained(
            "return wall is not None and any( => "
            "0 < _most(n, reading.unit) < LEAST_OPENING_MM and feature_at(n, along(wall, n), [feature]) is feature",
            "return wall is not None and any( 1 < _most(n, reading.unit) < LEAST_OPENING_MM"
            " and feature_at(n, along(wall, n), [feature]) is feature",
            "no length of a plan is a millimetre",
        ),
    ),
    "sketch/diagonals.py": (
        Explained(
            "return abs((_turn(number.box[0], number.box[1]) + 90.0) % 180.0 - 90.0) < 10.0",
            "return abs((_turn(number.box[0], number.box[1]) - 90.0) % 180.0 - 90.0) < 10.0",
            "the two differ by half a turn",
        ),
    ),
    "sketch/written_slips.py": (
        *(
            Explained(
                "NOTHING_MEANT: Meant = np.empty((3, 0))",
                f"NOTHING_MEANT: Meant = np.empty(( {rows}, 0))",
                "what means nothing is never laid beside what means something",
            )
            for rows in (2, 4)
        ),
    ),
    "sketch/meaning.py": (
        Explained(
            "MOST_TEXTS, MOST_MEANINGS = 5, 24",
            "MOST_TEXTS, MOST_MEANINGS = 6, 24",
            "the limit only spares work: one text more is looked at",
        ),
    ),
    "sketch/search.py": tuple(
        Explained(
            "shaken = set(unsure[start % 5 :: 5])",
            f"shaken = set(unsure[start % {n} :: 5])",
            "any fifth of the numbers is as good to shake",
        )
        for n in (4, 6)
    ),
    "sketch/sums.py": (
        Explained(
            "_AT_ODDS, _REACHED, _HOPELESS = 3.0, 25.0, 12.0",
            "_AT_ODDS, _REACHED, _HOPELESS = 2.0, 25.0, 12.0",
            "the limit only spares work: more slips are thought of",
        ),
    ),
    "sketch/states.py": (
        Explained("log = 0.0", "log = 1.0", "states are weighed against one another alone"),
    ),
    "words/allotment.py": tuple(
        Explained(
            "yield _Left(clause, length, text[start : places[at][0]], text[places[at][1] : end])",
            f"yield _Left(clause, length, text[start : places[at][ {n}]], text[places[at][1] : end])",
            "a length itself holds no word that points to a thing",
        )
        for n in (1, -1)
    ),
    "words/clause.py": tuple(
        Explained(
            "found = (in_place(w, self.text, self._numbers[0], bool(self.mentions)) for w in changes(self.text))",
            f"found = (in_place(w, self.text, self._numbers[ {n}], bool(self.mentions)) for w in changes(self.text))",
            "what says of a change alone plays no part that the numbers beside it decide",
        )
        for n in (-1, 1)
    ),
    "words/said_of_items.py": (
        Explained(
            "told_to = max((v.end for v in clause.lengths if v.end <= cue[0]), default=0)",
            "told_to = max((v.end for v in clause.lengths if v.end <= cue[0]), default= -1)",
            "no mention ends at 0 or begins before it",
        ),
    ),
    "survey/asking.py": (
        Explained(
            "if len(asks) < MOST_DOUBTS:",
            "if len(asks) <= MOST_DOUBTS:",
            "where no place is left, none of the optional ones is taken",
        ),
    ),
}
"""By file of the domain."""
