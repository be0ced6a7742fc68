"""How fast mail comes in.

`python -m tests.mail_runs.speed [MESSAGES]` prints seconds a message through intake without looking at pictures, and
their ratio to a bare fetch, hash and parse of the same messages from the same server in the same run, and to one that
keeps each message as well.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import os
import random
import sys
import time
from pathlib import Path

import pytest
from imapclient import IMAPClient
from mailparser import parse_from_bytes

from intake.mailbox.imap import ImapMailbox
from tests.mail_runs.kills import World, world
from tests.mail_runs.zygote import OURS, SERVER
from tests.servers.corpora import spam_assassin

TIMES = 3
"""How often each is timed, in turn; the best of each counts, and each pass of intake starts with an empty store."""
TEXTS = 10
"""So many times as many messages of text alone, which are short."""


def message(n: int, pictures: int, size: int, seed: int = 0) -> bytes:
    """Customer n's mail with so many attachments of random bytes, as JPEG files pass through mail."""
    chance = random.Random(seed + n)
    head = (
        f"Authentication-Results: {SERVER}; dmarc=pass header.from=x.example\r\nFrom: C {n} <c{n}@x.example>\r\n"
        f"To: {OURS}\r\nSubject: Kitchen {n}\r\nMessage-ID: <m{n}@x.example>\r\n"
        f"Date: Mon, 2 Mar 2026 09:00:00 +0000\r\n"
    )
    if not pictures:
        return (head + "\r\nOur kitchen plan follows.\r\n").encode()
    body = head + 'Content-Type: multipart/mixed; boundary="b"\r\n\r\n--b\r\n\r\nOur kitchen.\r\n'
    for number in range(pictures):
        body += f'--b\r\nContent-Type: image/jpeg; name="{number}.jpg"\r\nContent-Transfer-Encoding: base64\r\n\r\n'
        body += base64.encodebytes(chance.randbytes(size)).decode().replace("\n", "\r\n")
    return (body + "--b--\r\n").encode()


def kinds(messages: int) -> dict[str, list[bytes]]:
    """Short letters, letters with pictures, and strangers' mail where the corpus is here."""
    found = {
        "text": [message(n, 0, 0) for n in range(messages * TEXTS)],
        "pictures": [message(n, 3, 700_000) for n in range(messages)],
    }
    with contextlib.suppress(pytest.skip.Exception):
        found["strangers"] = [raw for _, raw in spam_assassin()]
    return found


def speed(messages: int) -> dict[str, float]:
    """Seconds a message for each kind: bare; bare and kept, as the simplest program would that loses nothing; through
    intake; and the ratios of the last to the others."""
    found: dict[str, float] = {}
    for kind, raws in kinds(messages).items():
        with world() as w:
            w.dovecot.append(w.user, raws)
            timed = [(_bare(w), _bare(w, w.data / f"bare{n}"), _through(w, f"data{n}")) for n in range(TIMES)]
            bare, kept, ours = (min(column) / len(raws) for column in zip(*timed, strict=True))
        found |= {
            f"{kind}: bare": bare,
            f"{kind}: bare and kept": kept,
            f"{kind}: intake": ours,
            f"{kind}: intake / bare": ours / bare,
            f"{kind}: intake / bare and kept": ours / kept,
        }
    return found


def _bare(w: World, folder: Path | None = None) -> float:
    """Fetch, hash and parse each message; and keep it in `folder`, flushed to the disk before the next."""
    started = time.perf_counter()
    with IMAPClient("127.0.0.1", w.dovecot.imap_port, ssl=False, timeout=60) as client:
        client.login(w.user, "secret")
        client.select_folder("INBOX", readonly=True)
        for uid in client.search("ALL"):
            raw = client.fetch([uid], ["BODY.PEEK[]"])[uid][b"BODY[]"]
            sha256 = hashlib.sha256(raw).hexdigest()
            if folder is not None:
                _keep(folder, sha256, raw)
            parse_from_bytes(raw)
    return time.perf_counter() - started


def _keep(folder: Path, name: str, raw: bytes) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "part").open("wb") as file:
        file.write(raw)
        file.flush()
        os.fsync(file.fileno())
    (folder / "part").rename(folder / name)
    handle = os.open(folder, os.O_RDONLY)
    os.fsync(handle)
    os.close(handle)


def _through(w: World, data: str) -> float:
    """Kept, parsed, grouped and filed; the examination of the jobs is not intake."""
    from intake.work.collect import _Pass, _silent
    from intake.work.workers import new_worker
    from tests.mail_runs.zygote import open_services

    services = open_services(str(w.data.with_name(data)))
    started = time.perf_counter()
    mailbox = ImapMailbox(w.dovecot.account(w.user, timeout=60.0))
    _Pass(services, new_worker(), _silent).take(mailbox)
    mailbox.close()
    spent = time.perf_counter() - started
    services.store.close()
    return spent


if __name__ == "__main__":
    for name, value in speed(int(sys.argv[1]) if len(sys.argv) > 1 else 40).items():
        print(f"{name:<35} {value:.4f}")
