"""What scripts and the console see of a job, of letters and readings: plain JSON values (docs/commands.md)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from intake.domain.lengths.notation import format_cm
from intake.model.checklist import ItemStanding
from intake.model.errors import NotFound
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import Box, Measures, OutlineWall, ReadNumber, Role, SketchReading
from intake.store.as_json import rfc3339, to_plain
from intake.store.database import Store, Tables
from intake.store.letters import KeptLetter
from intake.store.messages import KeptMessage
from intake.wording.desk import sentence, worded

if TYPE_CHECKING:
    from intake.work.services import Services


def job_row(tables: Tables, job_id: str) -> dict[str, Any]:
    from intake.work.what_counts import counted, settled_job

    job = tables.jobs.get(job_id)
    if job is None:
        raise NotFound(f"There is no job {job_id}", "`intake jobs` lists them")
    photographs, sketches = counted(settled_job(tables, job).pictures)
    return {
        "job": job.id,
        "state": job.state.value,
        "room": job.room.value,
        "customer": {"name": job.customer.name, "addresses": list(job.addresses)},
        "messages": list(dict.fromkeys(m.key for m in tables.messages.of_job(job.id))),
        "photographs": photographs,
        "sketches": sketches,
        "items": {item: state.value for item, state in tables.jobs.item_states(job.id).items()},
        "needs_person": [
            {"kind": n.kind.value, "why": worded(n.why), "text": n.text, "message": n.message}
            for n in tables.jobs.needs(job.id)
        ],
    }


def outbox(store: Store) -> list[dict[str, Any]]:
    """Every follow-up with its state, the oldest first."""
    with store.reading() as tables:
        return [
            {
                "job": kept.job,
                "to": list(kept.to),
                "subject": kept.subject,
                "message_id": kept.message_id,
                "in_reply_to": kept.in_reply_to,
                "state": kept.state.value,
                "asks": list(kept.asks),
                "held_because": worded(kept.held_because) or None,
                "answer": kept.answer,
            }
            for kept in tables.letters.all()
        ]


def job_whole(services: Services, job_id: str) -> dict[str, Any]:
    """One job whole: its row, and its messages, pictures with readings, evidence, letters and timeline."""
    # With the rules of the room, which a list of jobs must not wait for.
    from intake.work.examine import wanting
    from intake.work.job_file import open_file
    from intake.work.what_counts import settled_job

    with services.store.reading() as tables:
        row = job_row(tables, job_id)
        job = row["job"]
        file = open_file(tables, job, services.checklists)
        standings = tables.jobs.standings(job, file.survey.checklist)
        return row | {
            "waits_for": [{"code": f.code, "text": sentence(f.text)} for f in wanting(file, standings)],
            "words": [
                {
                    "message": key,
                    "text": c.text,
                    "fate": worded(phrase(f"fate-{c.fate}")),
                    "about": list(c.about),
                }
                for key, clauses in file.clauses.items()
                for c in clauses
            ],
            "mail": [_mail(m) for m in settled_job(tables, file.job).heard.messages],
            "pictures": [
                to_plain(p, worded) | {"counted": counted, "reading": _reading_of(tables, p.id)}
                for counted, pictures in ((True, file.pictures), (False, file.uncounted))
                for p in pictures
            ],
            "checklist": [_standing(s) for s in standings],
            "letters": [_letter(k) for k in tables.letters.of_job(job)],
            "timeline": [to_plain(e) for e in tables.jobs.events(job)],
        }


def _mail(message: KeptMessage) -> dict[str, Any]:
    from intake.work.what_counts import why_not

    return {
        "message": message.key,
        "from": {"name": message.sender_name, "address": message.sender_email},
        "subject": message.subject,
        "received_at": rfc3339(message.received_at),
        "rule": message.rule,
        "reason": message.reason,
        "offers": list(message.offers),
        "counted": message.counts,
        "not_counted_because": why_not(message) or None,
        "text": message.own_words,
    }


def _standing(standing: ItemStanding) -> dict[str, Any]:
    return {
        "item": standing.item.id,
        "title": standing.item.title,
        "state": standing.state.value,
        "reason": sentence(standing.reason),
        "evidence": [to_plain(e, worded) for e in standing.evidence],
    }


def _letter(kept: KeptLetter) -> dict[str, Any]:
    return {
        "message_id": kept.message_id,
        "kind": kept.kind,
        "state": kept.state.value,
        "subject": kept.subject,
        "to": list(kept.to),
        "asks": list(kept.asks),
        "held_because": worded(kept.held_because) or None,
        "text": kept.text,
    }


def _reading_of(tables: Tables, picture: str) -> dict[str, Any] | None:
    found = tables.pictures.reading(picture)
    return reading(found) if found else None


def reading_alone(read: SketchReading) -> dict[str, Any]:
    """What `intake read --json` says of a picture: its reading, and what the plan's own sums say of it."""
    document = reading(read)
    document["findings"] += [_finding(f) for f in _of_the_plan(read)]
    return document


