"""Which parts of a message hold pictures, decided by content; everything else is named and kept aside, never opened."""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from intake.imaging import tnef
from intake.imaging.sniff import CONTAINERS, PICTURES, kind_of
from intake.model.finding import Finding
from intake.model.message import Part
from intake.model.phrase import as_said

MAX_MEMBERS = 200
MAX_MEMBER_BYTES = 80 * 2**20
MAX_ARCHIVE_BYTES = 200 * 2**20
MAX_RATIO = 200
"""A member that grows more than this is a bomb: photographs hardly shrink in a zip, bitmaps about 100 times at most."""

_OFFICE_MARK = "[Content_Types].xml"  # ECMA-376 part 2: every Office document is a zip that holds this member
_HOUSEKEEPING = re.compile(r"(^|/)(__MACOSX/|\._|\.DS_Store$|Thumbs\.db$)", re.IGNORECASE)


@dataclass(frozen=True)
class RawPicture:
    """The undecoded bytes of one file that claims to be a picture (a PDF or TIFF may hold several pages).

    `path` is the part's place in the message, with the member's number after "!" where it came out of a container;
    `name` is for showing only.
    """

    path: str
    name: str
    kind: str
    sha256: str
    content: bytes = field(repr=False)
    inline: bool = False


@dataclass(frozen=True)
class Unpacked:
    pictures: tuple[RawPicture, ...]
    findings: tuple[Finding, ...]


RawItem = RawPicture | Finding


def open_container(content: bytes, path: str, name: str) -> Iterable[RawItem]:
    """What a zip or a winmail.dat holds. Unpacking hostile bytes belongs into the cell: `Decoder.pictures_in`."""
    return (_open_zip if kind_of(content) == "zip" else _open_tnef)(content, path, name)


def pictures_in(
    parts: Sequence[Part], opener: Callable[[bytes, str, str], Iterable[RawItem]] = open_container
) -> Unpacked:
    """All pictures among a message's parts in order, and a finding for each thing that was refused or kept aside."""
    pictures: list[RawPicture] = []
    findings: list[Finding] = []
    for part in parts:
        name = shown_name(part.name)
        contained = kind_of(part.content) in CONTAINERS
        found = (
            opener(part.content, part.path, name)
            if contained
            else _picture_or_aside(part.content, part.path, name, part.inline)
        )
        for item in found:
            if isinstance(item, Finding):
                findings.append(item)
            else:
                pictures.append(item)
    return Unpacked(tuple(pictures), tuple(findings))


def shown_name(name: str) -> str:
    """A file name fit for a screen: its last step only, no control or bidirectional characters, at most 120 long."""
    last = re.split(r"[/\\]", name)[-1]
    return re.sub(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", "", last)[:120].strip()


def _picture_or_aside(content: bytes, path: str, name: str, inline: bool) -> Iterator[RawItem]:
    kind = kind_of(content)
    if kind in PICTURES:
        yield RawPicture(path, name, kind, hashlib.sha256(content).hexdigest(), content, inline)
    elif content:
        yield _kept_aside(kind, name)


def _kept_aside(kind: str, name: str) -> Finding:
    what = {"program": "a program", "archive": "an archive of a kind we do not open", "video": "a video"}
    return Finding(
        "kept-aside",
        as_said(
            f"{name or 'An attachment without a name'} is {what.get(kind, 'no picture')}: kept aside, never opened."
        ),
    )


def _open_tnef(content: bytes, path: str, name: str) -> Iterator[RawItem]:
    try:
        attachments, whole = tnef.attachments_in(content)
    except tnef.NotTnef:
        yield Finding(
            "attachment-damaged", as_said(f"{name or 'winmail.dat'} could not be unpacked: it is damaged.")
        )
        return
    for number, attachment in enumerate(attachments, start=1):
        inside, title = f"{path}!{number}", shown_name(attachment.name)
        if (
            kind_of(attachment.content) == "zip"
        ):  # winmail.dat is only an envelope, so a zip in it is not nested
            yield from _open_zip(attachment.content, inside, title)
        else:
            yield from _member(attachment.content, inside, title, name or "winmail.dat")
    if not whole:
        yield Finding(
            "attachment-damaged", as_said(f"{name or 'winmail.dat'} ends too early: part of it is missing.")
        )


def _open_zip(content: bytes, path: str, name: str) -> Iterator[RawItem]:
    label = name or "A zip without a name"
    try:
        archive = zipfile.ZipFile(io.BytesIO(content))
    except (zipfile.BadZipFile, ValueError, OSError, RecursionError, NotImplementedError):
        yield Finding("archive-damaged", as_said(f"{label} could not be unpacked: the zip is damaged."))
        return
    members = [m for m in archive.infolist() if not m.is_dir() and not _HOUSEKEEPING.search(m.filename)]
    refusal = _refusal(members, label)
    if refusal:
        yield refusal
        return
    office = any(m.filename == _OFFICE_MARK for m in members)
    for number, member in enumerate(members, start=1):
        for item in _open_member(archive, member, f"{path}!{number}", label):
            if isinstance(item, RawPicture) or not office:
                yield item


def _refusal(members: Sequence[zipfile.ZipInfo], label: str) -> Finding | None:
    if len(members) > MAX_MEMBERS:
        return Finding(
            "archive-refused", as_said(f"{label} was not unpacked: it holds {len(members)} files.")
        )
    if sum(m.file_size for m in members) > MAX_ARCHIVE_BYTES:
        return Finding(
            "archive-bomb",
            as_said(f"{label} was not unpacked: it would fill {MAX_ARCHIVE_BYTES >> 20} MB or more."),
        )
    return None


def _open_member(
    archive: zipfile.ZipFile, member: zipfile.ZipInfo, path: str, label: str
) -> Iterator[RawItem]:
    name = shown_name(member.filename)
    if member.flag_bits & 0x1:  # APPNOTE 4.4.4: bit 0 means encrypted
        yield Finding(
            "archive-locked", as_said(f"{name} in {label} is locked with a password, so we cannot see it.")
        )
        return
    try:
        content = _read_bounded(archive, member)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError):
        yield Finding("archive-damaged", as_said(f"{name} in {label} could not be unpacked: it is damaged."))
        return
    if content is None:
        yield Finding(
            "archive-bomb", as_said(f"{name} in {label} was refused: unpacked it grows beyond our limits.")
        )
        return
    yield from _member(content, path, name, label)


def _read_bounded(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> bytes | None:
    """At most the limits, counted on the bytes that really come out: a bomb's header may lie about its size."""
    limit = min(MAX_MEMBER_BYTES, max(2**20, member.compress_size * MAX_RATIO))
    with archive.open(member) as stream:
        content = stream.read(limit + 1)
    return None if len(content) > limit else content


def _member(content: bytes, path: str, name: str, container: str) -> Iterator[RawItem]:
    kind = kind_of(content)
    if kind in CONTAINERS:
        yield Finding(
            "archive-nested",
            as_said(f"{name} in {container} was not unpacked: it is an archive inside an archive."),
        )
        return
    yield from _picture_or_aside(content, path, name, inline=False)
