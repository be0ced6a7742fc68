"""What of a text the writer wrote, what was quoted from earlier letters, and what was forwarded from someone else."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from itertools import accumulate

from mailparser_reply import EmailReplyParser

from intake.model.message import Address

LONGEST_LINE = 300
MOST_LINES = 3_000
"""A longer line or a later line cannot be the head of a quotation; the head's pattern is slow on hostile input."""
LONGEST_READ = 50_000
"""Characters in which heads of quotations are looked for; below them, what is quoted bears marks."""

# A language's heads are looked for only where a word of them stands in the text: they are slow to search for, and in
# the wrong language they lie ("DW: 60" starts a Polish head).
_SIGNS = {
    "en": ("wrote:", "Original Message"),
    "de": ("schrieb", "Gesendet", "Betreff"),
    "cs": ("napsal", "Odesláno", "Předmět"),
    "da": ("skrev", "Emne", "Oprindelig"),
    "es": ("escribió", "Enviado", "Asunto"),
    "fr": ("écrit", "Envoyé", "Objet"),
    "it": ("scritto", "Inviato", "Oggetto"),
    "ko": ("작성하였습니다", "보낸"),
    "nl": ("schreef", "Verzonden", "Onderwerp"),
    "pl": ("napisał", "nadesłał", "Wysłano", "Temat"),
    "sv": ("skrev", "Skickat", "Ämne"),
    "zh": ("写道", "发件人"),
}
_SIGN_PATTERNS = {
    "en": re.compile(r"^[ \t>*]*+(?:From|Sent|Date):", re.MULTILINE),
    "ja": re.compile(r"年\d{1,2}月\d{1,2}日"),
}
_FORWARD_MARK = re.compile(
    r"^[ \t>*]*+(?:-{2,}+|_{2,}+)?[ \t]*+(?:begin forwarded message|forwarded message|forwarded by"
    r"|weitergeleitete nachricht|anfang der weitergeleiteten (?:nachricht|e-mail)"
    r"|message transf[ée]r[ée]|d[ée]but du message r[ée]exp[ée]di[ée]"
    r"|mensaje reenviado|inicio del mensaje reenviado|messaggio inoltrato|inizio messaggio inoltrato"
    r"|doorgestuurd bericht|begin doorgestuurd bericht|vidarebefordrat meddelande"
    r"|videresendt (?:besked|melding)|wiadomość przekazana|mensagem encaminhada)[ \t]*+:?[ \t]*+-*+[ \t]*+$",
    re.IGNORECASE | re.MULTILINE,
)
_FORWARD_SUBJECT = re.compile(r"^\s*(?:fwd?|wg|tr|rv|enc|i|vs|vb|doorst|pd)\s*:", re.IGNORECASE)
_FROM_LINE = re.compile(
    r"^[ \t>*]*+(?:from|von|de|da|van|fra|från|od|lähettäjä|expéditeur|mittente)[ \t]*+:[ \t*]*+(.{3,300})$",
    re.IGNORECASE | re.MULTILINE,
)
_HEAD_LINE = re.compile(r"^[ \t>*]*+[^\W\d_][\w ./-]{0,20}[ \t]*:[* \t]*+\S", re.MULTILINE)
_EMAIL = re.compile(r"[\w.!#$%&'*+/=?^`{|}~-]{1,64}@[A-Za-z0-9.-]{1,253}\.[A-Za-z]{2,24}")


_REQUEST = re.compile(r"(\d{1,2})[.):]\s")
_ANSWERS = re.compile(r"\d|\b(?:yes|no|none|correct|right|neither|ja|nein|keine?|richtig)\b", re.IGNORECASE)
_APPENDED = re.compile(r"[?.]\s+((?:\S+\s?){1,6})$")
"""What may be an answer at the end of a quoted line."""
_ASKS = re.compile(r"\A\D*\?\s*\Z")
"""A question without a figure."""
IN_QUOTATION = "\u00a6"
"""Before a line that may be an answer or a line of the quoted letter (domain/words/ours.py)."""
_TIME = re.compile(r"\b\d{1,2}:\d{2}\b|\b20\d\d\b")
_WROTE = re.compile(r"\b(?:wrote|schrieb)\b", re.IGNORECASE)
SHORT_ANSWER = 8
"""Words of a line in a letter quoted without marks that may be an answer."""


@dataclass(frozen=True)
class Forward:
    """An inline forward: the sender it names, the forwarder's own words before it, and the forwarded text."""

    sender: Address
    before: str
    text: str


def own_words(text: str) -> str:
    """The text without what was quoted from earlier letters; answers written between quoted lines stay."""
    kept: list[str] = []
    replies = _replies(text)
    cut = False
    for number, (head, body) in enumerate(replies):
        if 0 < number < len(replies) - 1 and len(re.findall(r"[^\W\d_]+", body)) <= 2:
            cut = True  # a head that two languages know, cut in two
            continue
        lines = (body.replace(head, "", 1) if head else body).split("\n")
        if cut and len(lines[0].split()) <= 3:
            lines[0] = ""
        cut = False
        if number and not _quotes_by_mark(body):
            kept += _answers_within(lines)
            break
        kept += _own_lines(lines)
    return re.sub(r"\n{3,}", "\n\n", "\n".join(kept)).strip()


