"""What in a sentence calls for a person: a wish to speak to somebody, a question, a change, a dispute, a complaint."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.circumstances import NOT_ALONE, excuses, own_slip, promises
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import ASIDE, INTERROGATIVE
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.signs import PRAISE, of_a_thing, weight
from intake.domain.words.spelled import tells_a_number
from intake.domain.words.turns import PICKED, PLACED, SPOT, YES
from intake.model.word import Statement, StatementKind

SHORT = re.compile(
    r"^\W*(?:yes|yep|yeah|no|nope|neither|both|either|all|(?:not )?the (?:first|second|other|last)|first|second"
    r"|correct|right|wrong"
    r"|ja|nein|beide[sn]?)\b",
    re.I,
)


_HELPER = re.compile(
    r"\b(?:my|our|the|a|mein(?:e|en|em)?|unser(?:e|en|em)?|der|die)\s(?:\w+\s)?(?:son|daughter|husband|wife|partner"
    r"|brother|sister"
    r"|mum|mother|dad|father|friend|neighbour|mate|nephew|niece|grandson|granddaughter|lad|cousin|uncle|aunt|carer"
    r"|son-in-law|brother-in-law|sohn|tochter|mann|frau|bruder|schwester|nachbar\w*|vater|mutter|freund\w*|enkel\w*)\b"
    r"|\b(?:he|she|hubby)\b",
    re.I,
)
_OF_US = re.compile(r"\b(?:you|your|someone|somebody|anyone|anybody|sie|ihnen|jemand\w*)\b", re.I)
_HANDS_ON = re.compile(r"\b(?:come|help|measure|measuring|hold|pop|do it|hand)\b", re.I)
_WAS_ILL = re.compile(r"\b(?:war|waren|was|were|been)\s(?:\w+\s)?(?:krank|ill|poorly|unwell|away)\b", re.I)
_WISH = re.compile(
    r"\b(?:we|i)(?:'d| would)? (?:really |so |dearly )?(?!(?:like|love) (?:it|them)(?:\W*\Z|[,.!]))(?:like|love|want"
    r"|prefer) (?:to|it|them|the|is)\b(?! (?:know|say|thank|see|hear"
    r"|start|send|meet|get"
    r" (?:going|started|on)|do (?:it|this|that)|wait|measure|ask|help))|\b(?:wir|ich) (?:möchten?|hätten?"
    r"|wollen|will)\b.{0,30}"
    r"\b(?:gerne?|lieber|haben|verstecken|versetzen|drehen|ändern)\b",
    re.I,
)
_NOT_KEPT = re.compile(
    r"\b(?:said|promised|told (?:me|us)) (?:he|she|they|you|some(?:body|one))(?:'d| would| were| was)\b.{0,60}"
    r"\b(?:hasn't|haven't|didn't|never|nothing|not yet|still)\b",
    re.I,
)
""" "Your colleague said he'd email a quote and he hasn't"."""
_THING = re.compile(r"\b(?:it|that|them|boiler|island|cupboards?|hob|oven|insel|herd)\b", re.I)
_KIND_OF_YOU = re.compile(r"\b(?:good|kind|nice|lovely|sweet|great|helpful) of (?:you|him|her|them)\b", re.I)
_WANTING = (
    r"[^.?]{0,40}\b(?:any(?:thing)?|something|questions?|problems?|more|else"
    r"|need(?:ed)?(?! (?:an?|the|my|our) )|unclear|clear|unsure|doubt"
    r"|missing|missed|wrong|stuck|required|etwas|noch was|irgendetwas|fragen|rückfragen|unklar|fehlt|brauchen|brauchst"
    r"|benötigen|nötig|noch)\b"
)
IF_NEEDED = re.compile(
    r"\b(?:call|ring|phone|text|shout|touch|(?:me|us) know|tell me|melden sie sich|melde dich|rufen sie)\b.{0,30}"
    rf"\b(?:if|should|wenn|falls){_WANTING}"
    r"|\b(?:melden sie sich|melde dich)\b.{0,20}\b(?:bei (?:frag|rück)|gerne?|einfach|jederzeit)"
    rf"|\b(?:bei (?:frag|rück)\w*|(?:wenn|falls|sollte\w*){_WANTING})[^.?]{{0,60}}\b(?:melden sie sich|melde dich"
    r"|sagen sie (?:mir |uns )?bescheid)\b",
    re.I,
)
""" "Ring me if anything's unclear", "bei Fragen melden Sie sich gern": a courtesy."""
_LET_ME_KNOW = re.compile(
    r"\b(?:(?:let (?:me|us) know|tell me) (?:if|whether|when|what|how)|(?:melden sie sich"
    r"|sagen sie (?:mir|uns)(?: bescheid)?),? (?:wenn|ob|wann|was|wie))\b"
    r"(?! (?:(?:that|this|these|those|they|everything|all|else|es|das"
    r"|\w+day)\b"
    r"|it(?:'s| is| was)\b|you (?:get|got|received?|want|wish|would|'?d|prefer|think|have|can)\b))",
    re.I,
)
""" "Let me know if the price includes fitting": a question without its mark."""
_LOST = re.compile(
    r"\b(?:can't|cannot|can not|couldn't|kann (?:es )?nicht) (?:tell|say|see|read|make out|sagen|erkennen)\b.{0,15}"
    r"\b(?:which|what|welche\w*|was)\b|"
    r"\b(?:haven't a clue|no (?:idea|clue)|don't (?:know|understand|get|follow)|not sure|unsure|baffled|puzzled"
    r"|confused)\b"
    r".{0,20}\b(?:what|which|how|why)\b.{0,25}\b(?:you|(?:it|that|this|any of it) means?)\b|[,;.!-]\s*help\W*\Z",
    re.I,
)
_AT_HOME = re.compile(r"\b(?:emergency|funeral|urgent|krank|bereavement)\b", re.I)
_HENCE = re.compile(
    r"\b(?:hence|belated|behind|late|delay(?:ed)?|(?:that|which)(?:'s| is) why|deshalb|daher|verspätet\w*)\b",
    re.I,
)
""" "We had a funeral, hence the delay": why the answer is late."""
_ASKED = re.compile(r"\b(?:please|bitte|speak|talk|contact|sprechen)\b", re.I)
_DEVICE = re.compile(
    r"\b(?:phone(?! (?:me|us|my)\b)"
    r"|mobile|laptop|computer|printer|battery|batteries|tape|tape measure|laser|internet|broadband|wi-?fi|car"
    r"|handy|drucker|rechner|akku)\b",
    re.I,
)
_LOOSE_DISPUTE = re.compile(
    r"upside down|mixed up|wrong one|wrong place|left out|left off|missed out|turned round|reversed|flipped"
    r"|swapped round|the wrong way|wrong side|the wrong end"
    r"|other way round|other way around|nothing like|rotated|isn't right|can't be right|cannot be right|isn't there"
    r"|is not there|aren't there|not mine|not ours|wrong way round|back to front|also a|you forgot|looks wrong"
    r"|no such",
    re.I,
)
"""Words of dispute that say nothing of a plan by themselves: "everything's upside down"."""
_OWN_SLIP = re.compile(
    r"\b(?:i|we)(?:'d| had|'ve (?:got|had|read|held|written|been)| left| missed| forgot| must have"
    r"| was| were| wrote| drew| held| got| read| mixed"
    r"| swapped| turned"
    r"| muddled| misread| measured| reversed| transposed)\b"
    r"|\bmy (?:mistake|writing|sevens?)\b",
    re.I,
)


def wants_somebody(whole: Clause, clauses: Sequence[Clause]) -> bool:
    """Whether it asks for somebody, is lost or is cross; not where a helper of the customer's own or a machine does
    it, nor as a courtesy ("nice to speak to you")."""
    if _NOT_KEPT.search(whole.text) or (_WISH.search(whole.text) and of_a_thing(whole)):
        return True
    if any(c.has(C.PERSON) for c in clauses) or not whole.has(C.PERSON):
        return any(wants(c, whole) for c in clauses)
    return wants(whole, whole)


def offers_help(clause: Clause, whole: Clause) -> bool:
    """Whether a clause is of a courtesy ("ring me if anything's unclear") and does not stand before it: "I want to
    cancel, let me know if there's any problem"."""
    courtesy = IF_NEEDED.search(whole.text)
    return courtesy is not None and clause.text.strip() not in whole.text[: courtesy.start()]


