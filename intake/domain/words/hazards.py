"""Words that tell of a danger at the customer's home: gas, carbon monoxide, live wires, water, fire, asbestos, a fall.

A danger reaches a person before anything else, and a sentence that tells of one is evidence for nothing. The
advice is the
usual one, from memory, and decides nothing: the emergency service and the registered engineer do.
"""

from __future__ import annotations

import re
from enum import StrEnum

from intake.domain.words.cues import LONGEST_SENTENCE, any_of, every_sentence
from intake.model.need import Need, NeedKind
from intake.model.phrase import Phrase, phrase


class Hazard(StrEnum):
    """A kind of danger that a customer tells of."""

    GAS = "gas"
    CARBON_MONOXIDE = "carbon-monoxide"
    ELECTRICITY = "electricity"
    WATER = "water"
    FIRE = "fire"
    ASBESTOS = "asbestos"
    FALL = "fall"
    COLLAPSE = "collapse"

    @property
    def why(self) -> Phrase:
        """What the customer tells of, and what to tell them first."""
        return phrase(f"hazard-{self}")


_NOT = re.compile(
    r"\b(?:no|not|never|without|don't(?! half)|didn't(?! half)|doesn't(?! half)|can't|cannot|couldn't|isn't|wasn't|kein"
    r"|keine|keinen|nicht|nie)\b"
    r"(?:\s+\w+){0,2}\s*$",
    re.I,
)
"""What denies a danger must stand right before it: "no smell of gas"."""

_NEAR = r"(?:\W+\w++(?:'\w++)*+){0,%d}?\W+"


def _together(first: str, second: str, between: int = 6) -> str:
    """Both within a few words of each other, in either order."""
    near = _NEAR % between
    return rf"\b(?:{first})\b{near}(?:{second})\b|\b(?:{second})\b{near}(?:{first})\b"


