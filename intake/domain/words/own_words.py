"""A message's own words: without our requests, however they were quoted, and without its signature."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from intake.domain.words.cues import FOOT, GREETING, LEADS_TO_QUOTED, plain
from intake.domain.words.labels import without_quoting
from intake.domain.words.signature import unsigned
from intake.model.letter import Ask

_GREETED = re.compile(rf"\A({GREETING.pattern}(?<=[,!.:-]))\s+(?=\S)", re.I)
_TOPIC = re.compile(
    r"(?:^|(?<=[.!?\n]\s)|(?<=\n))(?:where(?:'s|\sis|\sare)\s|wo (?:ist|sind)\s)?(?P<topic>(?!(?:do|does|did|is"
    r"|are|can|could|will"
    r"|would|should|shall|what|where|which|who|when|why|how|have|has|any|ist|sind|wo|was"
    r"|kann)\b)[A-Za-zÄÖÜäöü][\w' -]{2,30})"
    r"\?[ \t]+(?=\S)",
    re.I,
)
""" "The meter for the gas? In the porch.": a thing named, and then told of."""


def own_words(
    text: str, asks: Sequence[Ask], says_something: Callable[[str], bool], names: Callable[[str], bool]
) -> str:
    """The own words of `text`, with a thing that is asked after ("The meter? In the porch.") as the name of what
    follows. `says_something` tells whether a line names anything of the survey, `names` whether words name something
    that was asked for."""
    own = FOOT.sub(lambda m: m[0] if says_something(m[0]) else "", without_ours(text, asks)).lstrip()
    own = unsigned(_GREETED.sub(r"\1\n", own, count=1), says_something)
    own = own if own.strip() else text
    return _TOPIC.sub(lambda m: f"{m['topic']}: " if names(m["topic"]) else m[0], own)


def without_ours(text: str, asks: Sequence[Ask]) -> str:
    """`text` without the sentences of our asks, however their lines were wrapped or marked as quoted; a question
    that is answered leaves its number."""
    text = _with_questions(plain(text), asks)
    lines: list[str] = []
    for line in without_quoting(plain(text)).splitlines():
        if not line.lstrip().startswith((">", "|", "\u00a6")):
            lines.append(line)
        elif lines and LEADS_TO_QUOTED.match(lines[-1]):
            lines.pop()
    own = "\n".join(lines)
    for number, ask in enumerate(asks, 1):
        for ours in (ask.question, ask.how, ask.why):
            label = f"\n{number}: " if ours == ask.question else ""
            words = [re.escape(w) for w in plain(ours).split()]
            if len(words) > 2:
                own = re.sub(rf"(?:(?<!\d){number}[.):]\s+)?" + r"[\s>|]+".join(words), label, own)
    return own


def _with_questions(text: str, asks: Sequence[Ask]) -> str:
    """`text` with a question of ours that was quoted without its number given it back."""
    for number, ask in enumerate(asks, 1):
        begins = r"\s+".join(re.escape(w) for w in plain(ask.question).split()[:6])
        text = re.sub(rf"^([ \t]*>[ \t>]*)(?={begins})", rf"\g<1>{number}. ", text, flags=re.M)
    return text