def wants(clause: Clause, whole: Clause) -> bool:
    if _KIND_OF_YOU.search(clause.text) or (excuses(clause) and not _ASKED.search(clause.text)):
        return False
    if offers_help(clause, whole):
        return False
    if _LOST.search(clause.text) or _LET_ME_KNOW.search(clause.text):
        return True
    words = clause.where(C.PERSON)
    if (
        words
        and not _ASKED.search(clause.text)
        and not _OF_US.search(clause.text)
        and _DEVICE.search(clause.text)
    ):
        return False
    if not _OF_US.search(clause.text) and _HELPER.search(clause.text):
        words = tuple(w for w in words if not _HANDS_ON.search(clause.text[w.start : w.end]))
    courteous = [w.end for w in clause.where(C.ASIDE)]
    if whole.has(C.LATER) or _WAS_ILL.search(clause.text) or _HENCE.search(whole.text):
        words = tuple(w for w in words if not _AT_HOME.search(clause.text[w.start : w.end]))
    if _WISH.search(clause.text) and (of_a_thing(whole) or _THING.search(clause.text)):
        return True
    return any(not any(0 <= w.start - end <= 4 for end in courteous) for w in words)


_TO_MEASURE = re.compile(
    r"\b(?:measure|photograph|take (?:the )?(?:photos?|pictures?)|do it|get to it|messen?)\b", re.I
)
_THE_PLAN = re.compile(r"\b(?:plans?|drawings?|layout|sketch|skizze|zeichnung)\b", re.I)
_PAST = re.compile(r"\b(?:had|was|were|got|did|haben|hat|hatten?|wurden?)\b", re.I)
_LONG_AGO = re.compile(
    r"\b(?:ago|when we (?:bought|moved)|before we (?:bought|moved|came)|previous owners?|last year|in (?:19"
    r"|20)\d\d|schon lange|längst|for \d+ years|\d+ years (?:so|now)"
    r"|vor (?:\w+ )?jahren)\b",
    re.I,
)


