"""Replies in many voices: what is taken from them, what is left to a person, and that nothing is taken wrongly.

The second to fourth table were composed when the grammar stood and scored once before anything was changed for them:
second: 108 replies, 123 facts, 98 right, 16 doubtful, 6 wrong, 10 unreached, 10 of 67 needless; third: 60 replies, 60
facts, 47 right, 5 doubtful, 3 wrong, 6 unreached, 5 of 37 needless; fourth: 40 replies, 44 facts, 34 right, 4 doubtful,
2 wrong, 2 unreached, 3 of 26 needless. The fifth was composed while building. The sixth was composed by somebody who
had not seen the grammar (99 replies, 166 facts) and learned from: before, .66 was understood, 2 wrong, 26 of 75
needless. The seventh, of the same hand as the sixth, was scored once before anything was changed for it: 100 replies,
164 facts, 95 right, 26 doubtful (.74 understood), 4 wrong, 0 unreached, 22 of 76 needless. The eighth was composed
while mending for it. The ninth, of another hand that had not seen the grammar, was scored once when lengths without a
name were first held against what the letter asks for: 120 replies, 404 facts, 220 right, 125 doubtful (.85
understood), 5 wrong, 0 unreached, 17 of 83 needless. The tenth is of whoever mended it, composed before each step and
scored first: 102 replies, 117 facts, .75 understood, 0 wrong, 1 unreached, 15 of 72 needless; talk without facts, 102
replies, 2 unreached, 13 of 60 needless; and 101 replies, 125 facts, .87 understood, 2 wrong, 1 unreached, 11 of 75
needless. So is the eleventh: 85 replies, 134 facts, .90 understood, 1 wrong, 6 unreached, 9 of 57 needless; then 88
replies that invite mistakes, 50 facts, .86 understood, 3 wrong, 9 unreached, 7 of 45 needless; then 60 replies, 103
facts, .93 understood, 1 wrong, 3 unreached, 6 of 39 needless; then 99 of talk without facts, 1 wrong, 12 unreached, 6
of 53 needless (the signs were weighed after that); then 78 of the same, 0 wrong, 5 unreached, 5 of 41 needless. What
stands here is held from then on. A doubtful absence or place counts where it is kept what it means.

The two held tables, each by another stranger, say what replies that nobody learned from may expect. One: 120 replies,
406 facts, .75 understood before the session that built most of this, 0 wrong, 2 unreached, 30 of 83 needless; after
it .93 (258 right, 118 doubtful), 1 wrong, 1 unreached, 19 of 83 needless. Two, scored once: 120 replies, 415 facts, .94
understood (295 right, 96 doubtful), 1 wrong, 2 unreached, 20 of 83 needless. After that, three sentences of them were
mended: what was wrong in one, and what reached nobody but "neither mate, thats an 88", which is taken as said.

The twelfth and the third held table were composed together before any of the grammar had been read, by whoever then
mended it; before: twelfth 125 replies, 243 facts, .91 understood, 2 wrong, 1 unreached, 15 of 79 needless; third held
123 replies, 237 facts, .91 understood, 2 wrong, 2 unreached, 15 of 77 needless, and when all was mended .93 (150 right,
71 doubtful), 2 wrong, 2 unreached, 9 of 77. One of the wrong was a slip of the table (8 feet are 2438 mm); then the
other and the two that reached nobody were mended. The thirteenth and fourteenth, long replies that need nobody, were
scored first: 54 replies, .97 understood, 0 wrong, 23 needless; and 30 replies, .97, 2 wrong, 9 needless.

The fifteenth and sixteenth, of whoever mended it, were scored first: 75 replies, .97 understood, 1 wrong, 1 unreached,
18 of 50 needless; and 58 replies, .95, 1 wrong, 2 unreached, 13 of 34. The seventeenth, of a stranger, was scored once
before anything was changed for it: 80 replies, 144 facts, .96 understood, 1 wrong, 1 unreached, 6 of 45 needless. So
were the eighteenth to the twentieth, of whoever mended it, with more in them that invites mistakes: 46 replies, .94,
4 wrong, 5 unreached, 3 of 21; 32 replies, .96, 0 wrong, 3 unreached, 5 of 17; 41 replies, .93, 1 wrong, 1 unreached, 3
of 17. The fourth held table, of the seventeenth's stranger: 80 replies, 130 facts, .92, 3 wrong, 3 unreached, 8 of 44
needless before the changes that the fifteenth to the nineteenth led to, and .92, 3, 3 and 7 after them; nothing of it
was looked at.

The twenty-first, of another stranger, was scored once before anything was changed for it: 70 replies, 164 facts, .87
understood (106 right, 36 doubtful), 3 wrong, 1 unreached, 8 of 36 needless. The fifth held table is of the same hand:
70 replies, 173 facts, .88 (108 right, 44 doubtful), 2 wrong, 1 unreached, 11 of 37 needless before what the
twenty-first led to, and .88 (110 right, 43 doubtful), 2, 1 and 11 after it; nothing of it was looked at. Two of
its rows, and the beginnings of four failed ones of it and of the fourth, were seen by mistake while answers about
numbers of the plan were mended (tests/work/test_numbers_by_mail.py), and the counts were run some ten times to see
whether a change did harm: two new guards against silence were narrowed as they rose, nothing was mended for a row.
After that: .89 (113 right, 41 doubtful), 2, 1, 11.

The twenty-second, of whoever mended it, is of 58 replies that need nobody, scored first by the grammar of before: 129
facts, .97, 0 wrong, 4 needless; by that of after .98, 0, 5, and with what it led to .98, 0, 3.

The twenty-third, of one more stranger, was scored once before anything was changed for it: 75 replies, 294 facts, .92
understood (220 right, 51 doubtful), 2 wrong, 4 unreached, 5 of 38 needless; with what it led to .99, 0, 0, 1.
The sixth held table is of the same hand: 75 replies, 274 facts, .84 (173 right, 58 doubtful), 5 wrong, 3 unreached,
11 of 37 needless before, and .85 (174 right, 58 doubtful), 5, 3 and 10 after; nothing of it was looked at. On the
counts of the other held tables one change was narrowed that made one reply wrong, and one that called one person more.

The twenty-fourth is an attack on what the twenty-third led to, of whoever then mended it: 102 short replies that invite
mistakes, 28 of them composed after the first 74 had been seen. By the grammar of before: 147 facts, .71 understood (72
right, 32 doubtful), 27 wrong, 30 unreached, 3 of 37 needless; with what it led to .92 (69, 66), 0, 0, 1. The counts of
all other tables stayed as they were.

The twenty-fifth to the twenty-eighth, of four more strangers, 90 replies each, were scored once by the grammar of
before: .94, .89, .91 and .92 understood, 5, 6, 4 and 9 wrong, 3, 4, 4 and 7 unreached, 11 of 51, 8 of 49, 13 of 57
and 15 of 48 needless. Then what the rules suspect was weighed (evidence.py), and each was scored once before anything
was changed for it: the third .92, 3, 4 and 4 of 57, the fourth .93, 6, 5 and 7 of 48. What was learned of them is
classes, not rows. In five rows what could not be measured was a person's, and in the other tables it is asked again:
these five were mended. The seventh held table is of another stranger: 90 replies, 368 facts, .87 (238 right, 82
doubtful), 7 wrong, 2 unreached, 12 of 50 needless before, .88 (239, 85), 5, 2 and 5 of 50 after; nothing of it was
looked at.

The twenty-ninth to the thirty-first, of three more strangers, 100 replies each, were scored once by the grammar of
before: 418, 439 and 363 facts, .95, .92 and .89 understood, 2, 2 and 7 wrong, 4, 3 and 2 unreached, 7 of 59, 12 of 63
and 10 of 62 needless. What was learned of them is classes, not rows: what a no by itself takes back, lengths that their
own words limit, what is somebody else's, places in the letter's order. The eighth held table is of one more stranger:
100 replies, 355 facts, .95 (237 right, 101 doubtful), 3 wrong, 2 unreached, 8 of 62 needless before, and .95 (238,
101), 3, 1 and 7 after; nothing of it was looked at. Of the sixth and seventh, lines of failures were once
printed by mistake before the work began; nothing was mended for a row of them.

The thirty-second is of one more stranger, 100 replies, scored once by the grammar of the thirty-first: 434 facts, .95
understood (311 right, 100 doubtful), 4 wrong, 2 unreached, 1 of 55 needless. Then failures of it were seen: a Scots
"nae", a top below its sill that is no glass either, a hunt that found nothing.

The thirty-third and thirty-fourth are of two more strangers, 60 replies each, scored once by the grammar of the
thirty-second: 194 and 199 facts, .94 and .95 understood (143 right, 40 doubtful; 129, 60), 3 and 1 wrong, 2 and 0
unreached, 5 of 35 and 4 of 36 needless. With what they led to 1.00 and .98, 0, 0, 1 and 0.
The ninth held table is of one more stranger, scored once by the grammar that these led to: 75 replies, 259 facts, .96
(203 right, 46 doubtful), 1 wrong, 1 unreached, 3 of 41 needless; nothing of it was looked at. The counts of the other
held tables stood beside each change: the fourth to the eighth went from .92, .88, .89, .89 and .95 understood to .92,
.90, .90, .92 and .96 and from 5, 8, 8, 6 and 7 needless to 5, 8, 8, 5 and 6, their wrong and unreached stayed.

The thirty-fifth is of one more stranger, scored once by the grammar of held nine: 60 replies, 217 facts, .97
(173 right, 37 doubtful), 1 wrong, 2 unreached, 4 of 32 needless; what is behind these was seen and is not mended yet:
its wrong one, "101, 109, 12" as a sill and a top, is held to be right in some forty rows of other tables.
The tenth held table is of one more stranger, scored once after a review of the grammar was mended for: 75 replies, 261
facts, .92 (167 right, 74 doubtful), 4 wrong, 3 unreached, 4 of 40 needless; nothing of it was looked at.

The thirty-sixth and the eleventh held table are of two more strangers, 90 replies each, scored once by the grammar of
held ten: 353 facts, .93 (229 right, 101 doubtful), 1 wrong, 2 unreached, 3 of 51 needless; 336 facts, .97 (250, 76), 1,
2 and 4 of 49. Then what the rules let pass was weighed too,
and doubts were laid on what stands beside one: held one to ten went from 19 wrong, 13 unreached and 60 of 554 needless
to 15, 8 and 64, with 10 of 2,026 right ones less. What the thirty-sixth led to took it to .94, 0, 1 and 2, and the held
ones nowhere; what still reaches nobody of it takes back the mail before, which is done by itself. Lines of needless
replies of held one, two, four and seven were printed by mistake meanwhile; nothing was mended for a row of them.

Then needless calls of the learned tables were mended by classes (asking for time, apology, courtesy), and what a review
had found to reach nobody; the counts of held two, five, eight, nine and ten chose how far each reaches. Three learned
replies, and one each of held five, eight and nine, are sent to a person since, for a second length that was not taken.

The thirty-seventh and the twelfth held table are of two more strangers, 90 replies each, scored once by the grammar
as it stood then: 282 facts, .92 (199 right, 61 doubtful), 2 wrong, 1 unreached, 8 of 56 needless; 238 facts, .95
(173, 53), 2, 2 and 7 of 55. One wrong of the thirty-seventh was a slip of its author, mended there ("the meter's
outdoors" tells where it is); five of its places are pictures that tell none, and stay missed. With what it led to .93
(201, 63 of 283), 0, 0 and 4; the twelfth held table stayed as it was, nothing of it was looked at. What was learned
is classes: a top hardly above its sill ("98, 107, 11") is in doubt however it is told, which strangers of five tables
hold to be so, and the first, second, fourth, eighth, twenty-third and sixth held table do not: 26 and 7 of their
certain values are doubtful since, with the same lengths. For it the learned tables went from 4 to 0 wrong and from 6
to 3 unreached, the held ones from 18 to 17 and from 12 to 11. A pipe that bursts is a danger since; one reply of the
second held table calls for a person by it, and whether a narrower word would leave it was tried by its count, three
times, and does not.

What can never be told ("I am 84 and do not go up ladders") calls for a person since then, and was asked for again
before: eight rows of six tables say so now, and one and two rows of the first and second held table count as needless.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from intake.checklists import load_checklists
from intake.domain.mail.rhythm import phone_asked, stop_asked
from intake.domain.words.vocabulary import language_of
from intake.domain.words.whole_message import Understood, understand
from intake.model.checklist import RoomKind
from intake.model.letter import Ask
from intake.model.word import Statement, StatementKind

KITCHEN = load_checklists(Path(__file__).parents[2] / "config" / "checklists")[RoomKind.KITCHEN]


def _number(question: str, *choices: str) -> Ask:
    return Ask("wall-sections", question, choices=choices, picture="p", number=3)


_CEILING = Ask("ceiling-height", "Please measure the height from the floor to the ceiling, in two places.")
_WINDOW = Ask("sill-height", "At the window, please measure these, in this order: sill height (a), top of the "
              "window (b) and depth of the window recess (c).", also=("head-height", "reveal-depth"))  # fmt: skip
_SERVICES = Ask("consumer-unit", "Please photograph these, or tell us in a few words where they are: consumer unit, "
                "gas meter, boiler and water main.", also=("gas-meter", "boiler", "water-main"))  # fmt: skip
LETTERS = {
    "A": (
        _number("Is the number in this picture 386.5 or 380.5?", "386.5", "380.5"),
        Ask("reveal-depth", "Please measure how deep the window recess is, from 5 to 30 cm."),
        Ask(
            "gas-meter",
            "Please photograph the gas meter and say where it is - or tell us that there is no gas.",
        ),
        _CEILING,
    ),
    "B": (
        _number("We read the number in this picture as 283.5. Is that right?", "283.5"),
        _WINDOW,
        _SERVICES,
    ),
    "C": (_CEILING,),
    "D": (_number("Is the number in this picture 38 or 83?", "38", "83"),),
    "N": (),
}


class Counts(NamedTuple):
    """Of a table: facts that are right, and that are right or in doubt, at least; replies that are sent to a person
    without need, facts that are wrong, and replies that reach nobody who should see them, at most."""

    right: int
    understood: int
    needless: int
    wrong: int = 0
    unreached: int = 0


TABLES = {
    "first": Counts(113, 133, 0),
    "second": Counts(106, 123, 0),
    "third": Counts(49, 58, 0),
    "fourth": Counts(38, 44, 0),
    "classes": Counts(19, 34, 0),
    "fifth": Counts(137, 148, 0),
    "sixth": Counts(148, 162, 1),
    "seventh": Counts(145, 163, 0),
    "eighth": Counts(285, 341, 1),
    "ninth": Counts(305, 397, 1),
    "tenth": Counts(186, 240, 3),
    "eleventh": Counts(188, 287, 7),
    "twelfth": Counts(177, 240, 0),
    "fifteenth": Counts(139, 171, 3),
    "sixteenth": Counts(91, 129, 1),
    "seventeenth": Counts(114, 142, 2),
    "eighteenth": Counts(79, 108, 1),
    "nineteenth": Counts(82, 95, 0),
    "twentieth": Counts(40, 69, 2),
    "twentyfirst": Counts(127, 164, 2),
    "twentythird": Counts(234, 290, 2),
    "twentyfourth": Counts(73, 139, 2),
    "thirtythird": Counts(153, 194, 0),
    "thirtyfourth": Counts(139, 196, 0),
}
"""As measured (`python -m tests.words.test_replies`): what was learned is not lost again."""


HELD = {
    "held_one": Counts(286, 383, 7),
    "held_two": Counts(306, 397, 12, 0, 1),
    "held_three": Counts(160, 225, 5),
    "held_four": Counts(82, 120, 6, 3, 3),
    "held_five": Counts(118, 156, 8),
    "held_six": Counts(187, 248, 7, 2, 1),
    "held_seven": Counts(256, 337, 7, 2),
    "held_eight": Counts(245, 342, 7, 3, 1),
    "held_nine": Counts(203, 249, 4, 1),
    "held_ten": Counts(167, 241, 4, 4, 2),
    "held_eleven": Counts(249, 327, 4, 0, 1),
    "held_twelve": Counts(173, 226, 7, 2, 2),
    "thirteenth": Counts(180, 234, 1),
    "fourteenth": Counts(92, 119, 0),
    "twentysecond": Counts(102, 128, 2),
    "twentyfifth": Counts(229, 316, 5, 0, 1),
    "twentysixth": Counts(172, 264, 5),
    "twentyseventh": Counts(335, 398, 4),
    "twentyeighth": Counts(246, 365, 8),
    "twentyninth": Counts(312, 406, 3),
    "thirtieth": Counts(283, 415, 7),
    "thirtyfirst": Counts(155, 337, 10),
    "thirtysecond": Counts(316, 418, 2),
    "thirtyfifth": Counts(172, 211, 5, 0, 1),
    "thirtysixth": Counts(228, 332, 2, 0, 1),
    "thirtyseventh": Counts(201, 264, 4),
}
"""As measured, of tables that the grammar did not learn from, and of two of long replies and ten of strangers that it
learned classes from and not yet every row."""


@dataclass(frozen=True)
class Reply:
    letter: str
    person: bool
    facts: tuple[str, ...]
    words: str


@dataclass
class Score:
    facts: int = 0
    right: int = 0
    doubtful: int = 0
    wrong: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    unreached: list[str] = field(default_factory=list)
    needless: list[str] = field(default_factory=list)
    unseen: list[str] = field(default_factory=list)
    replies: int = 0
    without: int = 0
    seconds: float = 0
    """Of the processor, for understanding alone."""

    @property
    def understood(self) -> float:
        return (self.right + self.doubtful) / max(self.facts, 1)

    def __str__(self) -> str:
        return (
            f"{self.replies} replies, {self.facts} facts, {self.right} right, {self.doubtful} doubtful, "
            f"understood {self.understood:.2f}, {len(self.wrong)} wrong, {len(self.unreached)} unreached, "
            f"{len(self.needless)} of {self.without} needless"
        )


def replies(name: str) -> list[Reply]:
    found = []
    for line in (Path(__file__).parent / f"replies_{name}.txt").read_text("utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            letter, person, facts, words = (part.strip() for part in line.split(" | ", 3))
            given = () if facts == "-" else tuple(f.strip() for f in facts.split(","))
            found.append(Reply(letter, person == "y", given, words.replace("\\n", "\n")))
    return found


def facts_of(found: Understood) -> list[str]:
    """What was taken for certain, and what is doubtful with its value, in the table's terms."""
    said: list[Statement] = [*found.statements, *(a.statement for a in found.answers)]
    return list(dict.fromkeys(_fact(s) for s in said))


