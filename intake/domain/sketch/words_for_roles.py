"""What the words written beside a number say of its role. The trade's and customers' words in English, German, French,
Spanish, Italian, Dutch and Polish: common practice, no source."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from intake.domain.sketch.plain_words import one_off, without_marks
from intake.model.reading import Alternative, Role

_WORDS: tuple[tuple[Role, str], ...] = (
    (Role.SILL, "sill|sills|cill|cills|cil|sil|windowsill"),
    (Role.REVEAL, "reveal|reveals|rev|recess"),
    (Role.HEAD, "head|lintel|top"),
    (Role.CEILING, "ceiling|ceil|clg|ch"),
    (
        Role.FIXTURE,
        "boiler|meter|consumer|unit|fuse|fusebox|cu|radiator|rad|socket|sockets|switch|stop|stopcock|tap"
        "|water|main|mains|sink|hob|cooker|fridge|freezer|oven|washer|dishwasher|table|bath|basin|wc|toilet"
        "|shower|soil|pipe|pipes|rail|towel|bed|wardrobe|chest|desk|cabinet|units|dresser|boxing|boxed|hatch"
        "|depth|deep|floor|ffl|corner|from|off|x|by|gas|light",
    ),
    (Role.CEILING, "height|h|ht|hgt"),
    (Role.OPENING, "door|doors|doorway|window|windows|win|opening|open|arch|patio|french|w|d"),
    (Role.OVERALL, "overall|total|tot|all|wall|full|gesamt|ges"),
)
_ABROAD = (
    "brustung|bruestung|brustungshohe|brh|fensterbank|fensterbrett|sims|allege|appui|alfeizar|antepecho|davanzale|davanz"
    "|vensterbank|borstwering|parapet",
    "laibung|leibung|laibungstiefe|leibungstiefe|fensterlaibung|embrasure|mocheta|spalletta|imbotte|negge|dagkant|oscieze|szpaleta",
    "sturz|sturzhohe|linteau|dintel|architrave|latei|nadproze",
    "decke|deckenhohe|raumhohe|plafond|techo|soffitto|plafondhoogte|sufit",
    "heizung|heizkorper|hk|steckdose|therme|kessel|zahler|gaszahler|spule|herd|wanne|dusche|waschbecken|boden|abstand"
    "|chaudiere|compteur|tableau|radiateur|evier|prise|baignoire|lavabo|sol|caldera|contador|radiador|fregadero|enchufe|banera"
    "|suelo|caldaia|contatore|lavello|presa|vasca|pavimento|meterkast|ketel|gootsteen|stopcontact|vloer|kociol|piec"
    "|licznik|grzejnik|zlew|gniazdko|podloga|profondeur|tiefe|diepte",
    "hohe|hoehe|hauteur|altura|altezza|hoogte|wysokosc",
    "tur|tuer|fenster|porte|fenetre|puerta|ventana|porta|finestra|deur|raam|drzwi|okno",
    "insgesamt|gesamtlange|totale|totaal|razem",
)
"""The same in the other languages, without marks: "Brüstung" is brustung. They stand in the order of `_WORDS`. Words
for widths, lengths and walls are not among them: "largeur", "linke Wand" and "mur - fenêtre" may be of a room, a wall
or a piece of one."""
_HEIGHTS = frozenset({"height", "h", "ht", "hgt", "high", *_ABROAD[5].split("|")})
_DEPTHS = frozenset({"depth", "deep", "profondeur", "tiefe", "diepte", "profondita"})
_ENGLISH = {word: (place, role) for place, (role, words) in enumerate(_WORDS) for word in words.split("|")}
_EXACT = {
    word: (place, _WORDS[place][0]) for place, words in enumerate(_ABROAD) for word in words.split("|")
} | _ENGLISH
NAMING_WORDS = frozenset(_EXACT)
"""The words that name a role, in small letters without marks."""
_LONG = [word for word in _ENGLISH if len(word) >= 4]
_LIKE = 0.74
_ALL_TOLD = re.compile(r"(?<![a-z0-9])[o0]?/a(?![a-z])")
"""Overall, cut short: "o/a", its o soon read as a nought or lost."""
_RUN_TOGETHER = re.compile(r"(top|sill|cill|floor|ceiling|reveal|window|height|depth|head|from|wall|corner)")
_SILL_LIKE, _SILLS = 0.65, ("sill", "cill", "sil", "cil")


PLAUSIBLE_MM: Mapping[Role, tuple[int, int]] = {
    Role.CEILING: (1900, 3500),
    Role.SILL: (0, 1600),
    Role.HEAD: (1600, 2600),
    Role.REVEAL: (10, 700),
    Role.OPENING: (250, 5000),
}
"""Lengths that a role has in homes (common practice, no source)."""
_NAMED, _ODD = 30.0, 0.1
"""How much likelier words make the role that they name, and how much less likely a length makes one whose range it is
outside of."""

_FAINTEST = 1e-4
"""No role is ruled out by its place on the drawing alone (set by hand)."""


def weighed_roles(
    chances: Mapping[Role, float], named: Role | None, lengths: Sequence[int]
) -> dict[Role, float]:
    """The chances of a number's roles (adding up to 1) given those by its place on the drawing, the role that words
    beside it name, and what it may be in millimetres, the unit being unsure."""
    odds = {role: max(p, _FAINTEST) for role, p in chances.items()}
    if named is not None:
        odds[named] *= _NAMED
    for role, (least, most) in PLAUSIBLE_MM.items():
        if not any(least <= length <= most for length in lengths):
            odds[role] *= _ODD
    total = sum(odds.values())
    return {role: p / total for role, p in odds.items()}


def role_of_words(words: str) -> Role | None:
    """The role that `words` name, or None. Of several the narrower wins: "sill height" is the sill's; words
    read a letter or two wrong are known by their likeness, those of other languages with one letter wrong. A bare "="
    before a number is an overall's."""
    plain = "overall" if words.strip() == "=" else _ALL_TOLD.sub(" overall ", without_marks(words))
    tokens = [part for token in re.findall(r"[a-z]+", plain) for part in _taken_apart(token)]
    known = [_EXACT[token] for token in tokens if token in _EXACT] or _misread(tokens)
    if (told := _of_two(tokens, {role for _, role in known})) is not None:
        return told
    if any(role is Role.CEILING for _, role in known) and _half_read_sill(tokens):
        return Role.SILL
    return min(known)[1] if known else None