def long_ago(whole: Clause, told: bool = False) -> bool:
    """Whether it is of what was done long ago, and not of our work; `told`: the sentence also tells how things are."""
    past = told or _PAST.search(whole.text)
    return bool(past and _LONG_AGO.search(whole.text) and not _OF_US.search(whole.text))


def will_change(whole: Clause, told: bool) -> bool:
    """Whether it says that something in the room will change, or has changed; `told`: it also tells something. What
    was changed long ago is how it is."""
    if long_ago(whole, told):
        return False
    words = [whole.text[w.start : w.end] for w in whole.where(C.CHANGE)]
    if whole.has(C.LATER) and _TO_MEASURE.search(whole.text) and all(NOT_ALONE.fullmatch(w) for w in words):
        return False
    thing = of_a_thing(whole) or _THE_PLAN.search(whole.text)
    return any(thing or not NOT_ALONE.fullmatch(w) for w in words)


_ASKS_WITHIN = re.compile(
    r"\W{0,4}(?:(?:please|just|also) )?(?:(?:can|could|would|will) (?:you|someone|somebody|we)|do (?:you|we|i)"
    r"|are you|is there|(?:is|are) (?:that|this|it|those|these|they) \w+\W*$"
    r"|when (?:can|will|do|does)|how (?:much|long)|what (?:about|do|does)|könn(?:en|ten) sie"
    r"|wann)\b(?! (?:believe|see))",
    re.I,
)


