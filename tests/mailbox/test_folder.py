"""A mailbox on disk."""

from __future__ import annotations

import mailbox
import os
from pathlib import Path

import pytest

from intake.mailbox.folder import FolderMailbox
from intake.model.errors import MailboxUnreachable, MessageGone

RAW = b"From: a@x.example\n\nhi\n"


def test_the_oldest_first_and_only_eml(tmp_path: Path) -> None:
    for name, age in (("b.eml", 1), ("a.EML", 2), ("c.txt", 3)):
        (tmp_path / name).write_bytes(RAW)
        os.utime(tmp_path / name, (1000 - age, 1000 - age))
    (tmp_path / "d.eml").mkdir()
    assert [d.locator.uid for d in FolderMailbox(tmp_path).deliveries()] == ["a.EML", "b.eml"]


def test_a_file_written_over_is_a_new_delivery(tmp_path: Path) -> None:
    (tmp_path / "a.eml").write_bytes(RAW)
    os.utime(tmp_path / "a.eml", (1, 1))
    [before] = FolderMailbox(tmp_path).deliveries()
    (tmp_path / "a.eml").write_bytes(RAW * 2)
    [after] = FolderMailbox(tmp_path).deliveries()
    assert before.locator != after.locator


def test_a_maildir_made_by_pythons_mailbox_module(tmp_path: Path) -> None:
    """Oracle: the standard library's own Maildir. A change of flags makes no new delivery."""
    maildir = mailbox.Maildir(tmp_path / "Maildir")
    keys = [maildir.add(RAW), maildir.add(RAW * 2)]
    before = {d.locator for d in FolderMailbox(tmp_path / "Maildir").deliveries()}
    message = maildir.get_message(keys[0])
    message.set_subdir("cur")
    message.set_flags("S")
    maildir[keys[0]] = message
    found = list(FolderMailbox(tmp_path / "Maildir").deliveries())
    assert {d.locator for d in found} == before
    for delivery in found:
        delivery.fetch(tmp_path / delivery.locator.uid)
    assert sorted((tmp_path / key).read_bytes() for key in keys) == sorted([RAW, RAW * 2])


def test_a_file_taken_away_is_gone_and_no_fault(tmp_path: Path) -> None:
    (tmp_path / "a.eml").write_bytes(RAW)
    [delivery] = FolderMailbox(tmp_path).deliveries()
    (tmp_path / "a.eml").unlink()
    with pytest.raises(MessageGone):
        delivery.fetch(tmp_path / "out")


def test_no_such_folder_says_so(tmp_path: Path) -> None:
    with pytest.raises(MailboxUnreachable, match="no folder"):
        list(FolderMailbox(tmp_path / "nowhere").deliveries())