def _fact(said: Statement) -> str:
    if said.kind is StatementKind.DOUBTFUL and said.means is not None:
        return f"{said.item}=?{'none' if said.means is StatementKind.ABSENCE else said.means.value}"
    if said.kind in (StatementKind.VALUE, StatementKind.DOUBTFUL):
        return f"{said.item}={'?' if said.kind is StatementKind.DOUBTFUL else ''}{said.value_mm}"
    return f"{said.item}={'none' if said.kind is StatementKind.ABSENCE else said.kind.value}"


def score(given: Sequence[Reply]) -> Score:
    total = Score(replies=len(given))
    for reply in given:
        began = time.process_time()
        found = understand(reply.words, LETTERS[reply.letter], KITCHEN, "<m>")
        total.seconds += time.process_time() - began
        facts = facts_of(found)
        certain = [f for f in facts if "?" not in f and not f.endswith(("could-not", "said"))]
        sought = Counter(f.replace("?", "") for f in reply.facts)
        total.facts += len(reply.facts)
        for fact in reply.facts:
            plain = fact.replace("?", "")
            doubt = plain.replace("=", "=?")
            if plain in facts and "?" not in fact:
                total.right += 1
            elif doubt in facts or (plain in facts and "?" not in fact):
                total.doubtful += 1
            else:
                total.missed.append(f"{fact} in {reply.words!r}: {facts}")
        total.wrong += [
            f"{f} from {reply.words!r}"
            for f in certain
            if f not in sought or any(x == f.replace("=", "=?") for x in reply.facts)
        ]
        reached = bool(found.needs or phone_asked(reply.words) or stop_asked(reply.words))
        doubtful = any(
            s.kind is StatementKind.DOUBTFUL
            for s in (*found.statements, *(a.statement for a in found.answers))
        )
        if reply.person and not (reached or doubtful):
            total.unreached.append(reply.words)
        if not reply.person:
            total.without += 1
            if reached:
                total.needless.append(f"{reply.words!r}: {[(n.kind.value, n.text) for n in found.needs]}")
        if not facts and not reached and not found.clauses:
            total.unseen.append(reply.words)
    return total


