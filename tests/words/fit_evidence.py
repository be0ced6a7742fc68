"""Fit what makes a sentence call for a person: `python -m tests.words.fit_evidence`, about a minute on one core.

Each table of replies that the grammar learns from is left out in turn and scored by what the others teach, which says
what a stranger's replies may expect; then all are fitted, and the weights go to intake/domain/words/evidence_weights.py
(`--report`: they stay as they are). A reply that needs nobody says that none of its sentences calls for a person; one
that needs somebody that one of them does, and which is found in turns (multiple instances). Replies that need a person
because a fact is doubtful or could not be told say nothing of their sentences and are left out.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

import numpy as np
import numpy.typing as npt
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression

from intake.domain.mail.rhythm import phone_asked, stop_asked
from intake.domain.words import waiting
from intake.domain.words.bearing import Held
from intake.domain.words.evidence import LEAST, LIKELY, signs_of
from intake.domain.words.signs import loud
from intake.domain.words.whole_message import _Message
from intake.model.word import StatementKind
from tests.words.test_replies import HELD, KITCHEN, LETTERS, TABLES, Reply, replies

LEARNED = (*TABLES, *(n for n in HELD if not n.startswith("held")))
STRANGERS = (
    "twentyfifth",
    "twentysixth",
    "twentyseventh",
    "twentyeighth",
    "twentyninth",
    "thirtieth",
    "thirtyfirst",
    "thirtyfifth",
    "thirtysixth",
)
"""Tables of strangers whose replies the rules were not mended for when they were suspected of."""
RIDGE = 0.5
OFTEN = 5
"""A sign in fewer sentences tells of one reply alone."""
TURNS = 4
NEVER = 2.0
"""No chance reaches it."""
NETS = (0.3, 0.4, LIKELY, 0.6, 0.7)
NOT_THIS_ONE, ITS_WEIGHT = 0.5, 0.3
"""A sentence of a reply that needs a person, below that share of the likeliest one's chance, is taken for one that does
not, with that weight."""
BARS = (0.0, 0.05, 0.08, 0.1, 0.12, 0.15, 0.2)
TARGET = Path(__file__).parents[2] / "intake" / "domain" / "words" / "evidence_weights.py"
WIDTH = 116


@dataclass(frozen=True)
class Told:
    """A reply: the signs of each sentence, whether the rules suspect it, and whether they let pass some of it;
    `otherwise`: it reaches a person whatever is said of those; `says_nothing`: why it needs a person is not in its
    sentences."""

    table: str
    person: bool
    sentences: tuple[tuple[frozenset[str], bool, bool], ...]
    otherwise: bool
    says_nothing: bool


def told(table: str, reply: Reply) -> Told:
    with patch.object(waiting, "LEAST", 0.0), patch.object(waiting, "LIKELY", NEVER):
        message = _Message(reply.words, LETTERS[reply.letter], KITCHEN, "<m>")
        found = message.read()
    said = [*found.statements, *(a.statement for a in found.answers)]
    held = Held(said, LETTERS[reply.letter], KITCHEN, found.answers)
    sentences, suspects = [], []
    for sentence, need in message.waiting.judged:
        suspect = need in found.needs and need is not None and need.why in waiting.SUSPICIONS
        suspect = suspect and not loud(sentence.reader.whole)
        suspects += [need] if suspect else []
        signs = signs_of(sentence.reader, sentence.said, bool(sentence.ask), held)
        passed = need not in found.needs and any(not t.used for t in sentence.reader.told)
        sentences.append((frozenset(signs), suspect, passed))
    otherwise = (
        any(n not in suspects for n in found.needs)
        or phone_asked(reply.words)
        or stop_asked(reply.words)
        or (reply.person and any(s.kind is StatementKind.DOUBTFUL for s in said))
    )
    doubtful = any("?" in f or f.endswith("could-not") for f in reply.facts)
    return Told(table, reply.person, tuple(sentences), bool(otherwise), reply.person and doubtful)


Weights = dict[str, float]


def fitted(given: Sequence[Told]) -> tuple[float, Weights]:
    """The constant and the weights, rounded as they are written."""
    used = [t for t in given if t.sentences and not t.says_nothing]
    often = Counter(s for t in used for signs, *_ in t.sentences for s in signs)
    known = {s for s, n in often.items() if n >= OFTEN}
    rows = [dict.fromkeys(signs & known, 1) for t in used for signs, *_ in t.sentences]
    reply_of = np.array([n for n, t in enumerate(used) for _ in t.sentences])
    table = DictVectorizer()
    matrix = table.fit_transform(rows)
    needs = np.array([used[n].person for n in reply_of])
    calls, weight = needs.copy(), np.where(needs, 1 / np.bincount(reply_of)[reply_of], 1.0)
    for _ in range(TURNS):
        model = LogisticRegression(C=RIDGE, max_iter=1000).fit(matrix, calls, sample_weight=weight)
        calls, weight = _which_call(model.predict_proba(matrix)[:, 1], reply_of, needs)
    found = dict(zip(table.get_feature_names_out(), model.coef_[0], strict=True))
    return round(float(model.intercept_[0]), 1), {s: w for s, x in found.items() if (w := round(float(x), 1))}


def _which_call(
    chance: npt.NDArray[np.float64], reply_of: npt.NDArray[np.int64], needs: npt.NDArray[np.bool_]
) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.float64]]:
    most = np.zeros(reply_of.max() + 1)
    np.maximum.at(most, reply_of, chance)
    calls = needs & (chance >= NOT_THIS_ONE * most[reply_of])
    return calls, np.where(needs & ~calls, ITS_WEIGHT, 1.0)


def reached(reply: Told, model: tuple[float, Weights], least: float, likely: float = NEVER) -> bool:
    constant, weights = model

    def calls(signs: frozenset[str]) -> float:
        return float(1 / (1 + np.exp(-constant - sum(weights.get(s, 0.0) for s in signs))))

    return reply.otherwise or any(
        (suspect and calls(signs) >= least) or (passed and calls(signs) >= likely)
        for signs, suspect, passed in reply.sentences
    )


def left_out(given: Sequence[Told], tables: Sequence[str]) -> dict[tuple[float, float], tuple[int, int]]:
    """Of replies of the tables, each scored by what the others teach: needless and unreached for each pair of bars."""
    pairs = [*((bar, NEVER) for bar in BARS), *((LEAST, net) for net in NETS)]
    found = dict.fromkeys(pairs, (0, 0))
    for table in tables:
        model = fitted([t for t in given if t.table != table])
        for bar, net in found:
            calls = [(t.person, reached(t, model, bar, net)) for t in given if t.table == table]
            needless, unreached = calls.count((False, True)), calls.count((True, False))
            found[bar, net] = (found[bar, net][0] + needless, found[bar, net][1] + unreached)
    return found


def written(model: tuple[float, Weights]) -> str:
    constant, weights = model
    lines = []
    for weight in sorted({*weights.values()}, reverse=True):
        signs = sorted(s for s, w in weights.items() if w == weight)
        lines.append(f"    {weight}: {_folded(signs)},")
    return "\n".join(
        [
            '"""How much each sign weighs for a sentence to call for a person. Fitted by',
            "`python -m tests.words.fit_evidence`: never edit.",
            "",
            "Words in small letters, the parts that they play in capitals, and how the sentence stands to what was",
            'asked and told with a capital first. Log odds; 0 is any figure."""',
            "",
            f"CONSTANT = {constant}",
            "WEIGHTS: dict[float, str] = {",
            *lines,
            "}",
            "",
        ]
    )


