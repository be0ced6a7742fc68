"""What stands under a closing line: a name, an address, a telephone. It is no answer."""

from __future__ import annotations

import re
from collections.abc import Callable

from intake.domain.words.cues import CUT, DISCLAIMS, GREETING
from intake.domain.words.spelled import tells_a_number

CLOSING = re.compile(
    r"^\W*(?:(?:with|many|kind|kindest|best|warm|warmest|all|very)\s)*(?:regards|wishes|thanks|thank you"
    r"|cheers|ta|yours|sincerely|best|love|the best"
    r"|yours (?:sincerely|faithfully|truly|ever)|speak soon|see you soon|mfg|lg|vg|danke|vielen dank|besten dank"
    r"|(?:mit\s)?(?:freundlichen?|vielen?|lieben?|besten?|herzlichen?|schönen?)\sgr(?:ü|ue)(?:ß|ss)en?|gr(?:ü"
    r"|ue)(?:ß|ss)e|gruß)"
    r"(?:\s(?:for|again|in advance|and|und|aus|from)\b[^.\d]{0,40})?[\s,.!]*$",
    re.I,
)
_DELIMITER = re.compile(r"^--\s?$")
"""RFC 3676 4.3 (from memory): the line above a signature."""
_SENT_FROM = re.compile(
    r"^\W{0,4}(?:sent (?:from|with|via|by) (?:my|an?|the|outlook|yahoo|samsung|mail|gmx|aol|proton\w*|iphone|ipad"
    r"|android)\b"
    r"|get outlook for|gesendet (?:von|mit|aus)\b|von meinem \w+ gesendet|virus-?free|scanned by|diese nachricht wurde"
    r"|from my (?:iphone|ipad|phone|mobile))",
    re.I,
)
""" "Sent from my iPhone": a line that a program puts under every letter."""
_REACHED_AT = re.compile(
    r"@|\bwww\.|https?:|\b(?:tel|phone|mob|mobile|fax|telefon|handy|mobil)\b\.?:?\s*[+(\d]|^\W*\+?\(?0[\d ()/-]{8,}$",
    re.I,
)
_IDENTITY = re.compile(
    r"^[A-ZÄÖÜ][\w.'’-]*(?:[\s,|&/–-]+(?:and|und|of|the|von|van|de|für|for|at|[A-ZÄÖÜ][\w.'’-]*"
    r"|\d{1,4}[A-Za-z]?|[A-Z]{1,2}\d{1,2}\s\d[A-Z]{2}))*[\s,.]*$"
    r"|^\d{1,4}[A-Za-z]?,?(?:[\s,]+(?:(?!I\b)[A-ZÄÖÜ][\w.'’-]*|of|the|on|upon|under|in|and"
    r"|[A-Z]{1,2}\d{1,2}\s\d[A-Z]{2}))+[\s,.]*$"
    r"|^\d{5}\s[A-ZÄÖÜ][\w.-]*$"
)
_ANSWER = re.compile(r"^\W*(?:\d{1,2}\s?[:.)=]|p\.?\s?p?\.?\s?s\b)", re.I)


def unsigned(text: str, says_something: Callable[[str], bool]) -> str:
    """`text` without the names, addresses and telephones under its closing line, which stands under other words.

    `says_something` tells whether a line names anything of the survey. What follows a "-- " goes whole, up to a
    quotation or a numbered answer.
    """
    kept: list[str] = []
    closed = cut = said = False
    lines = text.splitlines()
    for at, line in enumerate(lines):
        if CUT.match(line):
            return "\n".join([*kept, *lines[at:]])
        if _SENT_FROM.match(line):
            closed = True
            continue
        if _DELIMITER.match(line) or (closed and DISCLAIMS.search(line)):
            cut = True
            continue
        if cut and not (
            line.lstrip().startswith((">", "\u00a6")) or _ANSWER.match(line) or says_something(line)
        ):
            continue
        if closed and _of_the_writer(line) and not (_ANSWER.match(line) or says_something(line)):
            continue
        closed = closed or (said and bool(CLOSING.match(line)))
        said = said or bool(line.strip() and not GREETING.fullmatch(line.strip()))
        kept.append(line)
    return "\n".join(kept)


def _of_the_writer(line: str) -> bool:
    named = _IDENTITY.match(line.strip()) and not tells_a_number(line)
    return bool(_REACHED_AT.search(line) or named)