_SMELL = any_of(
    "smells?|smelt|smelled|smelling|smelly|whiffs?|stinks?|stench|reeks?|odou?r|leaks?|leaking|leaked"
    "|leakage|hissing|hisses|escaping",
    r"riecht|gerochen|riechen|geruch|stinkt|gestank|leck|undicht|undichte|strömt|ausgeströmt|zischt",
)
_ODD_SMELL = (
    r"(?:funny|odd|strange|weird|bad|horrible|nasty|awful|peculiar|eggy|sulphur\w*|komische[rn]?|seltsame[rn]?"
    r"|übler)\W+"
    r"(?:smells?|odou?r|whiff|geruch)"
)
_CABLES = "wires?|wiring|cables?|flex|kabel|leitung|leitungen|drähte|draht|sockets?|steckdosen?"
_WIRING = any_of(
    _CABLES,
    "plug|electrics|fuse ?box|fuse ?board|consumer unit|switch(?:es)?|terminals?|sicherungskasten|schalter",
)
_LOOSE = any_of(
    r"bare|exposed|live(?= (?:wires?|cables?|wiring|electrics))|hanging|dangling|loose(?= (?:wires?|cables?))"
    r"|frayed|chewed",
    "blank|blanke|offen|offene|offenliegende?|freiliegende?|lose",
)
_BURNT = any_of(
    "spark(?:s|ed|ing)?|sparky(?= (?:socket|plug|switch|wir))|arcing|burn(?:t|ed|ing)?|scorch(?:ed|ing)?|melt(?:ed"
    "|ing)?|buzz(?:es|ing)?|fizz(?:es|ing)?",
    "smok(?:e(?! (?:alarm|detector))|es|ed|ing)|crackl(?:es|ing)|singed|dripping",
    "funken|schmort|schmorte|verschmort|brennt|qualmt",
)
_FEW = r"\W+(?:\w+\W+){0,2}?"
_HOT = (
    rf"\b(?:{_WIRING})\W+(?:\w+\W+){{0,4}}?(?:is|are|was|gets?|got|getting|feels?|felt|runs?|running|goes|ist|sind"
    rf"|wird|werden|war){_FEW}(?:hot|warm|heiß|heiss)\b(?!\W+(?:water|tap|plate|tub))"
)
_NOT_LONG_AGO = (
    r"(?![^.!?]{0,60}\b(?:ago|back in|last (?:year|winter|spring|summer|autumn)|years?|(?:in )?(?:19|20)\d\d"
    r"|letzte[ns]? (?:jahr|winter|sommer)|vor \w+ (?:jahren|monaten)|damals|repariert|behoben"
    r"|fixed|repaired|mended|sorted|all dry)\b)"
)
""" "The pipe burst two years ago", "the burst pipe has been mended": no danger any more."""
_POURS = "pouring|pours|dripping|drips|leaking|leaks|seeping|seeps"
_WATER = (
    rf"\bwater(?:'s)?(?! pipe){_FEW}(?:coming|comes|came|running|runs|{_POURS}){_FEW}"
    rf"through{_FEW}(?:ceilings?|roof|lights?)\b"
    rf"|\b(?:water|rain|ceiling|roof)(?:'s)?{_FEW}(?:{_POURS}){_FEW}"
    rf"(?:(?:from|through|in|into|onto|on|over|down){_FEW})"
    r"(?:ceilings?|roof|lights?|sockets?|electrics|fuse ?box|consumer unit|kitchen|floor)\b"
    rf"|\bwasser{_FEW}(?:durch die|von der|aus der) decke\b|\bwasser{_FEW}in die (?:lampen?|steckdosen?)\b"
    rf"|\btropft{_FEW}(?:durch|von|aus) (?:der|die) decke\b"
    rf"|\b(?:pipes?|water main)(?:'s)?(?: has| have| had| just)* burst\b{_NOT_LONG_AGO}"
    rf"|\bburst (?:\w+ )?pipes?\b{_NOT_LONG_AGO}"
    rf"|\b(?:wasser)?rohrbruch\b{_NOT_LONG_AGO}|\brohr{_FEW}(?:geplatzt|gebrochen)\b{_NOT_LONG_AGO}"
)
_TOLD: tuple[tuple[Hazard, str], ...] = (
    (
        Hazard.CARBON_MONOXIDE,
        "|".join(
            [
                _together(
                    r"carbon monoxide|co|c\.o\.|co-?melder|kohlenmonoxid|kohlenmonoxidmelder",
                    r"alarm (?:went|goes|is|was|keeps|has been) \w+|went off|going off|goes off|gone off"
                    r"|beep\w*|bleep\w*|chirp\w*|sound(?:s|ed|ing)"
                    r"|ringing|triggered|shrill\w*|poison\w*|leak\w*|fumes|headaches?|red light|reading"
                    r"|piept\w*|gepiept|ausgelöst"
                    r"|schlägt an|angeschlagen|losgegangen|vergift\w*|alarm geschlagen",
                ),
                _together(
                    "boiler|flame|fire|cooker|therme|flamme",
                    r"yellow flame|orange flame|lazy flame|sooty?|fumes|abgase?|ruß|rußt",
                    4,
                ),
                r"\b(?:kohlenmonoxid|carbon monoxide)\b",
            ]
        ),
    ),
    (
        Hazard.GAS,
        "|".join(
            [
                _together("gas|gassy|the meter|gaszähler|gasuhr|gasleitung", _SMELL),
                _together("gas|gas meter|boiler|gaszähler|therme", _ODD_SMELL, 16),
                r"\brotten eggs?\b|\bgasgeruch\b|\bgasleck\b|\bfaulen? eiern?\b|\bgas escape\b",
            ]
        ),
    ),
    (
        Hazard.ELECTRICITY,
        "|".join(
            [
                _together(_CABLES, _LOOSE),
                _together(_WIRING, _BURNT),
                r"\bbare (?:ends|copper|conductors?)\b|\bno (?:plastic|insulation|sleeving) (?:left )?on\b",
                r"\b(?:it|that|which|they)(?:'s)?(?:\W+\w+){0,2}?\W+(?:sparks?|sparking|buzzes|buzzing"
                r"|smoking|crackles|crackling"
                r"|fizzes|fizzing|burning)\b",
                r"\b(?:got|get|gets|gave|give|gives|had|has|have|having) (?:me |us |him |her )?(?:a "
                r"|an )?(?:\w+ )?(?:electric(?:al)? )?shocks?\b",
                r"\belectrocut\w+|\belectric shock\b|\bstromschlag\b|\bstromschläge\b"
                r"|\beinen schlag (?:bekommen|gekriegt)\b|\beinen gewischt\b",
                _together("tingl(?:e|es|ed|ing)|kribbelt", f"tap|{_WIRING}", 5),
                _HOT,
            ]
        ),
    ),
    (Hazard.WATER, _WATER),
    (
        Hazard.FIRE,
        r"\bburn(?:ing|t) smell\b|\bsmells? of burning\b|\bsmells? burnt\b|\bsmell of smoke\b|\bon fire\b"
        r"|\bcaught fire\b|\bbrandgeruch\b"
        r"|\briecht verbrannt\b|\bsmouldering\b|\bes brennt\b",
    ),
    (Hazard.ASBESTOS, r"\basbest(?:os)?\w*|\bartex\b"),
    (
        Hazard.FALL,
        "|".join(
            [
                _together(
                    "fell|fallen|falling|slipped|toppled|came off|come off|tumbled|gestürzt|gefallen"
                    "|runtergefallen|heruntergefallen"
                    "|abgerutscht|abgestürzt",
                    "ladders?|steps|step-?ladder|stool|chair|table|worktop|leiter|trittleiter|stuhl|hocker|tisch",
                ),
                r"\b(?:i|he|she|we|husband|wife|mum|dad|son|partner)(?:'ve|'s| have"
                r"| has)? (?:had a )?(?:nasty |bad )?(?:fall|fell|fallen)\b(?! (?:in|for|behind|asleep|out"
                r"|ill))",
                _together(
                    "broke|broken|hurt|injured|sprained|cracked|banged|gebrochen|verletzt|verstaucht|fractured",
                    r"(?:my|his|her|our) (?:\w+ )?(?:arm|leg|wrist|ankle|back|hip|hand|rib|ribs|head|knee"
                    r"|foot|shoulder|elbow|collarbone)"
                    "|arm|bein|knöchel|handgelenk|rücken|fuß|rippe",
                    3,
                ),
                r"\bin a ?& ?e\b|\bambulance\b|\bkrankenwagen\b",
            ]
        ),
    ),
    (
        Hazard.COLLAPSE,
        _together(
            "ceiling|roof|wall|chimney|beam|lintel|plaster|floor|decke|wand|mauer|boden|balken",
            r"collaps\w+|caved in|caving in|fallen in|fell in|falling in|fell down|came crashing|gave way"
            r"|giving way|eingestürzt|heruntergekommen|einsturz\w*",
            4,
        ),
    ),
)
_HAZARDS = [(hazard, re.compile(pattern, re.I)) for hazard, pattern in _TOLD]
_OFTEN = re.compile(
    r"bare|plastic|insul|sleev|gas|smell|odou?r|whiff|geruch|spark|buzz|crackl|fizz|monox|\bco\b|c\.o\.|co-|flame|flamme|therme|boiler|fire"
    r"|burn|brand|brenn"
    r"|verbrannt|smok|smoul|egg"
    r"|eier|asbest|artex|fell|fall|slipp|topp"
    r"|came off|come off|tumbl|gest|ruts|abge|hurt|broke|injur|sprain|crack|bang|brochen|verletz|verstaucht"
    r"|fractur|wir|cable|socket|plug"
    r"|electr|fuse|consumer|switch|flex|termin|kabel|leitung|dr[aä]ht|steckdos|sicherung|schalter|schlag"
    r"|gewischt|shock|tingl|kribbel"
    r"|water|wasser|rain|drip|leak|pipe|burst|rohr|tropft"
    r"|ambulance|a ?& ?e|krankenwagen|collaps|cav|crash|gave way|giving way|einst|herunter",
    re.I,
)
"""A cheap look first: most sentences hold none of it."""


def hazard_in(sentence: str) -> Hazard | None:
    """The danger that a sentence tells of, the gravest first; None where it tells of none or denies it."""
    found = _found(sentence)
    return found and found[0]


def hazards(words: str, message: str = "") -> tuple[Need, ...]:
    """What a message of any length tells of dangers, a need for each sentence; `message` is its key."""
    told = ((s, *found) for s in every_sentence(words) if (found := _found(s)))
    return tuple(Need(NeedKind.HAZARD, _around(s, at), hazard.why, message) for s, hazard, at in told)


def _found(sentence: str) -> tuple[Hazard, int] | None:
    """The danger, and where in the sentence its words begin."""
    if not _OFTEN.search(sentence):
        return None
    for hazard, told in _HAZARDS:
        match = told.search(sentence)
        if match and not _NOT.search(sentence[: match.start()]):
            return hazard, match.start()
    return None


def _around(sentence: str, at: int) -> str:
    """As much of a sentence as is kept, with what stands at `at`."""
    start = max(0, min(at - LONGEST_SENTENCE // 2, len(sentence) - LONGEST_SENTENCE))
    return sentence[start : start + LONGEST_SENTENCE]
