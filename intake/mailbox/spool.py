"""Reads a message while its long runs of base64 go, decoded, to a temporary file.

The standard library's parser holds several copies of a large attachment; here a 25 MB message takes little more than
the attachment's own bytes.
"""

from __future__ import annotations

import binascii
import secrets
import string
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from email.message import Message as Tree
from email.parser import BytesFeedParser
from typing import IO

from intake.model.errors import Unreadable

LONG = 1 << 16
"""Bytes of base64 from which on a run is spooled."""
LARGEST = 150 << 20
"""Bytes; a larger message is kept but not opened."""
_BASE64 = (string.ascii_letters + string.digits + "+/").encode()
_LEAST_LINE = 40
"""Bytes; shorter lines may be words by chance (RFC 2045, 6.8 writes base64 in lines of 76)."""


def too_large(size: int) -> None:
    """Raises Unreadable for a message of more bytes than are opened."""
    if size > LARGEST:
        raise Unreadable(f"it is {size >> 20} MB, more than the {LARGEST >> 20} MB that are opened")


@dataclass(frozen=True)
class _Run:
    """Where a run's decoded bytes lie in the file, and how its lines looked."""

    start: int
    size: int
    width: int
    end_of_line: bytes


class _Growing:
    """A run while it is read: its lines until it is long, from then on the file."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self.first = b""
        self.end_of_line = b""
        self.lines = bytearray()
        self.start: int | None = None

    def takes(self, line: bytes, after_blank: bool) -> bool:
        """Whether the line is one more of the run, or starts one: only a part's first line does."""
        if not self.first and not after_blank:
            return False
        ends = line.translate(None, _BASE64)
        if self.first:
            if len(line) != len(self.first) or ends != self.end_of_line:
                return False
        elif ends in (b"\r\n", b"\n") and len(line) > _LEAST_LINE and (len(line) - len(ends)) % 4 == 0:
            self.first, self.end_of_line = line, ends
        else:
            return False
        self._grow(line)
        return True

    def _grow(self, line: bytes) -> None:
        if self.start is not None:
            self._file.write(binascii.a2b_base64(line))
            return
        self.lines += line
        if len(self.lines) > LONG:
            self.start = self._file.seek(0, 2)
            self._file.write(binascii.a2b_base64(self.lines))
            self.lines.clear()


class Spool:
    """The spooled runs of one message, each standing in the tree as one line that nobody could have guessed."""

    def __init__(self, file: IO[bytes] | None = None) -> None:
        """`file`, empty, takes the runs; without one, a temporary file does."""
        self._lent = file is not None
        # In memory as long as it is shorter than a run that is spooled, which most messages do not have.
        self._file: IO[bytes] = file or tempfile.SpooledTemporaryFile(LONG)  # noqa: SIM115  (closed by close)
        self._secret = f"spooled-{secrets.token_hex(16)}-"
        self._runs: list[_Run] = []

    def close(self) -> None:
        if not self._lent:
            self._file.close()

    def read(self, lines: Iterable[bytes]) -> Tree:
        """The tree of a message whose lines keep their ends. Raises what the parser raises."""
        parser, plain = BytesFeedParser(), bytearray()
        run, after_blank = _Growing(self._file), False
        for line in lines:
            if run.takes(line, after_blank):
                continue
            if run.first:
                plain += self._end(run)
                run = _Growing(self._file)
            after_blank = line in (b"\r\n", b"\n")
            plain += line
            if len(plain) > LONG:
                parser.feed(bytes(plain))
                plain.clear()
        parser.feed(bytes(plain + self._end(run)))
        return parser.close()

    def content(self, part: Tree) -> bytes:
        """A leaf's bytes as the standard library decodes them."""
        payload = part.get_payload()
        if isinstance(payload, str) and payload.startswith(self._secret):
            line, newline, rest = payload.partition("\n")
            run = self._runs[int(line.strip().removeprefix(self._secret))]
            if str(part.get("content-transfer-encoding", "")).lower() == "base64":
                part.set_payload(rest)
                content = self._bytes(run) + _decoded(part)
                part.set_payload(payload)
                return content
            written = self._as_written(run) + rest.encode("utf-8", "surrogateescape")
            # The line end before a boundary belongs to the boundary (RFC 2046 5.1.1).
            return written if newline else written.removesuffix(run.end_of_line)
        return _decoded(part)

    def _end(self, run: _Growing) -> bytes:
        """What the parser gets to see of a run: itself where it is short, else the line that stands for it."""
        if run.start is None:
            return bytes(run.lines)
        size = self._file.tell() - run.start
        self._runs.append(_Run(run.start, size, len(run.first.rstrip(b"\r\n")), run.end_of_line))
        return f"{self._secret}{len(self._runs) - 1}".encode() + run.end_of_line

    def _bytes(self, run: _Run) -> bytes:
        self._file.seek(run.start)
        return self._file.read(run.size)

    def _as_written(self, run: _Run) -> bytes:
        """The run as it stood in a part that is not base64 after all."""
        step = run.width * 3 // 4
        decoded = self._bytes(run)
        lines = (decoded[at : at + step] for at in range(0, len(decoded), step))
        return b"".join(binascii.b2a_base64(line, newline=False) + run.end_of_line for line in lines)


def _decoded(part: Tree) -> bytes:
    """A leaf that claims to be multipart is kept as it is."""
    content = part.get_payload(decode=True)
    if isinstance(content, bytes):
        return content
    payload = part.get_payload()
    return payload.encode("utf-8", "surrogateescape") if isinstance(payload, str) else b""
