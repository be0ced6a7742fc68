"""The commands by which the program measures itself."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path

from intake.model.errors import NotFound
from intake.settings import Settings


def measure(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import measure as measuring

    with wiring.opened(settings) as services:
        found = measuring.measured(services)
        months = (
            {by: measuring.over_time(services, by) for by in ("version", "paper")} if arguments.json else {}
        )
    if arguments.json:
        print(json.dumps(measuring.as_document(found, months), indent=1))
    else:
        print("\n".join(measuring.in_words(found)))
    return 0


def labels(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work.labels import write_labels

    with wiring.opened(settings) as services:
        count = write_labels(services, arguments.out)
    print(f"Wrote {count} crops with what they say to {arguments.out}")
    return 0


def adapt(arguments: argparse.Namespace, settings: Settings) -> int:
    folder = settings.data / "adapted"
    if arguments.back or arguments.versions:
        return _versions(folder, arguments.back)
    from intake import wiring
    from intake.adapt import as_lines, teach
    from intake.work.labels import labels as labels_of
    from intake.work.labels import placed

    with wiring.opened(settings) as services:
        found = list(labels_of(services))
        name, outcomes = teach(found, list(placed(services)), folder)
    print("\n".join(as_lines(outcomes)))
    better = any(outcome.better for outcome in outcomes)
    print(f"{'Now' if better else 'Nothing is better on both; still'} in use: {name}")
    if better:
        print(f"`intake replay` shows what would change; `intake adapt --back` goes back. {_RESTART}")
    return 0


_RESTART = "A service that runs takes it up when it is started anew."


def _versions(folder: Path, back: bool) -> int:
    from intake import adaptations

    if back and adaptations.back(folder) is None:
        raise NotFound("There is no version before", "The readers are as they came")
    now = adaptations.name_in_use(folder)
    for name in (adaptations.AS_SHIPPED, *adaptations.versions(folder)):
        print(f"{'*' if name == now else ' '} {name}")
        print("".join(f"    {line}\n" for line in adaptations.measured(folder / name)), end="")
    if back:
        print(f"Back to {now}. {_RESTART}")
    return 0


def replay(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import replay as replaying

    with wiring.opened(settings) as services:
        found = []
        for each in replaying.replay(services, arguments.jobs):
            found.append(each)
            if not arguments.json:
                print(replaying.as_line(each, every=bool(arguments.jobs)), flush=True)
    if arguments.json:
        print(json.dumps([replaying.as_row(each) for each in found], indent=1))
    else:
        print(replaying.in_words(found))
    return 0


def add_commands(command: Callable[..., argparse.ArgumentParser]) -> None:
    """Add these commands to the parser."""
    command("measure", measure, "how right the readings are on this showroom's own customers", json_=True)
    taking = command("labels", labels, "crops of numbers with what people said that they say, to train on")
    taking.add_argument("--out", metavar="DIR", type=Path, required=True, help="the folder to write them to")
    adapting = command("adapt", adapt, "teach the readers with this showroom's own labels")
    adapting.add_argument("--back", action="store_true", help="go back to the version before")
    adapting.add_argument("--versions", action="store_true", help="only name the versions; * is in use")
    replaying = command(
        "replay", replay, "read stored originals by the present readers and say what would change", json_=True
    )
    replaying.add_argument("jobs", metavar="JOB", nargs="*", help="these jobs alone")
