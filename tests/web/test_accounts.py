"""Accounts: what a password must be, who may sign in, and when a session ends."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from intake.store.accounts import Accounts
from intake.store.database import Store
from intake.work import accounts, people
from intake.work.accounts import Refused
from tests.web.world import NOW

GOOD = "plain-tape-and-pencil"
HERE = "192.0.2.7"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    store = Store(f"sqlite:///{tmp_path / 'a.sqlite3'}", tmp_path)
    accounts.create_account(store, "maya", GOOD, accounts.AccountRole.OWNER, NOW)
    yield store
    store.close()


def test_the_password_itself_is_nowhere_in_the_store(store: Store, tmp_path: Path) -> None:
    with store.reading() as tables:
        account = Accounts(tables.db).named("maya")
    assert account is not None and account.password_hash.startswith("$argon2id$")
    assert all(GOOD.encode() not in path.read_bytes() for path in tmp_path.glob("a.sqlite3*"))


@pytest.mark.parametrize("password", ["", "short", "elevenchars", "aaaaaaaaaaaaaaaa", "x" * 300])
def test_weak_passwords_are_refused(store: Store, password: str) -> None:
    with pytest.raises(Refused):
        accounts.create_account(store, "jon", password, accounts.AccountRole.DESIGNER, NOW)


@pytest.mark.parametrize("name", ["maya", "j", "a\nb"])
def test_names_that_cannot_be_are_refused(store: Store, name: str) -> None:
    with pytest.raises(Refused):
        accounts.create_account(store, name, GOOD, accounts.AccountRole.OWNER, NOW)


def test_a_session_lives_while_it_is_used_and_no_longer(store: Store) -> None:
    token = accounts.sign_in(store, "maya", GOOD, HERE, NOW).token
    later = NOW + accounts.SESSION - timedelta(minutes=1)
    assert accounts.whose(store, token, later) is not None
    assert accounts.whose(store, token, later + accounts.SESSION - timedelta(minutes=1)) is not None
    assert accounts.whose(store, token, later + 3 * accounts.SESSION) is None


def test_signing_out_ends_the_session(store: Store) -> None:
    token = accounts.sign_in(store, "maya", GOOD, HERE, NOW).token
    accounts.sign_out(store, token)
    assert accounts.whose(store, token, NOW) is None


def test_a_stolen_database_holds_no_session(store: Store, tmp_path: Path) -> None:
    token = accounts.sign_in(store, "maya", GOOD, HERE, NOW).token
    assert all(token.encode() not in path.read_bytes() for path in tmp_path.glob("a.sqlite3*"))


def test_the_answer_does_not_say_whether_the_name_or_the_password_was_wrong(store: Store) -> None:
    with pytest.raises(Refused) as wrong_password:
        accounts.sign_in(store, "maya", "not-the-password", HERE, NOW)
    with pytest.raises(Refused) as wrong_name:
        accounts.sign_in(store, "nobody", GOOD, HERE, NOW)
    assert str(wrong_password.value) == str(wrong_name.value)


def test_five_failures_close_the_door_for_a_quarter_of_an_hour(store: Store) -> None:
    for _ in range(accounts.TRIES_A_NAME):
        with pytest.raises(Refused):
            accounts.sign_in(store, "maya", "guess-after-guess", HERE, NOW)
    with pytest.raises(Refused, match="Too many"):
        accounts.sign_in(store, "maya", GOOD, "198.51.100.1", NOW)
    assert accounts.sign_in(store, "maya", GOOD, HERE, NOW + timedelta(minutes=16)).account.name == "maya"


def test_one_address_cannot_try_many_names(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(accounts, "TRIES_AN_ADDRESS", 4)
    for n in range(accounts.TRIES_AN_ADDRESS):
        with pytest.raises(Refused):
            accounts.sign_in(store, f"name{n}", GOOD, HERE, NOW)
    with pytest.raises(Refused, match="Too many"):
        accounts.sign_in(store, "maya", GOOD, HERE, NOW)
    assert accounts.sign_in(store, "maya", GOOD, "198.51.100.1", NOW)


def test_a_link_signs_in_once(store: Store) -> None:
    link = accounts.sign_in_link(store, "maya", NOW).rpartition("/")[2]
    assert accounts.enter(store, link, HERE, NOW).account.name == "maya"
    with pytest.raises(Refused):
        accounts.enter(store, link, HERE, NOW)


def test_a_link_ends(store: Store) -> None:
    link = accounts.sign_in_link(store, "maya", NOW).rpartition("/")[2]
    with pytest.raises(Refused):
        accounts.enter(store, link, HERE, NOW + accounts.LINK + timedelta(seconds=1))


def test_closing_an_account_ends_its_sessions(store: Store) -> None:
    accounts.create_account(store, "jon", GOOD, accounts.AccountRole.DESIGNER, NOW)
    token = accounts.sign_in(store, "jon", GOOD, HERE, NOW).token
    people.set_closed(store, "jon", True, "maya", NOW)
    assert accounts.whose(store, token, NOW) is None
    with pytest.raises(Refused):
        accounts.sign_in(store, "jon", GOOD, HERE, NOW)


def test_the_last_owner_cannot_be_locked_out(store: Store) -> None:
    with pytest.raises(Refused):
        people.set_closed(store, "maya", True, "maya", NOW)


def test_changing_the_password_ends_the_other_sessions_only(store: Store) -> None:
    mine, other = (accounts.sign_in(store, "maya", GOOD, HERE, NOW) for _ in range(2))
    accounts.change_password(store, mine.account, GOOD, "another-plain-sentence", mine.token, NOW)
    assert accounts.whose(store, mine.token, NOW) is not None
    assert accounts.whose(store, other.token, NOW) is None
    with pytest.raises(Refused):
        accounts.change_password(store, mine.account, "wrong", "yet-another-sentence", mine.token, NOW)


def test_the_demo_account_can_be_had_again_with_a_new_password(store: Store) -> None:
    _, first, _ = accounts.demo_account(store, NOW)
    name, second, path = accounts.demo_account(store, NOW)
    assert first != second and path.startswith("/enter/")
    assert accounts.sign_in(store, name, second, HERE, NOW)


def test_the_cookie_key_is_made_once_and_is_the_owners_alone(tmp_path: Path) -> None:
    key = accounts.session_key(tmp_path)
    assert accounts.session_key(tmp_path) == key and len(key) >= 48
    assert (tmp_path / "session-key").stat().st_mode & 0o077 == 0
