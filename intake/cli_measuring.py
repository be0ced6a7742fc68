"""The commands by which the program measures itself."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from intake.settings import Settings


def measure(arguments: argparse.Namespace, settings: Settings) -> int:
    from intake import wiring
    from intake.work import measure as measuring

    with wiring.opened(settings) as services:
        found = measuring.measured(services)
    if arguments.json:
        print(json.dumps(measuring.as_document(found), indent=1))
    else:
        print("\n".join(measuring.in_words(found)))
    return 0


def add_commands(command: Callable[..., argparse.ArgumentParser]) -> None:
    """Add these commands to the parser."""
    command("measure", measure, "how right the readings are on this showroom's own customers", json_=True)
