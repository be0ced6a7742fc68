"""The turns of phrase of short answers: yes, no, none, the second, in the hall."""

from __future__ import annotations

import re

_RIGHT = (
    r"(?:you(?:'ve|'re| have| are)? (?:read |got |have |had )?(?:it |that |this )?(?:right|correctly|correct|spot on)"
    r"|(?:that|it|this|which)(?:'?s| is| was)? (?:right|correct|it|spot on|fine|perfect|the one)|spot on"
    r"|bang on|(?:das )?stimmt(?: so)?"
    r"|(?:(?:das|sie|es) ist |ist )?(?:richtig|korrekt)|(?:the number|number|figure|it) is (?:right|correct)"
    r"|(?:quite )?(?:right|correct)"
    r"|confirmed?|genau|passt)"
)
YES = re.compile(
    r"^\W*(?:(?:ok(?:ay)?|so|well|and)\W+)?(?:yes|yep|yeah|yup|y|aye|indeed|absolutely|agreed"
    r"|it is(?! not)\b(?!.*\d)|ja|jawohl|jep"
    rf"|{_RIGHT})(?![\w'])",
    re.I,
)
CONFIRMED = re.compile(
    rf"\W*(?:(?:so|and|well|ok|okay|yes|yep|yeah|yup|ja|indeed|absolutely)\W+)*{_RIGHT}(?:,? (?:thanks"
    rf"|thank you|danke|indeed))?\W*",
    re.I,
)
""" "Yes, you read it right.": a yes that can only be to what we read."""
NO = re.compile(
    r"^\W*(?:no|nope|nah|wrong|neither|none of (?:them|those|these)|nein|weder|falsch|keins|keine(?:r|s)? von)\b",
    re.I,
)
NOT_QUITE = re.compile(r"^\W*(?:not (?:quite|exactly)|almost|nearly|nicht ganz|fast)\b", re.I)
NONE_AT_ALL = re.compile(
    r"^\W*(?:but\s)?(?:none|no|no (?:gas )?(?:meter|boiler|supply|such thing)(?: here| at all| in (?:the"
    r"|this) (?:house|flat))?|n/?a|nope|nil|not applicable|nein|keine?|keins|gibt es nicht|haben wir nicht|"
    r"(?:we|i) (?:have none|(?:haven't(?: got)?|don't have) (?:one|any))|there (?:is|are)(?:n't"
    r"| not) (?:one|any)|there (?:is|are) none)\W*$",
    re.I,
)
PICKED = re.compile(
    r"^\W*(?:it'?s\s+|it is\s+|es ist\s+|i'?d say\s+)?(?:the\s+|der\s+|die\s+|das\s+)?"
    r"(?:(?P<first>first|1st|former|a|erste[rs]?)|(?P<last>second|2nd|latter|last|b|zweite[rs]?|letzte[rs]?)"
    r"|(?P<small>smaller|lower|shorter|kleinere[rs]?)|(?P<large>larger|bigger|higher|longer|größere[rs]?))"
    r"(?:\s+(?:one|number|figure|of the two|is (?:right|correct)|value|zahl|wert|ist richtig|stimmt))*\W*$",
    re.I,
)
PLACED = re.compile(
    r"^\W*(?:(?:it|that|they|which|(?:the |our |my )?(?:meter|box|unit|tap|one|thing)|er|sie|es|der zähler|die uhr)"
    r"(?:'?s|'re| is| are| was| ist| sind| lives| sits| can be found| hängt| sitzt| befindet sich| steht)\s+)?"
    r"(?:(?:just|right|directly|also|still|is|ist|now|actually|down|up|out|away|hidden|tucked|outside|inside"
    r"|over|somewhere|gleich|direkt)\s+)*"
    r"(?:(?:on )?(?:the )?(?:lhs|rhs|left|right|back|front|rear|side|other side|far side"
    r"|bottom)(?:[- ]hand side| side)? of|in|inside|under|underneath|behind|by|beside|next to|above|below"
    r"|outside|on|at|near|opposite"
    r"|upstairs|downstairs|im|unter|unterm|hinter|neben|"
    r"über|auf|draußen|außen|beim|bei)\b",
    re.I,
)
REST = re.compile(
    r"\b(?:others?|the rest|everything else|remaining|remainder|rest|die anderen|der rest|übrigen)\b", re.I
)
MAYBE = re.compile(
    r"^\W*(?:probably|possibly|maybe|perhaps|(?:i )?think so|should be|must be|could be|likely|presumably"
    r"|wahrscheinlich|vermutlich"
    r"|kann sein|wohl|(?:ich )?glaube?(?: schon| ja)?)\b(?!\s+not)",
    re.I,
)
GUESSED = re.compile(
    r"^\W*(?:(?:i|we) (?:think|believe|guess|reckon|suppose)(?: that)?|probably|maybe|perhaps|possibly"
    r"|ich glaube|wahrscheinlich"
    r"|vermutlich)\W+",
    re.I,
)
SHOULD = re.compile(r"\b(?:should (?:be|read|say)|sollte|müsste)\b", re.I)
ONE_WINDOW = re.compile(
    r"\b(?:first|second|other|left|right|1st|2nd|one|big|small|erstes?|zweites?|linkes?"
    r"|rechtes?)\s(?:hand\s)?(?:window|fenster)\b",
    re.I,
)
LETTERS = re.compile(r"(?:^|(?<=[\s,;(]))(?P<letter>[abc])\s{0,2}[:.)=-]?\s{0,2}(?=\d)", re.I)
