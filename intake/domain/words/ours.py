"""Which lines of a reply are ours: what stands word for word in a letter of ours is never the customer's, however the
mail program quoted it."""

from __future__ import annotations

import re
from collections.abc import Sequence

_WORD = re.compile(r"[^\W_]+(?:[.,'’][^\W_]+)*")
_LABEL = re.compile(r"^[\s>|*]*+(?P<label>\(?\d{1,2}[.):])\s")
LEAST_WORDS = 4
"""So many words in a row that stand in a letter of ours are ours; fewer may be anybody's."""
NAME_AT_MOST = 7
"""Fewer words of ours that a line goes on after without a stop are a name that the customer took over."""
_ENDS = re.compile(r"[)\s]{0,3}[.?!>]")
_HEAD = re.compile(
    r"^[\s>|*]*+(?:from|von|van|de(?: la)?|da|od|från|fra|nadawca|feladó|от|发件人|kimden|gönderen|gan|oddi wrth"
    r"|expéditeur|mittente"
    r"|sent|gesendet|verzonden|enviad[oa](?: em| el)?|envoyé|inviato|wysłano|skickat|sendt|trimis|gönderildi"
    r"|отправлено|发送时间"
    r"|elküldve|anfonwyd|date|datum|data|fecha|dátum|tarih|дата|to|an|aan|para|do|către|kime|кому|收件人|címzett"
    r"|at|till|til|cc|kopie|subject|betreff|onderwerp|asunto"
    r"|assunto|oggetto|temat|subiect|konu|тема|主题|tárgy|pwnc|objet|ämne|emne|reply-to|à)\s?[*]?[:：]",
    re.I,
)
"""Heads of a quoted letter in the languages of common mail programs."""
_ATTRIBUTION = re.compile(r"[:：]\s*$")
_DATED = re.compile(r"\d{4}|\d{1,2}[:.]\d{2}")
_WROTE = re.compile(
    r"\b(?:wrote|writes|schrieb|schreef|escribió|escreveu|écrit|scritto|napisał\w*|skrev|írta|yazdı|пишет|написал\w*"
    r"|ysgrifennodd|a scris)\b|写道",
    re.I,
)
_RULE = re.compile(r"^[\s>|*]*+[-_=]{3,}")
_REMNANT = re.compile(
    r"^\s*(?:le|il|el|am|op|den|em|w dniu|(?:a écrit|ha scritto|escribió|escreveu|schrieb|schreef|skrev"
    r"|wrote)\s?:)\s*$",
    re.I,
)
"""What is left of a head that was cut in two."""
_ORIGINAL = re.compile(r"^\s*[-_=]{5,}[ ]?(?:[^\W\d_]{2,20}[ -]?){0,3}[-_=]*\s*$")
LEAST_HEAD = 3
MOST_HEAD = 8
"""Lines above a quoted letter that say whose it is."""


def without_letters(words: str, letters: Sequence[str]) -> str:
    """`words` without what stands in one of our `letters`, and without the lines above it that say who wrote it.

    What is written on a line of ours after its end stays, and so does the number of a request that it may answer.
    """
    ours = _flat(" ".join(letters))
    if not ours.strip():
        return words
    lines = _told_apart(words.split("\n"), ours)
    left = [_left_of(line, ours) for line in lines]
    gone = [
        bool(line.strip()) and (not rest.strip() or _bare_label(rest, line))
        for line, rest in zip(lines, left, strict=True)
    ]
    _with_neighbours(lines, gone, left, ours)
    _with_heads(lines, gone, left)
    _without_blocks(lines, left)
    _without_bars(lines, gone, left)
    return re.sub(r"\n{3,}", "\n\n", "\n".join(left)).strip()


def only_ours(words: str, left: str) -> bool:
    """Whether `left`, what `without_letters` leaves of `words`, is at most numbers of requests."""
    return bool(words.strip()) and all(
        not line.strip() or _NUMBER.fullmatch(line.strip()) for line in left.splitlines()
    )


_NUMBER = re.compile(r"\(?\d{1,2}[.):]")
IN_QUOTATION = "\u00a6"
"""Before a line of a letter that was quoted without marks, which may be an answer (mailbox/quotes.py)."""


def _told_apart(lines: Sequence[str], ours: str) -> list[str]:
    """Lines out of an unmarked quotation: those of our letter go, with the number of the request over them, the others
    are answers."""
    kept: list[str] = []
    for line in lines:
        if line.startswith(IN_QUOTATION) and _is_ours(line.removeprefix(IN_QUOTATION), ours):
            if kept and _REQUESTED.match(kept[-1]):
                kept.pop()
            continue
        kept.append(line.removeprefix(IN_QUOTATION).lstrip() if line.startswith(IN_QUOTATION) else line)
    return kept


_REQUESTED = re.compile(r"> \d{1,2}\.$")


