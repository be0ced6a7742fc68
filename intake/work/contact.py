"""The pictures of a job as the desk lays them out, and what they show of the room."""

from __future__ import annotations

from intake.domain.pictures import CERTAIN
from intake.domain.pictures.coverage import Reach as Reach
from intake.domain.pictures.coverage import coverage_told, reach_told
from intake.model.picture import Picture, Subject
from intake.wording.desk import worded
from intake.work.job_file import JobFile


def contact_sheet(file: JobFile) -> list[Picture]:
    """The pictures as they are looked at: sketches, the room in the order of a walk round it, the rest as it came;
    last those that do not count."""
    covered = file.coverage()
    walk = [file.views[n] for n in covered.order] if covered else list(file.views)
    sketches = [p for p in file.pictures if p.subject is Subject.SKETCH]
    first = {p.id: p for p in (*sketches, *walk)}
    return [*first.values(), *(p for p in file.pictures if p.id not in first), *file.uncounted]


def covered_in_words(file: JobFile) -> str:
    """How the photographs lie round the room and how far up and down they reach; "" where they were not compared."""
    covered = file.coverage()
    if covered is None:
        return ""
    return f"{worded(coverage_told(covered))} {worded(reach_told(list(file.reach().values())))}".strip()


def is_sure(picture: Picture) -> bool:
    """Whether what it shows is settled."""
    return picture.subject_confidence >= CERTAIN
