"""Pictures and what was read off them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from intake.model.picture import Panorama, Picture
from intake.model.reading import SketchReading
from intake.store import schema as t
from intake.store.records import PANORAMA, PICTURE, READING

_OF_JOB = (
    select(t.pictures.c.body, t.pictures.c.display_file, t.pictures.c.reading_file)
    .join(t.messages, t.messages.c.sha256 == t.pictures.c.message)
    .where(t.messages.c.job == bindparam("of"))
    .order_by(t.messages.c.at, t.messages.c.sha256, t.pictures.c.position)
)
_FORGET = delete(t.pictures).where(t.pictures.c.message == bindparam("message"))


@dataclass(frozen=True)
class KeptPicture:
    """A picture with the names of its files ("" where it could not be decoded)."""

    picture: Picture
    display_file: str
    reading_file: str


class Pictures:
    """The pictures and readings tables, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def keep(self, sha256: str, pictures: Sequence[KeptPicture]) -> None:
        """Replace the pictures of one message."""
        rows = {
            kept.picture.id: {
                "id": kept.picture.id,
                "message": sha256,
                "position": position,
                "body": PICTURE.write(kept.picture),
                "display_file": kept.display_file,
                "reading_file": kept.reading_file,
            }
            for position, kept in enumerate(pictures)
        }
        if rows:
            self.db.execute(_FORGET, {"message": sha256})
            self.db.execute(insert(t.pictures), list(rows.values()))

    def of_job(self, job_id: str) -> list[KeptPicture]:
        """The pictures of a job's messages, in the order they came."""
        return [KeptPicture(PICTURE.read(b), d, r) for b, d, r in self.db.execute(_OF_JOB, {"of": job_id})]

    def of_message(self, sha256: str) -> list[str]:
        """The ids of a message's pictures."""
        query = select(t.pictures.c.id).filter_by(message=sha256)
        return [picture for (picture,) in self.db.execute(query)]

    def reading(self, picture_id: str) -> SketchReading | None:
        body = self.db.execute(select(t.readings.c.body).filter_by(picture=picture_id)).scalar()
        return READING.read(body) if body is not None else None

    def keep_reading(self, picture_id: str, reading: SketchReading, at: datetime) -> None:
        self.db.execute(delete(t.readings).where(t.readings.c.picture == picture_id))
        self.db.execute(
            insert(t.readings).values(picture=picture_id, body=READING.write(reading), read_at=at)
        )

    def keep_labels(self, picture_id: str, labels: Sequence[str]) -> None:
        """Note the words on labels in a picture, wherever it came."""
        query = select(t.pictures.c.message, t.pictures.c.body).filter_by(id=picture_id)
        for message, body in self.db.execute(query).all():
            noted = update(t.pictures).filter_by(id=picture_id, message=message)
            self.db.execute(noted.values(body=body | {"labels": list(labels)}))

    def panorama(self, job_id: str) -> tuple[tuple[str, ...], Panorama] | None:
        """The ids of the room photographs that were compared, and what comparing them found."""
        row = self.db.execute(select(t.panoramas).filter_by(job=job_id)).first()
        return (tuple(row.pictures), PANORAMA.read(row.body)) if row is not None else None

    def keep_panorama(self, job_id: str, pictures: Sequence[str], panorama: Panorama) -> None:
        self.db.execute(delete(t.panoramas).where(t.panoramas.c.job == job_id))
        self.db.execute(
            insert(t.panoramas).values(job=job_id, pictures=list(pictures), body=PANORAMA.write(panorama))
        )
