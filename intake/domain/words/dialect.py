"""Bavarian and Swiss German words as the written language has them: "Fenschter isch 17 tüüf", "Gas hamma net".

Only a message that speaks a dialect is turned; from memory, as there is no spelling to go by.
"""

from __future__ import annotations

import re

_SPOKEN = {
    "ist": "isch is", "sind": "san sand", "habe": "hob", "haben": "hobn händ hend", "hat": "hod het hät",
    "haben wir": "hamma hämmer hemmer homma hamwa hamwer", "haben sie": "hams hend's", "gibt es": "gibts gits",
    "gemessen": "gmessn gmesse", "nicht": "net ned nöd nid nit nich", "fünfzig": "fuffzich fuffzig fuchzg",
    "gibt": "jibt",
    "kein": "koa koan kei", "keine": "koane",
    "keins": "koans keis", "ein": "oan", "eine": "oane", "ich": "i", "wir": "mir mia", "die": "de d",
    "der": "da dr", "das": "des", "auch": "aa au", "noch": "no", "nur": "nua nume", "schon": "scho",
    "dann": "dånn", "auf": "uf", "unten": "drunt drunten unde", "oben": "obe obn drobn", "hinten": "hint hinte",
    "draußen": "draussn usse", "überall": "überoi", "rechts": "rächts", "ungefähr": "ungfähr öppe",
    "passt": "basst", "stimmt": "stimmd schtimmt", "heißt": "hoaßt hoasst", "mache": "moch", "messe": "miss",
    "schicke": "schick", "weiß": "woaß", "morgen": "morn", "heute": "heit hüt", "gleich": "glei",
    "später": "spater schpöter", "kommt": "kimmt chunt kummt", "kommen": "kemman chömed chöme",
    "hängt": "hanget", "steht": "stehd stoht staht", "fenster": "fenschter fensta", "decke": "deckn decki deggn",
    "höhe": "höchi", "raumhöhe": "ruumhöchi", "tiefe": "tüüfi tiefi", "deckenhöhe": "deckehöchi",
    "tief": "tüüf tiaf", "breit": "broat", "boden": "bode bodn", "simshöhe": "simshöchi",
    "fenstersims": "fenschtersims", "laibung": "laibig", "leibung": "leibig", "obere": "oberi",
    "untere": "unteri", "keller": "kella chäller", "küche": "kuchl chuchi", "treppe": "stiagn stäge",
    "tür": "dür", "wand": "wånd", "zähler": "zähla", "gaszähler": "gaszähla", "heizung": "heizig",
    "wasser": "wåssa", "zahl": "zoi", "bild": "buidl", "sicherungskasten": "sicherungskastn sicherigschaschte",
    "fotos": "fotene föteli", "mann": "maa", "frau": "frou", "danke": "merci dankschee",
    "hallo": "hoi grüezi griaß", "grüße": "grüess gruess", "tschüss": "pfiat pfüat ade", "abend": "abig",
    "liebe": "liebi", "schönes": "schöns", "wochenende": "wuchenänd",
}  # fmt: skip
"""Each written word or two with how it is spoken."""
_WRITTEN = {word: written for written, spoken in _SPOKEN.items() for word in spoken.split()}
_ELSEWHERE_TOO = frozenset(
    re.findall(
        r"\w+",
        "is hob het san sand net nit mir de d da dr des aa au no i uf hint moch miss schick merci hat hend mia hams "
        "ade bode hoi",
    )
)
"""Words that other languages, or slips, have as well."""
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")
_JOINED = re.compile(r"(?P<article>[ds])'(?P<noun>\w+)", re.I)
""" "D'Deckn", "s'Fenster"."""


def speaks_dialect(text: str) -> bool:
    """Whether a word of a message is of a dialect and of nothing else."""
    words = (_JOINED.sub(r"\g<noun>", w.lower()) for w in _WORD.findall(text))
    return any(w in _WRITTEN and w not in _ELSEWHERE_TOO for w in words)


def as_written(word: str) -> str:
    """A word of a dialect as the written language has it."""
    if joined := _JOINED.fullmatch(word):
        article = "die" if joined["article"] in "dD" else "das"
        return f"{article} {as_written(joined['noun'])}"
    told = _WRITTEN.get(word.lower(), word)
    return told[0].upper() + told[1:] if word[0].isupper() else told