def _own_lines(lines: list[str]) -> list[str]:
    """The lines that are not quoted; where one answers a numbered request quoted above it, "> 2." before it."""
    kept: list[str] = []
    request = paragraph_over = ""
    last_quoted = False
    for line in lines:
        if line.lstrip().startswith(">"):
            kept = kept if last_quoted else _without_attribution(kept)
            last_quoted = True
            quoted = line.lstrip("> \t")
            if _appended(quoted):
                label = [] if _REQUEST.match(quoted) or not request else [f"> {request}."]
                kept += [*label, f"{IN_QUOTATION} {quoted}"]
                paragraph_over = ""
                continue
            if numbered := _REQUEST.match(quoted):
                request, paragraph_over = numbered[1], ""
            elif quoted and paragraph_over:
                request = ""
            paragraph_over = request if not quoted.strip() else paragraph_over
            continue
        last_quoted = last_quoted and not line.strip()
        if request and line.strip():
            kept.append(f"> {request}.")
            request = ""
        kept.append(line)
    return kept


def _appended(line: str) -> bool:
    """Whether a quoted line ends in what may be an answer: "... in two places?  241"; "Is that right?" is ours."""
    found = _APPENDED.search(line)
    return found is not None and bool(_ANSWERS.search(found[1])) and not _ASKS.search(found[1])


def _without_attribution(lines: list[str]) -> list[str]:
    """The lines without the one or two that say, in whichever language, who wrote what is quoted beneath: they end in a
    colon and hold an address or a time."""
    end = len(lines)
    while end and not lines[end - 1].strip():
        end -= 1
    if not end or not lines[end - 1].rstrip().endswith((":", "：")):
        return lines
    over = lines[end - 2].strip() if end > 1 else ""
    both = (
        len(lines[end - 1].split()) <= 3
        and bool(over)
        and (over.endswith(("<", ",")) or bool(_TIME.search(over)))
    )
    for first in (end - 2, end - 1) if both else (end - 1, end - 2):
        said = " ".join(lines[max(first, 0) : end])
        if first >= 0 and ("@" in said or _TIME.search(said) or _WROTE.search(said)):
            del lines[first:]
            break
    return lines


def _answers_within(lines: list[str]) -> list[str]:
    """Short lines of a letter with numbered requests that was quoted without marks, which may be answers: each marked
    and with the number of the request above. Whoever knows the letter tells its own lines from them."""
    lines = [line.strip().lstrip("| \t") for line in lines]
    if not any(_REQUEST.match(line) and len(line.split()) > SHORT_ANSWER for line in lines):
        return []
    kept: list[str] = []
    request = ""
    for line in lines:
        words = line.split()
        numbered = _REQUEST.match(line)
        if numbered:
            request = numbered[1]
        short = 0 < len(words) <= SHORT_ANSWER and not _HEAD_LINE.match(line)
        if numbered and short and _ANSWERS.search(line[numbered.end() :]) and not line.endswith("?"):
            kept.append(f"{IN_QUOTATION} {line}")
        elif _appended(line) or (short and not numbered and _ANSWERS.search(line)):
            kept += [f"> {request}."] * (bool(request) and not numbered) + [f"{IN_QUOTATION} {line}"]
    return kept


def inline_forward(text: str, subject: str) -> Forward | None:
    """The forward that a text carries, or None. Without a forward's mark, its subject must say that it is one."""
    mark = _FORWARD_MARK.search(text)
    start = mark.end() if mark else 0
    if not mark and not _FORWARD_SUBJECT.match(subject):
        return None
    origin = _FROM_LINE.search(text, start)
    email = _EMAIL.search(origin[1]) if origin else None
    if origin is None or email is None:
        return None
    name = re.sub(r"[<\[(].*|mailto:.*", "", origin[1]).strip(" \t\"'*,;")
    sender = Address("" if "@" in name else name, email[0].lower())
    before = text[: mark.start() if mark else origin.start()]
    return Forward(sender, before.strip(), _after_head(text[origin.start() :]))


def _replies(text: str) -> list[tuple[str, str]]:
    """(head, body with the head) of the letter and of each letter quoted under it."""
    languages = _languages(text)
    if not languages:
        return [("", text)]
    lines = text.split("\n")
    long_lines: dict[str, str] = {}
    for number, line in enumerate(lines):
        if len(line) > LONGEST_LINE:
            mark = f"\ufdd0{number}\ufdd1"
            long_lines[mark] = line
            lines[number] = mark
    most = min(MOST_LINES, bisect_right(list(accumulate(len(line) + 1 for line in lines)), LONGEST_READ))
    found = _parser(languages).read("\n".join(lines[:most])).replies
    replies = [(reply.headers or "", reply.content) for reply in found] or [("", "")]
    rest = lines[most:]
    if rest:
        head, body = replies[-1]
        replies[-1] = (head, "\n".join([body, *rest]))
    return [(head, _put_back(body, long_lines)) for head, body in replies]


def _languages(text: str) -> tuple[str, ...]:
    """The languages of which a sign stands in the text. Plain words are found many times faster than by a pattern."""
    by_word = {name for name, words in _SIGNS.items() if any(word in text for word in words)}
    by_pattern = {name for name, pattern in _SIGN_PATTERNS.items() if pattern.search(text)}
    return tuple(sorted(by_word | by_pattern))


@cache
def _parser(languages: tuple[str, ...]) -> EmailReplyParser:
    return EmailReplyParser(languages=list(languages))


def _put_back(body: str, long_lines: dict[str, str]) -> str:
    return re.sub("\ufdd0\\d+\ufdd1", lambda m: long_lines.get(m[0], m[0]), body) if long_lines else body


def _quotes_by_mark(body: str) -> bool:
    return any(line.lstrip().startswith(">") for line in body.split("\n"))


def _after_head(text: str) -> str:
    """The forwarded text after its block of From, Date, Subject and To lines."""
    lines = text.split("\n")
    at = 0
    while at < len(lines) and (_HEAD_LINE.match(lines[at]) or at == 0):
        at += 1
    return "\n".join(re.sub(r"^[ \t]*> ?", "", line) for line in lines[at:]).strip()