def asks_within(reader: SentenceReader) -> bool:
    """ "The ceiling is 245 and could you tell me when the sale ends": a question that no mark shows."""
    later = [] if reader.asked else reader.clauses[1:]
    return any(_ASKS_WITHIN.match(c.text) and not for_forms_sake(c) for c in later)


def asks_itself(clause: Clause) -> bool:
    """ "It's 241 - will the units reach?": whether a clause of a longer sentence asks, and not for form's sake."""
    asks = clause.start and clause.text.rstrip().endswith("?") and INTERROGATIVE.match(clause.text)
    return bool(asks) and not (ASIDE.match(clause.text) or for_forms_sake(clause))


def disputes(whole: Clause, said: Sequence[Statement], corrects: bool) -> bool:
    """Whether it says that the plan is wrong: not where it puts a number right, tells how the slip came, or says that
    there is none of a thing."""
    words = [whole.text[w.start : w.end] for w in whole.where(C.DISPUTE)]
    if (
        not words
        or (corrects and not whole.has(C.PICTURE))
        or any(s.means is StatementKind.ABSENCE for s in said)
    ):
        return False
    of_the_plan = of_a_thing(whole) or whole.has(C.PICTURE)
    loose = all(_LOOSE_DISPUTE.fullmatch(w) for w in words)
    if loose and excuses(whole):
        return False
    return not loose or (of_the_plan and not _OWN_SLIP.search(whole.text))


def slipped(whole: Clause) -> bool:
    """Whether its words of dispute tell how a slip of the customer's own came: "I was holding it upside down"."""
    words = [whole.text[w.start : w.end] for w in whole.where(C.DISPUTE)]
    return all(map(_LOOSE_DISPUTE.fullmatch, words)) and bool(_OWN_SLIP.search(whole.text))


def unable(whole: Clause) -> bool:
    """ "I am 84 and live alone, I cannot do this"."""
    put_off = _PUT_OFF.search(whole.text)
    return bool(_CANNOT_DO.search(whole.text)) and not (put_off or whole.has(C.LATER, C.ASIDE, C.BUSINESS))


