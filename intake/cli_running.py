"""The commands for whoever runs the program: install, upgrade, watch, back up, restore, forget."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from intake.model.errors import NotFound
from intake.settings import Settings

if TYPE_CHECKING:
    from intake.store.database import Store
    from intake.work.erase import Erased


def backup(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.store.backup import write_backup

    with wiring.opened_store(settings) as store:
        done = write_backup(store, arguments.out, wiring.now())
    print(
        f"Wrote {arguments.out}: {done.messages} messages, {done.files} files,"
        f" as of {done.taken_at:%d %B %Y %H:%M} UTC."
    )
    if done.pictures_elsewhere:
        print("The pictures lie where pictures_url says; back them up there.")
    if done.originals_elsewhere:
        print("The originals lie where originals_url says; back them up there.")
    if done.missing:
        print(f"{done.missing} files that the database names were not there.")
    return 1 if done.missing else 0


def restore(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.store import backup as backups
    from intake.work.erase import erase_again

    done = backups.restore(arguments.backup, settings.database, settings.data, wiring.now())
    with wiring.opened(settings) as services:
        again = erase_again(services, "the restore")
    print(
        f"Restored {done.messages} messages and {done.files} files as of {done.taken_at:%d %B %Y %H:%M} UTC."
    )
    if again:
        print(f"Erased {again} jobs again that had been erased since the backup was taken.")
    print("Nothing is sent until `intake reconcile` has looked for the letters that went out since.")
    if settings.imap_move_to:
        print(
            f"Move the messages that came since from {settings.imap_move_to} back to {settings.imap_folder} first."
        )
    return 0


def showrooms(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake.showrooms import load_showrooms

    listed = load_showrooms(os.environ, arguments.data)
    for name in listed.found:
        print(name)
    for name, error in listed.faults.items():
        print(f"{name}: {error.line()}", file=sys.stderr)
    return 1 if listed.faults else 0


def move(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.store.move import move as move_database

    with wiring.opened_store(settings) as store:
        found = move_database(store, arguments.to, wiring.now())
    for name, counted in found.items():
        if counted.rows:
            print(f"{name}: {counted.rows} rows, checksum {counted.checksum:064x}")
    print(
        "Every table is the same in both. Set database_url to the new database now: the old one is refused."
    )
    return 0


def upgrade(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.checklists import load_checklists
    from intake.pen import ShowroomPen
    from intake.work import upgrade as upgrades

    checklists = load_checklists(settings.checklists)
    ShowroomPen(
        settings
    )  # the showroom's own letters and checklists must fit this version before anything is changed
    done = upgrades.upgrade(settings.database, settings.data, checklists, wiring.now())
    if done.copy is None:
        print(f"The database is up to date (step {done.before}).")
    else:
        print(
            f"Upgraded from step {done.before}; {done.jobs} jobs were read. The database as it was: {done.copy}"
        )
    return 0


def check(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake.checkup import checkup, checkup_of_all

    found = list(checkup_of_all(os.environ, arguments.data) if settings.showrooms else checkup(settings))
    if arguments.json:
        print(json.dumps([asdict(each) for each in found], indent=1))
    else:
        for each in found:
            of = f"{each.showroom}  " if settings.showrooms else ""
            print(f"{'good' if each.good else 'BAD ':4}  {of}{each.what:<10}  {each.line}")
    return 0 if all(each.good for each in found) else 1


def erase(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import erase as erasing

    with wiring.opened(settings) as services:
        if not arguments.sure:
            told = erasing.what_would_go(services, arguments.who)
            print(_amount("Would erase", told))
            print("With `--sure` it is done, and cannot be undone.")
            return 0
        told = erasing.erase(services, arguments.who, "the console")
    copies = wiring.drop_letter_copies(settings, told.letters)
    print(_amount("Erased", told) + (f" Deleted {copies} copies from letters_folder." if copies else ""))
    print(
        "Still theirs: what lies in the mailbox itself, in its Sent folder, in backups, and packs handed over."
    )
    return 0


def _amount(verb: str, told: Erased) -> str:
    return (
        f"{verb} {len(told.jobs)} jobs ({', '.join(told.jobs)}) of {', '.join(told.addresses)}:"
        f" {told.messages} messages, {told.pictures} pictures, {len(told.letters)} letters."
    )


def export(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work.export import export as write

    with wiring.opened(settings) as services:
        held = write(services, arguments.who, settings.showroom_name, arguments.out)
    print(f"Wrote {arguments.out}: {len(held.messages)} messages, {len(held.letters)} letters.")
    return 0


def purge(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work.purge import purge_all, what_would_go

    with wiring.opened(settings) as services:
        if arguments.dry_run:
            for kind, (past, kept) in what_would_go(services).items():
                print(f"{kind}: {past} of {kept} would be deleted.")
            return 0
        done = purge_all(services, arguments.sure)
    for kind, count in done.items():
        print(f"{kind}: {count} deleted.")
    return 0


def account(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import people
    from intake.work.accounts import AccountRole, create_account
    from intake.work.passwords import new_password

    _check_placed(settings)
    name, by = arguments.name, "the console"
    changes: dict[str, Callable[[Store, datetime], object]] = {
        "reset": lambda store, now: people.reset_password(store, name, by, now),
        "unlock": lambda store, now: people.unlock(store, name, by, now),
        "close": lambda store, now: people.set_closed(store, name, True, by, now),
        "open": lambda store, now: people.set_closed(store, name, False, by, now),
        "owner": lambda store, now: people.set_role(store, name, AccountRole.OWNER, by, now),
        "designer": lambda store, now: people.set_role(store, name, AccountRole.DESIGNER, by, now),
        "delete": lambda store, now: people.delete_account(store, name, by, now),
    }
    with wiring.opened_store(settings) as store:
        if arguments.change:
            said = changes[arguments.change](store, wiring.now())
        else:
            said = new_password()
            create_account(store, name, said, AccountRole(arguments.role), wiring.now())
    print(f"{name} may sign in with {said} and should change it there." if said else f"{name}: done.")
    return 0


def _check_placed(settings: Settings) -> None:
    """A command that is run in the wrong folder, or without the service's settings, must not begin a new
    installation."""
    if settings.data == type(settings).data.absolute() and not settings.data.exists():
        raise NotFound(
            f"No data folder is set, and {settings.data} is not there",
            "Give --data, INTAKE_DATA or INTAKE_SETTINGS, or start the service first",
        )


def _account_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", metavar="NAME")
    parser.add_argument("--role", choices=("designer", "owner"), default="designer", help="of a new account")
    change = parser.add_mutually_exclusive_group()
    for name, help_ in {
        "reset": "give it a new password, printed once",
        "unlock": "forget the failed tries",
        "close": "let it sign in no more",
        "open": "let it sign in again",
        "owner": "make it an owner",
        "designer": "make it a designer",
        "delete": "delete it; what was done stays in the audit",
    }.items():
        change.add_argument(f"--{name}", dest="change", action="store_const", const=name, help=help_)


def add_commands(command: Callable[..., argparse.ArgumentParser]) -> None:
    """Add these commands to the parser."""
    command("check", check, "try out everything that the settings name: each good, or what to do", json_=True)
    backing = command("backup", backup, "write a backup, consistent while the service runs")
    backing.add_argument("--out", metavar="FILE", type=Path, required=True, help="the file to write, .zip")
    restoring = command(
        "restore", restore, "put a backup where there is no database yet; it sends nothing at first"
    )
    restoring.add_argument("backup", metavar="FILE", type=Path)
    erasing = command("erase", erase, "delete all that is held of one customer; without --sure only say what")
    erasing.add_argument("who", metavar="WHO", help="an e-mail address, or a job")
    erasing.add_argument("--sure", action="store_true", help="do it")
    exporting = command("export", export, "all that is held of one customer, as a zip that they can read")
    exporting.add_argument("who", metavar="WHO", help="an e-mail address, or a job")
    exporting.add_argument("--out", metavar="FILE", type=Path, required=True, help="the file to write, .zip")
    purging = command("purge", purge, "delete what has been kept for its time")
    purging.add_argument("--dry-run", action="store_true", help="only say what would go")
    purging.add_argument("--sure", action="store_true", help="even where it is more than a quarter of all")
    command("showrooms", showrooms, "the names of the showrooms, and what is wrong with their settings")
    moving = command("move", move, "move the whole database to another one: SQLite to PostgreSQL, or back")
    moving.add_argument("--to", metavar="URL", required=True, help="an SQLAlchemy URL of an empty database")
    _account_options(command("account", account, "make or change an account for the desk"))
    command("upgrade", upgrade, "bring the database of an older version to this one, or leave it as it was")
