"""Services over a fresh store, and the console as a script would call it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from intake import wiring
from intake.cli import main
from intake.domain.mail.rhythm import Rhythm
from intake.settings import Settings, load_settings
from intake.work.services import Services
from tests.work.mail import OURS, SERVER


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    environ = {
        "INTAKE_ADDRESS": OURS,
        "INTAKE_AUTHSERV_ID": SERVER,
        "INTAKE_LETTERS_FOLDER": str(tmp_path / "out"),
    }
    return load_settings(environ, str(tmp_path / "data"))


@pytest.fixture
def services(settings: Settings) -> Iterator[Services]:
    with wiring.opened(settings) as opened:
        yield opened


@pytest.fixture
def automatic(services: Services) -> Services:
    """Letters go by themselves at once, so that whatever would go out does."""
    rhythm = Rhythm(timedelta(0), services.policy.rhythm.reminders, services.policy.rhythm.hours)
    policy = replace(services.policy, automatic=True, rhythm=rhythm, letters_a_day=99)
    head = replace(services.letterhead(), hours="00:00-24:00", days="Mon Tue Wed Thu Fri Sat Sun")
    return replace(services, policy=policy, letterhead=lambda: head)


@pytest.fixture
def console(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, Any, str]]:
    """Call a command: (exit code, its JSON where --json was given else its text, standard error)."""
    monkeypatch.setenv("INTAKE_ADDRESS", OURS)
    monkeypatch.setenv("INTAKE_AUTHSERV_ID", SERVER)
    monkeypatch.setenv("INTAKE_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("INTAKE_LETTERS_FOLDER", str(tmp_path / "out"))

    def call(*arguments: str) -> tuple[int, Any, str]:
        try:
            code = main(list(arguments))
        except SystemExit as stopped:
            code = int(stopped.code or 0)
        printed = capsys.readouterr()
        out = json.loads(printed.out) if "--json" in arguments and code == 0 else printed.out
        return code, out, printed.err

    return call
