"""The parent's side of the cell: one child, asked one thing at a time, replaced when it dies or has served long."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from intake.cell.frames import Blob, BrokenFrame, read_frame, write_frame
from intake.model.errors import IntakeError

START_SECONDS = 60
PATIENCE = 3
"""Times its processor time that a child may take by the clock, on a machine that is busy."""


class Overrun(Exception):
    """The child took more time or memory than it may, or answered what makes no sense."""


class CellBroken(IntakeError):
    """The child could not be started; trying again later can help where the machine was overloaded."""

    again = True


class Keeper:
    """Owns the child of one worker module. Safe to share between threads; one request at a time goes through it."""

    def __init__(
        self, module: str, seconds: int, serves: int, environment: Mapping[str, str] | None = None
    ) -> None:
        """`seconds` of processor time for a request; `serves` requests a child, so that what a library leaks is
        bounded; `environment` is all that the child gets beside the way to its own code."""
        self.seconds = seconds
        self._module = module
        self._serves = serves
        self._environment = dict(environment or {})
        self._lock = threading.Lock()
        self._child: subprocess.Popen[bytes] | None = None
        self._served = 0
        self._without: tuple[str, ...] = ()

    @property
    def process(self) -> int:
        """The id of the child that is running; 0 where none is."""
        return self._child.pid if self._child is not None else 0

    def without(self) -> tuple[str, ...]:
        """What of its locks the child could not have, in words. Raises CellBroken."""
        with self._lock:
            self._ready()
        return self._without

    def ask(
        self, header: dict[str, Any], blobs: Sequence[Blob], seconds: float = 0
    ) -> tuple[dict[str, Any], list[bytes]]:
        """One request and its answer. Raises Overrun, and CellBroken where no child can be started."""
        with self._lock:
            child = self._ready()
            self._served += 1
            watchdog = threading.Timer((seconds or self.seconds) * PATIENCE, child.kill)
            watchdog.start()
            try:
                return _exchange(child, header, blobs)
            except (BrokenFrame, OSError) as fault:
                self._drop()
                raise Overrun(str(fault)) from fault
            finally:
                watchdog.cancel()

    def close(self) -> None:
        with self._lock:
            self._drop()

    def _ready(self) -> subprocess.Popen[bytes]:
        if self._child is None or self._child.poll() is not None or self._served >= self._serves:
            self._drop()
            self._child = self._new_child()
        return self._child

    def _new_child(self) -> subprocess.Popen[bytes]:
        """A child that has said it is ready. Raises CellBroken where it never does: that is no file's fault."""
        child = self._started()
        watchdog = threading.Timer(START_SECONDS, child.kill)
        watchdog.start()
        try:
            assert child.stdout
            ready = read_frame(child.stdout)
        except (BrokenFrame, OSError):
            ready = None
        finally:
            watchdog.cancel()
        if ready is None:
            _end(child)
            raise CellBroken(
                f"The process {self._module} did not start",
                f"Run `python -m {self._module} {self.seconds} </dev/null` to see why",
            )
        self._without = tuple(str(what)[:100] for what in list(ready[0].get("without", []))[:9])
        return child

    def _started(self) -> subprocess.Popen[bytes]:
        root = str(Path(__file__).resolve().parents[2])
        return subprocess.Popen(
            [sys.executable, "-s", "-m", self._module, str(self.seconds)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={"PYTHONPATH": root, "PATH": os.defpath, **self._environment},
            cwd="/",
            close_fds=True,
        )

    def _drop(self) -> None:
        child, self._child, self._served = self._child, None, 0
        if child is not None:
            _end(child)


def _end(child: subprocess.Popen[bytes]) -> None:
    child.kill()
    for pipe in (child.stdin, child.stdout):
        if pipe:
            try:
                pipe.close()
            except OSError:
                continue
    child.wait()


def _exchange(
    child: subprocess.Popen[bytes], header: dict[str, Any], blobs: Sequence[Blob]
) -> tuple[dict[str, Any], list[bytes]]:
    assert child.stdin and child.stdout
    write_frame(child.stdin, header, blobs)
    answer = read_frame(child.stdout)
    if answer is None:
        raise BrokenFrame("the child stopped")
    return answer
