"""Several workers on one mailbox and one outbox: on SQLite, and on a real PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from intake.model.message import Locator
from intake.store.database import Store
from tests.mail_runs.kills import Figures, World, settle, world
from tests.servers.dovecot import needs_dovecot
from tests.servers.postgres import postgres, why_not

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)


@pytest.fixture(scope="module")
def postgres_url() -> Iterator[str]:
    if reason := why_not():
        pytest.skip(reason)
    with postgres() as url:
        yield url


def check(w: World, customers: int, delivered: int) -> None:
    figures = settle(w, Figures(), delivered)
    assert (figures.lost, figures.twice, figures.letters_twice, figures.unfinished) == (0, 0, 0, 0)
    assert figures.jobs == customers
    assert figures.letters == customers
    assert figures.in_doubt == 0


@pytest.mark.dovecot
@pytest.mark.skipif(needs_dovecot[1].args[0], reason="Dovecot cannot run here")
def test_two_pollers_on_sqlite_make_one_job_of_each_customer() -> None:
    with world() as w:
        for number in range(12):
            w.deliver(number % 4, number)
        w.run(workers=2)
        check(w, customers=4, delivered=12)


@pytest.mark.dovecot
@pytest.mark.postgresql
@pytest.mark.skipif(needs_dovecot[1].args[0], reason="Dovecot cannot run here")
def test_three_workers_on_postgresql_share_one_mailbox_and_one_outbox(postgres_url: str) -> None:
    with world(postgres_url) as w:
        for number in range(18):
            w.deliver(number % 6, number)
        for _ in range(2):
            w.run(workers=3)
        check(w, customers=6, delivered=18)


@pytest.mark.postgresql
def test_a_claim_passes_over_a_row_that_another_transaction_is_claiming(
    postgres_url: str, tmp_path: Path
) -> None:
    """FOR UPDATE SKIP LOCKED: the second worker neither waits nor gets the same row."""
    store = Store(postgres_url, tmp_path)
    lease = timedelta(minutes=1)
    with store.transaction() as tables:
        for n in range(2):
            locator = Locator("claims", "x", 0, str(n))
            arrived = [(locator, f"{n:064d}", NOW + timedelta(hours=n))]
            tables.messages.add_deliveries(arrived, NOW, "gone", -lease)
    with store.transaction() as one, store.transaction() as other:
        first = one.messages.claim("one", NOW, lease)
        second = other.messages.claim("other", NOW, lease)
    assert {first, second} == {f"{n:064d}" for n in range(2)}
    with store.transaction() as tables:
        assert tables.messages.claim("third", NOW, lease) is None
        assert tables.messages.claim("third", NOW + 2 * lease, lease) is not None
        tables.messages.set_aside(f"{0:064d}", "test")
        tables.messages.set_aside(f"{1:064d}", "test")
    store.close()


def test_a_delivery_seen_by_two_is_recorded_once(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{tmp_path / 'x.sqlite3'}", tmp_path)
    locator = Locator("a", "INBOX", 1, "1")
    news = []
    for worker in ("one", "other"):
        with store.transaction() as tables:
            arrived = [(locator, "0" * 64, NOW)]
            news.append(tables.messages.add_deliveries(arrived, NOW, worker, timedelta(minutes=1)))
    assert news == [{"0" * 64}, set()]
    with store.reading() as tables:
        assert tables.messages.known_in("a", "INBOX") == {(1, "1"): "0" * 64}
    store.close()