def _of_the_plan(read: SketchReading) -> list[Finding]:
    from intake.domain.room.closing import examine_room, plan_findings
    from intake.domain.sketch.room_from_reading import room_from_reading

    return plan_findings(examine_room(room_from_reading(read))) if read.outline.walls else []


def reading(read: SketchReading) -> dict[str, Any]:
    """A sketch reading in the terms of `intake read --json`."""
    return {
        "image": {"width": read.width, "height": read.height},
        "unit": read.unit,
        "numbers": [_number(n) for n in read.numbers],
        "outline": {"walls": [_drawn_wall(w) for w in read.outline.walls], "closed": read.outline.closed},
        "findings": [_finding(f) for f in read.findings],
    }


def _number(n: ReadNumber) -> dict[str, Any]:
    return {
        "text": n.text,
        "value_mm": n.value_mm,
        "box": _box(n.box),
        "confidence": round(n.confidence, 4),
        "accepted": n.accepted,
        "alternatives": [{"text": a.text, "confidence": round(a.confidence, 4)} for a in n.alternatives],
        "role": n.role.value,
        "wall": n.wall,
        "legible": n.legible,
        "measures": None if n.measures is None else _measures(n.measures),
        "may_measure": [_measures(m) for m in n.may_measure],
        "reader": n.reader,
        "arithmetic": worded(n.arithmetic),
    }


def _drawn_wall(w: OutlineWall) -> dict[str, Any]:
    return {
        "wall": w.wall,
        "from": [round(v, 1) for v in w.start],
        "to": [round(v, 1) for v in w.end],
        "direction": w.direction.value,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {"code": finding.code, "text": worded(finding.text), "numbers": list(finding.numbers)}


def _measures(told: Measures) -> dict[str, Any]:
    """What a number measures: `walls` are the wall it is of, or the two that it lies between; `from` and `to` the
    stretch of the one wall, 0 to 1."""
    low, high = told.span or (None, None)
    return {
        "kind": _kind_of(told),
        "walls": list(told.walls),
        "from": None if low is None else round(low, 3),
        "to": None if high is None else round(high, 3),
        "chance": round(told.chance, 4),
    }


def _kind_of(told: Measures) -> str:
    if told.role is Role.OVERALL and len(told.walls) == 2:
        return "between-walls"
    return "nothing" if told.role is Role.UNKNOWN else told.role.value


def _box(box: Box) -> list[list[float]]:
    return [[round(x, 1), round(y, 1)] for x, y in box]


def reading_text(read: SketchReading) -> str:
    """A reading for the console."""
    findings = [*read.findings, *_of_the_plan(read)]
    lines = [f"{read.width} x {read.height} pixels, lengths in {read.unit}, {len(read.outline.walls)} walls"]
    for n in read.numbers:
        wall = "no wall" if n.wall is None else f"wall {n.wall}"
        value = "no length" if n.value_mm is None else f"{format_cm(n.value_mm)} cm"
        lines.append(
            f"  {n.text:>10}  {value:>12}  {n.role.value:<15} {wall:<8} {'sure' if n.accepted else 'doubtful'}"
        )
    lines += [f"  {worded(f.text)}" for f in findings]
    return "\n".join(lines)


def job_text(document: dict[str, Any]) -> str:
    """One job for the console."""
    who = document["customer"]
    lines = [
        f"Job {document['job']}: {document['room']}, {document['state']}",
        f"  {who['name']} <{', '.join(who['addresses'])}>",
        f"  {len(document['messages'])} messages, {document['photographs']} photographs, "
        f"{document['sketches']} sketches",
    ]
    lines += [f"  for a person: {n['why']} “{n['text']}”" for n in document["needs_person"]]
    lines += [
        f"  not counted: from {m['from']['address']}: {m['not_counted_because']}"
        for m in document["mail"]
        if not m["counted"]
    ]
    lines += [f"  {c['state']:<15} {c['title']}: {c['reason']}" for c in document["checklist"]]
    lines += [f"  letter {k['state']}: {k['subject']}" for k in document["letters"]]
    return "\n".join(lines)
