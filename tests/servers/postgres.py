"""A private PostgreSQL on loopback for tests, with its own folder."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.servers.dovecot import free_port

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
    """The SQLAlchemy URL of an empty database in a server of its own, stopped and removed at the end."""
    folder = Path(tempfile.mkdtemp(prefix="intake-postgres-"))
    data, port = folder / "data", free_port()
    # PostgreSQL refuses to run as root: the Debian package's own user runs it then.
    user = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups"] if os.geteuid() == 0 else []
    if user:
        shutil.chown(folder, "postgres", "postgres")
    try:
        _run(
            [
                *user,
                _program("initdb"),
                "-D",
                str(data),
                "-U",
                "intake",
                "-A",
                "trust",
                "-E",
                "UTF8",
                "--locale=C",
            ]
        )
        options = f"-p {port} -c listen_addresses=127.0.0.1 -k {folder} -c shared_buffers=16MB -c max_connections=40"
        _run(
            [
                *user,
                _program("pg_ctl"),
                "-D",
                str(data),
                "-w",
                "-l",
                str(folder / "log"),
                "-o",
                options,
                "start",
            ]
        )
        try:
            yield f"postgresql+psycopg://intake@127.0.0.1:{port}/postgres"
        finally:
            _run([*user, _program("pg_ctl"), "-D", str(data), "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(command: list[str]) -> None:
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, cwd="/")
    if done.returncode:
        raise RuntimeError(f"{command}: {done.stdout} {done.stderr}")
