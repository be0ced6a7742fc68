"""The console script `intake`. Exit 0: done; 1: something asked for could not be done; 2: wrong usage or settings."""

from __future__ import annotations

import argparse
import gc
import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from intake import cli_measuring, logs
from intake.cli_running import add_commands
from intake.model.errors import IntakeError, SettingsError
from intake.settings import Settings, settings_from_process, warnings


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. One plain line on standard error says what to do where it could not be done."""
    arguments = _parser().parse_args(argv)
    before = os.umask(0o077)  # what is written holds customers' words and pictures: nobody else's to read
    usual = gc.get_threshold()
    gc.set_threshold(YOUNG)
    try:
        return _run(arguments)
    finally:
        gc.set_threshold(*usual)
        os.umask(before)


def _run(arguments: argparse.Namespace) -> int:
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        # Small matrices: threads cost more than they bring. Set before NumPy is first imported, by the commands.
        os.environ.setdefault(threads, "1")
    try:
        settings = _settings(arguments)
        logs.begin(settings.log_format)
        return int(arguments.run(arguments, settings) or 0)
    except SettingsError as error:
        print(error.line(), file=sys.stderr)
        return 2
    except IntakeError as error:
        print(error.line(), file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 1


YOUNG = 50_000
"""Objects made before the interpreter looks which of them are gone (set by hand): nearly all that a command makes it
needs to the end, and the usual 700 cost a start a tenth."""

FOR_ALL = ("demo", "serve", "showrooms", "check", "read")
"""Commands that need no showroom to be named where there are several."""


def _settings(arguments: argparse.Namespace) -> Settings:
    settings = settings_from_process(arguments.data)
    if arguments.showroom:
        from intake.showrooms import showroom

        return showroom(os.environ, arguments.data, arguments.showroom)
    if settings.showrooms and arguments.named not in FOR_ALL:
        raise SettingsError(
            "There are several showrooms", "Name one with --showroom; `intake showrooms` lists them"
        )
    return settings


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="intake", description="From customers' e-mails to a room survey.")
    parser.add_argument("--version", action=_Version, nargs=0, help="print the version")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    def command(
        name: str, run: Callable[..., int | None], help_: str, json_: bool = False
    ) -> argparse.ArgumentParser:
        sub = commands.add_parser(name, help=help_, description=help_)
        sub.add_argument("--data", metavar="DIR", help="where the database and the files are")
        sub.add_argument("--showroom", metavar="NAME", help="which showroom, where there are several")
        if json_:
            sub.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
        sub.set_defaults(run=run, named=name)
        return sub

    _add_doing(command)
    _add_showing(command)
    add_commands(command)
    cli_measuring.add_commands(command)
    return parser


def _add_doing(command: Callable[..., argparse.ArgumentParser]) -> None:
    """The commands that take mail, decide and send."""
    demo = command("demo", _demo, "run the main job on the demo messages, then serve the desk")
    demo.add_argument("--no-serve", action="store_true", help="stop after the main job")
    demo.add_argument("--port", type=_port, help="where to serve the desk")
    serve = command("serve", _serve, "poll the mailbox on schedule and serve the desk")
    serve.add_argument("--port", type=_port, help="where to serve the desk")
    collect = command(
        "collect", _collect, "one pass over the mailbox through to decided follow-ups", json_=True
    )
    collect.add_argument("--folder", metavar="DIR", type=Path, help="a folder of .eml files or a Maildir")
    command("send", _send, "send the follow-ups that are due", json_=True)
    command(
        "reconcile",
        _reconcile,
        "find what went out: after a restore, and of the letters in doubt",
        json_=True,
    )


def _add_showing(command: Callable[..., argparse.ArgumentParser]) -> None:
    """The commands that show or draw what is there."""
    command("jobs", _jobs, "one row a job", json_=True)
    show = command("show", _show, "one job whole", json_=True)
    show.add_argument("job", metavar="JOB")
    command("outbox", _outbox, "every follow-up with its state", json_=True)
    read = command("read", _read, "read one photographed sketch; store nothing", json_=True)
    read.add_argument("image", metavar="IMAGE", type=Path)
    plan = command("plan", _plan, "the scaled plan of a job, or of a room file typed by hand")
    plan.add_argument("job", metavar="JOB", help="a job's reference, or a room file ending in .yaml or .json")
    plan.add_argument(
        "--out", metavar="FILE", type=Path, required=True, help=".svg, .pdf, .dxf, .json or .ifc"
    )
    guide = command(
        "guide", _guide, "the measuring guide and the measuring sheet to send at first contact, as PDF"
    )
    guide.add_argument("--room", choices=("kitchen", "bedroom", "bathroom"), default="kitchen")
    guide.add_argument("--out", metavar="DIR", type=Path, required=True, help="the folder to write them to")


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65_535:
        raise argparse.ArgumentTypeError(f"{text!r} is no port: 1 to 65535")
    return int(text)


class _Version(argparse.Action):
    """Looks the version up only where it is asked for."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        print(f"intake {version()}")
        parser.exit()


def version() -> str:
    """The version of the installed program; "unknown" where it runs uninstalled."""
    from importlib import metadata

    try:
        return metadata.version("survey-intake")
    except metadata.PackageNotFoundError:
        return "unknown"


