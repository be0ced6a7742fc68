"""A private PostgreSQL on loopback for tests, with its own folder."""

from __future__ import annotations

import contextlib
import itertools
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.servers.ports import free_port

PROGRAMS = Path("/usr/lib/postgresql/15/bin")


def why_not() -> str:
    """Why PostgreSQL cannot run here, or an empty string."""
    if not _program("initdb"):
        return "PostgreSQL is not installed (apt-get install postgresql)"
    try:
        import psycopg  # noqa: F401
    except ImportError:
        return "psycopg is not installed (pip install '.[postgresql]')"
    return ""


def _program(name: str) -> str:
    own = PROGRAMS / name
    return str(own) if own.exists() else shutil.which(name) or ""


@contextlib.contextmanager
def postgres() -> Iterator[str]:
    """The SQLAlchemy URL of an empty database in this process's server, which `stop` ends."""
    import psycopg

    name, port = f"database_{next(_numbers)}", _port()
    with psycopg.connect(
        f"host=127.0.0.1 port={port} user=intake dbname=postgres", autocommit=True
    ) as server:
        server.execute(f"CREATE DATABASE {name}".encode())
    yield f"postgresql+psycopg://intake@127.0.0.1:{port}/{name}"


_numbers = itertools.count()
_running = contextlib.ExitStack()


@cache
def _port() -> int:
    return _running.enter_context(_serving())


def stop() -> None:
    """End this process's server, if it was needed, and remove what it held."""
    _running.close()
    _port.cache_clear()


@contextlib.contextmanager
def _serving() -> Iterator[int]:
    """The port of a server of its own. Nothing of it need outlive the machine, so it never waits for the disk."""
    folder = Path(tempfile.mkdtemp(prefix="intake-postgres-"))
    data, port = folder / "data", free_port()
    # PostgreSQL refuses to run as root: the Debian package's own user runs it then.
    user = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups"] if os.geteuid() == 0 else []
    if user:
        shutil.chown(folder, "postgres", "postgres")
    empty = ["-U", "intake", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"]
    control = [*user, _program("pg_ctl"), "-D", str(data)]
    options = (
        f"-p {port} -c listen_addresses=127.0.0.1 -k {folder} -c shared_buffers=16MB -c max_connections=40"
    )
    try:
        _run([*user, _program("initdb"), "-D", str(data), *empty])
        _run([*control, "-w", "-l", str(folder / "log"), "-o", f"{options} -c fsync=off", "start"])
        try:
            yield port
        finally:
            _run([*control, "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(command: list[str]) -> None:
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, cwd="/")
    if done.returncode:
        raise RuntimeError(f"{command}: {done.stdout} {done.stderr}")