@cache
def scored(name: str) -> Score:
    return score(replies(name))


@pytest.mark.parametrize("half", TABLES)
def test_nothing_is_taken_wrongly_and_nobody_who_needs_a_person_reaches_none(half: str) -> None:
    total = scored(half)
    assert total.wrong == []
    assert total.unreached == []
    assert total.unseen == []


@pytest.mark.parametrize("half", [*TABLES, *HELD])
def test_replies_are_understood_as_well_as_they_were(half: str) -> None:
    """Also what is in doubt: a length that is no longer offered to the designer is lost as well."""
    held, total = (TABLES | HELD)[half], scored(half)
    assert total.right >= held.right
    assert total.right + total.doubtful >= held.understood
    assert len(total.needless) <= held.needless
    assert len(total.wrong) <= held.wrong
    assert len(total.unreached) <= held.unreached


if __name__ == "__main__":
    import sys

    for name in sys.argv[1:] or [*TABLES, *HELD]:
        table = replies(name)
        done = score(table)
        print(f"{name}: {done}, {1000 * done.seconds / max(done.replies, 1):.1f} ms a reply")
        if german := [r for r in table if language_of(r.words) == "de"]:
            print(f"  in German: {score(german)}")
        for title in ("wrong", "unreached", "missed", "needless", "unseen"):
            for line in getattr(done, title):
                print(f"  {title}: {line}")
