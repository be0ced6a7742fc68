"""A worker that tries to get out: it answers with what it could do. Run by test_cell.py as the cell's child."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Callable
from typing import Any

from intake.cell import bars
from intake.cell.frames import read_frame, write_frame


def _escapes(parent: int) -> dict[str, Callable[[], Any]]:
    return {
        "read the password file": lambda: open("/etc/passwd", "rb").read(),  # noqa: PTH123
        "read the parent's environment": lambda: open(f"/proc/{parent}/environ", "rb").read(),  # noqa: PTH123
        "write a file": lambda: open("/tmp/escaped", "wb").write(b"!"),  # noqa: PTH123
        "open a connection": lambda: socket.create_connection(("127.0.0.1", 9), 1),
        "make a socket": socket.socket,
        "start a program": lambda: subprocess.run(["/bin/true"], check=True),
        "become a program": lambda: os.execv("/bin/true", ["true"]),
        "start a process": _fork,
        "signal the parent": lambda: os.kill(parent, 0),
        "list a folder": lambda: os.listdir("/"),  # noqa: PTH208
        "remove a file": lambda: os.unlink("/tmp/not-there"),  # noqa: PTH108
        "keep a secret": lambda: os.environ["INTAKE_SMTP_PASSWORD"],
    }


def _fork() -> int:
    child = os.fork()
    if not child:
        os._exit(0)
    return child


def main() -> None:
    requests, answers = bars.private_pipes()
    parent = os.getppid()
    without = bars.lock_up(200 << 20)
    write_frame(answers, {"without": without}, [])
    while (frame := read_frame(requests)) is not None:
        bars.grant_time(int(sys.argv[1]))
        tried = frame[0]["do"]
        if tried == "take memory":
            write_frame(answers, {"got": _takes_memory()}, [])
        elif tried == "never end":
            while True:
                pass
        else:
            write_frame(answers, {"got": _done(_escapes(parent)[tried])}, [])


def _takes_memory() -> bool:
    try:
        return bool(bytearray(1 << 30))
    except MemoryError:
        return False


def _done(escape: Callable[[], Any]) -> bool:
    try:
        escape()
    except FileNotFoundError:
        return True  # it got as far as looking
    except (OSError, KeyError):
        return False
    return True


if __name__ == "__main__":
    main()
