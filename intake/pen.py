"""Letters for the use cases: the words from config/letters, the bytes by the postbox's composer."""

from __future__ import annotations

from datetime import datetime

from intake.model.letter import Letter, Wording
from intake.postbox.compose import compose
from intake.postbox.letters import Showroom, load_letters
from intake.settings import Settings
from intake.work.services import RenderedLetter
