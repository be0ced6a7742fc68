"""The phrases of the rules in the words of the desk."""

from __future__ import annotations

from intake.model.phrase import Phrase
from intake.model.wording import Wording
from intake.wording.mail import MAIL
from intake.wording.pictures import PICTURES
from intake.wording.room import ROOM
from intake.wording.survey import SURVEY
from intake.wording.words import WORDS

ROOMS = (MAIL, PICTURES, ROOM, SURVEY, WORDS)
"""The sentences by their keys, as the rooms of the domain give them."""
DESK = Wording(
    "en", {"as-said": "{words}"} | {key: text for room in ROOMS for key, text in room.items()}, {}, {}
)


def worded(said: Phrase | str | None) -> str:
    """The phrase in words, "" for none. Raises KeyError where a key of it is unknown."""
    return DESK.worded(said) if isinstance(said, Phrase) else said or ""


def sentence(said: Phrase | str | None) -> str:
    """The phrase as a sentence of its own; a person's name or words at its beginning stay as they are written."""
    text = worded(said)
    theirs = isinstance(said, Phrase) and DESK.sentences[said.key].startswith(("{by}", "{words}"))
    return (text if theirs else text[:1].upper() + text[1:]) + (
        "" if text.endswith((".", "”", "!", "?")) else "."
    )
