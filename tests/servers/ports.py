"""Ports of this machine for the tests' own servers."""

from __future__ import annotations

import contextlib
import itertools
import os
import socket
from collections.abc import Iterator
from functools import cache

PORTS = range(10_000, 30_000)
"""Below those that a system gives to whoever asks for any: from 32768 in Linux, from 49152 by RFC 6335."""
APART = 61
"""How far the first ports of two processes that follow each other lie apart: more than a process of tests asks for."""


def free_port() -> int:
    """A port of 127.0.0.1 that nobody listens at and that this process has not been given before: one that the system
    chose and that was let go again can be given twice before its server listens."""
    for port in itertools.islice(_ports(os.getpid()), len(PORTS)):
        with socket.socket() as listening, contextlib.suppress(OSError):
            listening.bind(("127.0.0.1", port))
            return port
    raise OSError(f"no port of {PORTS} is free")


@cache
def _ports(process: int) -> Iterator[int]:
    """Every port, again and again, from a place of the process's own."""
    first = process * APART % len(PORTS)
    return itertools.cycle([*PORTS[first:], *PORTS[:first]])
