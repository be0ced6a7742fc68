"""The shared mailbox on a real Dovecot."""

from __future__ import annotations

import contextlib
import socket
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest
from imapclient import IMAPClient

from intake.mailbox.imap import AHEAD, AHEAD_BYTES, CHUNK, ImapMailbox
from intake.model.errors import MailboxUnreachable, MessageGone, MessageStuck
from tests.servers.dovecot import Dovecot, needs_dovecot
from tests.servers.ports import free_port

pytestmark = needs_dovecot


def raw(n: int, size: int = 0) -> bytes:
    head = f"From: Ann <ann@x.example>\r\nTo: s@s.example\r\nSubject: Kitchen\r\nMessage-ID: <m{n}@x.example>\r\n\r\n"
    line = b"x" * 76 + b"\r\n"
    return head.encode() + b"Hello\r\n" + line * (size // len(line))


def fetched(mailbox: ImapMailbox, folder: Path) -> dict[str, bytes]:
    found = {}
    for delivery in mailbox.deliveries():
        path = folder / delivery.locator.uid
        delivery.fetch(path)
        found[delivery.locator.uid] = path.read_bytes()
    return found


def test_every_message_comes_out_byte_for_byte(dovecot: Dovecot, user: str, tmp_path: Path) -> None:
    sent = [raw(1), raw(2, 3 * CHUNK), raw(3, CHUNK - len(raw(3))), *(raw(n) for n in range(2 * AHEAD))]
    dovecot.append(user, sent)
    mailbox = ImapMailbox(dovecot.account(user))
    assert list(fetched(mailbox, tmp_path).values()) == sent
    mailbox.close()


def test_delivered_mail_carries_a_return_path_and_its_arrival(
    dovecot: Dovecot, user: str, tmp_path: Path
) -> None:
    dovecot.deliver(user, raw(1))
    mailbox = ImapMailbox(dovecot.account(user))
    [delivery] = mailbox.deliveries()
    arrived = delivery.fetch(tmp_path / "m")
    assert b"Return-Path: <ann@x.example>" in (tmp_path / "m").read_bytes()
    assert abs((datetime.now(UTC) - arrived).total_seconds()) < 60


def test_seen_is_neither_set_nor_looked_at(dovecot: Dovecot, user: str, tmp_path: Path) -> None:
    dovecot.append(user, [raw(1), raw(2)])
    with dovecot.client(user) as person:
        person.add_flags(person.search()[:1], [b"\\Seen"])
    assert len(fetched(ImapMailbox(dovecot.account(user, keyword="Taken")), tmp_path)) == 2
    with dovecot.client(user) as person:
        flags = [set(f[b"FLAGS"]) - {b"\\Recent"} for f in person.fetch(person.search(), ["FLAGS"]).values()]
    assert flags == [{b"\\Seen"}, set()]


def test_a_message_is_marked_by_keyword_and_moved_and_both_can_be_repeated(
    dovecot: Dovecot, user: str, tmp_path: Path
) -> None:
    dovecot.append(user, [raw(1)])
    [delivery] = ImapMailbox(dovecot.account(user, keyword="Taken")).deliveries()
    delivery.mark()
    delivery.mark()
    with dovecot.client(user) as person:
        assert b"Taken" in person.fetch(person.search(), ["FLAGS"])[person.search()[0]][b"FLAGS"]
    [delivery] = ImapMailbox(dovecot.account(user, move_to="Surveys")).deliveries()
    delivery.mark()
    delivery.mark()
    with dovecot.client(user, "Surveys") as person:
        assert len(person.search()) == 1


def test_a_folder_that_another_worker_makes_at_the_same_moment_is_no_fault(
    dovecot: Dovecot, user: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another worker makes it between our look and our making it: the server's own NO."""
    looked, there = [], IMAPClient.folder_exists

    def before_the_other(client: IMAPClient, folder: str) -> bool:
        looked.append(folder)
        if len(looked) == 1:
            client.create_folder(folder)
            return False
        return bool(there(client, folder))

    monkeypatch.setattr(IMAPClient, "folder_exists", before_the_other)
    assert list(ImapMailbox(dovecot.account(user, move_to="Surveys")).deliveries()) == []
    assert looked == ["Surveys", "Surveys"]


def test_a_person_who_deletes_or_moves_in_the_middle_of_a_poll_is_no_fault(
    dovecot: Dovecot, user: str, tmp_path: Path
) -> None:
    """What was read ahead is there still; what was not is gone; the rest is fetched whole."""
    dovecot.append(user, [raw(n) for n in range(AHEAD + 3)])
    mailbox = ImapMailbox(dovecot.account(user))
    lies = list(mailbox.deliveries())
    lies[0].fetch(tmp_path / "0")
    with dovecot.client(user) as person:
        person.delete_messages([int(lies[n].locator.uid) for n in (1, AHEAD, AHEAD + 1)])
        person.expunge()
    lies[1].fetch(tmp_path / "1")
    assert (tmp_path / "1").read_bytes() == raw(1)
    for gone in (AHEAD, AHEAD + 1):
        with pytest.raises(MessageGone):
            lies[gone].fetch(tmp_path / "gone")
    lies[AHEAD + 2].fetch(tmp_path / "last")
    assert (tmp_path / "last").read_bytes() == raw(AHEAD + 2)


def test_a_long_message_that_is_deleted_half_way_is_gone(
    dovecot: Dovecot, user: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("intake.mailbox.imap.CHUNK", 1000)
    dovecot.append(user, [raw(1, AHEAD_BYTES + 5000), raw(2, AHEAD_BYTES - len(raw(2))), raw(3)])
    mailbox = ImapMailbox(dovecot.account(user))
    long, exact, _ = mailbox.deliveries()
    exact.fetch(tmp_path / "exact")
    with dovecot.client(user) as person:
        person.delete_messages([int(long.locator.uid)])
        person.expunge()
    with pytest.raises(MessageGone):
        long.fetch(tmp_path / "long")
    assert (tmp_path / "exact").read_bytes() == raw(2, AHEAD_BYTES - len(raw(2)))


def test_a_new_uidvalidity_lists_everything_again(dovecot: Dovecot, user: str, tmp_path: Path) -> None:
    dovecot.append(user, [raw(1)])
    mailbox = ImapMailbox(dovecot.account(user))
    [before] = mailbox.deliveries()
    mailbox.close()
    dovecot.renumber(user)
    [after] = mailbox.deliveries()
    assert after.locator.uidvalidity != before.locator.uidvalidity
    with pytest.raises(MessageGone):
        before.fetch(tmp_path / "m")


def test_a_restarted_server_is_reached_again(dovecot: Dovecot, user: str, tmp_path: Path) -> None:
    dovecot.append(user, [raw(1)])
    mailbox = ImapMailbox(dovecot.account(user))
    assert len(list(mailbox.deliveries())) == 1
    dovecot.stop()
    with pytest.raises(MailboxUnreachable):
        list(ImapMailbox(dovecot.account(user)).deliveries())
    dovecot.start()
    # The old connection may have lived through the restart or not; at most one poll pays for it.
    with contextlib.suppress(MailboxUnreachable):
        list(mailbox.deliveries())
    assert len(fetched(mailbox, tmp_path)) == 1


def test_tls_and_starttls_with_a_certificate_we_know(dovecot: Dovecot, user: str, tmp_path: Path) -> None:
    dovecot.append(user, [raw(1)])
    known = str(dovecot.folder / "cert.pem")
    for security, port in (("tls", dovecot.imaps_port), ("starttls", dovecot.imap_port)):
        account = dovecot.account(user, security=security, port=port, host="localhost", ca_file=known)
        assert len(fetched(ImapMailbox(account), tmp_path)) == 1


def test_an_unknown_certificate_is_refused_in_one_plain_line(dovecot: Dovecot, user: str) -> None:
    account = dovecot.account(user, security="tls", port=dovecot.imaps_port)
    with pytest.raises(MailboxUnreachable) as fault:
        list(ImapMailbox(account).deliveries())
    assert "No safe connection" in fault.value.line()
    assert "\n" not in fault.value.line()


def test_a_wrong_password_says_so(dovecot: Dovecot, user: str) -> None:
    with pytest.raises(MailboxUnreachable, match="refused the login"):
        list(ImapMailbox(dovecot.account(user, password="wrong")).deliveries())


@pytest.mark.parametrize("secret", [{}, {"token": "ya29.x"}])
def test_a_connection_that_breaks_during_the_login_is_no_refusal(
    dovecot: Dovecot, user: str, secret: dict[str, str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as front:
        threading.Thread(target=_cut_off, args=(front, dovecot.imap_port, 1), daemon=True).start()
        account = dovecot.account(user, port=front.getsockname()[1], **secret)
        with pytest.raises(MailboxUnreachable, match="failed"):
            list(ImapMailbox(account).deliveries())


def test_a_server_that_says_nothing_is_given_up() -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        account = Dovecot(Path(), silent.getsockname()[1], 0, 0, None).account("u", timeout=0.3)
        with pytest.raises(MailboxUnreachable, match="did not answer within"):
            list(ImapMailbox(account).deliveries())


def test_a_server_that_is_not_there_says_so() -> None:
    with pytest.raises(MailboxUnreachable, match="failed"):
        list(ImapMailbox(Dovecot(Path(), free_port(), 0, 0, None).account("u")).deliveries())


def test_a_connection_dropped_in_the_middle_of_a_literal_is_a_fault_and_the_next_poll_goes_on(
    dovecot: Dovecot, user: str, tmp_path: Path
) -> None:
    dovecot.append(user, [raw(1, 2 * CHUNK)])
    with socket.create_server(("127.0.0.1", 0)) as front:
        threading.Thread(target=_cut_once, args=(front, dovecot.imap_port, CHUNK // 2), daemon=True).start()
        mailbox = ImapMailbox(dovecot.account(user, port=front.getsockname()[1]))
        [delivery] = mailbox.deliveries()
        with pytest.raises(MailboxUnreachable):
            delivery.fetch(tmp_path / "cut")
    again = ImapMailbox(dovecot.account(user))
    assert list(fetched(again, tmp_path).values()) == [raw(1, 2 * CHUNK)]


def _cut_off(front: socket.socket, port: int, after: int) -> None:
    """Passes one connection through to the real server and cuts it after so many bytes from it."""
    near, _ = front.accept()
    with near, socket.create_connection(("127.0.0.1", port)) as far:
        threading.Thread(target=_pass_on, args=(near, far), daemon=True).start()
        passed = 0
        while passed < after and (data := far.recv(65536)):
            near.sendall(data)
            passed += len(data)
        near.shutdown(socket.SHUT_RDWR)


def _cut_once(front: socket.socket, port: int, after: int) -> None:
    """The line is down from then on: whoever calls again is refused at once."""
    _cut_off(front, port, after)
    front.close()


def _pass_on(near: socket.socket, far: socket.socket) -> None:
    try:
        while data := near.recv(65536):
            far.sendall(data)
    except OSError:
        return


def _lying(dovecot: Dovecot, user: str) -> list[Path]:
    home = dovecot.folder / "home" / user / "Maildir"
    return sorted([*home.glob("cur/*"), *home.glob("new/*")])


def test_a_message_that_the_server_cannot_hand_out_holds_up_none_other(
    dovecot: Dovecot, user: str, tmp_path: Path
) -> None:
    """One file of the mailbox is unreadable, as after a fault of the disk."""
    dovecot.append(user, [raw(n) for n in range(2 * AHEAD)])
    lost = next(path for path in _lying(dovecot, user) if b"<m7@x.example>" in path.read_bytes())
    lost.chmod(0)
    mailbox, stuck, found = ImapMailbox(dovecot.account(user)), [], []
    for delivery in mailbox.deliveries():
        try:
            delivery.fetch(tmp_path / "one")
            found.append((tmp_path / "one").read_bytes())
        except MessageStuck as fault:
            stuck.append((delivery.locator.uid, str(fault)))
    mailbox.close()
    assert found == [raw(n) for n in range(2 * AHEAD) if n != 7]
    ((uid, why),) = stuck
    assert uid == "8" and why.startswith("message 8 cannot be fetched: ")


def test_a_line_that_breaks_again_and_again_brings_all_of_them(
    dovecot: Dovecot, user: str, tmp_path: Path
) -> None:
    """Each connection is cut after 25 kB: fewer than twenty beginnings, more than one message."""
    sent = [raw(n, 8_000) for n in range(AHEAD)]
    dovecot.append(user, sent)
    with socket.create_server(("127.0.0.1", 0)) as front:
        threading.Thread(target=_cut_each, args=(front, dovecot.imap_port, 25_000), daemon=True).start()
        mailbox = ImapMailbox(dovecot.account(user, port=front.getsockname()[1]))
        assert list(fetched(mailbox, tmp_path).values()) == sent


def _cut_each(front: socket.socket, port: int, after: int) -> None:
    with contextlib.suppress(OSError):
        while True:
            _cut_off(front, port, after)
