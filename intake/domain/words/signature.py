"""What stands under a closing line: a name, an address, a telephone. It is no answer."""

from __future__ import annotations

import re
from collections.abc import Callable

from intake.domain.words.cues import CUT, DISCLAIMS

_CLOSING = re.compile(
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
_REACHED_AT = re.compile(
    r"@|\bwww\.|https?:|\b(?:tel|phone|mob|mobile|fax|telefon|handy|mobil)\b\.?:?\s*[+(\d]|^\W*\+?\(?0[\d ()/-]{8,}$",
    re.I,
)
_IDENTITY = re.compile(
    r"^[A-ZÄÖÜ][\w.'’-]*(?:[\s,|&/–-]+(?:and|und|of|the|von|van|de|für|for|at|[A-ZÄÖÜ][\w.'’-]*"
    r"|\d{1,4}[A-Za-z]?|[A-Z]{1,2}\d{1,2}\s\d[A-Z]{2}))*[\s,.]*$"
    r"|^\d{1,4}[A-Za-z]?,?\s[A-ZÄÖÜ][\w.'’ ,-]*$|^\d{5}\s[A-ZÄÖÜ][\w.-]*$"
)
_ANSWER = re.compile(r"^\W*(?:\d{1,2}\s?[:.)=]|p\.?\s?p?\.?\s?s\b)", re.I)


def unsigned(text: str, says_something: Callable[[str], bool]) -> str:
    """`text` without the names, addresses and telephones under its closing line; `says_something` tells whether a line
    names anything of the survey. What follows a "-- " goes whole, up to a quotation or a numbered answer."""
    kept: list[str] = []
    closed = cut = False
    lines = text.splitlines()
    for at, line in enumerate(lines):
        if CUT.match(line):
            return "\n".join([*kept, *lines[at:]])
        if _DELIMITER.match(line) or (closed and DISCLAIMS.search(line)):
            cut = True
            continue
        if cut and not (
            line.lstrip().startswith((">", "\u00a6")) or _ANSWER.match(line) or says_something(line)
        ):
            continue
        if closed and _of_the_writer(line) and not (_ANSWER.match(line) or says_something(line)):
            continue
        closed = closed or bool(_CLOSING.match(line))
        kept.append(line)
    return "\n".join(kept)


def _of_the_writer(line: str) -> bool:
    return bool(_REACHED_AT.search(line) or _IDENTITY.match(line.strip()))