def _warn(settings: Settings) -> None:
    """Beside what is printed for people; scripts ask for JSON and get nothing else."""
    for line in warnings(settings):
        print(f"Note: {line}", file=sys.stderr)


def _print_json(document: Any) -> None:
    """A list with a row a line: the encoder that indents takes ten times as long over thousands."""
    if isinstance(document, list):
        rows = ",\n".join(map(json.JSONEncoder(ensure_ascii=False).encode, document))
        sys.stdout.write(f"[\n{rows}\n]\n" if rows else "[]\n")
    else:
        sys.stdout.write(json.dumps(document, indent=1, ensure_ascii=False) + "\n")
    sys.stdout.flush()


def _table(rows: Sequence[Sequence[str]]) -> None:
    """Rows in columns as wide as their widest cell; the first row is the heading."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    for row in rows:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def _collect(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work.collect import collect

    with wiring.opened(settings) as services:
        mailbox = wiring.mailbox(settings, arguments.folder)
        try:
            done = collect(mailbox, services)
        finally:
            mailbox.close()
    if arguments.json:
        _print_json(
            {
                "taken": done.taken,
                "already_taken": done.already_taken,
                "set_aside": [{"file": s.file, "why": s.why} for s in done.set_aside],
                "jobs": list(done.jobs),
            }
        )
    else:
        print(f"{done.taken} taken, {done.already_taken} already taken, {len(done.set_aside)} set aside.")
        for aside in done.set_aside:
            print(f"  set aside: {aside.file}: {aside.why}")
        for job in done.jobs:
            print(f"  job {job}")
        _warn(settings)
    return 0


def _send(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.model.letter import LetterState
    from intake.work.outbox import what_waits
    from intake.work.send import send_due

    with wiring.opened(settings) as services:
        sent = send_due(services, wiring.postbox(settings))
        waiting = what_waits(services.store, services.clock())
    if arguments.json:
        _print_json(
            [{"letter": s.message_id, "job": s.job, "state": s.state, "answer": s.answer} for s in sent]
        )
    else:
        for s in sent:
            print(f"{s.job}  {s.state}  {s.answer}")
        print(f"{len(sent)} letters handled.")
        for line in waiting:
            print(line)
    return 1 if any(s.state in (LetterState.FAILED, LetterState.IN_DOUBT) for s in sent) else 0


def _reconcile(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work.reconcile import reconcile

    with wiring.opened(settings) as services:
        mailbox = wiring.mailbox(settings) if settings.imap_host or settings.mail_folder else None
        try:
            done = reconcile(services, mailbox)
        finally:
            if mailbox is not None:
                mailbox.close()
    rows = [(s.job, s.state, s.message_id) for s in (*done.gone, *done.held)]
    rows += [(k.job, "sent", k.message_id) for k in done.settled]
    if arguments.json:
        _print_json([{"letter": m, "job": job, "state": state} for job, state, m in rows])
    else:
        for row in rows:
            print("  ".join(row))
        print(f"{len(done.gone)} letters had gone out that the database did not know of.")
        print(f"{len(done.settled)} letters in doubt were found among what was sent.")
        print(f"{len(done.held)} letters are held: they may have gone out, and a person must look.")
    return 0


def _jobs(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import job_list

    with wiring.opened_store(settings) as store:
        rows = job_list.jobs(store)
    if arguments.json:
        _print_json(rows)
    elif rows:
        heading = ["job", "state", "room", "customer", "messages", "pictures", "settled"]
        _table([heading] + [job_list.job_line(row) for row in rows])
    else:
        print("There are no jobs yet.")
    return 0


def _show(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import report

    with wiring.opened(settings) as services:
        document = report.job_whole(services, arguments.job)
    if arguments.json:
        _print_json(document)
    else:
        print(report.job_text(document))
    return 0


def _outbox(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import outbox, report

    with wiring.opened_store(settings) as store:
        if arguments.json:
            _print_json(report.outbox(store))
            return 0
        lines = outbox.lines(store, wiring.now())
    if lines:
        _table([["job", "state", "to", "subject", "why"], *lines])
        _warn(settings)
    else:
        print("The outbox is empty.")
    return 0


def _read(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import report

    reading = wiring.read_picture(settings, arguments.image)
    if arguments.json:
        _print_json(report.reading_alone(reading))
    else:
        print(report.reading_text(reading))
    return 0


def _plan(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring

    wiring.write_plan(settings, arguments.job, arguments.out)
    print(f"Wrote {arguments.out}")
    return 0


def _guide(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring

    for path in wiring.write_guide(settings, arguments.room, arguments.out):
        print(f"Wrote {path}")
    return 0


def _serve(arguments: argparse.Namespace, settings: Settings) -> int:
    port = arguments.port or settings.port
    if settings.showrooms:
        from intake import house
        from intake.showrooms import load_showrooms

        house.serve(settings, load_showrooms(os.environ, arguments.data), port)
        return 0
    from intake.service import serve

    _warn(settings)
    serve(settings, port)
    return 0


def _demo(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake.demo import demo

    demo(settings, arguments.port or settings.port, serve=not arguments.no_serve)
    return 0


if __name__ == "__main__":
    sys.exit(main())
