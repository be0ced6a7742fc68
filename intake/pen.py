"""Letters for the use cases: the words from config/letters, the bytes by the postbox's composer."""

from __future__ import annotations

import secrets
from datetime import datetime

from intake.checklists import load_checklists
from intake.model.letter import Letter, Wording
from intake.model.message import Address
from intake.postbox.compose import Enclosure, compose, new_message_id
from intake.postbox.guide import measuring_guide, measuring_sheet
from intake.postbox.letters import Showroom, load_letters
from intake.settings import Settings
from intake.store.letters import Written


class ShowroomPen:
    """Writes as the showroom of the settings, in its language. Raises SettingsError where a template is wrong."""

    def __init__(self, settings: Settings) -> None:
        self._letters = load_letters(settings.letters)
        self._checklists = load_checklists(settings.checklists)
        self._wording = self._letters.wording(settings.language)
        self._showroom = Showroom(settings.showroom_name, settings.showroom_phone, settings.designer)
        self._sender = Address(
            settings.showroom_name, (*settings.address, "survey@showroom.invalid")[0].lower()
        )

    def wording(self) -> Wording:
        return self._wording

    def write(self, letter: Letter, now: datetime) -> Written:
        rendered = self._letters.render(letter, self._showroom)
        message_id = new_message_id(f"{letter.job}.{secrets.token_hex(8)}", self._sender)
        raw = compose(letter, rendered, self._sender, message_id, now, self._enclosures(letter))
        return Written(letter, message_id, rendered.text, rendered.html, raw)

    def _enclosures(self, letter: Letter) -> tuple[Enclosure, ...]:
        words, showroom = self._wording, self._showroom
        if letter.calendar:
            # RFC 6047 2.4: the method stands in the media type as well.
            how = {"method": "REQUEST", "charset": "utf-8"}
            return (Enclosure("call.ics", letter.calendar.encode(), "text/calendar", how),)
        if letter.guide is None:
            return ()
        guide = measuring_guide(self._checklists[letter.guide], words, showroom)
        return (
            Enclosure(f"{words.say('guide-file')}.pdf", guide),
            Enclosure(f"{words.say('sheet-file')}.pdf", measuring_sheet(words, showroom)),
        )