_PUT_OFF = re.compile(
    r"\b(?:can't|cannot|can not|kann|können)\b.{0,20}\b(?:do|measure|reach|photograph"
    r"|get (?:at|to|near|behind)|messen|fotografieren|ran"
    r"|dran|hin)\b.{0,40}\b(?:till?|until|before|today|tonight|just now|this (?:week|morning|evening)|heute"
    r"|bevor|bis|erst|ehe)\b",
    re.I,
)
""" "Can't do the other end till the wardrobe's been shifted"."""
_CANNOT_DO = re.compile(
    r"\b(?:can't|cannot|can not|not able to|unable to|beyond|past)\s(?:\w+\s)?(?:do|manage|measure|climb|bend"
    r"|go up|use (?:a|the)|get (?:up|on)"
    r"|kneel|reach|get"
    r"|stand|see to|cope|me)\b(?! (?:other|otherwise|differently|better|any(?:thing)? (?:other|else|better))\b)"
    r"|\bkann (?:das|es) (?:leider )?nicht\b|\b(?:schaffe|schaffen) (?:ich "
    r"|wir )?(?:das|es)?\s?"
    r"(?:leider )?nicht\b|\bk(?:ann|omme) (?:leider )?(?:nicht mehr|nicht|auf keine)\b.{0,30}\b(?:leitern?|bücken"
    r"|knien|messen"
    r"|steigen|heben|hoch|ran|dran|hin)\b"
    r"|\b(?:tried|try(?:ing)?)\b.{0,80}\b(?:(?:would|will|did)(?: not|n't) (?:have it|let me|reach|stretch|budge|work)"
    r"|gave (?:it )?up|no (?:luck|joy|good|use))\b|\b(?:do not|don't|must not|mustn't) (?:go up|climb|do) (?:\w+ )?"
    r"(?:ladders?|steps|heights)\b",
    re.I,
)
_BESIDES = re.compile(
    r"\b(?:boxes|stuff|things|mess|clutter|junk|dust) (?:\w+ )?(?:everywhere|all over)\b"
    r"|\bnever (?:(?:had|needed) to (?:look|know)|g[eo]t home)\b|\b(?:nobody|no ?one)(?:'s| has)? asked\b",
    re.I,
)
""" "There are boxes everywhere", "never had to look for one before": why not yet."""
_LASTING = re.compile(
    r"\b(?:i'm|i am|ich bin|bin|we are|wir sind)(?: now| schon)? (?:[6-9]\d|1[0-4]\d|alone|on my own|allein\w*"
    r"|disabled|pregnant|(?:too )?short|in a wheelchair|not allowed|not able)\b"
    r"|\b(?:hips?|knees?|shoulders?|bad back|my back|vertigo|wheelchair|crutch\w*|physio|doctor|arthritis|stroke|arzt"
    r"|hüfte|knie|schulter|rücken|schwindel|rollstuhl|krücken)\b"
    r"|\b(?:don't|do not|can't|cannot|mustn't|must not|keine?) (?:\w+ )?(?:ladders?|steps|heights|leiter)\b"
    r"|\b(?:screwed|bricked|boxed in|boarded|sealed|built in|plastered over|nailed|verschraubt|zugemauert|verbaut)\b"
    r"|\b(?:everywhere|anywhere|nowhere|all (?:over|round|the (?:cupboards|rooms))|every(?: \w+)? (?:cupboard|room|wall"
    r"|door)|high and low|top to bottom|everybody|everyone|überall|nirgends?|nirgendwo|jede[nrsm]? (?:schrank|raum)"
    r"|alle[ns]? (?:schränken?|räumen?)|nobody|no ?one|none of (?:us|them)|niemand|keiner|never|nie|niemals)\b"
    r"|\b(?:any ?more|gave (?:it )?up|giv(?:e|en|ing) up|defeated|no (?:luck|joy)|for the life of me|in vain|impossible"
    r"|not possible|no way|can't help|vergeblich|trotz|langer suche|unmöglich|nicht möglich)\b",
    re.I,
)
""" "I am 84 and do not go up ladders", "we have looked everywhere": asking once more brings no answer."""


def unable_for_good(whole: Clause, said: Sequence[Statement]) -> bool:
    """Whether it says that something cannot be told, and why not later either."""
    missing = any(s.kind is StatementKind.COULD_NOT for s in said) or whole.has(C.COULD_NOT)
    missing = missing or bool(_CANNOT_DO.search(whole.text))
    return missing and bool(_LASTING.search(_BESIDES.sub("", whole.text))) and not whole.has(C.LATER)


def says_no_more(whole: Clause) -> bool:
    """Whether a sentence is a courtesy, a promise, a word on pictures or on the writer's own tools, or nothing but an
    acknowledgement: "fair enough"."""
    if _GIVEN_ALREADY.search(whole.text) and not whole.has(C.LATER):
        return False
    if whole.has(C.ASIDE, C.PICTURE, C.COULD_NOT, C.LATER, C.BUSINESS):
        return True
    if promises(whole) and not whole.has(C.NEGATION, C.CHANGE, C.DISPUTE):
        return True
    if (
        of_a_thing(whole)
        or whole.has(C.NEGATION, C.SAME)
        or re.search(r"\d|\?", whole.text)
        or tells_a_number(whole.text)
    ):
        return bool(NO_TROUBLE.match(whole.text))
    answers = SHORT.match(whole.text) or PICKED.match(whole.text) or YES.match(whole.text)
    placed = PLACED.match(whole.text) or SPOT.match(whole.text)
    brief = len(whole.words) <= 3 and weight(whole) < 1 and not (answers or placed) and not foreign(whole)
    return (
        brief
        or bool(_WHEN.search(whole.text))
        or bool(PRAISE.search(whole.text) or _DEVICE.search(whole.text))
    )


