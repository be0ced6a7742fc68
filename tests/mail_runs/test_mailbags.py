"""Any mailbag in any order, through the real tables: the jobs are those that the rules give in memory.

INTAKE_FULL=1 tries thousands.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.domain.mail.answering import is_automatic, standing_of, vouched_for
from intake.domain.mail.crediting import card_of
from intake.mailbox.parse import parse_message
from intake.model.card import Card
from intake.model.message import Locator, Message
from intake.store.schema import metadata
from intake.work.services import Services
from intake.work.take_in import Kept, take_in_all
from tests.mail_rules.memory import filed
from tests.mail_runs.zygote import OURS, SERVER, open_services

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
TRIES = 3000 if os.environ.get("INTAKE_FULL") == "1" else 60
US = frozenset({OURS})
VOUCHED = f"Authentication-Results: {SERVER}; dmarc=pass"
SENDERS = ["ann@x.example", "bob@y.example", "cy@z.example"]
SUBJECTS = ["plan", "photographs", "Our kitchen", "The bathroom", "Re: Our kitchen"]


@pytest.fixture(scope="module")
def services(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Services]:
    opened = open_services(str(tmp_path_factory.mktemp("bags") / "data"))
    yield opened
    opened.store.close()


@st.composite
def mailbags(draw: st.DrawFn) -> list[Message]:
    """A handful of letters by few senders, who answer, copy in and forward one another at random."""
    size = draw(st.integers(2, 9))
    return [_letter(draw, n, size) for n in range(size)]


def _letter(draw: st.DrawFn, n: int, size: int) -> Message:
    cited = draw(st.lists(st.sampled_from([*(f"<m{k}@x>" for k in range(size)), "<unheld@u>"]), max_size=2))
    copied = draw(st.sampled_from(["", *SENDERS]))
    sent = START + timedelta(hours=draw(st.integers(0, 24 * 60)))
    lines = [
        *draw(st.sampled_from([[VOUCHED], [VOUCHED], [VOUCHED], []])),
        *draw(st.sampled_from([[], [], [], ["Auto-Submitted: auto-replied"]])),
        f"From: {draw(st.sampled_from(SENDERS))}", f"To: {OURS}", f"Subject: {draw(st.sampled_from(SUBJECTS))}",
        f"Message-ID: <m{n}@x>", f"Date: {sent:%a, %d %b %Y %H:%M:%S} +0000",
        *([f"References: {' '.join(cited)}"] if cited else []), *([f"Cc: {copied}"] if copied else []), "", "Hello",
    ]  # fmt: skip
    if draw(st.integers(0, 5)) == 0:
        lines += [
            "---------- Forwarded message ---------",
            f"From: {draw(st.sampled_from(SENDERS))}",
            "",
            "Plan",
        ]
    return parse_message("\r\n".join(lines).encode(), START + timedelta(days=90), frozenset({OURS}))


@settings(max_examples=TRIES, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(mailbags(), st.randoms(use_true_random=False), st.integers(1, 9))
def test_any_mailbag_in_any_order_gives_the_jobs_of_the_rules(
    services: Services, bag: list[Message], chance: random.Random, together: int
) -> None:
    shuffled = list(bag)
    chance.shuffle(shuffled)
    wanted = filed(_card(message) for message in bag).partition()
    assert _partition(services, bag, 1) == wanted
    assert _partition(services, shuffled, together) == wanted


def _card(message: Message) -> Card:
    automatic = is_automatic(standing_of(message, US, SERVER))
    return card_of(message, US, vouched_for(message, US, SERVER), automatic)


def _partition(services: Services, bag: Sequence[Message], together: int) -> frozenset[frozenset[str]]:
    """The jobs of a mailbag that arrives in this order, so many letters at a time."""
    found = {message.sha256: message for message in bag}
    opened = replace(services, parse=lambda path, at, sha256: found[sha256])
    with services.store.transaction(durable=False) as tables:
        for table in reversed(metadata.sorted_tables):
            tables.db.execute(table.delete())
        at = [(Locator("a", "b", 1, m.sha256), m.sha256, m.received_at) for m in bag]
        tables.messages.add_deliveries(at, START, "test", timedelta(hours=1))
    for first in range(0, len(bag), together):
        done = take_in_all(opened, [Kept(m.sha256, "", m.received_at) for m in bag[first : first + together]])
        assert all(outcome.set_aside is None for outcome in done)
    with services.store.reading() as tables:
        jobs = [tables.messages.of_job(job.id) for job in tables.jobs.all()]
        apart = [[message] for message in tables.messages.in_state("apart")]
    assert sum(map(len, jobs + apart)) == len(bag)
    assert all(jobs), "a job that lost all its messages is merged away"
    return frozenset(frozenset(m.sha256 for m in job) for job in jobs + apart)
