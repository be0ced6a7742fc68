"""What the title block says."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

CAUTION = "From the customer's own measurements. Not for ordering: site survey required."


@dataclass(frozen=True)
class TitleBlock:
    """Words for the title block; anything may be empty. `drawn_on` is the day of the drawing, given by the caller."""

    showroom: str = ""
    job: str = ""
    customer: str = ""
    room: str = ""
    drawn_on: date | None = None
