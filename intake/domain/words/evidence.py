"""Whether a sentence calls for a person, weighed by all that stands in it.

The rules say which sentences may (`calls.py`, `fates.py`). What they suspect is weighed once more here, and so is what
they let pass, for rules are lists of what some customers wrote, and the next one writes otherwise. The weights are of a
logistic model over what a sentence holds: its words, the parts that they play, and how it stands to what was asked and
told. It takes no value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from math import exp, fsum

from intake.domain.words.bearing import Held, held_things
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.evidence_weights import CONSTANT, WEIGHTS
from intake.domain.words.numbers import every_reading
from intake.domain.words.said_of_items import SentenceReader
from intake.model.word import Statement

LEAST = 0.08
"""Chance of calling for a person below which what the rules suspect is left; fitted by
`python -m tests.words.fit_evidence`: one that reaches nobody is as bad as ten needless calls."""
LIKELY = 0.5
"""Chance from which on what no rule suspects is a person's as well; chosen by the counts of held one to ten (so these
are not blind): of 13 replies that reached nobody five do, and five of 494 that need nobody are sent to a person."""
MANY_STRANGE = 3
"""More words than this that no list of ours knows make a clause "Strange" (set by hand; what that weighs is fitted)."""
BRIEF = 4
"""Words of a message below which it is "Brief" (likewise)."""
_TOKEN = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?|\?|!|\d[\d.,]*")
_WEIGHT = {sign: weight for weight, signs in WEIGHTS.items() for sign in "".join(signs.split()).split("|")}


def chance(signs: set[str]) -> float:
    """How likely a sentence with these signs calls for a person."""
    return 1 / (1 + exp(-CONSTANT - fsum(_WEIGHT.get(s, 0.0) for s in signs)))


def signs_of(reader: SentenceReader, said: Sequence[Statement], numbered: bool, held: Held) -> set[str]:
    """What stands in a sentence: its words in small letters, the parts that they play in capitals, and how it stands to
    what was asked and told with a capital first; `numbered`: it answers a request by its number."""
    left = [t.clause for t in reader.told if not t.used]
    judged = left if said and left and not reader.asked else [reader.whole]
    signs = {s for clause in judged for s in _of_clause(clause, reader, held)}
    signs.add("All-used" if said and not left else "Partly-used" if said else "Not-used")
    states = {
        "Question": reader.asked,
        "Nothing-told": not held.answers,
        "All-told": bool(held.asks) and not held.asked - held.items,
        "No-letter": not held.asks,
        "Numbered": numbered,
        "Brief": len(reader.whole.words) < BRIEF,
    }
    return signs | {name for name, holds in states.items() if holds}


def _of_clause(clause: Clause, reader: SentenceReader, held: Held) -> Iterator[str]:
    yield from (c.name for c in clause.parts if c is not C.KNOWN)
    yield from (c.name for w in clause.apart for c in w.concepts)
    yield from ("0" if w[0].isdigit() else w for w in _TOKEN.findall(clause.text.lower()))
    named = held_things(clause, reader)
    loose = [v for v in clause.lengths if not every_reading(v.number) & held.lengths]
    if named & held.asked - held.items:
        yield "Names-untold"
    elif named & held.items:
        yield "Names-told"
    elif clause.mentions:
        yield "Names-other"
    if clause.lengths:
        yield "Other-length" if loose else "Told-length"
    if any(held.may_be_untold(v) for v in loose):
        yield "Untold-length"
    if len(clause.unknown) > MANY_STRANGE:
        yield "Strange"
    if 2 * len(clause.unknown) >= len(clause.words):
        yield "Foreign"
