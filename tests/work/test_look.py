"""Labels are sought once a picture, and only where it may be of one thing close up."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from intake import wiring
from intake.model.picture import Overlap, Panorama
from intake.settings import Settings
from intake.work import decide
from intake.work.collect import collect
from intake.work.services import Services
from tests.work.mail import folder, message, picture

TOM = "Tom Hale <tom@hale.example>"


class Counting:
    """The real eyes, but for what photographs have in common: the first two of them join. Counts the sought labels and
    the pairs that are compared."""

    def __init__(self, real: Any) -> None:
        self.real, self.sought, self.pairs = real, 0, 0

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        self.sought += 1
        return ()

    def compare(
        self, displays: Sequence[bytes], focals: Sequence[float | None], known: Collection[int] = ()
    ) -> Panorama:
        pairs = [(i, j) for j in range(len(displays)) for i in range(j) if not {i, j} <= set(known)]
        self.pairs += len(pairs)
        joined = (Overlap(0, 1, 40.0, 60),) if (0, 1) in pairs else ()
        return Panorama(joined, tuple(None if n in known else float(n) for n in range(len(displays))))


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
    assert eyes.pairs == 3 + 3, "each pair once"
    with services.store.reading() as tables:
        (job,) = tables.jobs.all()
        ids, panorama = tables.pictures.panorama(job.id) or ((), Panorama((), ()))
    assert len(ids) == 4 and panorama == Panorama((Overlap(0, 1, 40.0, 60),), (0.0, 1.0, 2.0, 3.0))
    decide.set_subject(services, job.id, ids[0], "boiler", "maya")
    with services.store.reading() as tables:
        after = tables.pictures.panorama(job.id)
    assert after == (ids[1:], Panorama((), (1.0, 2.0, 3.0))) and eyes.pairs == 6, (
        "one less asks for no comparison"
    )
