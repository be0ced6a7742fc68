"""How fast mail comes in.

`python -m tests.mail_runs.speed [MESSAGES]` prints seconds a message through intake without looking at pictures, and
their ratio to a bare fetch, hash and parse of the same messages from the same server in the same run.
"""

from __future__ import annotations

import base64
import hashlib
import random
import sys
import time

from imapclient import IMAPClient
from mailparser import parse_from_bytes

from intake.mailbox.imap import ImapMailbox
from tests.mail_runs.kills import World, world
from tests.mail_runs.zygote import OURS, SERVER

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


def speed(messages: int) -> dict[str, float]:
    """Seconds a message, bare and through intake, for text alone and for mail with pictures; and their ratios."""
    found: dict[str, float] = {}
    for kind, pictures in (("text", 0), ("pictures", 3)):
        with world() as w:
            count = messages if pictures else messages * TEXTS
            w.dovecot.append(w.user, [message(n, pictures, 700_000) for n in range(count)])
            pairs = [(_bare(w), _through(w, f"data{n}")) for n in range(TIMES)]
            bare, ours = (min(column) / count for column in zip(*pairs, strict=True))
        found |= {
            f"{kind}: bare": bare,
            f"{kind}: intake": ours,
            f"{kind}: ratio": ours / bare,
        }
    return found


def _bare(w: World) -> float:
    started = time.perf_counter()
    with IMAPClient("127.0.0.1", w.dovecot.imap_port, ssl=False, timeout=60) as client:
        client.login(w.user, "secret")
        client.select_folder("INBOX", readonly=True)
        for uid in client.search("ALL"):
            raw = client.fetch([uid], ["BODY.PEEK[]"])[uid][b"BODY[]"]
            hashlib.sha256(raw).hexdigest()
            parse_from_bytes(raw)
    return time.perf_counter() - started


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
        print(f"{name:<20} {value:.4f}")
