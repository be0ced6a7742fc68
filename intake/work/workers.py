"""Who is at work: a worker's name, and whether the process behind a name is still alive."""

from __future__ import annotations

import os
import secrets
import socket


def new_worker() -> str:
    """A name for one pass of this process: host, process and a token. At most 64 characters."""
    return f"{socket.gethostname()[:30]}:{os.getpid()}:{secrets.token_hex(6)}"


def is_gone(worker: str) -> bool:
    """True where the worker ran on this host and its process has ended, so that its claims mean nothing any more.

    Of another host's process nothing is known: there the lease must run out.
    """
    host, _, rest = worker.partition(":")
    process = rest.partition(":")[0]
    if host != socket.gethostname()[:30] or not process.isdigit():
        return False
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return True
    except PermissionError:
        return False
    return False
