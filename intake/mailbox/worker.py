"""The child process that reads hostile mail: `python -m intake.mailbox.worker`, spoken to by `reader.py`.

It may use little memory and time, opens no file, no connection and no program (`intake/cell`), and answers in JSON and
plain bytes.
"""

from __future__ import annotations

import importlib
import json
import os
import sys
from datetime import datetime
from typing import IO, Any

from intake.cell import bars
from intake.cell.frames import Blob, read_frame, write_frame
from intake.mailbox.charsets import CODECS
from intake.mailbox.parse import parse_message
from intake.mailbox.wire import packed
from intake.model.errors import Unreadable

MEMORY_ROOM = 330 * 2**20
"""Above what the libraries take: the largest message that servers pass on, 50 MB, three or four times over."""
SPOOLED = 200 * 2**20
"""Bytes of attachments that are set aside, decoded, while the rest of a message is read."""


def main() -> None:
    requests, answers = bars.private_pipes()
    seconds = int(sys.argv[1])
    spool = os.fdopen(os.memfd_create("spool"), "w+b")
    _warm_up()
    write_frame(answers, {"without": bars.lock_up(MEMORY_ROOM, SPOOLED)}, [])
    while (frame := read_frame(requests)) is not None:
        bars.grant_time(seconds)
        spool.seek(0)
        spool.truncate()
        header, blobs = _read(*frame, spool)
        write_frame(answers, header, blobs)


def _warm_up() -> None:
    """Import whatever is imported late: once the process is locked up, no file can be opened any more."""
    for codec in CODECS:
        importlib.import_module(f"encodings.{codec}")
    for text in (_SAMPLE, _SAMPLE.replace(b"plain", b"html")):
        parse_message(text, datetime.fromisoformat("2026-03-02T09:00:00+00:00"))


_SAMPLE = (
    b"From: =?iso-8859-1?q?J=F6rg?= <a@x.example>\r\nDate: Mon, 2 Mar 2026 09:00:00 +0000\r\n"
    b"Subject: Fwd: =?utf-8?b?S8O8Y2hl?=\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n"
    b"<p>one</p>\r\n\r\n-----Original Message-----\r\nFrom: b@x.example\r\nSent: Monday\r\n"
    b"Subject: Kitchen\r\n\r\ntwo\r\n"
    b"On Mon, 2 Mar 2026 at 09:00, B <b@x.example> wrote:\r\n> three\r\n"
)


def _read(header: dict[str, Any], blobs: list[bytes], spool: IO[bytes]) -> tuple[dict[str, Any], list[Blob]]:
    """Any failure here is the message's: it becomes an `unreadable` in words."""
    try:
        received_at, ours = datetime.fromisoformat(header["received_at"]), frozenset(header["ours"])
        raw = blobs.pop()
        plain, contents = packed(parse_message(raw, received_at, ours, header["sha256"], spool))
        return {}, [json.dumps(plain).encode(), *contents]
    except Unreadable as why:
        return {"unreadable": str(why)}, []
    except MemoryError:
        return {"unreadable": "it needs more memory to be opened than one message may take"}, []
    except Exception as fault:
        return {"unreadable": f"it could not be parsed ({type(fault).__name__})"}, []


if __name__ == "__main__":
    main()
