"""Letters written to a folder."""

from __future__ import annotations

from pathlib import Path

from intake.postbox.folder import FolderPostbox


def test_the_same_letter_twice_is_one_file(tmp_path: Path) -> None:
    box = FolderPostbox(tmp_path / "letters")
    raw = b"Message-ID: <intake.1@h.example>\r\n\r\nHello\r\n"
    assert [box.send(("a@x.example",), raw).state for _ in range(2)] == ["sent", "sent"]
    [file] = (tmp_path / "letters").iterdir()
    assert file.read_bytes() == raw


def test_an_id_that_is_a_path_stays_in_the_folder(tmp_path: Path) -> None:
    box = FolderPostbox(tmp_path / "letters")
    box.send(("a@x.example",), b"Message-ID: <../../etc/passwd@x>\r\n\r\nHello\r\n")
    assert [p.parent for p in tmp_path.rglob("*.eml")] == [tmp_path / "letters"]


def test_a_folder_that_cannot_be_written_is_tried_again(tmp_path: Path) -> None:
    (tmp_path / "letters").write_text("a file stands where the folder should be")
    assert FolderPostbox(tmp_path / "letters").send(("a@x.example",), b"\r\n").state == "try-again"
