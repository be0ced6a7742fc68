"""Builds the services from the settings. The one place, with cli, round, worker and demo, that knows every room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from intake.model.errors import NotFound, SettingsError
from intake.settings import Settings
from intake.store.database import Store

if TYPE_CHECKING:
    from intake.eyes import SharedEyes
    from intake.mailbox.protocol import Mailbox
    from intake.mailbox.reader import MailReader
    from intake.model.reading import SketchReading
    from intake.model.room import Allowances
    from intake.postbox.outcome import Postbox
    from intake.reading.adapted import Adapted
    from intake.work.health import Watched
    from intake.work.services import InspectionPolicy, Policy, Services

# Everything else is imported where it is used: a list of jobs must not wait for the readers to load.


def now() -> datetime:
    return datetime.now(UTC)


@contextmanager
def opened_store(settings: Settings) -> Iterator[Store]:
    """The database and the files alone. Raises SettingsError."""
    store = Store(settings.database, settings.data, settings.pictures_url, settings.originals_url)
    try:
        yield store
    finally:
        store.close()


@contextmanager
def opened(settings: Settings) -> Iterator[Services]:
    """The services for these settings, closed at the end. Raises SettingsError."""
    from intake.eyes import SharedEyes
    from intake.mailbox.reader import MailReader

    eyes, reader = SharedEyes(), MailReader()
    try:
        services = assembled(settings, eyes, reader)
        try:
            yield services
        finally:
            services.store.close()
    finally:
        reader.close()
        eyes.close()


def assembled(
    settings: Settings, eyes: SharedEyes, reader: MailReader, waits_connected: bool = True
) -> Services:
    """The services for these settings, through eyes and a reader that others may use as well. Raises SettingsError.

    Not `waits_connected`: the database is left after each transaction; of hundreds, few are asked at a time.
    """
    from intake.checklists import load_checklists
    from intake.pen import ShowroomPen, letterhead_of
    from intake.work.services import Services
    from intake.work.showroom import current

    checklists, usual = load_checklists(settings.checklists), letterhead_of(settings)
    pen = ShowroomPen(settings, lambda: letterhead())
    parse = reader.of(frozenset(a.lower() for a in settings.address)).read
    eyes = eyes.of(adapted(settings))
    store = Store(
        settings.database, settings.data, settings.pictures_url, settings.originals_url, waits_connected
    )
    letterhead = current(store, usual)
    return Services(store, policy(settings), checklists, parse, eyes, pen, now, letterhead)


def policy(settings: Settings) -> Policy:
    """What the decisions depend on, of the settings."""
    from intake.domain.mail.rhythm import OfficeHours, Rhythm
    from intake.work.services import Policy

    return Policy(
        addresses=frozenset(a.lower() for a in settings.address),
        authserv_id=settings.authserv_id,
        automatic=settings.mode == "automatic",
        rhythm=Rhythm(
            timedelta(minutes=settings.quiet_minutes),
            tuple(timedelta(days=d) for d in settings.reminder_days),
            OfficeHours(*settings.hours, settings.days, settings.zone),
            timedelta(minutes=settings.look_minutes),
        ),
        same_sender_days=settings.same_sender_days,
        letters_a_day=settings.letters_a_day,
        retention=timedelta(days=settings.retention_days) if settings.retention_days else None,
        keep={kind: timedelta(days=days) for kind, days in settings.kept_days.items() if days},
        send_guide=settings.send_guide == "yes",
        allowances=allowances(settings),
        inspection=inspection(settings),
    )


def adapted(settings: Settings) -> Adapted | None:
    """What the readers learned here and use now; None where they are as they came."""
    from intake.adaptations import in_use

    return in_use(settings.data / "adapted")


def inspection(settings: Settings) -> InspectionPolicy:
    """How the showroom looks whether the readers are right, of the settings and the readers installed."""
    from intake.reading.installed import rule, version_of
    from intake.work.services import InspectionPolicy

    holds = rule()
    first, promise = settings.spot_checks_percent / 100, settings.wrong_in_10000 / 10_000
    return InspectionPolicy(
        first,
        promise,
        version_of(adapted(settings)),
        holds.enough if holds else 1.0,
        settings.labels == "yes",
    )


def allowances(settings: Settings) -> Allowances:
    """What fitting takes, of the settings."""
    from intake.model.room import Allowances

    return Allowances(settings.scribe_mm, settings.units_depth_mm, settings.worktop_mm)


def mailbox(settings: Settings, folder: Path | None = None) -> Mailbox:
    """The folder asked for, else the folder or the IMAP account of the settings."""
    from intake.mailbox.folder import FolderMailbox
    from intake.mailbox.imap import ImapAccount, ImapMailbox

    if folder is not None or settings.mail_folder:
        return FolderMailbox(folder or Path(settings.mail_folder))
    if not settings.imap_host:
        raise SettingsError("No mailbox is set", "Set imap_host or mail_folder, or give --folder DIR")
    return ImapMailbox(
        ImapAccount(
            host=settings.imap_host,
            port=settings.imap_port,
            security=settings.imap_security,
            user=settings.imap_user,
            password=settings.imap_password,
            token=settings.imap_token or _token(settings),
            folder=settings.imap_folder,
            timeout=settings.imap_timeout,
            keyword=settings.imap_keyword,
            move_to=settings.imap_move_to,
        )
    )


def postbox(settings: Settings, copy: bool = True) -> Postbox:
    """Where letters go: the folder of the settings, else the SMTP server; with a copy to us where the settings say
    so."""
    from intake.postbox.folder import FolderPostbox
    from intake.postbox.smtp import SmtpPostbox, SmtpServer

    if settings.letters_folder:
        return FolderPostbox(Path(settings.letters_folder))
    if not settings.smtp_host or not settings.address:
        raise SettingsError("No way to send is set", "Set smtp_host and address, or letters_folder")
    return SmtpPostbox(
        SmtpServer(
            host=settings.smtp_host,
            port=settings.smtp_port,
            envelope_from=settings.address[0],
            user=settings.smtp_user,
            password=settings.smtp_password,
            token=settings.smtp_token or _token(settings),
            security=settings.smtp_security,
            timeout=settings.smtp_timeout,
            copy_to=settings.address[0] if copy and settings.smtp_copy == "yes" else "",
        )
    )


def watched(settings: Settings) -> Watched:
    """What the installation of these settings is meant to do."""
    from intake.work.health import Watched

    return Watched(
        poll=timedelta(minutes=settings.poll_minutes),
        has_mailbox=bool(settings.imap_host or settings.mail_folder),
        sends=bool(settings.smtp_host or settings.letters_folder),
    )


def drop_letter_copies(settings: Settings, message_ids: Sequence[str]) -> int:
    """Delete letters that were written to `letters_folder`; returns how many lay there."""
    from intake.postbox.folder import file_name

    if not settings.letters_folder:
        return 0
    paths = [Path(settings.letters_folder) / file_name(message_id, b"") for message_id in message_ids]
    there = [path for path in paths if path.exists()]
    for path in there:
        path.unlink()
    return len(there)


def _token(settings: Settings) -> str:
    """The OAuth 2 access token that stands in `token_file` now: tokens live an hour, and others keep the file fresh."""
    if not settings.token_file:
        return ""
    try:
        token = Path(settings.token_file).read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsError(
            f"The token file {settings.token_file} cannot be read", "Correct token_file"
        ) from error
    if not token or not token.isprintable() or " " in token:
        raise SettingsError(f"The token file {settings.token_file} holds no token", "Write one line to it")
    return token


def read_picture(settings: Settings, path: Path) -> SketchReading:
    """Read one picture file off the disk, with what was learned here. Raises NotFound where it is none or cannot be
    opened."""
    from intake.eyes import SharedEyes

    try:
        content = path.read_bytes()
    except OSError as error:
        raise NotFound(f"{path} cannot be opened: {error.strerror}", "Name a picture file") from error
    eyes = SharedEyes(adapted(settings))
    try:
        return eyes.read_file(path.name, content)
    finally:
        eyes.close()


def write_guide(settings: Settings, room: str, folder: Path) -> list[Path]:
    """The measuring guide and the measuring sheet for a room, as PDF files in `folder`."""
    from intake.checklists import load_checklists
    from intake.model.checklist import RoomKind
    from intake.postbox.guide import measuring_guide, measuring_sheet
    from intake.postbox.letters import Showroom, load_letters

    checklist = load_checklists(settings.checklists)[RoomKind(room)]
    wording = load_letters(settings.letters).wording(settings.language)
    showroom = Showroom(settings.showroom_name, settings.showroom_phone, settings.designer)
    files = {
        folder / f"measuring-guide-{room}.pdf": measuring_guide(checklist, wording, showroom),
        folder / "measuring-sheet.pdf": measuring_sheet(wording, showroom),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, content in files.items():
            path.write_bytes(content)
    except OSError as error:
        raise NotFound(f"{folder} cannot be written to: {error.strerror}", "Choose another folder") from error
    return list(files)


def write_plan(settings: Settings, job: str, out: Path) -> None:
    """The scaled plan of a job, or of a room file typed by hand. Raises NotFound and SettingsError."""
    from intake.domain.room.closing import examine_room
    from intake.domain.room.fit import with_allowances
    from intake.domain.room.room_file import room_from_dict
    from intake.drawing.load import load_room_file
    from intake.drawing.titles import TitleBlock
    from intake.drawing.write import write_plan as draw
    from intake.work.job_file import open_file

    if Path(job).suffix in (".yaml", ".yml", ".json"):
        examination = examine_room(room_from_dict(load_room_file(Path(job))))
        title = TitleBlock(drawn_on=now().date())
    else:
        with opened(settings) as services, services.store.reading() as tables:
            file = open_file(tables, job, services.checklists)
            found = file.survey.examination()
            head = services.letterhead()
        if found is None:
            raise NotFound(
                f"Job {job} has no sketch that could be read yet", "Ask for one, or type a room file"
            )
        who = file.job.customer.name or file.job.customer.email
        title = TitleBlock(head.name, file.job.id, who, file.job.room.value, now().date(), logo=head.logo)
        examination = found
    draw(with_allowances(examination, allowances(settings)), title, out)
