"""Numbers in running text that are no lengths: telephones, dates, money, ages, streets, models."""

from __future__ import annotations

import re

FIGURE = r"\d++(?:[.,]\d++)?+"
OF_A_FAMILY = (
    r"(?:(?:grand|step)?(?:children|kids|sons?|daughters?|boys|girls|mother|father)|twins|(?:mother|father)-in-law"
    r"|husband|wife|mum|dad|nan|gran(?:ny|dad|dma)?|baby|dogs?|cats?|puppy|(?:schwieger|groß)?(?:mutter|vater)"
    r"|mann|frau|oma|opa|sohn|tochter|kinder|enkel\w*|hund|katze)"
)
_MONTHS = (
    "jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?"
    "|oct(?:ober)?|nov(?:ember)?"
    "|dec(?:ember)?|januar|februar|märz|mai|juni|juli|oktober|dezember"
)
_JOINED_STREETS = r"str|straße|strasse|weg|platz|gasse|allee|ufer|(?<!vor)hang"
_STREETS = (
    rf"{_JOINED_STREETS}|road|street|lane|avenue|close|drive|crescent|terrace|court|gardens"
    r"|grove|rise|hill|mews|square|row|way|rd|ave"
)
"""The German ones end a longer word; of the English ones "Herd 252" and "cupboard 210" are none."""
NO_LENGTH = re.compile(
    r"(?:\+|\b0)\d[\d ()/-]{6,18}\d"  # telephone
    r"|[£$€]\s?\d[\d.,]{0,12}|\d[\d.,]{0,12}\s?(?:£|€|\$|%|euros?\b|pounds?\b|quid\b|degrees?\b|grad\b|°)"
    r"|\b(?:0?[1-9]|[12]\d|3[01])([./])(?:0?[1-9]|1[0-2])\1(?:20)?\d{2}\b|\b\d{4}-\d{2}-\d{2}\b"
    r"|\b(?:am|bis|vom|ab|zum|den|dem|seit)\s(?:0?[1-9]|[12]\d|3[01])\.(?:0?[1-9]|1[0-2])(?:\.(?!\d)|\Z)"
    rf"|\b\d{{1,2}}(?:st|nd|rd|th|\.)?\s+(?:of\s+)?(?:{_MONTHS})\b(?:\s+\d{{4}})?"
    rf"|\b(?:{_MONTHS})\s+\d{{1,2}}(?:st|nd|rd|th)?\b"
    r"|\b(?:by|until|till|before|after)\s\d{1,2}\.\d{2}\b(?!\s?(?:m|cm|mm)\b)"
    r"|\b\d{1,2}:\d{2}\b|\b\d{1,2}(?:\.\d{2})?\s?(?:am|pm|uhr|o'clock)\b"
    r"|\b(?:1[6-9]|20)\d0'?s\b|\b\d0'?s\b|\b(?:1[6-9]|20)\d0er\b"
    r"|\b(?:built|build|from|since|in|around|about|circa|gebaut|baujahr|von|seit|um)\s+(?:in\s+|around\s+"
    r"|about\s+)?(?:1[789]|20[012])\d{2}\b(?!\s?(?:mm|cm|\"))"
    r"|\b(?:in|im jahr)\s(?:19[5-9]|20[0-2])\d(?=\s{0,2}(?:[.,;!?)\n]|\Z|(?:when|and|but|so|before|after|und|als)\b))"
    rf"|\b{FIGURE}\s?(?:mm|cm|m)?\s?(?:[x×]|by|mal)\s?{FIGURE}(?:\s?(?:mm|cm"
    rf"|m)\b)?(?:\s?[x×]\s?{FIGURE}(?:\s?(?:mm|cm|m)\b)?)?"
    rf"|\b(?:\w*(?:{_JOINED_STREETS})|{_STREETS})\.?,?\s\d{{1,4}}[a-z]?\b(?!\s?(?:cm|mm|m)\b|[.,]\d)"
    rf"|\b\d{{1,4}}[a-z]?,?\s(?:(?-i:[A-Z])[\w'-]+\s){{1,3}}(?:{_STREETS})\b"
    rf"|\b{FIGURE}\s?(?:m²|m2|qm|sqm|sq\.?\s?(?:m|ft|feet|met(?:re|er)s)|square\s(?:met(?:re|er)s?|feet|foot)"
    r"|quadratmetern?)(?!\w)"
    r"|\b\d{1,2}\s?-?(?:m|metres?|meters?|ft|foot|feet)\s(?:long\s|steel\s|metal\s)?(?:tape|rule|ruler|measure"
    r"|ladder|cable"
    r"|maßband)\b|\b(?:24/7|50/50|10/10|9/10|9 to 5)\b"
    r"|\b(?:an?|the|our|this|my)\s(?:1[89]|20)\d\d\s(?:house|bungalow|build|semi|flat|terrace|cottage|extension"
    r"|kitchen)\b"
    r"|\b(?:home|back|free|finish\w*|start\w*|leave|leaving|open|here|shift)\b.{0,12}\b(?:at|by|around|about|from"
    r"|till)\s\d{1,2}\b(?![.,]?\d|\s?(?:cm|mm|m)\b)"
    r"|\b\d{5}\s(?-i:[A-ZÄÖÜ][a-zäöü])"
    rf"|\b{OF_A_FAMILY}(?:(?:\s(?-i:[A-Z]\w+))?,?(?:\s(?:who|which|die|der))?(?:'s|'re|\s(?:is|are|sind|ist))"
    r"|\b[^.;\n]{0,40}?\b(?:they're|they\sare|aged|sie\ssind))"
    r"\s\d{1,3}(?:\s?(?:,|and|,\sand|und|&)\s?\d{1,2}\b)*+(?![.,]?\d|\s?(?:cm|mm|m|in|ft|inch\w*|feet|foot|\""
    r"|')(?![a-z]))"
    rf"|\b(?:{OF_A_FAMILY}|i'?m\s\w+|i\sam\s\w+|ich\sbin\s\w+)(?:\s(?-i:[A-Z]\w+))?\s?\(\d{{1,3}}(?:\s?(?:,|and|und"
    rf"|&)\s?\d{{1,2}})*\W{{0,2}}\)"
    r"|\b(?:house|flat|home|building|cottage|bungalow|place|haus|gebäude|wohnung)(?:'s|\sis|\swas"
    r"|\sist)?\s(?:from\s|von\s)?"
    r"(?:1[6789]|20)\d\d\b(?!\s?(?:mm|cm|m\b))"
    r"|\b(?:model|modell|mark|mk|typ|series|serie|serial|postcode|ref|reference|job|invoice|ticket)\.?"
    r"\s(?:no\.?\s|number\s|nr\.?\s)?\d[\w-]*"
    r"|\b\d{1,4}'s\b"
    r"|\b\d+\s(?:e-?mails|messages|guests|visitors|miles|kilos?|kg|kilometres|stone|calories|kilometer|kilo|gäste"
    r"|nachrichten)\b"
    r"|\b(?:train|bus|flight|plane|ferry|shift|meeting|class|lesson|zug|bahn|flug|schicht)(?:'s)?\b[^.;\n\d]{0,20}"
    r"\b(?:at|um|geht|leaves|starts)\s\d{1,2}[.:]\d{2}\b"
    r"|\b[A-Za-z]{1,3}-?\d[\w-]*|\b\d+[A-Za-z]{1,2}\d\w*|\b\d{7,}\b",
    re.I,
)
"""Numbers that are no lengths; sizes ("60 x 60") are lengths of something, but of nothing that is asked for."""
