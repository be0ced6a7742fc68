"""A letter in doubt is settled by a copy in the mailbox or in Sent, or by a person; never by sending it again."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from imapclient import IMAPClient

from intake.cli import main
from intake.mailbox.folder import FolderMailbox
from intake.mailbox.imap import ImapMailbox
from intake.model.job import JobState
from intake.model.letter import LetterState
from intake.work.collect import collect
from intake.work.decide import NotPossible
from intake.work.send import send_due
from intake.work.services import Services
from intake.work.settle import look_for_copies, settle_letter
from tests.mail_runs.test_outbox import Hand, events, letters, mail, states, take
from tests.mail_runs.zygote import open_services
from tests.servers.dovecot import Dovecot, needs_dovecot


@pytest.fixture
def services(tmp_path: Path) -> Iterator[Services]:
    """One letter in doubt, and one of another customer that was sent."""
    opened = open_services(str(tmp_path / "data"))
    take(opened, tmp_path / "m", mail("ann@x.example", 1), mail("jo@y.example", 2))
    assert sorted(s.state for s in send_due(opened, Hand("in-doubt", "sent"))) == ["in-doubt", "sent"]
    yield opened
    opened.store.close()


def doubtful(services: Services) -> bytes:
    return next(k.raw for k in letters(services) if k.state is LetterState.IN_DOUBT)


class TestOnDovecot:
    pytestmark = needs_dovecot

    @pytest.mark.parametrize("folder", ["INBOX", "Sent", "Surveys"])
    def test_a_copy_where_copies_lie_settles_it(
        self, services: Services, dovecot: Dovecot, user: str, folder: str
    ) -> None:
        """In Sent, where a server files what it hands on; here; and in the folder that taken mail is moved to."""
        with dovecot.client(user) as person:
            if folder == "Surveys":
                person.create_folder(folder)
        dovecot.append(user, [doubtful(services)], folder)
        mailbox = ImapMailbox(dovecot.account(user, move_to="Surveys"))
        [settled] = look_for_copies(services, mailbox)
        assert states(services) == ["sent", "sent"]
        assert "A copy of our letter was found: it was sent." in events(services)
        with services.store.reading() as tables:
            job = tables.jobs.get(settled.job)
        assert job is not None
        assert job.state is JobState.ASKED
        assert look_for_copies(services, mailbox) == []

    def test_a_sent_folder_that_cannot_be_opened_hides_nothing_else(
        self, services: Services, dovecot: Dovecot, user: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(IMAPClient, "find_special_folder", lambda self, flag: "Nowhere")
        mailbox = ImapMailbox(dovecot.account(user))
        assert look_for_copies(services, mailbox) == []
        dovecot.append(user, [doubtful(services)])
        assert len(look_for_copies(services, mailbox)) == 1

    def test_only_the_very_message_id_counts(self, services: Services, dovecot: Dovecot, user: str) -> None:
        """SEARCH HEADER finds parts (RFC 3501 6.4.4): a longer id, and one that a text or another field quotes."""
        raw = doubtful(services)
        message_id = next(k.message_id for k in letters(services) if k.state is LetterState.IN_DOUBT)
        longer = raw.replace(
            message_id.encode(), message_id.encode().replace(b"<", b"<x<").replace(b">", b">y>")
        )
        head = f"From: ann@x.example\r\nMessage-ID: <a@x.example>\r\nIn-Reply-To: {message_id}\r\n"
        answer = f"{head}\r\nMessage-ID: {message_id}\r\n"
        dovecot.append(user, [longer, answer.encode()], "Sent")
        assert look_for_copies(services, ImapMailbox(dovecot.account(user))) == []
        assert sorted(states(services)) == ["in-doubt", "sent"]
        hand = Hand()
        assert send_due(services, hand) == []
        assert hand.given == []

    def test_a_pass_over_the_mailbox_looks_and_then_takes_the_mail(
        self, services: Services, dovecot: Dovecot, user: str
    ) -> None:
        dovecot.append(user, [doubtful(services)], "Sent")
        dovecot.append(user, [mail("new@z.example", 3)])
        done = collect(ImapMailbox(dovecot.account(user)), services)
        assert done.taken == 1
        assert sorted(states(services)) == ["due", "sent", "sent"]

    def test_reconcile_looks_in_sent(
        self,
        services: Services,
        dovecot: Dovecot,
        user: str,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        dovecot.append(user, [doubtful(services)], "Sent")
        for key, value in {
            "IMAP_HOST": "127.0.0.1", "IMAP_PORT": str(dovecot.imap_port), "IMAP_SECURITY": "none", "IMAP_USER": user,
            "IMAP_PASSWORD": "secret", "ADDRESS": "surveys@hollin.example", "DATA": str(tmp_path / "data"),
        }.items():  # fmt: skip
            monkeypatch.setenv(f"INTAKE_{key}", value)
        assert main(["reconcile", "--json"]) == 0
        [found] = json.loads(capsys.readouterr().out)
        assert found["state"] == "sent"
        assert states(services) == ["sent", "sent"]


@pytest.mark.parametrize("place", ["one.eml", "cur/1.a", ".Sent/cur/1.a:2,S"])
def test_a_folder_is_looked_through_as_well(services: Services, tmp_path: Path, place: str) -> None:
    """The places of a Maildir and of its Maildir++ folder .Sent, or a folder of .eml files."""
    root = tmp_path / "box"
    for folder in ("cur", "new", ".Sent/cur", ".Sent/new") if "/" in place else (".",):
        (root / folder).mkdir(parents=True, exist_ok=True)
    (root / place).write_bytes(doubtful(services))
    assert len(look_for_copies(services, FolderMailbox(root))) == 1
    assert states(services) == ["sent", "sent"]


def in_doubt(services: Services) -> tuple[str, int]:
    return next((k.job, k.id) for k in letters(services) if k.state is LetterState.IN_DOUBT)


def test_a_person_says_that_it_arrived(services: Services) -> None:
    job, letter = in_doubt(services)
    settle_letter(services, job, letter, True, "maya")
    assert states(services) == ["sent", "sent"]
    assert "maya found that our letter went out after all." in events(services)
    with pytest.raises(NotPossible):
        settle_letter(services, job, letter, False, "jon")


def test_a_person_says_that_it_never_went_and_a_new_letter_is_decided(services: Services) -> None:
    """Another letter with an id of its own: the old bytes are never handed over a second time."""
    job, letter = in_doubt(services)
    old = next(k for k in letters(services) if k.id == letter)
    settle_letter(services, job, letter, False, "maya")
    mine = [k for k in letters(services) if k.job == job]
    assert [k.state.value for k in mine] == ["failed", "due"]
    hand = Hand()
    assert [s.state for s in send_due(services, hand)] == ["sent"]
    assert old.message_id.encode() not in hand.given[0]
