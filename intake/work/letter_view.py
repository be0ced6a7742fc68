"""A letter as its reader will see it, with its pictures inside it."""

from __future__ import annotations

import base64
import re
from email import message_from_bytes, policy

from intake.model.errors import NotFound
from intake.work.services import Services

_CID = re.compile(r"""cid:([^"'\s)>]+)""")


def letter_page(services: Services, job_id: str, letter_id: int) -> str:
    """The letter's HTML with each picture that it carries as a data: address. Raises NotFound."""
    with services.store.reading() as tables:
        job = tables.jobs.get(job_id)
        kept = tables.letters.get(letter_id)
    if kept is None or job is None or kept.job != job.id:
        raise NotFound("There is no such letter")
    pictures = _pictures(kept.raw)
    return _CID.sub(lambda found: pictures.get(found[1], found[0]), kept.html)


def _pictures(raw: bytes) -> dict[str, str]:
    """The pictures of a letter as data: addresses, by Content-ID (RFC 2392)."""
    found = {}
    for part in message_from_bytes(raw, policy=policy.default).walk():
        name, content = part.get("Content-ID"), part.get_payload(decode=True)
        if name and isinstance(content, bytes) and part.get_content_maintype() == "image":
            data = base64.b64encode(content).decode("ascii")
            found[str(name).strip("<> ")] = f"data:{part.get_content_type()};base64,{data}"
    return found
