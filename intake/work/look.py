"""Look at what nobody has looked at yet in a job's pictures: read its sketches, seek labels, compare its views.

What is found is kept as it is found, so that a fault in one picture loses nothing of the others. This takes seconds a
picture and is never done while somebody waits for a page (`Services.later`).
"""

from __future__ import annotations

from dataclasses import replace

from intake.domain.inspection.bar import with_bar
from intake.model.picture import Overlap, Panorama, Picture
from intake.store.bars import Bars
from intake.work.job_file import JobRows, may_bear_labels, to_read, views_of
from intake.work.lots import draw_lots
from intake.work.services import Services

MOST_LABELLED = 40
"""Photographs of a job in which labels are looked for at one examination: about a third of a second each."""


def look(services: Services, rows: JobRows) -> JobRows:
    """The rows with what was seen in the pictures."""
    for picture in unread(rows):
        rows = _read(services, rows, picture)
    rows = _compare(services, rows)
    for picture in unlabelled(rows)[:MOST_LABELLED]:
        rows = _seek_labels(services, rows, picture)
    return _compare(services, rows)


def is_seen(rows: JobRows) -> bool:
    """Whether everything was looked at that can be."""
    return not (unread(rows) or unlabelled(rows) or _to_compare(rows))


def unread(rows: JobRows) -> list[Picture]:
    return [p for p in rows.settled().pictures if to_read(p) and p.id not in rows.readings]


def unlabelled(rows: JobRows) -> list[Picture]:
    """The photographs that may be of one thing close up, with a label on it, and in which none was sought."""
    joined = _joined(rows)
    pictures = [
        p for p in rows.settled().pictures if p.labels is None and not p.same_as and p.id not in joined
    ]
    return [p for p in pictures if may_bear_labels(p)]


def _joined(rows: JobRows) -> frozenset[str]:
    """The photographs that join others to a view of the room: none is of one thing close up."""
    ids, panorama = rows.panorama or ((), None)
    return (
        frozenset(ids[n] for o in panorama.overlaps for n in (o.first, o.second)) if panorama else frozenset()
    )


def _read(services: Services, rows: JobRows, picture: Picture) -> JobRows:
    jpeg = full_picture(services, picture.message, picture.id)
    if jpeg is None:
        return rows
    reading = services.eyes.read(jpeg)
    with services.store.transaction() as tables:
        tables.pictures.keep_reading(picture.id, reading, services.clock())
        reading = with_bar(reading, Bars(tables.db).bars().get(reading.version))
        draw_lots(services, tables, picture.id, reading)
    return replace(rows, readings={**rows.readings, picture.id: reading})


def _seek_labels(services: Services, rows: JobRows, picture: Picture) -> JobRows:
    display = rows.display_of(picture.id)
    path = services.store.files.picture_path(display) if display else None
    found = services.eyes.labels(path.read_bytes()) if path is not None and path.is_file() else ()
    with services.store.transaction() as tables:
        tables.pictures.keep_labels(picture.id, found)
    pictures = tuple(
        replace(k, picture=replace(k.picture, labels=found)) if k.picture.id == picture.id else k
        for k in rows.pictures
    )
    return replace(rows, pictures=pictures)


def _to_compare(rows: JobRows) -> tuple[Picture, ...]:
    """The room's photographs, where they are others than were compared last."""
    views = views_of(rows.settled().pictures)
    ids = tuple(p.id for p in views)
    compared = rows.panorama is not None and rows.panorama[0] == ids
    return () if len(ids) < 2 or compared or not all(map(rows.display_of, ids)) else views


def _compare(services: Services, rows: JobRows) -> JobRows:
    """See how the room's photographs overlap: each new one with all, the others as they were found before."""
    views = _to_compare(rows)
    if not views:
        return rows
    ids = tuple(p.id for p in views)
    panorama, known = _known(rows, ids)
    if len(known) < len(ids):
        shown = [services.store.files.picture_path(rows.display_of(p.id)).read_bytes() for p in views]
        found = services.eyes.compare(shown, [p.facts.focal_length_35mm for p in views], known)
        pitches = (a if a is not None else b for a, b in zip(panorama.pitches, found.pitches, strict=False))
        panorama = Panorama((*panorama.overlaps, *found.overlaps), tuple(pitches))
    with services.store.transaction() as tables:
        tables.pictures.keep_panorama(rows.job.id, ids, panorama)
    return replace(rows, panorama=(ids, panorama))


def _known(rows: JobRows, ids: tuple[str, ...]) -> tuple[Panorama, frozenset[int]]:
    """What was found before of the photographs `ids`, and the places of those that were compared then."""
    earlier, before = rows.panorama or ((), Panorama((), ()))
    if not before.overlaps and all(p is None for p in before.pitches):
        earlier = ()  # Nothing was found, or the comparison failed.
    pitches = dict(zip(earlier, before.pitches, strict=False))
    place = {picture: n for n, picture in enumerate(ids) if picture in pitches}
    overlaps = []
    for o in before.overlaps if earlier else ():
        if earlier[o.first] in place and earlier[o.second] in place:
            first, second = place[earlier[o.first]], place[earlier[o.second]]
            turn = o.turn if first < second else -o.turn
            overlaps.append(Overlap(min(first, second), max(first, second), turn, o.matches))
    return Panorama(tuple(overlaps), tuple(pitches.get(i) for i in ids)), frozenset(place.values())


def full_picture(services: Services, message: str, picture: str) -> bytes | None:
    """A sketch at full resolution: kept from last time, else decoded anew from the raw message."""
    path = services.store.files.picture_path(f"{picture}-full.jpg")
    if not path.exists():
        with services.store.reading() as tables:
            kept = tables.messages.get(message)
        raw = services.store.files.raw_path(message)
        if kept is None or not raw.exists():
            return None
        parsed = services.parse(raw, kept.received_at, message)
        jpeg = services.eyes.full(parsed, picture)
        if jpeg is None:
            return None
        services.store.files.keep_picture(path.name, jpeg)
    return path.read_bytes()
