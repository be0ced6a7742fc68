"""What part a word plays where it stands: "about" is no guess before a place, "my brother will do it" no other home."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import PREPOSITION
from intake.domain.words.numbers import Number
from intake.domain.words.vocabulary import Spoken

_CLOSE = re.compile(r"\s*(?:(?:the|a|be|at|is|about|just|die|der|das)\s+){0,2}", re.I)
_HELPS = re.compile(
    r"\s{1,3}(?:to|will|can|could|had a (?:look|go)|looked|checked|is (?:coming|going)|helped|helps|measured|did"
    r"|does|held|holds|came|comes|took"
    r"|who|hilft|hat"
    r"|kommt|misst)\b",
    re.I,
)
""" "My brother will do it": it is no home of his that is spoken of."""
_OF_THEM = re.compile(
    r"\b(?:ask|asking|asked|borrow\w*|lent|lend\w*|from|for|with|by|to|frage|fragen|von|mit|für)\s(?:the\s)?\Z",
    re.I,
)
""" "I must ask my neighbour", "waiting for my nephew"."""
_THEIR_TOOLS = re.compile(
    r"\s(?:\w+\s)?(?:rooms?|bedrooms?|heads?|chairs?|desks?|office|study|bed|wardrobe|bikes?"
    r"|ladders?|step-?ladders?|steps|tape(?: measure)?|laser|phone|camera|van|wedding|birthday|party"
    r"|leiter|maßband|handy)\b",
    re.I,
)
""" "My neighbour's ladder"."""
_HOME = re.compile(r"\b(?:house|flat|home|kitchen|bathroom|bedroom|place|haus|wohnung|küche|bad|bei)\b", re.I)
_PARTS = re.compile(r"[,;:(]\s|\s\(|\s-\s|\b(?:and|und)\b")
_OF_THERE = re.compile(
    r"\A\W*(?:but |and |und |aber )?(?:that|this|these|those|it|its|which|in|at|of|from|for|on|by|was|were|das"
    r"|dies\w*|es|war|waren|im"
    r"|bei\w*|von|aus|auf|laut|according|(?:\S+ ){0,2}\S+\W*\Z)"
    r"|\b(?:hers|his|theirs|there|dort)\b",
    re.I,
)
_LIKE_IT = re.compile(r"\A\W*(?:the |just |exactly |genau )?(?:same|like|as|wie|gleich)\b", re.I)
""" "241, same as in the old kitchen"."""
_OF_FIGURES = re.compile(
    r"\s(?:\w+\s)?(?:digits?|figures|numbers|numerals|letters|zahlen|ziffern)\b|\s(?:them|it|two) (?:a)?round\b",
    re.I,
)
""" "Me swapping digits": nothing in the room changes."""
_NO_WORDS = re.compile(
    r"\s(?:about |all )?(?:the|my|our) (?!(?:\w+ ){0,2}(?:numbers?|measure\w*|figures?|sizes?|lengths?|heights?"
    r"|depths?"
    r"|widths?|e?-?mails?|messages?|letters?|plans?|drawings?|sketch\w*|answers?|readings?|dimensions?|last|first"
    r"|second|one"
    r"|ones|walls?|windows?|doors?|sills?|cills?|ceilings?|recess\w*|reveals?|photo\w*|pictures?|other|others|rest"
    r"|lines?"
    r"|bits?|above|below|earlier|previous|gas|meters?|boilers?|units?|\d\S*)\b)[a-z]"
    r"|\s(?:about |all )?(?:the|my|our|this|that)?\s?(?:\w+\s)?(?:mess|clutter|state|dishes|washing(?: up)?|dog"
    r"|cat|handwriting"
    r"|writing|scribbles?|spelling|typos?|background|coffee stain|stains?|paint|decor|wallpaper|noise|delay"
    r"|rush|chaos)\b",
    re.I,
)
""" "Please ignore the mess!": nothing that was said is taken back."""
_LOOSE_THINGS = (
    r"(?:blinds?|curtains?|nets?|shoes|boots|tables?|chairs?|washing|tape|box(?:es)?|stuff|things|coats?|drawers?"
    r"|contents|plants?"
    r"|pictures?|bikes?|car|lid|cover|panel|flap|junk|clutter|dishes|mess|rug|lamp|ladder|steps|step ladder"
    r"|stepladder|flowers|spiders|cobwebs|mice|rubbish|dust|leaves"
    r"|books|toys|(?:light ?)?bulbs?|batter(?:y|ies)|nappy|nappies|tyres?|sheets?|bedding|clothes|glühbirnen?"
    r"|gardinen?|vorhänge?|rollo|kisten|sachen)"
)
_OF_LOOSE_THINGS = re.compile(
    rf"\s(?:(?:the|a|an|my|our|all|some|of|those|her|his|die|den"
    rf"|das)\s){{0,3}}(?:\w+\s)?{_LOOSE_THINGS}\b(?! (?:of|fittings?|holders?)\b)"
    rf"(?! (?:and|und|plus) (?:the|an?|my|our|its|one|die|den|das|eine?n?)\s(?!(?:\w+\s)?{_LOOSE_THINGS}\b))",
    re.I,
)
""" "We took down the blind": nothing that the design stands on."""
_LOOSE_OBJECT = re.compile(rf"\b{_LOOSE_THINGS}\b", re.I)
_LOOSE_SUBJECT = re.compile(
    rf"\b{_LOOSE_THINGS}\s\Z|\b(?:i'm|i am|we're|we are|he's|she's|i was|i|we|he|she|all"
    rf"|everything|life|it all)\s\Z",
    re.I,
)
_HAVE_TO = re.compile(r"(?:have|has|need|needs|wants?) to (?:go|come|move)")
_A_PERSON = re.compile(r"\b(?:i|you|we|he|she|one)\s\Z", re.I)
""" "You have to go outside": it is not a thing that goes."""
_MOVES = re.compile(
    r"(?:is |are |(?:it|that|they)'(?:s|re) )?going(?: up| down)?|com(?:e|ing) down|goes on|going over to",
    re.I,
)
_SOMEWHERE_ELSE = re.compile(
    r"\s(?:(?:up|down|back)\s)?(?:(?:on|to|for|into)\s)?(?:(?:the|a|my|our|his|her)\s)?"
    r"(?:ladder|steps|stairs|shops?|work|home|out|away|holiday|bed|school|hospital|lunch|town"
    r"|charity|tip|mother|mum|father|dad|daughter|son|sister|brother|neighbour|friend|niece|nephew|cousin|parents)\b",
    re.I,
)
""" "My son is going up the ladder", "the freezer is going to my daughter"."""
_YOUR_THOUGHT = re.compile(
    r"\byou(?:'re| are| were| have been) thinking (?:of|about)\Z|\b(?:if|whether|should) you(?:'d| would)? (?:want"
    r"|like"
    r"|prefer|rather have)(?: the| it| to have)?\Z",
    re.I,
)
""" "The one you are thinking of": no wish."""
_PAID = re.compile(r"\b(?:invoice|bill|quote|paid|pay|rechnung)\s(?:for|of|für)\s(?:\w+\s){0,2}\Z", re.I)
_INTO_UNITS = re.compile(
    r"\b(?:inch(?:es)?|feet|foot|imperial|metric|cm|mm|centimet\w+|millimet\w+|units?)\b", re.I
)
_A_PLACE = re.compile(rf"{PREPOSITION.pattern}\s(?:(?:the|our|my|a|an)\s)?(?:\w+\s)?\Z", re.I)
_ALONG_A_WALL = re.compile(
    r"\s(?:\w+\s)?(?:windows?|doors?|doorway|corner|chimney|alcove|sink|cooker|fridge|radiator|wall)\b", re.I
)
""" "The one after the window": a place."""
_LIKE_A_DIGIT = re.compile(r"\s(?:(?:a bit |rather |just )?like\s)?(?:an?\s)?\d(?:'?s)?\b(?![.,]?\d)", re.I)
""" "The 3 looks like an 8": how it was written, and no guess."""
_SENDS = re.compile(
    r"\s(?:(?:you|it|them|over|across|on|through|all|some|the|a|my|our|those|these|more|other|new|better|gas|meter"
    r"|ceiling|window|boiler)\s){0,5}(?:photo\w*|pic\w*|snaps?|video|measure\w*|numbers?|rest|others?|details?|sizes?"
    r"|answers?|figures?|dimensions?|them|it|one|you)\b"
    r"|\s(?:from|by|via|with|on) (?:\w+ ){0,2}(?:phone|mobile|e-?mail|whatsapp|laptop|post|computer)\b",
    re.I,
)
""" "My son is sending the photos": not "they are sending a man"."""
_ASKS_NOTHING = re.compile(
    r"\b(?:your|ihre) (?:\w+ )?(?:question about|questions?)\|"
    r"|\bhow much\| (?:we|i|he|she|they)(?: (?:all|both|really|so))?"
    r" (?:enjoy\w*|lov\w+|liked?|appreciat\w*|admire\w*|look)\b",
    re.I,
)
""" "Yes to your question about the number", "how much we enjoyed it": neither asks. The bar is where the words end."""
_JUDGES = re.compile(r"\b(?:right|correct|wrong|recht|richtig|falsch)\s\Z", re.I)
""" "You were right about the 283.5"."""
_PLACES = frozenset(("extension", "conversion", "partition", "stud wall", "insulation", "new floor", "anbau"))


_IN_ANOTHER_SENSE = tuple(
    re.compile(words, re.I)
    for words in (
        r"\b(?:been|was|were) \|\w{4,12}\| (?:for )?(?:\d+|\w{3,12}(?: \w{3,12})?) years\b",
        r"\b(?:he|she|(?:my|our) \w+) \|is going\| to (?:hear about|love|enjoy|laugh)\b",
        r"\|(?:after|before|once) the\| (?:showroom|visit|weekend|holidays?|school|lunch|dinner|tea|meeting|call|shops?"
        r"|funeral|party|wedding|war|match|film|\w{3,6}day|children|kids|baby)\b",
    )
)
""" "Been plastering 31 years", "he is going to hear about it", "after the shops": a trade, a person and an
hour. The bars are where the words begin and end."""
_NOTHING_BACK = tuple(
    re.compile(words, re.I)
    for words in (
        r"\b(?:tape|laser|it)(?:'s| has) never(?: once)? been \|wrong\|\W*\Z",
        r"\b(?:deleted|binned|lost|thr[eo]wn?(?: away| out)?) your (?:\w+ )?(?:letter|e-?mail|message|list)"
        r" \|(?:by mistake|in error)\|\W*\Z",
    )
)
""" "It has never been wrong", "I deleted your letter by mistake": nothing that was said is taken back."""
_RATHER_BE = re.compile(r"rather\Z|rather have\Z", re.I)
_BE = re.compile(
    r"\s(?:have )?(?:been|be) (?:anywhere|somewhere|elsewhere|in bed|in the (?:pub|garden))\b", re.I
)
""" "He would rather have been anywhere else": no wish to us."""


def _changes_nothing(word: Spoken, text: str) -> bool:
    """Whether a word of change is not of the room: of loose things, of figures and units, or only a place."""
    said, before, after = text[word.start : word.end].lower(), text[: word.start], text[word.end :]
    if _PAID.search(before) or _OF_FIGURES.match(after) or _OF_LOOSE_THINGS.match(after):
        return True
    if any(words.search(f"{before}|{said}|{after}") for words in _IN_ANOTHER_SENSE):
        return True
    if _LOOSE_OBJECT.search(said) or (_HAVE_TO.fullmatch(said) and _A_PERSON.search(before)):
        return True
    if _MOVES.fullmatch(said) and (_LOOSE_SUBJECT.search(before) or _SOMEWHERE_ELSE.match(after)):
        return True
    if said in ("after the", "before the") and _ALONG_A_WALL.match(after):
        return True
    if said.startswith("conver") and _INTO_UNITS.search(text):
        return True
    return said in _PLACES and bool(_A_PLACE.search(before))


def in_place(word: Spoken, text: str, numbers: Sequence[Number], names: bool) -> Spoken:
    """A word with the parts that it plays in a clause, its `text`; `names`: the clause names a thing of the survey."""
    after = text[word.end :]
    if C.NEARLY in word.concepts:
        return _nearly(word, text, numbers)
    if (
        C.HEDGE in word.concepts
        and text[word.start : word.end].lower().startswith("look")
        and _LIKE_A_DIGIT.match(after)
    ):
        return Spoken(word.start, word.end, frozenset({C.KNOWN}))
    if C.ANOTHER_HOME in word.concepts and (
        _only_a_person(word, text, bool(numbers) or names)
        or (not names and _said_besides(word, text, numbers))
    ):
        return Spoken(word.start, word.end, word.concepts - {C.ANOTHER_HOME})
    if C.CHANGE in word.concepts and _changes_nothing(word, text):
        return Spoken(word.start, word.end, (word.concepts - {C.CHANGE}) | {C.KNOWN})
    if C.LATER in word.concepts and text[: word.end].endswith("sending") and not _SENDS.match(after):
        return Spoken(word.start, word.end, frozenset({C.KNOWN}))
    if C.PERSON in word.concepts and _ASKS_NOTHING.search(f"{text[: word.end]}|{after}"):
        return Spoken(word.start, word.end, frozenset({C.KNOWN}))
    if C.PERSON in word.concepts and _YOUR_THOUGHT.search(text[: word.end]):
        return Spoken(word.start, word.end, frozenset({C.KNOWN}))
    if C.PERSON in word.concepts and _RATHER_BE.search(text[word.start : word.end]) and _BE.match(after):
        return Spoken(word.start, word.end, frozenset({C.KNOWN}))
    marked = f"{text[: word.start]}|{text[word.start : word.end]}|{after}"
    if C.TAKEN_BACK in word.concepts and any(words.search(marked) for words in _NOTHING_BACK):
        return Spoken(word.start, word.end, frozenset({C.KNOWN}))
    if C.TAKEN_BACK in word.concepts and _NO_WORDS.match(after):
        return Spoken(word.start, word.end, (word.concepts - {C.TAKEN_BACK}) | {C.ASIDE})
    return word


def _only_a_person(word: Spoken, text: str, tells: bool) -> bool:
    """Whether a relative or a neighbour is named, and nothing of their home; `tells`: the clause has a length or names
    a thing."""
    before, after = text[: word.start], text[word.end :]
    if _HELPS.match(after) or _THEIR_TOOLS.match(after):
        return True
    named = text[word.start : word.end]
    if _HOME.search(named) or named.endswith(("'s", "s'")):
        return False
    return bool(_OF_THEM.search(before)) or not (tells or _HOME.search(text))


def _said_besides(word: Spoken, text: str, numbers: Sequence[Number]) -> bool:
    """ "288.5, I saw one like it in your showroom": whether another place is named only after a length, in words of
    their own that tell no length, and that do not say that the length is of there."""
    cuts = [m.end() for m in _PARTS.finditer(text[: word.start])]
    end = _PARTS.search(text, word.end)
    start = cuts[-1] if cuts else 0
    part = text[start : end.start() if end else len(text)]
    before = any(n.end <= start for n in numbers)
    within = any(start <= n.start < start + len(part) for n in numbers)
    return before and not within and bool(_LIKE_IT.match(part) or not _OF_THERE.search(part))


def _nearly(word: Spoken, text: str, numbers: Sequence[Number]) -> Spoken:
    """ "About" is a guess before a number or after one, and a place or a subject else ("over the sink")."""
    guess = not _JUDGES.search(text[: word.start]) and any(
        _CLOSE.fullmatch(text[word.end : n.start])
        for n in numbers
        if n.start >= word.end and not _is_a_count(n)
    )
    return Spoken(word.start, word.end, (word.concepts - {C.NEARLY}) | {C.HEDGE if guess else C.KNOWN})


def _is_a_count(number: Number) -> bool:
    return not number.unit and not number.places and number.figure < 4
