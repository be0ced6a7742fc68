"""Lists of jobs: every job once and in order, found by what one knows of it, at a flat cost."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import create_engine, event, insert, update

from intake.checklists import load_checklists
from intake.model.checklist import ItemState, RoomKind
from intake.model.job import JobState
from intake.settings import PROJECT
from intake.store import schema as t
from intake.store.database import Store
from intake.store.folding import folded
from intake.store.lists import Lists, Place, Wanted
from intake.store.migrate import _configuration, migrate
from intake.work import job_list, report
from intake.work.examine import examine
from tests.web.conftest import Place as Desk
from tests.web.world import NOW

JOBS = 1500
NAMES = ("Ada Marsh", "Ben O'Dell", "Cleo Müller", "Dan 50%_Off", "Eve Stone", "Finn Brook")


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    folder: Path = tmp_path_factory.mktemp("lists")
    store = Store(f"sqlite:///{folder / 'l.sqlite3'}", folder)
    fill(store, JOBS)
    yield store
    store.close()


def fill(store: Store, count: int) -> None:
    """Invented jobs in bulk, with their items; some merged away, many at the same moment."""
    rng = random.Random(7)
    checklists = load_checklists(PROJECT / "config" / "checklists")
    rooms = [room for room in checklists if room is not RoomKind.UNKNOWN]
    jobs, items = [], []
    for n in range(count):
        room, name = rng.choice(rooms), rng.choice(NAMES)
        at = NOW - timedelta(minutes=rng.randint(0, count // 3))
        jobs.append(
            {
                "id": f"R-{n:05d}",
                "room": room,
                "state": rng.choice(list(JobState)),
                "customer_name": name,
                "customer_email": f"{name[:3].lower()}{n}@post.example",
                "opened_at": at,
                "last_message_at": at,
                "merged_into": "R-00000" if n and n % 50 == 0 else None,
            }
        )
        jobs[-1]["item_states"] = states = {}
        for place, item in enumerate(checklists[room].items):
            states[item.id] = state = rng.choice(list(ItemState))
            items.append(
                {"job": f"R-{n:05d}", "item": item.id, "position": place, "state": state, "body": {}}
            )
    with store.transaction() as tables:
        tables.db.execute(insert(t.jobs), jobs)
        tables.db.execute(insert(t.items), items)


def _walk(store: Store, wanted: Wanted, size: int = 40) -> list[str]:
    """All pages of a list, one after another."""
    found: list[str] = []
    after = None
    while True:
        with store.reading() as tables:
            rows = Lists(tables.db).page(wanted, size, after)
        found += [row.id for row in rows]
        if len(rows) < size:
            return found
        after = Place(rows[-1].last_message_at, rows[-1].id)


def test_paging_shows_every_job_once_the_longest_waiting_first(store: Store) -> None:
    with store.reading() as tables:
        jobs = tables.jobs.all()
    expected = [j.id for j in sorted(jobs, key=lambda j: (j.last_message_at, j.id))]
    assert len(expected) == JOBS - (JOBS - 1) // 50
    assert _walk(store, Wanted()) == expected


@pytest.mark.parametrize("state", list(JobState))
def test_counts_are_those_of_the_lists(store: Store, state: JobState) -> None:
    with store.reading() as tables:
        counts = Lists(tables.db).counts()
    assert len(_walk(store, Wanted(state=state))) == counts[state] > 0


def test_a_list_of_what_lacks_an_item_holds_those_and_no_others(store: Store) -> None:
    found = set(_walk(store, Wanted(lacking="boiler", room=RoomKind.KITCHEN)))
    with store.reading() as tables:
        every = Lists(tables.db).page(Wanted(), JOBS)
    for line in every:
        lacks = dict(line.items).get("boiler") in (ItemState.MISSING, ItemState.DOUBTFUL)
        assert (line.id in found) == (line.room is RoomKind.KITCHEN and lacks)


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("marsh", {"Ada Marsh"}),
        ("MARSH ada", {"Ada Marsh"}),
        ("marsh ben", set()),
        ("o'dell", {"Ben O'Dell"}),
        ("50%_", {"Dan 50%_Off"}),
        ("%", {"Dan 50%_Off"}),
        ("\\", set()),
        ("'; drop table jobs; --", set()),
        ("post.example", set(NAMES)),
    ],
)
def test_a_search_finds_by_every_word(store: Store, words: str, names: set[str]) -> None:
    found = set(_walk(store, Wanted(words=words)))
    with store.reading() as tables:
        assert found == {j.id for j in tables.jobs.all() if j.customer.name in names}


def test_a_reference_or_another_address_finds_its_job(store: Store) -> None:
    assert _walk(store, Wanted(words="r-00777")) == ["R-00777"]
    with store.transaction() as tables:
        tables.jobs.add_address("R-00778", "partner@elsewhere.example")
    assert _walk(store, Wanted(words="partner@else")) == ["R-00778"]


def test_a_page_costs_the_same_few_queries_however_many_jobs_there_are(store: Store) -> None:
    asked: list[str] = []
    event.listen(store.engine, "before_cursor_execute", lambda *a: asked.append(a[2]))
    for size in (5, 50):
        asked.clear()
        with store.reading() as tables:
            assert len(Lists(tables.db).page(Wanted(), size)) == size
        assert len([q for q in asked if q.startswith("SELECT")]) <= 6


@pytest.mark.parametrize("typed", ["müller", "MÜLLER", "Mu\u0308ller", "muller", "o'dell", "50%_OFF"])
def test_the_search_knows_no_case_and_no_accents(store: Store, typed: str) -> None:
    """Unicode's own examples of full folding; SQLite's lower() knows ASCII alone (sqlite.org/lang_corefunc.html)."""
    with store.reading() as tables:
        found = Lists(tables.db).page(Wanted(words=typed), 5)
    names = {row.customer_name for row in found}
    assert len(found) == 5 and len(names) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [("Straße", "STRASSE"), ("ΟΔΥΣΣΕΥΣ", "Οδυσσευς"), ("Łukasz", "łukasz"), ("ﬁx", "FIX"), ("Zoë", "zoe")],
)
def test_folding(one: str, other: str) -> None:
    assert folded(one) == folded(other)


def test_jobs_of_an_older_database_are_found_without_case_too(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite3"
    engine = create_engine(f"sqlite:///{path}")
    with engine.begin() as connection:
        command.upgrade(_configuration(connection), "0002")
        at = NOW.isoformat(" ").removesuffix("+00:00")
        connection.exec_driver_sql(
            "INSERT INTO jobs (id, room, state, customer_name, customer_email, opened_at, last_message_at,"
            f" items_wanted, items_settled, stopped_because, reminders, changed, examined) VALUES ('R-OLD',"
            f" 'kitchen', 'asked', 'Élodie Ångström', 'e@post.example', '{at}', '{at}', 0, 0, '', 0, 1, 1)"
        )
        connection.exec_driver_sql(
            "INSERT INTO job_addresses (email, job) VALUES ('e@post.example', 'R-OLD')"
        )
        migrate(connection)
    engine.dispose()
    store = Store(f"sqlite:///{path}", tmp_path)
    with store.reading() as tables:
        found = Lists(tables.db).page(Wanted(words="ELODIE angstrom"), 5)
    store.close()
    assert [row.id for row in found] == ["R-OLD"]


def test_the_list_of_all_jobs_says_of_each_what_the_job_itself_says(place: Desk) -> None:
    store = place.services.store
    with store.reading() as tables:
        one_by_one = [report.job_row(tables, job.id) for job in tables.jobs.all()]
    assert job_list.jobs(store) == one_by_one and any(row["photographs"] for row in one_by_one)
    orders = [[list(row["items"]) for row in rows] for rows in (job_list.jobs(store), one_by_one)]
    assert orders[0] == orders[1] != [sorted(items) for items in orders[1]], "the checklist's order"
    job = place.job("Ada")
    with store.transaction() as tables:
        tables.jobs.touch(job)
        tables.jobs.change(job, photographs=99)
    assert job_list.jobs(store) == one_by_one, "what has changed since its examination is counted anew"
    examine(place.services, job)
    assert job_list.jobs(store) == one_by_one


def test_the_list_of_all_jobs_takes_as_many_queries_as_that_of_a_few(store: Store) -> None:
    with store.transaction() as tables:
        tables.db.execute(update(t.jobs).values(photographs=2, sketches=1, examined=1, changed=1))
    asked: list[str] = []
    event.listen(
        store.engine, "before_cursor_execute", lambda _, __, statement, *rest: asked.append(statement)
    )
    rows = job_list.jobs(store)
    assert len(rows) > 500 and sum(s.startswith("SELECT") for s in asked) == 3
    assert all(row["items"] and row["photographs"] == 2 for row in rows)
