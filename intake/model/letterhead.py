"""How the showroom shows itself to customers, and when its letters leave."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Letterhead:
    """`designer` is who signs, `signature` further lines under the name; `hours` ("08:00-18:00") and `days` ("Mon Tue")
    are when letters leave. `sentences` stand in place of the language file's, by their key. `logo` is a JPEG of our own
    making, b"" for none."""

    name: str = "The showroom"
    phone: str = ""
    designer: str = ""
    signature: str = ""
    hours: str = "08:00-18:00"
    days: str = "Mon Tue Wed Thu Fri Sat"
    sentences: Mapping[str, str] = field(default_factory=dict, hash=False)
    logo: bytes = field(default=b"", repr=False)
