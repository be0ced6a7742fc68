"""An exam of one's own: hostile mail among ordinary mail, composed from a seed, through the real rounds of a worker.

`python -m tests.mail_runs.hostile [MESSAGES] [SEED]` prints what came of it; a thousand messages unless told otherwise,
one in ten of them a customer's. Meanwhile the desk is asked for its list of jobs, again and again.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import os
import random
import sys
import tempfile
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from intake import wiring
from intake.crew import Hand
from intake.desk import desk_app
from intake.orders import NOTHING_KNOWN, Begin, Done, Duty
from intake.service import ONE
from intake.settings import load_settings
from intake.work.accounts import AccountRole, create_account, sign_in_link
from intake.work.services import Services

OURS, SERVER = "surveys@hollin.example", "mx.hollin.example"
A_PASS = 50
CRLF = b"\r\n"
UNITS = (
    *(
        b"\t",
        b" ",
        b"> ",
        b"-",
        b"(",
        b"<b x=",
        b"<!--",
        b'<b x="',
        b"&#x",
        b"<div>",
        b"a@",
        b"wrote: ",
        b"=?x?q?",
    ),
    *(
        b"\x00",
        b"From: a ",
        b"[fwd:",
        b"R-7K2M4 ",
        b"103 cm ",
        b"On Mon ",
        b"\xe2\x80\xae",
        b"=\r\n",
        b"\xff\xfe",
    ),
)
CHARSETS = (
    "utf-8",
    "punycode",
    "idna",
    "utf-7",
    "unicode_escape",
    "utf-16",
    "zip",
    "iso-2022-jp",
    "x" * 400,
    "\u00e9",
)


@dataclass
class Mail:
    raw: bytes
    may_be_answered: bool


@dataclass
class Figures:
    messages: int = 0
    lost: int = 0
    set_aside: int = 0
    jobs: int = 0
    answered_wrongly: list[str] = field(default_factory=list)
    customers_without_a_letter: int = 0
    longest_pass: float = 0.0
    desk_slowest: float = 0.0
    desk_99th: float = 0.0
    desk_asked: int = 0
    load: tuple[float, ...] = ()
    desk_peak_mb: float = 0.0
    peak_mb: float = 0.0
    child_peak_mb: float = 0.0


def _head(chance: random.Random, sender: str, n: int, passed: bool, **more: str) -> bytes:
    domain = sender.rpartition("@")[2]
    lines = [f"Return-Path: <{sender}>"]
    if passed:
        lines.append(f"Authentication-Results: {SERVER}; dmarc=pass header.from={domain}")
    lines += [f"From: X <{sender}>", f"To: {OURS}", f"Message-ID: <{n}.{chance.getrandbits(32)}@{domain}>"]
    lines += [
        "Date: Mon, 2 Mar 2026 09:00:00 +0000",
        *(f"{k.replace('_', '-')}: {v}" for k, v in more.items()),
    ]
    return "\r\n".join(lines).encode("utf-8", "replace") + CRLF


def _run(chance: random.Random, most: int = 200_000) -> bytes:
    """One sign or word again and again, in lines or in one."""
    unit, size = chance.choice(UNITS), chance.randrange(100, most)
    text = (unit * (size // len(unit) + 1))[:size]
    width = chance.choice([0, 60, 250, 900])
    return CRLF.join(text[at : at + width] for at in range(0, size, width)) if width else text


def _text(chance: random.Random, head: bytes) -> bytes:
    kind = chance.choice(["plain", "html"])
    coding = chance.choice(["7bit", "8bit", "quoted-printable", "base64", "x-uuencode", "nonsense"])
    body = _run(chance)
    if coding == "base64":
        body = base64.encodebytes(body)
    lines = f'Content-Type: text/{kind}; charset="{chance.choice(CHARSETS)}"\r\n'
    return head + f"{lines}Content-Transfer-Encoding: {coding}\r\n\r\n".encode() + body


def _headers(chance: random.Random, head: bytes) -> bytes:
    name = chance.choice(
        [b"Subject", b"References", b"To", b"Cc", b"Reply-To", b"Content-Type", b"Date", b"X-Y", b"List-Id"]
    )
    count = chance.choice([1, 1, 5, 3000])
    long = _run(chance, 40_000).replace(CRLF, b" ").replace(b"\n", b" ")
    return head + (name + b": " + (long if count < 9 else b"x") + CRLF) * count + CRLF + b"hello"


def _nested(chance: random.Random, head: bytes) -> bytes:
    depth, shape = (
        chance.randrange(1, 400),
        chance.choice([b"multipart/mixed", b"multipart/alternative", b"message/rfc822"]),
    )
    if shape == b"message/rfc822":
        return head + b"Content-Type: message/rfc822\r\n\r\n" * depth + b"From: a@b.example\r\n\r\nhi"
    inner = b"".join(b'Content-Type: %s; boundary="%d"\r\n\r\n--%d\r\n' % (shape, n, n) for n in range(depth))
    return head + inner + b"\r\nhi"


def _parts(chance: random.Random, head: bytes) -> bytes:
    part = b"--b\r\nContent-Type: " + chance.choice(
        [b"image/jpeg", b"text/plain", b"x/y; name*=punycode''a-b"]
    )
    return (
        head
        + b'Content-Type: multipart/mixed; boundary="b"\r\n\r\n'
        + (part + CRLF * 2 + b"x" + CRLF) * chance.randrange(3000)
    )


def _archive(chance: random.Random, head: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for n in range(chance.choice([1, 3, 300])):
            archive.writestr(f"../../{n}.jpg", bytes(chance.choice([10, 1 << 20])) + b"\xff\xd8\xff")
    content = chance.choice(
        [out.getvalue(), b"PK\x03\x04" + chance.randbytes(500), b"\x78\x9f\x3e\x22" + chance.randbytes(900)]
    )
    return _attached(head, content, "application/zip")


def _picture(chance: random.Random, head: bytes) -> bytes:
    start = chance.choice(
        [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\x00", b"%PDF-1.7", b"GIF89a", b"\0\0\0 ftypheic"]
    )
    return _attached(head, start + chance.randbytes(chance.randrange(5000)), "image/jpeg")


def _attached(head: bytes, content: bytes, kind: str) -> bytes:
    lines = f"Content-Type: {kind}; name=plan.jpg\r\nContent-Transfer-Encoding: base64\r\n\r\n"
    return head + lines.encode() + base64.encodebytes(content)


def _noise(chance: random.Random, head: bytes) -> bytes:
    return chance.choice(
        [b"", chance.randbytes(chance.randrange(3000)), head[: chance.randrange(1, len(head))]]
    )


HOSTILE: tuple[Callable[[random.Random, bytes], bytes], ...] = (
    _text, _text, _text, _headers, _headers, _nested, _parts, _archive, _picture, _noise,
)  # fmt: skip
SENDERS = ("eve@evil.example", "no.reply@shop.example", "orders-noreply@shop.example", "mailer-daemon@evil.example",
           "notifications@app.example", "autoreply@x.example")  # fmt: skip


def compose(n: int, chance: random.Random) -> Mail:
    """The n-th message: every tenth a customer's, the others by machines, strangers, and in a customer's name."""
    customer = f"c{chance.randrange(max(n // 30, 1)) if n else 0}@x.example"
    if n % 10 == 0:
        sender = f"c{n // 10}@x.example"
        return Mail(
            _head(chance, sender, n, True, Subject=f"Kitchen {n}") + b"\r\nOur kitchen plan follows.", True
        )
    forged = chance.random() < 0.3
    sender = customer if forged else chance.choice(SENDERS)
    machine = sender not in (customer, "eve@evil.example")
    passed = machine or not forged
    more = (
        {}
        if machine
        else {"Subject": chance.choice(["Re: Kitchen", "Fwd: Kitchen", "x" * 5000, "Auto: [R-7K2M4]"])}
    )
    raw = chance.choice(HOSTILE)(chance, _head(chance, sender, n, passed, **more))
    return Mail(raw, sender == "eve@evil.example")


def hostile(messages: int, seed: int = 1) -> Figures:
    """Take them all, fifty a pass, with the desk asked meanwhile; see what became of each."""
    chance, found = random.Random(seed), Figures(messages=messages)
    mails = [compose(n, chance) for n in range(messages)]
    with tempfile.TemporaryDirectory() as folder:
        environ = {
            "INTAKE_ADDRESS": OURS,
            "INTAKE_AUTHSERV_ID": SERVER,
            "INTAKE_MAIL_FOLDER": f"{folder}/mail",
            "INTAKE_LETTERS_FOLDER": f"{folder}/out",
        }
        settings = load_settings(environ, f"{folder}/data")
        box = Path(folder) / "mail"
        box.mkdir()
        with wiring.opened(settings) as services, Hand(Begin({ONE: settings}, False)) as worker:
            _go_round(worker)
            with _desk_asked(services, settings, found):
                for first in range(0, messages, A_PASS):
                    for n, mail in enumerate(mails[first : first + A_PASS], first):
                        (box / f"{n:05d}.eml").write_bytes(mail.raw)
                    started = time.monotonic()
                    _go_round(worker)
                    found.longest_pass = max(found.longest_pass, time.monotonic() - started)
                    cells = _children(worker.process.pid)
                    found.child_peak_mb = max(found.child_peak_mb, *(_peak(cell) for cell in cells))
            found.peak_mb = _peak(str(worker.process.pid))
            _examine(services, mails, found)
    found.desk_peak_mb, found.load = _peak("self"), os.getloadavg()
    return found


def _go_round(worker: Hand) -> None:
    """One round, and those that follow at once."""
    left = True
    while left:
        worker.send(Duty(ONE, NOTHING_KNOWN))
        while not isinstance(done := worker.hear(1.0), Done):
            continue
        assert "mailbox" not in {trouble.what for trouble in done.wrong}, done.wrong
        left = done.left


def _examine(services: Services, mails: list[Mail], found: Figures) -> None:
    with services.store.reading() as tables:
        found.jobs = tables.jobs.count()
        found.set_aside = len(tables.messages.in_state("set-aside"))
        for n, mail in enumerate(mails):
            sha256 = hashlib.sha256(mail.raw).hexdigest()
            path, kept = services.store.files.raw_path(sha256), tables.messages.get(sha256)
            if kept is None or not path.is_file() or path.read_bytes() != mail.raw or kept.state == "kept":
                found.lost += 1
            elif kept.answering == "may" and not mail.may_be_answered:
                found.answered_wrongly.append(f"{n:05d}")
            elif n % 10 == 0 and not (kept.job and tables.letters.of_job(kept.job)):
                found.customers_without_a_letter += 1


@contextmanager
def _desk_asked(services: Services, settings: object, found: Figures) -> Iterator[None]:
    create_account(services.store, "maya", "long enough a password", AccountRole.OWNER, services.clock())
    client = desk_app(settings, services).test_client()  # type: ignore[arg-type]
    client.get(sign_in_link(services.store, "maya", services.clock()))
    stop, took = threading.Event(), [0.0]

    def ask() -> None:
        while not stop.wait(0.1):
            started = time.monotonic()
            assert client.get("/").status_code == 200
            took.append(time.monotonic() - started)
            found.desk_asked += 1

    thread = threading.Thread(target=ask)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()
        found.desk_slowest, found.desk_99th = max(took), sorted(took)[len(took) * 99 // 100]


def _children(process: int) -> list[str]:
    tasks = Path(f"/proc/{process}/task").iterdir()
    return [pid for task in tasks for pid in (task / "children").read_text().split()] or ["none"]


def _peak(process: str) -> float:
    try:
        lines = Path(f"/proc/{process}/status").read_text().splitlines()
    except (FileNotFoundError, ProcessLookupError):
        return 0.0
    return round(next((int(x.split()[1]) for x in lines if x.startswith("VmHWM")), 0) / 1024, 1)


if __name__ == "__main__":
    as_json = "--json" in sys.argv
    arguments = [int(a) for a in sys.argv[1:] if a != "--json"]
    figures = vars(hostile(*(arguments or [1000])))
    print(json.dumps(figures) if as_json else "\n".join(f"{n:<28} {v}" for n, v in figures.items()))
