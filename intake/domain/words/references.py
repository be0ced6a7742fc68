"""How customers name the requests of our letter, brought into one form: a label in front, "2: "."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.numbers import numbers
from intake.model.letter import Ask

ORDINALS = {
    w: n
    for n, w in enumerate(
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"], 1
    )
}
ORDINALS |= {"1st": 1, "2nd": 2, "3rd": 3, **{f"{n}th": n for n in range(4, 11)}}
ORDINALS |= {"erstens": 1, "zweitens": 2, "drittens": 3, "viertens": 4, "fünftens": 5, "sechstens": 6}
_GERMAN_ORDINALS = {"erste": 1, "zweite": 2, "dritte": 3, "vierte": 4, "fünfte": 5, "sechste": 6}
ORDINALS |= _GERMAN_ORDINALS | {f"{w}n": n for w, n in _GERMAN_ORDINALS.items()}
_NUMERALS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_GERMAN_NUMERALS = {"eins": 1, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "sieben": 7, "acht": 8}
_EVERY_NUMERAL = _NUMERALS | _GERMAN_NUMERALS
_KIND = (
    r"(?:(?:point|question|item|answer|frage|punkt) (?:no\.?|number|nr\.?)|answers? (?:to|for)|reply to"
    r"|(?<!at )numbers?|nos?\.|no(?=\s\d\s?(?:[:.)=,-]|\Z))|nr\.?|nummer|questions?"
    r"|point|item|answer|ask"
    r"|request|query|q|#|frage|punkt|antwort)"
)
_ASKED = "question|point|item|answer|request|query|ask|frage|punkt"
_LEAD = (
    r"(?:actually|sorry|oh|eigentlich|as (?:to|for)|in (?:answer|reply|response) to|(?:(?:the|my) )?(?:answer|reply"
    r"|response) (?:to|for)"
    r"|for|to|on|re"
    r"|regarding|concerning|about|with|and|then|also|now|bei|zu|zur|auf|für|(?:die |meine )?antwort (?:auf|zu))"
)
_DETERMINER = r"(?:your|the|my|that|ihre[rn]?|die|der|das|deine[rn]?)"
_LAST = r"(?:last|final|letzten?)"
_REFERENCE = (
    rf"(?:{_KIND}\s?(?P<n>\d{{1,2}}|{'|'.join(_EVERY_NUMERAL)})(?!\.?\d|\s?(?:cm|mm|m)\b)"
    rf"|(?P<word>{'|'.join([*ORDINALS, *(f'{g}[nrs]?' for g in _GERMAN_ORDINALS)])})\s(?:{_ASKED})"
    rf"|(?P<last>{_LAST})\s(?:{_ASKED}))"
)
_IN_FRONT = re.compile(
    rf"(?:^|(?<=[\n,;.!?:(])"
    rf"|(?<=\band))\s{{0,4}}(?P<lead>(?:{_LEAD}\s{{1,4}}){{0,4}})(?:{_DETERMINER}\s{{1,4}}){{0,3}}{_REFERENCE}"
    r"(?P<tail>\s{0,3}(?:[:=,–-]|\b(?:is|was|would be|ist|sind|wäre|ist es|sind es|it'?s|it is)\b(?!\s*(?:a|an"
    r"|not|about|the|too)\b))*)(?=\s|$|\d)",
    re.I,
)
_BEHIND = re.compile(
    rf"\s(?:for|to|as|on|re|zu|bei)\s(?:{_DETERMINER}\s){{0,3}}(?:{_REFERENCE}|(?P<one>{'|'.join(ORDINALS)})"
    rf"(?:\sone)?|(?P<last_one>{_LAST})\sone)\Z",
    re.I,
)
""" "386.5 for the first one", "yes to number 2": the label behind what it labels."""
_BEHIND_BARE = re.compile(
    r"\A(?P<said>(?:yes|yep|yeah|no|none|nope|correct|right|ja|nein|keine?|[\d.,]+(?:\s?(?:cm|mm"
    r"|m))?)(?:\s[\w.,]+){0,2}|you(?:'ve|'re| have| had| were| are| got| read){1,2}(?: it| that)? (?:right"
    r"|correct(?:ly)?))"
    r"\s(?:to|for|on|about|with|zu|bei|auf)\s(?:(?:number|no\.?|question)\s)?(?P<n>\d)\Z",
    re.I,
)
_ENDS = re.compile(r"([!?\n;]|[.,](?!\d)|\band\b|\bund\b)", re.I)
_SPELLED = re.compile(
    rf"(?:(?<![^\W\d_]\s)|(?<=\band\s)|(?<=\bund\s)|(?<=\bpoint\s)|(?<=\bpart\s)|(?<=\bfor\s)|(?<=\bto\s))"
    rf"\b(?P<n>{'|'.join(_EVERY_NUMERAL)})\s?[:=](?=\s)",
    re.I,
)
_SERIES = re.compile(
    rf"(?:^|(?<=[\n,;.]))[ \t]*(?P<n>{'|'.join(_EVERY_NUMERAL)})\s(?:(?:is|was|ist)\s)?(?=\d|yes\b|no\b|none\b"
    rf"|correct\b|right\b|ja\b|nein\b|kein)",
    re.I,
)
_LETTERED = re.compile(
    r"(?<![\w.,/])(?P<n>\d)\s?(?:\((?P<a>[abc])\)|(?P<b>[abc])[.:)]?)(?=\s?[:=-]?\s?\S)(?=[^a-z\n]{0,4}\d)",
    re.I,
)
_IN_WORDS = re.compile(
    rf"(?<!first )(?<!second )(?<!third )(?<!fourth )(?<!last )\b(?P<kind>number|question|item|answer|nummer"
    rf"|frage)\s(?P<n>{'|'.join(_EVERY_NUMERAL)})\b",
    re.I,
)
_BARE_IN_FRONT = re.compile(
    r"(?:^|(?<=[\n,;.!?:(])|(?<=\band)|(?<=\bund))\s{0,4}(?:and\s|und\s)?(?:as )?(?:for|to|on|regarding|zu|bei|für)\s"
    r"(?P<n>\d)(?:\s?[:,=–-]\s{0,2}|\s(?=(?:it'?s|it is|its|we|i|the|das|es|wir|ich|ist|sind|is|are|yes|no|none|ja"
    r"|nein"
    r"|there|in|under|outside|im|muss|soll|sollte|should|must|needs)\b|\d{2}))",
    re.I,
)
""" "For 2 it's 104": a number of ours that only a word leads in."""
_JUDGED = re.compile(
    rf"(?:^|(?<=[\n,;.!?])|(?<=\band\s)|(?<=\bund\s))[ \t]*(?P<n>\d|{'|'.join(_EVERY_NUMERAL)})\s(?=(?:is|was|are"
    rf"|ist|war)\s"
    r"(?:right|correct|fine|ok|okay|good|wrong|as|richtig|falsch|in ordnung)\b|you(?:'ve| have| had| got| read)\b"
    r"|stimmt\b"
    r"|haben sie\b)",
    re.I,
)
""" "Three is fine.", "3 you have correct": a number of ours that a verdict follows."""
_SEVERAL = re.compile(
    r"(?:^|(?<=[\n.!?,;:])|(?<=\sand)|(?<=\sbut)) {0,2}(?:(?:i|we)(?:'ll| will) (?:do|see to|send|get to|answer"
    r"|measure) )?(?:the )?(?:(?:numbers?|nos?\.?|questions?|q|points?|items?"
    r"|nummer|fragen?|punkte?) ?)?"
    r"(?P<all>(?<!\d[,/])\d(?: ?(?:,|and|&|\+|und|/) ?\d){1,6})(?= (?:this|tonight|tomorrow|after|later|once|when"
    r"|to follow|to come|will|on \w+day|at the|asap|soon|next|(?:i|we) (?:can't|cannot|couldn't)"
    r"|as soon|still to|are coming|coming|follow|i'll|we'll"
    r"|not yet"
    r"|mach\w*|mess\w*|erledig\w*|schick\w*|hol\w*|morgen|heute|später|folg\w+|nach|am|wenn|sobald|kommen|reiche?n?"
    r"|liefer\w+)\b)",
    re.I | re.M,
)
""" "1 and 4 this evening": requests that wait, by their numbers."""
_BOTH_JUDGED = re.compile(
    r"(?:^|(?<=[\n.!?;])) {0,2}(?P<all>\d(?: ?(?:,|and|&|und) ?\d){1,6}) (?:are|sind) (?:both |all |beide |alle )?"
    r"(?P<verdict>right|correct|fine|ok|okay|good|wrong|richtig|falsch|in ordnung)\b",
    re.I | re.M,
)
""" "1 and 2 are right"."""
_SLASHED = re.compile(r"^(?=.{5,800}$)(?!\s{0,4}\d\s?[:.)]).{1,400}?\s/\s.{1,400}?\s/\s.+$", re.M)
""" "386.5 / 14 / hall cupboard / 240"."""
LONGEST_LABELLED = 80
_ASKED_WHETHER = (
    r"(?:^|(?<=[\n.;!?])|(?<=[.;!?,]\s))[ \t]*(?:(?:where|when|as to whether|whether|ob|wo) (?:you|it|sie|es) "
    r"(?:ask(?:ed)?|say|said|offer(?:ed)?|give|gave|is|fragen|schreiben),? |(?:as to|re|on|for|is it|is the number|"
    r"you ask(?:ed)?|zu|ist es|bei) (?:whether )?(?:the )?|the )?"
)
_LEADS_ON = (
    r"(?:\s?[?:,=-]+\s+|\s?[?:=-]+)(?=\S)"
    r"(?!(?:or|oder)\b|[^.?!]{0,25}\b(?:not sure|who knows|can't|cannot|don't|no idea|keine ahnung|nicht)\b)"
)
_ECHO = re.compile(
    r"(?:^|(?<=[\n.!?;])\s)\s{0,3}(?P<topic>[^\W\d][^.?!;:\n]{2,60}?)\s?\?\s{1,3}"
    r"(?=(?:(?:it|that)(?:'s| is)|das ist|es ist|i make it)?\s?\d)",
    re.M,
)
_BY_LETTER = re.compile(r"(?:^|(?<=\s))\(?(?P<letter>[a-h])[).:]\s", re.I | re.M)
_OWNS_UP = re.compile(r"\b((?:my|mein) (?:mistake|bad|slip|fault|fehler))\s-\s(?=\d)", re.I)
_VERB = re.compile(
    r"\b(?:is|are|was|were|do|does|did|can|could|will|would|shall|should|may|must|have|has|had|want|need|ok|okay|right"
    r"|correct|what|why|when|how|who|where|which|ist|sind|war|hat|haben|kann|können|soll|sollen|muss|darf|wird|was|wie"
    r"|warum|wann|wer|wo|welche\w*)\b|'s\b|\d",
    re.I,
)
""" A question with a verb or a figure is one to us."""


def labelled_in_front(text: str, asks: int) -> str:
    """`text` with what names one of the `asks` requests as "2: " in front of what is said to it."""
    text = _SEVERAL.sub(lambda m: " the others" if _in_turn(m["all"], asks) else m[0], text)
    text = _BOTH_JUDGED.sub(lambda m: _each_judged(m) if _in_turn(m["all"], asks) else m[0], text)
    text = _LETTERED.sub(lambda m: f"\n{m['n']}: {(m['a'] or m['b']).lower()} ", text)
    text = _IN_WORDS.sub(lambda m: f"{m['kind']} {_EVERY_NUMERAL[m['n'].lower()]}", text)
    text = _SPELLED.sub(lambda m: f"{_EVERY_NUMERAL[m['n'].lower()]}:", text)
    series = [_EVERY_NUMERAL[m["n"].lower()] for m in _SERIES.finditer(text)]
    if len(series) > 1 and series == sorted(set(series)):
        text = _SERIES.sub(lambda m: f"\n{_EVERY_NUMERAL[m['n'].lower()]}: ", text)
    text = _JUDGED.sub(lambda m: _in_its_place(m, asks), text)
    text = _IN_FRONT.sub(lambda m: _in_front(m, asks), text)
    text = _BARE_IN_FRONT.sub(lambda m: _in_its_place(m, asks), text)
    turned = "".join(_turned(piece, asks) for piece in _pieces(text))
    return re.sub(r"(?<=\w) (?=[.!?](?:\s|$))", "", turned)


def _in_turn(listed: str, asks: int) -> bool:
    """Whether figures are the numbers of some of our requests, in their order."""
    named = [int(n) for n in re.findall(r"\d", listed)]
    return named == sorted(set(named)) and named[0] > 0 and named[-1] <= asks


def _each_judged(match: re.Match[str]) -> str:
    """The verdict behind each of the labels."""
    return "".join(f"\n{n}: {match['verdict']}" for n in re.findall(r"\d", match["all"]))


def labelled(text: str, asks: Sequence[Ask]) -> str:
    """`text` with what names a request by what it offers, or by a letter, as its number in front, and with its own
    questions answered."""
    text = _SLASHED.sub(_one_a_line, _answering_itself(_by_choices(text, asks)))
    return text if any(len(ask.items) > 1 for ask in asks) else _by_letters(text, len(asks))


def _one_a_line(line: re.Match[str]) -> str:
    """A line of answers between slashes, one a line where one of them is told in words."""
    answers = re.split(r"\s/\s", line[0])
    within = [re.split(r"[.!?;]\s", a)[0] for a in answers[1:]]
    told = any(len(re.findall(r"[^\W\d_]{2,}", a)) > 1 for a in within)
    return "\n".join(answers) if told else line[0]


def _by_choices(text: str, asks: Sequence[Ask]) -> str:
    """ "83 or 38? 38."."""
    for number, ask in enumerate(asks, 1):
        if len(ask.choices) > 1:
            some = "|".join(map(re.escape, ask.choices))
            named = rf"(?:{some})(?:,? (?:or|oder)(?: the)? (?:{some})|\s?/\s?(?:{some}))+"
            text = re.sub(rf"{_ASKED_WHETHER}{named}{_LEADS_ON}", f"\n{number}: ", text, flags=re.I)
    return text


def _by_letters(text: str, asks: int) -> str:
    """`text` with the letters of a list, from a on, as the numbers of our requests: "a) 38 b) 156 c) yes"."""
    found = [m["letter"].lower() for m in _BY_LETTER.finditer(text)]
    if not 1 < len(found) <= asks or found != list("abcdefgh"[: len(found)]):
        return text
    return _BY_LETTER.sub(lambda m: f"\n{'abcdefgh'.index(m['letter'].lower()) + 1}: ", text)


def _answering_itself(text: str) -> str:
    """`text` with a colon in place of the mark of a question that customers ask to answer it, and a comma after what
    owns up to a slip: "The one by the door? 38.", "My mistake - 283.5"."""
    text = _OWNS_UP.sub(lambda m: f"{m[1]}, ", text)
    return _ECHO.sub(lambda m: m[0] if _VERB.search(m["topic"]) else f"{m['topic']}: ", text)


def _pieces(text: str) -> list[str]:
    """`text` cut at what ends a clause, the cuts among the pieces; a number is never cut ("two and a half")."""
    spans = [(n.start, n.end) for n in numbers(text)[0]]
    pieces, at = [], 0
    for cut in _ENDS.finditer(text):
        if not any(start < cut.end() and cut.start() < end for start, end in spans):
            pieces += [text[at : cut.start()], cut[0]]
            at = cut.end()
    return [*pieces, text[at:]]


def _in_its_place(match: re.Match[str], asks: int) -> str:
    """The label in place of the words that name a request of ours."""
    named = match["n"].lower()
    number = int(named) if named.isdecimal() else _EVERY_NUMERAL[named]
    return f"\n{number}: " if 0 < number <= asks else match[0]


def _in_front(match: re.Match[str], asks: int) -> str:
    """The label in place of the words, where they lead on to something: with a sign, a verb, or a word before."""
    number = _number(match, asks)
    named = match["lead"] or match["tail"].strip() or match["last"]
    return f"\n{number}: " if number and named else match[0]


def _turned(piece: str, asks: int) -> str:
    """A piece between commas with the label that stands behind it put in front."""
    words = piece.strip()
    if len(words) > LONGEST_LABELLED or re.match(r"\d{1,2}:\s", words):
        return piece
    if bare := _BEHIND_BARE.match(words):
        return f"\n{bare['n']}: {bare['said']} " if 0 < int(bare["n"]) <= asks else piece
    match = _BEHIND.search(words)
    number = _number(match, asks) if match else 0
    if not match or not number:
        return piece
    if not (match["one"] and re.fullmatch(r"\w+", match[0].split()[-1]) and match[0].split()[-1] != "one"):
        return f"\n{number}: {words[: match.start()]} "
    # "38 for the first", and not "back on the 9th".
    answers = number <= asks and re.match(
        r"(?:it'?s |it is |(?:i|we)(?:'ve| have)? (?:put|wrote|written) )?\d", words, re.I
    )
    return f"\n{match['one']}: {words[: match.start()]} " if answers else piece


def _number(match: re.Match[str], asks: int) -> int:
    """The number of the request that is meant; 0 for none of ours."""
    found = match.groupdict()
    word = (found.get("word") or found.get("one") or "").lower()
    if found["last"] or found.get("last_one"):
        return asks
    if word:
        german = (n for g, n in _GERMAN_ORDINALS.items() if word.startswith(g))
        return ORDINALS.get(word) or next(german, 0)
    number = found["n"].lower()
    value = int(number) if number.isdecimal() else _EVERY_NUMERAL[number]
    return value if value <= asks else 0