def _is_ours(line: str, ours: str) -> bool:
    """A figure alone is an answer though the letter offered it; a telephone number is not."""
    figures = sum(c.isdigit() for c in line)
    return _flat(line) in ours and (figures > 5 or bool(re.search(r"[^\W\d_]{2,}", line)))


def _flat(text: str) -> str:
    return " " + " ".join(w.lower() for w in _WORD.findall(text)) + " "


def _left_of(line: str, ours: str) -> str:
    """What of a line is not ours."""
    plain = line.lstrip(" \t>|*")
    label = _LABEL.match(line)
    start = label.end() if label else len(line) - len(plain)
    found = list(_WORD.finditer(line, start))
    most = _longest([w[0].lower() for w in found], ours)
    if most < min(LEAST_WORDS, max(len(found), 1)) or (
        most < LEAST_WORDS and (most < len(found) or most < 3)
    ):
        return line
    if most < min(NAME_AT_MOST, len(found)) and not _ENDS.match(line, found[most - 1].end()):
        return line
    rest = line[found[most - 1].end() :].lstrip(" .:?!,;-–\t")
    rest = rest if _WORD.search(rest) else ""
    return f"{label['label']} {rest}".rstrip() if label else rest


def _longest(words: Sequence[str], ours: str) -> int:
    """How many of the first words stand in a row in our letters."""
    low, high = 0, len(words)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if f" {' '.join(words[:middle])} " in ours else (low, middle - 1)
    return low


def _bare_label(rest: str, line: str) -> bool:
    return rest != line and _NUMBER.fullmatch(rest.strip()) is not None


def _with_neighbours(lines: Sequence[str], gone: list[bool], left: list[str], ours: str) -> None:
    """Short lines between lines of ours ("Ines", "Hello Tom,") are ours where they stand in the letter."""
    for at, line in enumerate(lines):
        words = [w.lower() for w in _WORD.findall(line)]
        if gone[at] or not words or len(words) >= LEAST_WORDS or _LABEL.match(line):
            continue
        if sum(c.isdigit() for c in line) > 5 and f" {' '.join(words)} " in ours:
            gone[at], left[at] = True, ""
        beside = [gone[n] for n in (_next(lines, at, -1), _next(lines, at, 1)) if n is not None]
        if any(beside) and f" {' '.join(words)} " in ours and not 0 < sum(c.isdigit() for c in line) < 6:
            gone[at], left[at] = True, ""


def _next(lines: Sequence[str], at: int, step: int) -> int | None:
    at += step
    while 0 <= at < len(lines):
        if _WORD.search(lines[at]) or _RULE.match(lines[at]):
            return at
        at += step
    return None


def _with_heads(lines: Sequence[str], gone: Sequence[bool], left: list[str]) -> None:
    """The head of the quoted letter: "From: ...", "Ines wrote:", a rule."""
    for at in (n for n, ours in enumerate(gone) if ours):
        above = _next(lines, at, -1)
        for _ in range(MOST_HEAD):
            if above is None or gone[above] or not _of_a_head(lines[above]):
                break
            left[above] = ""
            above = _next(lines, above, -1)


def _without_bars(lines: Sequence[str], gone: Sequence[bool], left: list[str]) -> None:
    """What was written at the end of a line that is quoted by a bar is an answer, and no quotation."""
    for at, line in enumerate(lines):
        beside = [gone[n] for n in (_next(lines, at, -1), _next(lines, at, 1)) if n is not None]
        if line.lstrip().startswith("|") and any(beside):
            left[at] = left[at].lstrip(" \t|")


def _without_blocks(lines: Sequence[str], left: list[str]) -> None:
    """Heads whose letter is gone already: three lines and more of "From: ...", one with an address, and the rule over
    them; "... wrote:" on the line under an address or a date."""
    at = 0
    while at < len(lines):
        end = at
        while end < len(lines) and _HEAD.match(lines[end]):
            end += 1
        if end - at >= LEAST_HEAD and any("@" in line for line in lines[at:end]):
            over = _next(lines, at, -1)
            start = over if over is not None and _RULE.match(lines[over]) else at
            left[start:end] = [""] * (end - start)
        at = max(end, at + 1)
    for at, line in enumerate(lines):
        if _REMNANT.match(line) or _ORIGINAL.match(line):
            left[at] = ""
    for at, line in enumerate(lines[1:], 1):
        ends = _ATTRIBUTION.search(line) and (_WROTE.search(line) or "@" in line) and len(line.split()) <= 3
        if (
            ends
            and ("@" in lines[at - 1] or _DATED.search(lines[at - 1]))
            and not _LABEL.match(lines[at - 1])
        ):
            left[at - 1 : at + 1] = ["", ""]


def _of_a_head(line: str) -> bool:
    dated = "@" in line or bool(_DATED.search(line) or _WROTE.search(line))
    return (bool(_ATTRIBUTION.search(line)) and dated) or bool(_HEAD.match(line) or _RULE.match(line))
