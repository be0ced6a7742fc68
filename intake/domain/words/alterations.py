"""That something in the room will be altered, in words that other words part."""

from __future__ import annotations

import re

from intake.domain.words.cues import RELATIVE

_THEY = (
    rf"(?:he|she|they|hubby|(?:(?:my|our|the|her|his) )?(?:\w+ )?{RELATIVE}|(?:the|my|our|a) (?:builders?|plumber"
    r"|electrician|plasterer|fitter|joiner|carpenter|landlord|landlady|council|architect|engineer)|(?-i:[A-Z][a-z]+))"
)
_FIXED = (
    r"(?:windows?|doors?|doorways?|walls?|radiators?|boilers?|meters?|sinks?|chimney|ceilings?|floors?|beams?|pipes?"
    r"|partitions?|sills?|hatch|sockets?|step|stud)"
)
""" "He is going to put a window there", "she wants to move out the radiator"."""
_ENGLISH = (
    r"\b(?:is|are|was|were|'s|'re) being (?:\w+ly )?\w+(?:ed|en|own|t)\b"
    r"|\b(?:to be|will be|getting|gets|get) (?:\w+ly )?(?:moved|taken|replaced|swapped|removed|widened|blocked|raised"
    r"|lowered|rebuilt|fitted|knocked|bricked|plastered|tiled|changed|altered|ripped|demolished|extended)\b"
    r"|\b(?:going to|will) be (?!\w*(?:measur|photo|need|finish|delay|attach|pleas|delight|interest|us|ask|excit"
    r"|thrill|reliev|surpris|scann|mail|post|forward|includ|follow|clos)ed)(?:made|built|put|cut|\w{3,}(?:ed|en|wn))\b"
    r"|\b(?:there'?s|there is|there are|we have|we've got|we are having|we're having) (?:\w+ ){0,4}(?:going|coming)"
    r" (?:in|out|up|down|over|through|where)\b(?! and out)"
    r"|\b(?:we are|we're|i am|i'm|they are|they're|s?he is|s?he's) (?:hacking|knocking|chipping|ripping|pulling|tearing"
    r"|taking) (?:\w+ ){0,3}(?:off|out|down)\b|\b(?:will|is going to) (?:gain|lose|grow|shrink)\b"
    r"|\b(?:will|going to) look (?:\w+ )?different\b|\bmak(?:e|ing) (?:it|this|them|the \w+) (?:all )?open[ -]plan\b"
    r"|\bmak(?:e|ing) the (?:window|door|wall|room|kitchen|opening) (?:\w+er)\b"
    r"|\b(?:new|another) \w+ (?:is |are )?(?:still )?to (?:go|come) (?:on|over|down)\b"
    r"|\b(?:tiles|tiling|flooring|boards|plaster(?:board)?|laminate|lino|carpet|underlay|screed)"
    r" (?:(?:is|are|still|yet|all) ){0,3}to (?:come|follow|go)\b"
    r"|\b(?:tiles|tiling|floor(?:ing|boards)?|boards|laminate|lino|carpet|vinyl|underlay) (?:\w+ )?"
    r"(?:(?:is|are|will be|be) coming|comes?|(?:is|are) to come) up\b"
    r"(?! (?:\w+ )?(?:well|nice\w*|lovely|clean\w*|beautiful\w*|shiny|great|a treat|like new)\b)"
    r"|\b(?:radiators?|panels?|tiles|boards|plaster|boxing|cladding|architraves?|skirtings?)\b.{0,30}\bcoming off\b"
    r"|\b(?:swapp(?:ed|ing) for|demolish\w*|relocat\w*)\b"
    r"|\b(?:getting|having|fitting) (?:an?|new|the|some) (?:new )?(?:heat pump|windows?|boiler|doors?|floor|ceiling)"
    r"\b|\bhaving (?:\w+ ){1,3}(?:laid|fitted|put|done|installed|replaced|moved)\b|\b(?:is|are) (?:both|all) going\b"
    r"|\b(?:coming|due) (?:(?:in|on|next) (?:\w+ ){1,2})?to (?:move|shift|swap|replace|fit|remove) (?:it|them|the)\b"
    r"|\b(?:send(?:s|ing)?|sent|booked|getting|having) (?:[\w']+ ){1,4}?to (?:move|shift|swap|replace|remove|lower"
    r"|raise|drop|relocate|rip|take (?:out|it|the|down)|knock|widen|brick|block|box|(?:re-?)?plaster|skim|rewire)\b"
    r"|\b(?:(?:knock|tak|rip|tear|pull|brick|block|box)(?:e|en|p?ing)?|took) (?!it |them |that )(?:\w+ ){0,4}"
    r"(?:down|out|through|up|away)\b"
    rf"|\b(?:{_THEY}|we)(?:'s|'re|'ll|'d| is| are| will| would)?(?: \w+){{0,2}}? (?:going to|wants? to|wanting to"
    r"|planning to|plans? to|means to|meaning to|hopes? to|hoping to|intends? to|like to|has to|have to|about to|will"
    rf"|'ll) (?:\w+ )?(?:(?:put|fit|build|install|add|have|make|cut)(?: in| up| on)? (?:an?|another|some|new|two)"
    rf"|(?:move|shift|remove|replace|swap|widen|lower|raise|block|brick|board|box|close|turn|knock|take"
    rf"|rip|pull|strip|re-?(?:site|hang|route|build|tile|plaster)|change)"
    rf"(?: out| up| away| off| down| over| round| in){{0,2}} (?:the|that|this|our|my|her|his|their))"
    rf" (?:[\w-]+ ){{0,2}}?{_FIXED}\b(?! (?:photo|pic|measure|plan|drawing|reading|cover|height|depth)"
    r"|.{0,20}\b(?:so|before|to|and|then) (?:that )?(?:i|we|you|he|she)?\s?(?:can|could|will|'ll)?\s?"
    r"(?:measur|get at|reach|photo))"
)
"""That something will be altered, in words that other words part: the passive under way, verbs in two parts."""
_GERMAN = (
    r"(?<!wasser )(?<!leitung )(?<!gas )(?<!strom )\b(?:kommt|kommen|fliegt|fliegen|geht|soll|sollen|muss|reißen"
    r"|nehmen|bauen|setzen)\b[^.,;\d]{0,40}"
    r"\b(?:raus|weg|rein|runter|ab|dicht|neu)\b"
    r"|\b(?:kommt|kommen|bekommen|kriegen) (?!der |das )(?:\w+ ){0,3}(?:der |das |die |ein\w* )?neue[rsn]? [A-ZÄÖÜ]"
    r"|\b(?:wird|werden)\b[^.,;\d]{0,40}\b(?!\w*(?:mess|schick|reich|send|fotograf|liefer|brauch|nötig|wes|meld|sag"
    r"|dankt|freu|red|sproch|lach|träum|schwärm))"
    r"(?:\w*ge\w{3,}(?:t|en)|(?:ver|er|ent)\w{3,}t)\b"
    r"|\b(?:ab|aus|ein|um|weg|an|durch|heraus|raus|zu)zu(?:reißen|bauen|setzen|nehmen|mauern|brechen|hängen"
    r"|tauschen|legen|schieben)\b|\bzu (?:entfernen|ersetzen|versetzen|verlegen|verschieben|vergrößern)\b"
)
"""That something will be altered, in words that other words part: verbs in two parts, the passive, "zu"."""
CHANGES = re.compile(f"{_ENGLISH}|{_GERMAN}", re.I)
_DO = r"(?:(?:aus|nach)?messen|finden|erreichen|sehen|lesen)"
COULD_NOT = re.compile(
    rf"\b{_DO} (?:kann|konnte|können|konnten) (?:ich|wir|man)\b[^.,;]{{0,40}}\bnicht\b"
    rf"|\b(?:kann|konnte|können|konnten) (?:ich|wir|man)\b[^.,;]{{1,40}}\bnicht (?:mehr )?{_DO}\b"
    r"|\b(?:habe?|haben) (?:ich|wir)\b[^.,;]{1,40}\bnicht (?:gemessen|gefunden|geschafft|messen können)\b",
    re.I,
)
""" "Messen kann ich die Decke leider nicht"."""
_IN_A_LIFE = r" (?:before|since (?:\w+ )?school|for (?:\w+ )?(?:years|decades|ages)|in (?:my|our|\w+) (?:life|years))\b"
NOT_DRAWN = re.compile(
    r"(?:\b(?:i|we|he|she|(?:my|our) \w+)(?:'ve|'d| have| had)? (?:\w+ )?|\A\W{0,3}|[,(-] ?|\b(?=forgot|did))"
    r"(?:(?:do|did|have|had)(?:n't| not)|never|forgot(?:ten)?|not|not sure|can't remember|cannot remember)\b"
    r"(?: (?:think|believe|sure|remember|know|if|whether|that|i|we|actually|even|to|have|had|ever|i'd|i've)|'ve){0,5}"
    r" (?:draw(?:ing|n)?|drew|sketch(?:ed)?)\b(?! (?:(?:it|that|this|them|the (?:plan|drawing|sketch)) )?"
    r"(?:(?:very|too|so|that) )?(?:well|neatly|properly|to scale|straight|clearly|nicely|accurately|exactly)\W*\Z"
    r"| by (?:me|us|hand)\b| (?:(?:the )?units?|cm|mm)\W*\Z"
    r"| (?:the )?(?:blinds|curtains|money)(?: yet|, it was \w+)?\W*\Z"
    rf"|(?: (?:anything|one|an?|plans?|kitchens?|rooms?)){{0,2}}(?: like (?:this|that|it))?{_IN_A_LIFE})"
    r"|\b(?:(?:habe?|haben|hatte) (?:ich|wir)|(?:ich|wir) (?:habe?|haben|hatten?))\b.{0,40}"
    r"\b(?:vergessen|nicht(?! (?:sehr|so|gut|schön|sauber|genau|maßst)))\b.{0,20}\b(?:ein|auf)?(?:ge|zu)?zeichn\w*",
    re.I,
)
""" "I don't think I drew that": something in the room is not on the plan. "I didn't draw it well" and "I never drew a
plan before" are none."""