def _folded(signs: list[str]) -> str:
    if len(joined := "|".join(signs)) < WIDTH - 14:
        return f'"{joined}"'
    lines, line = list[str](), ""
    for sign in signs:
        if len(line) + len(sign) > WIDTH - 10:
            lines, line = [*lines, line], ""
        line += f"{sign}|"
    folded = "\n        ".join([*lines, line.rstrip("|")])
    return f'"""\n        {folded}"""'


if __name__ == "__main__":
    every = [told(n, r) for n in LEARNED for r in replies(n)]
    fresh = [n for n in STRANGERS if n in LEARNED]
    for title, tables in (("strangers", fresh), ("others", [n for n in LEARNED if n not in fresh])):
        of = [t for t in every if t.table in tables]
        print(
            f"{title}: {sum(not t.person for t in of)} replies that need nobody, {sum(t.person for t in of)} that do"
        )
        for (bar, net), (needless, unreached) in left_out(every, tables).items():
            caught = "" if net == NEVER else f", caught from {net} on"
            chosen = " <" if (bar, net) == (LEAST, LIKELY) else ""
            print(f"  left below {bar}{caught}: {needless} needless, {unreached} unreached{chosen}")
    if "--report" not in sys.argv:
        TARGET.write_text(written(fitted(every)), encoding="utf-8")