def courteous(whole: Clause) -> bool:
    """Whether it only asks for time, is sorry for it, or is kind: "Give me till Monday"."""
    if whole.has(C.DISPUTE, C.TAKEN_BACK, C.SAME) or _GIVEN_ALREADY.search(whole.text):
        return False
    if own_slip(whole) or _KIND_OF_YOU.search(whole.text) or IF_NEEDED.match(whole.text.lstrip()):
        return not of_a_thing(whole)
    if whole.has(C.NEGATION) or (whole.has(C.HEDGE) and not whole.has(C.ASIDE)):
        return False
    return says_no_more(whole) and (promises(whole) or not (of_a_thing(whole) or whole.has(C.CHANGE)))


_GIVEN_ALREADY = re.compile(
    r"\b(?:measurements|numbers|sizes|figures|dimensions|answers|details|maße|angaben)\b.{0,40}\b(?:were|was"
    r"|are on|gave|have|had|stehen"
    r"|standen|haben)\b|\b(?:see|look at|already on|is on|are on|it's on|steht (?:schon )?(?:auf"
    r"|in))\b.{0,15}\b(?:plan|drawing|sketch|form"
    r"|letter|diagram|skizze|zeichnung)\b|\b(?:error|mistake|wrong)\b.{0,15}\byour?\b|\byou(?:'ve"
    r"| have)? (?:already )?(?:have|had|got) (?:all )?(?:this|that|these|them)\b",
    re.I,
)
NO_TROUBLE = re.compile(r"^\W*no (?:prob\w*|worries|bother|rush|hurry|drama|sweat|trouble|hassle)\W*$", re.I)
_WHEN = re.compile(
    r"\b(?:monday|tuesday|wednesday"
    r"|thursday|friday|saturday"
    r"|sunday|weekend|montag|dienstag|mittwoch|donnerstag|freitag|samstag|sonntag|wochenende)\b",
    re.I,
)


def foreign(whole: Clause) -> bool:
    """Whether most of its words stand in no vocabulary: another language, or talk that only a person can judge."""
    unknown = [w for w in whole.unknown if w[:1].islower()]
    return 2 * len(unknown) >= len(whole.words)


def for_forms_sake(clause: Clause) -> bool:
    """ "Is that enough?": a question that needs no answer."""
    courtesy = bool(_FORMS_SAKE.search(clause.text) or ASIDE.match(clause.text))
    about = clause.mentions or clause.lengths or clause.has(C.ROOM_WORD, C.PICTURE, C.WINDOW, C.DOOR)
    return courtesy and not about and len(clause.words) <= 8


_FORMS_SAKE = re.compile(
    r"\b(?:is (?:that|this|it|everything) (?:ok|okay|enough|alright|all right|fine|clear"
    r"|what you (?:need|want|wanted|needed|were after))|(?:does|will"
    r"|would) (?:that|this|it) (?:help|do|work)"
    r"|no rush|i hope\b|how are you|hope you|what next|what now|what's next|what happens next|what do you need"
    r"|how do we start"
    r"|how does it work|what (?:do|can|did) you expect|what can (?:you|one) do|what can i say|who knew"
    r"|would you credit it"
    r"|was will man machen|reicht das|passt das"
    r"|ist das (?:ok|in ordnung)|hilft (?:das|ihnen))\b",
    re.I,
)


_OPENS = re.compile(
    r"\b(?:can't|cannot|can not|couldn't|could not|not able to|unable to|won't|doesn't|don't|didn't|fail\w*|nicht"
    r"|kann|konnte)\b.{0,40}\b(?:see|open|find|download|read|view|load|sehen|öffnen|laden|finden)\b",
    re.I,
)


def unseen(clause: Clause) -> bool:
    """ "I can't see the picture"."""
    return clause.has(C.PICTURE) and clause.has(C.COULD_NOT) and bool(_OPENS.search(clause.text))
