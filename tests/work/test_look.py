"""Labels are sought once a picture, and only where it may be of one thing close up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from intake import wiring
from intake.model.picture import Overlap, Panorama
from intake.settings import Settings
from intake.work.collect import collect
from intake.work.services import Services
from tests.work.mail import folder, message, picture

TOM = "Tom Hale <tom@hale.example>"


class Counting:
    """The real eyes, but for what photographs have in common: the first two of them join. Counts the sought labels."""

    def __init__(self, real: Any) -> None:
        self.real, self.sought = real, 0

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        self.sought += 1
        return ()

    def compare(self, displays: Sequence[bytes], focals: Sequence[float | None]) -> Panorama:
        return Panorama((Overlap(0, 1, 40.0, 60),), (None,) * len(displays))


def test_no_label_is_sought_in_views_that_join_nor_twice(services: Services, tmp_path: Path) -> None:
    eyes = Counting(services.eyes)
    services = replace(services, eyes=eyes)
    views = tuple((f"IMG_{n}.jpg", picture(n)) for n in range(3))
    first = message(TOM, "Our kitchen", "The room", 0, "<1@hale.example>", views)
    collect(wiring.mailbox(Settings(), folder(tmp_path / "first", first)), services)
    assert eyes.sought == 1, "in the third alone"
    more = message(TOM, "Our kitchen", "One more", 1, "<2@hale.example>", (("IMG_9.jpg", picture(9)),))
    collect(wiring.mailbox(Settings(), folder(tmp_path / "second", more)), services)
    assert eyes.sought == 2, "in the new one alone"
