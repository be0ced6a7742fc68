"""Strangers' mail through the real pass: kept, parsed, looked at, grouped, examined, and letters decided.

`INTAKE_FULL=1 python -m tests.mail_runs.corpora` takes every message of the corpora in tests/servers/corpora.py and
prints what became of them; without INTAKE_FULL, one in forty of the largest.
"""

from __future__ import annotations

import email
import hashlib
import tempfile
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from email.message import Message as Tree
from itertools import islice
from pathlib import Path

from intake import wiring
from intake.mailbox.folder import FolderMailbox
from intake.settings import load_settings
from intake.store.database import Tables
from intake.work.collect import collect
from intake.work.services import Services
from tests.servers.corpora import FULL, bounces, python_messages, spam_assassin

OURS = "surveys@hollin.example"

NO_REPORT = frozenset({"groupwise_03.txt"})
"""A guest's letter to a hotel among the delivery reports of flufl.bounce: a detector once crashed on it."""


@dataclass
class Figures:
    """`lost`: kept nowhere, or not byte for byte. `answered`: must not be answered, and yet might be."""

    messages: int = 0
    filed: int = 0
    apart: int = 0
    set_aside: int = 0
    lost: int = 0
    jobs: int = 0
    unexamined: int = 0
    letters: int = 0
    not_to_answer: int = 0
    answered: list[str] = field(default_factory=list)
    reasons: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0


def everything() -> dict[str, bytes]:
    """The corpora by a file name each."""
    spam = islice(spam_assassin(), None, None, 1 if FULL else 2)
    groups = {"python": python_messages(), "bounce": bounces(), "spam": spam}
    return {
        f"{group}-{name.replace('/', '-')}.eml": raw for group, named in groups.items() for name, raw in named
    }


def must_not_be_answered(name: str, raw: bytes) -> bool:
    """What the corpus itself, or its header read by Python's email package, calls a report, a list or a robot."""
    if name.startswith("bounce-"):
        return not any(name.endswith(f"{letter}.eml") for letter in NO_REPORT)
    tree = email.message_from_bytes(raw)
    return (
        _is_report(tree)
        or any(key.lower().startswith("list-") for key in tree)  # RFC 2369, RFC 2919
        or str(tree.get("auto-submitted", "no")).strip().lower() != "no"  # RFC 3834 5
        or str(tree.get("precedence", "")).strip().lower() in ("bulk", "list", "junk")  # RFC 3834 2
        or str(tree.get("return-path", "x")).strip() == "<>"  # RFC 5321 4.5.5
    )


def _is_report(tree: Tree) -> bool:
    """RFC 6522 3: a multipart/report at the top."""
    return tree.get_content_type() == "multipart/report"


def through_collect(mail: Mapping[str, bytes]) -> Figures:
    """One pass over a folder of these messages, and a second one, which must find nothing new."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        (root / "mail").mkdir()
        for name, raw in mail.items():
            (root / "mail" / name).write_bytes(raw)
        settings = load_settings({"INTAKE_ADDRESS": OURS}, str(root / "data"))
        with wiring.opened(settings) as services:
            started = time.perf_counter()
            done = collect(FolderMailbox(root / "mail"), services)
            seconds = time.perf_counter() - started
            again = collect(FolderMailbox(root / "mail"), services)
            assert (again.taken, again.already_taken) == (0, len(mail)), again
            assert done.taken == len({hashlib.sha256(raw).digest() for raw in mail.values()})
            figures = _count(services, mail)
            figures.seconds = round(seconds, 1)
            figures.reasons = Counter(aside.why for aside in done.set_aside)
            return figures


def _count(services: Services, mail: Mapping[str, bytes]) -> Figures:
    figures = Figures(len(mail))
    with services.store.reading() as tables:
        states = Counter[str]()
        for raw in mail.values():
            sha256 = hashlib.sha256(raw).hexdigest()
            state = tables.messages.state(sha256)
            states[state] += 1
            whole = services.store.files.raw_path(sha256).read_bytes() == raw if state else False
            figures.lost += not whole or state == "kept"
        letters = tables.letters.all()
        figures.jobs, figures.unexamined = tables.jobs.count(), tables.jobs.waiting()
        figures.letters = len(letters)
        answered = {kept.in_reply_to for kept in letters} - {""}
        refused = {name: raw for name, raw in mail.items() if must_not_be_answered(name, raw)}
        figures.not_to_answer = len(refused)
        figures.answered = [n for n, raw in refused.items() if _ids(raw) & answered or _may(tables, raw)]
    figures.filed, figures.apart, figures.set_aside = (states[s] for s in ("filed", "apart", "set-aside"))
    return figures


def _may(tables: Tables, raw: bytes) -> bool:
    """Whether a letter could go to it, now or when more of its job arrives."""
    kept = tables.messages.get(hashlib.sha256(raw).hexdigest())
    return kept is not None and kept.state != "set-aside" and kept.answering != "never"


def _ids(raw: bytes) -> set[str]:
    return {str(value).strip() for value in email.message_from_bytes(raw).get_all("message-id", [])}


if __name__ == "__main__":
    print(through_collect(everything()))
