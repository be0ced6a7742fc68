"""How much memory one large message takes: `python -m tests.mail_runs.memory` prints the peak resident MB of a fresh
process that fetches, keeps and records a message of 25 MB, with no reader imported, and of the cell that parses it."""

from __future__ import annotations

import base64
import os
import subprocess
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

SIZE = 25 << 20
HEAD = (
    b"From: ann@x.example\r\nMessage-ID: <1@x.example>\r\nContent-Type: image/jpeg; name=plan.jpg\r\n"
    b"Content-Transfer-Encoding: base64\r\n\r\n"
)


def peak_of_a_large_message() -> dict[str, float]:
    """Peak resident MB of the process, after its imports and at the end, and of its cell."""
    with tempfile.TemporaryDirectory() as folder:
        mail = Path(folder) / "mail"
        mail.mkdir()
        body = base64.encodebytes(b"\xff\xd8picture!" * (SIZE * 57 // 78 // 10)).replace(b"\n", b"\r\n")
        (mail / "large.eml").write_bytes(HEAD + body)
        size = (mail / "large.eml").stat().st_size
        command = [sys.executable, "-m", "tests.mail_runs.memory", folder]
        printed = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
        return {
            "message_mb": round(size / (1 << 20), 1),
            "imports": float(printed[0]),
            "peak": float(printed[1]),
            "cell": float(printed[2]),
        }


def _take(folder: Path) -> None:
    from intake.mailbox.folder import FolderMailbox
    from intake.mailbox.reader import MailReader
    from intake.store.database import Store

    store = Store(f"sqlite:///{folder / 'x.sqlite3'}", folder / "data")
    reader = MailReader()
    before, now = _peak("self"), datetime.now(UTC)
    for delivery in FolderMailbox(folder / "mail").deliveries():
        spooled = store.files.spool(delivery.fetch)
        store.files.settle([spooled])
        sha256, arrived = spooled.sha256, spooled.arrived
        with store.transaction() as tables:
            tables.messages.add_deliveries(
                [(delivery.locator, sha256, arrived)], now, "x", timedelta(minutes=1)
            )
        message = reader.read(store.files.raw_path(sha256), arrived, sha256)
        assert len(message.parts[0].content) > SIZE * 0.7
    (cell,) = Path(f"/proc/self/task/{os.getpid()}/children").read_text().split()
    print(before, _peak("self"), _peak(cell))
    reader.close()


def _peak(process: str) -> float:
    """VmHWM, the peak of a program alone: ru_maxrss would count what the parent held when it forked."""
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    return round(next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024, 1)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        _take(Path(sys.argv[1]))
    else:
        print(peak_of_a_large_message())
