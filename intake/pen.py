"""Letters for the use cases: the words from config/letters, the bytes by the postbox's composer."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime

from intake.checklists import load_checklists
from intake.model.letter import Letter
from intake.model.letterhead import Letterhead
from intake.model.message import Address
from intake.model.wording import Wording
from intake.postbox.compose import Enclosure, compose, new_message_id
from intake.postbox.letters import Showroom, load_letters
from intake.settings import Settings
from intake.store.letters import Written
from intake.work.showroom import in_own_words


def letterhead_of(settings: Settings) -> Letterhead:
    """The letterhead that the settings give."""
    return Letterhead(
        settings.showroom_name,
        settings.showroom_phone,
        settings.designer,
        hours=settings.working_hours,
        days=settings.working_days,
    )


def showroom_of(head: Letterhead) -> Showroom:
    """Who signs, of a letterhead."""
    return Showroom(head.name, head.phone, head.designer, head.signature, head.logo)


class ShowroomPen:
    """Writes as the showroom of the settings, in its language. Raises SettingsError where a template is wrong."""

    def __init__(self, settings: Settings, letterhead: Callable[[], Letterhead] | None = None) -> None:
        """`letterhead` says which one holds now; the settings' own where it is not given."""
        self._letters = load_letters(settings.letters)
        self._checklists = load_checklists(settings.checklists)
        self._wording = self._letters.wording(settings.language)
        self._letterhead = letterhead or (lambda: letterhead_of(settings))
        self._address = (*settings.address, "survey@showroom.invalid")[0].lower()

    def wording(self) -> Wording:
        return in_own_words(self._wording, self._letterhead())

    def usual_wording(self) -> Wording:
        return self._wording

    def write(self, letter: Letter, now: datetime) -> Written:
        showroom = showroom_of(self._letterhead())
        sender = Address(showroom.name, self._address)
        rendered = self._letters.render(letter, showroom, self.wording())
        message_id = new_message_id(f"{letter.job}.{secrets.token_hex(8)}", sender)
        raw = compose(letter, rendered, sender, message_id, now, self._enclosures(letter, showroom))
        return Written(letter, message_id, rendered.text, rendered.html, raw)

    def _enclosures(self, letter: Letter, showroom: Showroom) -> tuple[Enclosure, ...]:
        words = self.wording()
        if letter.calendar:
            # RFC 6047 2.4: the method stands in the media type as well.
            how = {"method": "REQUEST", "charset": "utf-8"}
            return (Enclosure("call.ics", letter.calendar.encode(), "text/calendar", how),)
        if letter.guide is None:
            return ()
        from intake.postbox.guide import measuring_guide, measuring_sheet

        guide = measuring_guide(self._checklists[letter.guide], words, showroom)
        return (
            Enclosure(f"{words.say('guide-file')}.pdf", guide),
            Enclosure(f"{words.say('sheet-file')}.pdf", measuring_sheet(words, showroom)),
        )
