"""The commands for whoever runs the program: install, upgrade, watch, back up, restore, forget."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from intake.settings import Settings


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
    if done.missing:
        print(f"{done.missing} files that the database names were not there.")
    return 1 if done.missing else 0


def restore(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.store import backup as backups

    done = backups.restore(arguments.backup, settings.database, settings.data, wiring.now())
    print(
        f"Restored {done.messages} messages and {done.files} files as of {done.taken_at:%d %B %Y %H:%M} UTC."
    )
    print("Nothing is sent until `intake reconcile` has looked for the letters that went out since.")
    if settings.imap_move_to:
        print(
            f"Move the messages that came since from {settings.imap_move_to} back to {settings.imap_folder} first."
        )
    return 0


def upgrade(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.checklists import load_checklists
    from intake.pen import Pen
    from intake.work import upgrade as upgrades

    checklists = load_checklists(settings.checklists)
    Pen(
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


def add_commands(command: Callable[..., argparse.ArgumentParser]) -> None:
    """Add these commands to the parser."""
    backing = command("backup", backup, "write a backup, consistent while the service runs")
    backing.add_argument("--out", metavar="FILE", type=Path, required=True, help="the file to write, .zip")
    restoring = command(
        "restore", restore, "put a backup where there is no database yet; it sends nothing at first"
    )
    restoring.add_argument("backup", metavar="FILE", type=Path)
    command("upgrade", upgrade, "bring the database of an older version to this one, or leave it as it was")
