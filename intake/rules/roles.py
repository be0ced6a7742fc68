"""What the words written beside a number say of its role. The trade's and customers' words: common practice,
no source."""

from __future__ import annotations

import re
from difflib import get_close_matches

from intake.model.reading import Role

_WORDS: tuple[tuple[Role, str], ...] = (
    (Role.SILL, "sill sills cill cills cil sil windowsill"),
    (Role.REVEAL, "reveal reveals rev recess"),
    (Role.HEAD, "head lintel top"),
    (Role.CEILING, "ceiling ceil clg ch"),
    (
        Role.FIXTURE,
        "boiler meter consumer unit fuse fusebox cu radiator rad socket sockets switch stop stopcock tap"
        " water main mains sink hob cooker fridge freezer oven washer dishwasher table bath basin wc toilet"
        " shower soil pipe pipes rail towel bed wardrobe chest desk cabinet units dresser boxing boxed hatch"
        " depth deep floor ffl corner x by gas light",
    ),
    (Role.CEILING, "height h ht hgt"),
    (Role.OPENING, "door doors doorway window windows win opening open arch patio french w d"),
    (Role.OVERALL, "overall total wall full"),
)
_EXACT = {word: (place, role) for place, (role, words) in enumerate(_WORDS) for word in words.split()}
_LONG = [word for word in _EXACT if len(word) >= 4]
_LIKE = 0.74


def role_of_words(words: str) -> Role | None:
    """The role that `words` name, or None. Of several the narrower wins: "sill height" is the sill's; words
    read a letter or two wrong are known by their likeness."""
    tokens = re.findall(r"[a-z]+", words.lower())
    known = [_EXACT[token] for token in tokens if token in _EXACT]
    if not known:
        near = [get_close_matches(token, _LONG, 1, _LIKE) for token in tokens if len(token) >= 4]
        known = [_EXACT[match[0]] for match in near if match]
    return min(known)[1] if known else None
