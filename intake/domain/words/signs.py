"""Signs in a sentence of which nothing was taken, weighed: whether a person must see it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.circumstances import own_slip, promises
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.model.word import Statement, StatementKind

MOVABLE = re.compile(
    r"\b(?:dresser|sideboard|table|chairs?|sofa|settee|bookcase|bookshelf|desk|lamp|rug|piano|tv|television|tisch"
    r"|stuhl|stühle"
    r"|kommode|regal)\b",
    re.I,
)
"""Furniture that stands in the room and is not fitted: nothing is designed round it."""
PRAISE = re.compile(
    r"\b(?:impress\w+|thorough|kind|helpful|patient|patience|gem|angel|marvel\w*|splendid|brill|smashing|terrific"
    r"|useful"
    r"|efficient|respect|hats off|admire\w*|thoughtful|friendly|prompt|grateful|generous|clever|sweet|nett"
    r"|freundlich|hilfreich|gründlich"
    r"|klasse|spitze"
    r"|wunderbar|herrlich)\b",
    re.I,
)
_PAPER = (
    r"(?:letters?|e-?mails?|messages?|pictures?|photos?|pics?|plans?|sketch|drawings?|website|form|brief|bild(?:er)?"
    r"|skizze|zeichnung)"
)
_SAYS_OF_PAPER = (
    r"(?:is|are|was|were|isn't|aren't|says?|said|shows?|has|had|looks?|seems?|ist|sind|zeigt|gehört)"
)
_COURTESY = (
    r"(?:find|see|excuse|ignore|forgive|bear|note|let (?:me|us) know|accept|think of|do the needful|don't worry"
    r"|geduld)"
)
_JUDGED = r"(?:happy|pleased|content|right|correct|fine|perfect|agree\w*|ok(?:ay)?|zufrieden|richtig|stimmt|gefällt)"
_DATA = (
    r"(?:data|details|records?|information|account|photos?|photographs?|pictures?|images?|daten|fotos?|bilder"
    r"|angaben)"
)
_SIGNS = {
    rf"\b(?:delete|erase|remove|destroy|wipe|löschen?|lösch|entfernen|vernichten)\b.{{0,30}}\b{_DATA}\b"
    rf"|\b{_DATA}\b.{{0,30}}\b(?:deleted|erased|removed|destroyed|wiped|gelöscht|löschen|löschung|vernichtet)\b"
    r"|\b(?:withdraw|revoke|widerrufe\w*|widerruf|zurückziehen?|ziehe)\b.{0,30}\b(?:consent|permission|einwilligung"
    r"|zustimmung)\b|\b(?:consent|einwilligung|zustimmung)\b.{0,30}\b(?:withdrawn|revoked|widerrufe\w*|zurück)\b"
    r"|\b(?:gdpr|dsgvo|subject access|right to be forgotten|right of erasure)\b": 5,
    rf"\b{_PAPER}\b.{{0,30}}\b(?:is|are|was|were|ist|sind)\b.{{0,15}}\b(?:old ones?|out of date|outdated"
    r"|alte[rs]?|veraltet"
    r"|(?:of|from|von|aus) (?:an?other|a different|the wrong|somebody else's|someone else's"
    r"|eine[mr] ander\w+)"
    r" (?:house|flat|home|place|kitchen|room|haus|wohnung|küche|raum))\b": 5,
    r"\b(?:find|try|looking for|look for) (?:somebody|someone|anybody|anyone) else\b(?! (?:to|who|for)\b)": 5,
    rf"\b{_JUDGED}\b.{{0,20}}\b(?:everything|all|alles|allem)\b.{{0,20}}\b(?:but|except|apart from|bar|bis auf"
    rf"|außer)\b"
    rf"|\b(?:everything|all|alles)\b.{{0,20}}\b{_JUDGED}\b.{{0,10}}\b(?:but|except|apart from|bar|bis auf|außer)\b": 5,
    r"\b(?:if|whether|ob)\b.{0,20}\b(?:agrees?|allows?|permits?|consents?|approves?|zustimmt|erlaubt)\b": 4,
    rf"\b{_PAPER}\b(?:\W+[\w']+){{0,3}}?\W+{_SAYS_OF_PAPER}\b": 2,
    rf"\byou(?:'ve|'re|r)?\b.{{0,25}}\b{_PAPER}\b": 1,
    rf"\b(?:please|kindly|bitte)\b(?!.{{0,12}}\b{_COURTESY}\b)": 2,
    r"\b(?:gone|going|go|went|decided|opted|plumped|chosen|using|used|choosing|picked) (?:\w+ )?(?:for|with|on"
    r"|to)?\s?(?:an?other|a"
    r" different|a rival|somebody else|someone else)\b(?! (?:day|time|date|window|door|wall|tape|pen|way|photo"
    r"|picture))"
    r"|\b(?:run|ran) out of (?:money|funds)\b|\bcan(?:'t|not) afford\b|\bselling (?:the|our) (?:house|flat|home"
    r"|place)\b"
    r"|\bdon't bother\b|\b(?:is|are|'s) (?:going to (?:do|fit|build|make)|doing|fitting|building) (?:it|one"
    r"|the kitchen|ours)"
    r" (?:for us|instead|himself|himself instead)\b|\b(?:für|bei) (?:ein(?:en?|em|er)? )?ander\w+ (?:studio"
    r"|küchenstudio|firma"
    r"|anbieter|angebot|händler|haus)\b|\b(?:günstiger|billiger)\w* gefunden\b|\bhat sich erledigt\b"
    r"|\bhaben sich erledigt\b"
    r"|\bverkaufen (?:das|unser\w*|die) (?:haus|wohnung)\b|\bgeld\b.{0,15}\bausgegangen\b|\b(?:nicht"
    r"|kaum) (?:mehr )?leisten\b"
    r"|\bgestorben\b|\bdenkmalschutz\b": 5,
    r"\b(?:landlord|landlady|freeholder|housing association|management company|council|vermieter\w*|eigentümer\w*"
    r"|hausverwaltung)\b.{0,30}(?:n't|\b(?:not|never|yet|must|needs? to|has to|have to|object\w*|refus\w*|against"
    r"|nicht|muss|müssen|dagegen|verbietet)"
    r"\b).{0,30}\b(?:know\w*|agree\w*|said|consent\w*|allow\w*|approv\w*|permission|sign\w*|it|wei(?:ß|ss)|erlaub\w*"
    r"|zustimm\w*|einverstanden|gesagt)\b|\blisted building|\bgrade (?:1|2|ii?)\b|\bparty wall"
    r"|\bunder denkmalschutz|\bbuilding (?:regs|control)": 4,
    r"\b(?:you'll|you will|you'd|you would|somebody|someone) (?:have to|need to|better) (?:send|come|get|do"
    r"|measure|find)\b"
    r"|\bsend (?:round )?(?:a|an|your|one of|some)\b.{0,20}\b(?:man|men|lad|woman|person|body|fitters?|people)\b": 4,
    r"\b(?:somebody|someone|anybody|anyone) (?:ought to|should|must|has to|needs to)\b": 4,
    r"\b(?:grateful|appreciate(?: it)?|helpful|glad)\b.{0,10}\bif\b|\bwould you mind\b|\bany chance\b": 4,
    r"\b(?:nowhere|muddled|mixed up|too blurr\w*|your.{0,30}(?:blurr\w*|fuzzy)|illegible"
    r"|hacked|built yet|bounc\w+|burst|packed up|flood\w*"
    r"|broke down|free of charge)\b": 2,
    r"\b(?:lost|different|gone|missing|broken|problem|issue|trouble|stuck|unclear|strange|odd|too (?:small|dark|big"
    r"|hard)|anders|weg|kaputt|verloren|fehlt|problem)\b": 1,
    r"\b(?:nobody|no one|never|niemand)\b": 1,
    r"\b(?:not (?:so |too |really |at all )?sure|unsure|worried|concerned|nervous|anxious|sceptical) about\b"
    r"|\bnicht (?:so |ganz )?sicher (?:mit|wegen|bei|was)\b|\b(?:bedenken|sorgen|unsicher (?:mit|wegen|bei))\b": 2,
    r"\b(?:i'm|i am|we're|we are|is|are)(?: an? (?:bit|little)| still| rather| quite| very)? (?:worried|concerned"
    r"|nervous|anxious) (?:about|that)\b": 4,
    r"\b(?:rude|unhelpful|unfriendly|cheeky|sarcastic|patroni[sz]ing|short with|shouted|hung up|unfreundlich|patzig"
    r"|frech"
    r"|unhöflich|aufgelegt)\b": 4,
    r"\b(?:doch nicht|lieber nicht|nun doch|lassen es|lassen wir es|wird nichts)\b": 3,
    r"\A\W*(?:never(?: ever)?|no way|absolutely not|certainly not|not a chance|auf keinen fall|niemals|kommt nicht in"
    r" frage)\W*\Z|\b(?:i|we)(?: will not| won't| shan't|'m not going to|'re not going to) (?!be|take|have|get|manage"
    r"|bore|need|know|keep)": 4,
    r"\b(?:i|we) thought\b|\b(?:was|were) supposed to\b|\blooked everywhere\b|\banything that looks like\b": 2,
    r"\b(?:rot|rotten|mould\w*|damp|crack\w*|leak\w*|collaps\w+|schimmel\w*|feucht|undicht)\b": 2,
    r"\b(?:(?:second|next|another|other|first|last) (?:lot|batch|set)|zweite (?:ladung|fuhre)|attach\w*|enclos\w*"
    r"|here (?:is|are|you)|here's|sending|uploaded|forward\w*|as (?:requested|promised|asked"
    r"|agreed)|im anhang|anbei|angehängt)\b": -2,
}
"""Signs in a sentence of which nothing was taken, with their weights for a person; common practice, no source."""
_WEIGHTS = [(weight, re.compile(sign, re.I)) for sign, weight in _SIGNS.items()]
_GADGET = re.compile(
    r"\b(?:phone|mobile|laptop|computer|printer|screen|tablet|camera|handy|drucker|bildschirm)\b", re.I
)
""" "Matt's phone, mine's cracked": nothing of the room."""
_NEVER = re.compile(r"\b(?:never|nobody|no one|niemand)\b", re.I)
""" A negation that has its weight among the signs."""
_BUT = re.compile(r"\b(?:but|although|though|however|aber|allerdings|jedoch)\b", re.I)
_OWN_FAULT = re.compile(r"\bmy (?:fault|mistake|bad)\b|\bmein fehler\b", re.I)
ENOUGH = 2
LOUD = 4
"""What a cancellation weighs."""


def weighs_enough(whole: Clause, said: Sequence[Statement]) -> bool:
    """Whether the signs in a sentence of which nothing was taken, but that something could not be done, add up to
    something that a person must see."""
    put_off = all(s.kind is StatementKind.COULD_NOT for s in said)
    return put_off and weight(whole) >= ENOUGH + bool(said)


def signs_alone_weigh_enough(whole: Clause) -> bool:
    """Whether they do so without what any sentence about a room has: a thing, a "but"."""
    return weight(whole) - of_a_thing(whole) - bool(_BUT.search(whole.text)) >= ENOUGH


def loud(whole: Clause) -> bool:
    """Whether one of them is enough whatever stands beside it: a cancellation, a complaint, a wish for somebody."""
    return any(w >= LOUD and sign.search(whole.text) for w, sign in _WEIGHTS)


def weight(whole: Clause) -> int:
    """Requests, something amiss and words on what we sent weigh for a person, courtesies, promises and things sent
    against one."""
    weight = sum(w for w, sign in _WEIGHTS if sign.search(whole.text))
    weight += (whole.has(C.NEGATION) and not _NEVER.search(whole.text)) or (
        whole.has(C.COULD_NOT) and not whole.has(C.LATER)
    )
    weight += of_a_thing(whole) + bool(_BUT.search(whole.text))
    weight -= 2 * bool(_OWN_FAULT.search(whole.text) or own_slip(whole) or MOVABLE.search(whole.text))
    weight -= 2 * bool(_GADGET.search(whole.text) and not of_a_thing(whole))
    weight -= 2 * (whole.has(C.LATER) or promises(whole)) + 2 * (
        whole.has(C.ASIDE) or bool(PRAISE.search(whole.text))
    )
    return weight


def of_a_thing(whole: Clause) -> bool:
    """Whether it speaks of a thing in the room."""
    return bool(whole.mentions or whole.lengths) or whole.has(C.ROOM_WORD, C.WINDOW, C.DOOR)