def _of_two(tokens: Sequence[str], roles: set[Role]) -> Role | None:
    """What two words name together: a door's or window's height is that of its top, a sill's depth the recess's."""
    if Role.OPENING in roles and _HEIGHTS.intersection(tokens) and roles <= {Role.OPENING, Role.CEILING}:
        return Role.HEAD
    if Role.SILL in roles and _DEPTHS.intersection(tokens):
        return Role.REVEAL
    return None


def _misread(tokens: Sequence[str]) -> list[tuple[int, Role]]:
    """What words may say that none of the known ones is exactly."""
    near = [get_close_matches(token, _LONG, 1, _LIKE) for token in tokens if len(token) >= 4]
    known = [_EXACT[match[0]] for match in near if match]
    return known or [role for token in tokens for word, role in _EXACT.items() if one_off(token, word)]


def _taken_apart(token: str) -> list[str]:
    """A word as it is, or its parts where several known words were read as one."""
    if len(token) < 7 or token in _EXACT:
        return [token]
    parts = _RUN_TOGETHER.sub(r" \1 ", token).split()
    return parts if sum(part in _EXACT for part in parts) > 1 else [token]


def _half_read_sill(tokens: list[str]) -> bool:
    """Whether the word before "height" is sill, a letter or two wrong."""
    unknown = [t for t in tokens if t not in _EXACT or t in _SILLS]
    return any(2 < len(t) < 5 and get_close_matches(t, _SILLS, 1, _SILL_LIKE) for t in unknown)


LetterOdds = Mapping[str, Mapping[Role, float]]
"""How many times likelier a letter or two before, after or under a number make a role; of a role that is not listed
they make it _UNLIKE times as likely."""
_UNLIKE = 0.3
"""Set by hand, as the odds of the listed roles are."""


def is_letters(words: str, known: LetterOdds) -> bool:
    """Whether what stands beside a number is one of the single letters or pairs that people write for a word."""
    return re.sub(r"[^a-z]", "", words.lower()) in known


def odds_of_letters(letters: Sequence[Alternative], by_letters: LetterOdds) -> dict[Role, float]:
    """How many times likelier each role is by the letters that may stand beside a number; {} where there are none."""
    told = [(by_letters.get(re.sub(r"[^a-z]", "", a.text.lower())), a.confidence) for a in letters]
    known = [(odds, chance) for odds, chance in told if odds is not None]
    if not known:
        return {}
    rest = max(1.0 - sum(chance for _, chance in known), 0.0)
    return {role: rest + sum(chance * odds.get(role, _UNLIKE) for odds, chance in known) for role in Role}
