"""How people say that a number was read rightly, put together from its parts, in English and German."""

from __future__ import annotations

from intake.domain.words.cues import any_of

_IS = r"(?:(?:'s| is| was| looks| seems)(?: also| quite| all| indeed| perfectly| absolutely)?)"
_NOUN = r"(?:number|figure|reading|measurement|length|wall|dimension|value|one|guess|size)"
_THE = r"(?:the|that|this|your|our|those)"
_WHERE = r"(?: (?:in|on|from|of) (?:the|your|my|that) (?:picture|photo|plan|drawing|sketch|wall|letter))?"
_WHICH = r"(?: (?:that )?you(?:'ve| have)? (?:got|have|had|read|give|gave|wrote|put))?"
_THING = any_of(
    rf"(?:{_THE} )?(?:(?!not\b)[^\W\d]+ ){{0,2}}{_NOUN}{_WHERE}{_WHICH}",
    rf"{_THE} (?:other|last|first|second|third|final)",
)
_JUST_RIGHT = r"right(?!\s?[:=]|\s(?:window|side|hand)\b)"
_RIGHT = rf"(?:{_JUST_RIGHT}(?: enough)?|correct|spot on|bang on|fine|ok(?:ay)?|good|perfect)"
_WRITING = r"(?:(?:my|the) (?:hand)?(?:writing|scrawl|scribbles?|figures?|sevens?|ones?|threes?))"
_READ = r"(?: (?:read|got|had|have|guessed|deciphered|made out|were|are))?"
_YOU = r"you(?:'ve|'re|'d| have| had| did)?"
_AS_YOU = (
    rf"(?:just |exactly )?(?:as|what) {_YOU} (?:have|had|read|say|said|put|wrote|guessed|think|thought|got)"
    r"(?: it| that)?"
)
_MINE = any_of(
    r"mine",
    r"(?:on |the one on )?(?:my|the) (?:own )?(?:plan|copy|drawing|sketch|original)",
    r"what(?:'s| is) (?:on )?(?:my|the) (?:plan|copy|drawing|sketch)(?: says)?",
    r"what (?:i|we) (?:wrote|put|have"
    r"|drew|measured)",
)
_DER = r"(?:die|das|der|ihre?|unsere?)"
_ZAHL = r"(?:zahl|ziffern?|vermutung|lesart|maß|wand|lesung|angabe|ziffer|wert|länge|messung|größe)"
_STIMMT = r"(?:(?:stimmt|passt)(?: so)?|(?:ist|war) (?:so |auch |ganz )?(?:richtig|korrekt|ok))"
_GELESEN = r"(?: (?:ab)?gelesen| erkannt| entziffert| geraten)?"

RIGHT = any_of(
    r"(?:that|it|this)(?:'s| is| was) the (?:right|correct) (?:one|number|figure|answer)",
    rf"{_YOU}{_READ} (?:(?:it|that|this|them|\d[\d.,]*(?: ?cm)?|{_THING}|{_WRITING}) )?(?:right|correct(?:ly)?|spot on)"
    r"(?: first time)?",
    rf"{_THING}{_IS}? {_RIGHT}(?! (?:by|with|for|if)\b)",
    rf"(?:{_THING}|it|that|this)(?: (?:is|was|says|reads)|'s) (?:indeed )?{_AS_YOU}(?: (?:it )?(?:is|says))?(?!\w"
    rf"| \w+ is\b)",
    rf"(?:{_THING}|it|that)?(?: ?is| was|'s)? ?(?:match(?:es)?|agrees? with|the same as|same as|same) {_MINE}",
    r"(?:that|this|it)(?:'s| is) (?:exactly |just )?(?:what|how) (?:(?:i|we) (?:wrote|put|have|drew)|it (?:says"
    r"|reads|is))(?: it)?(?: there)?",
    r"it does(?: indeed)?(?: say (?:that|so))?|the answer(?: to [\w ]{1,20}?)? is yes",
    rf"{_YOU}(?: read| got)? (?:it|that|{_THING}|{_WRITING}) (?:perfectly|well|just fine)|{_THING} {_AS_YOU}",
    rf"(?:is |was )?{_AS_YOU}(?!\w| \w+ is\b)",
    rf"(?:i|we)(?: can| do)? confirm(?: (?:it|that|{_THING}))?|confirming(?: {_THING})?|(?:i"
    rf"|we) agree(?: with (?:you|that|your \w+))?",
    r"(?:all (?:of )?(?:that|this|it|those|them|these)|everything|all|alles|das alles)(?:'s| is| are| was| ist)"
    r" (?:right|correct|spot on|richtig|korrekt)",
    r"(?:that|it|this|which)(?:'?s| is| was)? (?:right|correct|it|spot on|fine|perfect|the one|ok(?:ay)?|good)",
    rf"(?:{_DER} (?:\w+ )?{_ZAHL}(?: (?:im|auf dem|in der|auf der) \w+)?|{_DER} (?:andere|letzte|übrige|große"
    rf"|lange)) {_STIMMT}",
    rf"(?:(?:das|sie|es|alles)(?: \d[\d.,]*)? )?{_STIMMT}|(?:(?:das|sie|es) ist )?(?:richtig|korrekt){_GELESEN}",
    rf"(?:da(?:mit)? |das )?(?:haben|hatten|liegen|lagen) sie (?:ganz )?(?:recht|richtig){_GELESEN}",
    rf"(?:mit )?{_DER} (?:(?:\w+ )?{_ZAHL}(?: zur \w+)?|andere|letzte|übrige|große|lange) haben sie (?:recht"
    rf"|richtig){_GELESEN}",
    r"so (?:steht (?:es|sie)(?: (?:auch )?(?:auf|in) (?:dem|meinem|der|meiner) \w+)?|habe ich (?:es"
    r"|sie) (?:auch )?geschrieben|ist es|stimmt (?:es|das))",
    rf"sie (?:haben|hatten|liegen) (?:(?:es|das|ganz|{_DER} {_ZAHL}|meine schrift) )?(?:recht|richtig"
    rf"|korrekt){_GELESEN}",
    r"(?:so )?wie sie (?:es |das )?(?:gelesen|geschrieben|vermutet) haben",
    r"(?:(?:quite|perfectly|absolutely|exactly|totally|completely|entirely|ganz|völlig|absolut) )?"
    rf"(?:{_JUST_RIGHT}|correct)|is (?:right|correct|fine|ok(?:ay)?)(?! (?:by|with|for"
    r"|if)\b)",
    r"spot on|bang on|confirmed?|genau|passt",
    r"(?:die |das )?(?:zahl |\d[\d.,]* )?(?:kann|darf|möchte) ich (?:ihnen )?(?:so |nur |gern )?bestätigen"
    r"|bestätige ich",
)
"""At the beginning of what is said."""
