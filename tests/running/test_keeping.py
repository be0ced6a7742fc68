"""Each kind is kept for its own time; a dry run says what would go, and a job that lost its words asks for nothing
more."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from intake.model.errors import SettingsError
from intake.settings import load_settings
from intake.work.examine import examine
from intake.work.purge import PurgeHeld, purge_all, what_would_go
from intake.work.remind import remind
from intake.work.services import Services
from tests.work.mail import folder, message, picture

Console = Callable[..., tuple[int, Any, str]]
NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
KEEP = {"pictures": timedelta(days=60), "words": timedelta(days=40), "letters": timedelta(days=40)}


@pytest.fixture
def old_and_new(services: Services, tmp_path: Path) -> Services:
    """One customer of March, and four of May, each with a picture; seen on the first of June."""
    from intake.mailbox.folder import FolderMailbox
    from intake.work.collect import collect

    mails = [
        message(f"P{n} <p{n}@x{n}.example>", f"Kitchen {n}", "No gas in the house.", hours=1500 * (n > 0) + n,
                message_id=f"<{n}@x.example>", files=((f"{n}.jpg", picture(n)),))
        for n in range(5)
    ]  # fmt: skip
    collect(FolderMailbox(folder(tmp_path / "mail", *mails)), services)
    policy = replace(services.policy, retention=None, keep=KEEP)
    return replace(services, policy=policy, clock=lambda: NOW)


def letters_gone(services: Services) -> None:
    with services.store.transaction() as tables:
        for kept in tables.letters.all():
            tables.letters.change(kept.id, state="sent", sent_at=NOW, handed_at=NOW)


def test_a_dry_run_says_what_would_go_and_nothing_goes(old_and_new: Services) -> None:
    letters_gone(old_and_new)
    said = {"originals": (0, 5), "pictures": (1, 5), "words": (1, 5), "letters": (1, 5)}
    assert what_would_go(old_and_new) == said
    assert what_would_go(old_and_new) == said


def test_each_kind_goes_when_its_time_is_over(old_and_new: Services) -> None:
    services = old_and_new
    letters_gone(services)
    pictures = len(services.store.files.pictures_here())
    done = purge_all(services)
    assert done == {"originals": 0, "pictures": 1, "words": 1, "letters": 1}
    assert len(services.store.files.pictures_here()) < pictures
    with services.store.reading() as tables:
        old, new = sorted(tables.jobs.all(), key=lambda job: job.last_message_at)[:2]
        assert [m.own_words for m in tables.messages.of_job(old.id)] == [""]
        assert all(m.own_words for m in tables.messages.of_job(new.id))
        (letter,) = tables.letters.of_job(old.id)
        assert (letter.text, letter.raw, letter.asks != ()) == ("", b"", True)
        assert tables.letters.attempts([letter.message_id])
    assert purge_all(services) == {"originals": 0, "pictures": 0, "words": 0, "letters": 0}


def test_a_job_without_its_words_is_stopped_and_asks_for_nothing(old_and_new: Services) -> None:
    services = old_and_new
    letters_gone(services)
    purge_all(services)
    with services.store.reading() as tables:
        old = min(tables.jobs.all(), key=lambda job: job.last_message_at)
        before = [k.id for k in tables.letters.of_job(old.id)]
    examine(services, old.id)
    remind(services)
    with services.store.reading() as tables:
        assert [k.id for k in tables.letters.of_job(old.id)] == before
        job = tables.jobs.get(old.id)
    assert job is not None and job.state == "stopped"


def test_more_than_a_quarter_waits_for_a_persons_word(old_and_new: Services) -> None:
    services = replace(old_and_new, clock=lambda: NOW + timedelta(days=400))
    with pytest.raises(PurgeHeld, match="5 of 5 pictures"):
        purge_all(services)
    assert purge_all(services, sure=True)["pictures"] == 5


@pytest.mark.parametrize("key", ["retention_days", "pictures_days", "words_days", "letters_days"])
def test_nothing_can_be_kept_for_less_than_a_month(key: str) -> None:
    with pytest.raises(SettingsError, match="cannot be 29") as refused:
        load_settings({f"INTAKE_{key.upper()}": "29"})
    assert "30 or more" in refused.value.line()
    assert getattr(load_settings({f"INTAKE_{key.upper()}": "30"}), key) == 30
    assert getattr(load_settings({f"INTAKE_{key.upper()}": "0"}), key) == 0


def test_the_console_says_what_would_go(
    console: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("INTAKE_WORDS_DAYS", "30")
    mail = folder(
        tmp_path / "mail", message("Ann <ann@a.example>", "Kitchen", "hello", message_id="<1@a.example>")
    )
    console("collect", "--folder", str(mail))
    code, said, _ = console("purge", "--dry-run")
    assert code == 0 and "words: 1 of 1 would be deleted." in said
    code, _, err = console("purge")
    assert code == 1 and "--sure" in err
    assert "words: 1 deleted." in console("purge", "--sure")[1]
