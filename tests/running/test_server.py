"""What stands on a server: the unit, the command wrapper, the installer and the container, as far as they can be
tried here."""

from __future__ import annotations

import os
import shutil
import socket
import sqlite3
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest
import yaml

from intake.settings import PROJECT, load_settings
from intake.watchdog import tell_supervisor
from tests.running.test_install import copy_of_the_tree, run

DEPLOY = PROJECT / "deploy"


def tool(name: str) -> str:
    found = shutil.which(name)
    if not found:
        pytest.skip(f"{name} is not installed")
    return found


def call(wrapper: Path, etc: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The wrapper with a program that prints its variables and its arguments."""
    program = etc / "program"
    program.write_text('#!/bin/sh\nenv | grep ^INTAKE_ | sort\numask\nprintf "<%s>" "$@"\n')
    program.chmod(0o755)
    user = subprocess.run(["id", "-un"], capture_output=True, text=True, check=True).stdout.strip()
    environ = {
        "PATH": os.environ["PATH"],
        "INTAKE_USER": user,
        "INTAKE_ETC": str(etc),
        "INTAKE_PROGRAM": str(program),
    }
    return subprocess.run([wrapper, *arguments], env=environ, capture_output=True, text=True, check=False)


def test_the_command_runs_with_the_services_settings_and_secrets(tmp_path: Path) -> None:
    (tmp_path / "secrets").write_text(
        "# of the mailbox\n\nINTAKE_IMAP_PASSWORD=a b$(date)'\"=c\nINTAKE_SMTP_PASSWORD=x"
    )
    done = call(DEPLOY / "intake", tmp_path, "show", "R-ABCDE", "two words")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "INTAKE_DATA=/var/lib/intake",
        "INTAKE_IMAP_PASSWORD=a b$(date)'\"=c",
        f"INTAKE_SETTINGS={tmp_path}/intake.yaml",
        "INTAKE_SMTP_PASSWORD=x",
        "0077",
        "<show><R-ABCDE><two words>",
    ]


def test_a_secrets_file_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secrets").write_text("export PATH=/tmp\n")
    done = call(DEPLOY / "intake", tmp_path, "jobs")
    assert done.returncode == 2 and "INTAKE_NAME=value" in done.stderr and done.stdout == ""


def test_the_unit_is_understood_and_closed() -> None:
    """systemd-analyze security: from 0, closed, to 10, open; below 2 is what it calls OK."""
    analyze = tool("systemd-analyze")
    unit = DEPLOY / "intake.service"
    said = subprocess.run([analyze, "verify", unit], capture_output=True, text=True, check=False).stderr
    faults = [
        line for line in said.splitlines() if "intake.service" in line and "is not executable" not in line
    ]
    assert faults == []
    closed = subprocess.run(
        [analyze, "security", "--offline=true", "--threshold=20", unit],
        capture_output=True,
        text=True,
        check=False,
    )
    assert closed.returncode == 0, closed.stdout[-200:]


def test_the_scripts_pass_shellcheck() -> None:
    scripts = [DEPLOY / name for name in ("demo", "install", "intake", "setup", "test")]
    done = subprocess.run([tool("shellcheck"), *scripts], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_the_containerfile_passes_hadolint() -> None:
    done = subprocess.run(
        [tool("hadolint"), DEPLOY / "Containerfile"], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (0, "")


def test_the_compose_file_names_what_is_there(tmp_path: Path) -> None:
    composed = yaml.safe_load((DEPLOY / "compose.yaml").read_text())
    service = composed["services"]["intake"]
    assert (DEPLOY / service["build"]["context"] / service["build"]["dockerfile"]).is_file()
    named = {volume.partition(":")[0] for s in composed["services"].values() for volume in s["volumes"]}
    assert {name for name in named if not name.startswith(".")} == set(composed["volumes"])
    assert service["ports"] == ["127.0.0.1:8047:8047"]
    settings = tmp_path / "intake.yaml"
    settings.write_text('host: 0.0.0.0\nbehind_proxy: yes\nproxy_address: "*"\n')
    assert load_settings({"INTAKE_SETTINGS": str(settings)}).proxy_address == "*"


def test_systemd_hears_the_signs_of_life(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """sd_notify(3): a datagram to the socket that NOTIFY_SOCKET names, a path or, with @, an abstract name."""
    for address, bound in (
        (str(tmp_path / "n"), str(tmp_path / "n")),
        (f"@intake-{os.getpid()}", f"\0intake-{os.getpid()}"),
    ):
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as systemd:
            systemd.bind(bound)
            systemd.settimeout(5)
            monkeypatch.setenv("NOTIFY_SOCKET", address)
            tell_supervisor("WATCHDOG=1")
            assert systemd.recv(100) == b"WATCHDOG=1"
    monkeypatch.setenv("NOTIFY_SOCKET", str(tmp_path / "nobody"))
    tell_supervisor("WATCHDOG=1")


@pytest.mark.long
def test_install_then_upgrade_then_an_upgrade_that_fails(tmp_path: Path) -> None:
    """Into a folder that stands for the root of a server, with the packages of this environment in place of the
    network."""
    tree, root = copy_of_the_tree(tmp_path / "tree"), tmp_path / "root"
    build = ("wheel", "-q", "--no-deps", "--no-build-isolation", "--no-index", "-w", tmp_path, tree)
    run(sys.executable, "-m", "pip", *build, cwd=tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    environ = os.environ | {
        "INTAKE_ROOT": str(root), "PYTHON": sys.executable, "PIP_NO_DEPS": "1",
        "PIP_NO_INDEX": "1", "PYTHONPATH": sysconfig.get_paths()["purelib"],
    }  # fmt: skip

    def install() -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [tree / "deploy" / "install", wheel], env=environ, capture_output=True, text=True, check=False
        )

    first = install()
    assert first.returncode == 0, first.stderr
    assert "intake check" in first.stderr
    data, program = root / "var/lib/intake", root / "opt/intake/venv"
    assert {
        p.stat().st_mode & 0o777 for p in (root / "etc/intake/intake.yaml", root / "etc/intake/secrets")
    } == {0o640}
    assert data.stat().st_mode & 0o077 == 0
    (root / "etc/intake/intake.yaml").write_text("showroom_name: Our own\n")

    with sqlite3.connect(data / "intake.sqlite3") as database:
        database.executescript((PROJECT / "tests/running/old_database.sql").read_text())
    before = program.readlink()
    second = install()
    assert second.returncode == 0, second.stderr
    assert "Upgraded from step 0002" in second.stdout
    assert program.readlink() != before
    assert (root / "etc/intake/intake.yaml").read_text() == "showroom_name: Our own\n"
    assert "Tom Brearley" in _jobs(program, data, environ)

    with sqlite3.connect(data / "intake.sqlite3") as database:
        database.execute("UPDATE alembic_version SET version_num = '0999'")
    before = program.readlink()
    third = install()
    assert third.returncode == 1
    assert "the older program goes on" in third.stderr
    assert program.readlink() == before


def _jobs(program: Path, data: Path, environ: dict[str, str]) -> str:
    clean = {k: v for k, v in environ.items() if not k.startswith("INTAKE_")}
    done = subprocess.run(
        [program / "bin" / "intake", "jobs", "--data", data],
        env=clean,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout
