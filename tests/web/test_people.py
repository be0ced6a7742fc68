"""What an owner does with accounts, locks that strangers cannot hold, and addresses and numbers that lead nowhere."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from intake.model.errors import NotFound
from intake.store.accounts import Accounts
from intake.store.database import Store
from intake.web.guard import safe_back
from intake.work import accounts, people
from intake.work.passwords import Refused, check_password, is_guessed_first, new_password
from tests.web.conftest import Place
from tests.web.world import NOW

GOOD = "plain-tape-and-pencil"
HERE, ELSEWHERE = "192.0.2.7", "198.51.100.1"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    store = Store(f"sqlite:///{tmp_path / 'a.sqlite3'}", tmp_path)
    accounts.create_account(store, "maya", GOOD, accounts.AccountRole.OWNER, NOW)
    yield store
    store.close()


def fail(store: Store, name: str, address: str, times: int) -> None:
    for _ in range(times):
        with pytest.raises(Refused):
            accounts.sign_in(store, name, "guess-after-guess", address, NOW)


def test_strangers_who_try_a_name_do_not_shut_out_its_owner(store: Store) -> None:
    accounts.sign_in(store, "maya", GOOD, HERE, NOW)
    for n in range(20):
        fail(store, "maya", f"203.0.113.{n}", 1)
    assert accounts.sign_in(store, "maya", GOOD, HERE, NOW).account.name == "maya"


def test_they_do_shut_out_one_another(store: Store) -> None:
    for n in range(5):
        fail(store, "maya", f"203.0.113.{n}", 1)
    with pytest.raises(Refused, match="Too many"):
        accounts.sign_in(store, "maya", GOOD, "203.0.113.99", NOW)


def test_from_a_known_place_five_tries_are_enough_as_well(store: Store) -> None:
    accounts.sign_in(store, "maya", GOOD, HERE, NOW)
    fail(store, "maya", HERE, 5)
    with pytest.raises(Refused, match="Too many"):
        accounts.sign_in(store, "maya", GOOD, HERE, NOW)
    people.unlock(store, "maya", "the console", NOW)
    assert accounts.sign_in(store, "maya", GOOD, HERE, NOW)


def test_a_new_password_ends_sessions_and_the_old_one(store: Store) -> None:
    token = accounts.sign_in(store, "maya", GOOD, HERE, NOW).token
    fresh = people.reset_password(store, "maya", "the console", NOW)
    assert accounts.whose(store, token, NOW) is None
    with pytest.raises(Refused):
        accounts.sign_in(store, "maya", GOOD, HERE, NOW)
    assert accounts.sign_in(store, "maya", fresh, HERE, NOW)


def test_roles_change_and_the_last_owner_stays(store: Store) -> None:
    accounts.create_account(store, "jon", GOOD, accounts.AccountRole.DESIGNER, NOW)
    for refused in (
        lambda: people.set_role(store, "maya", accounts.AccountRole.DESIGNER, "maya", NOW),
        lambda: people.delete_account(store, "maya", "maya", NOW),
    ):
        with pytest.raises(Refused, match="last owner"):
            refused()
    people.set_role(store, "jon", accounts.AccountRole.OWNER, "maya", NOW)
    people.set_role(store, "maya", accounts.AccountRole.DESIGNER, "jon", NOW)
    assert {a.name: a.role for a in accounts.all_accounts(store)} == {"jon": "owner", "maya": "designer"}


def test_a_deleted_account_is_gone_and_the_audit_remembers(store: Store) -> None:
    accounts.create_account(store, "jon", GOOD, accounts.AccountRole.DESIGNER, NOW)
    token = accounts.sign_in(store, "jon", GOOD, HERE, NOW).token
    accounts.sign_in_link(store, "jon", NOW)
    people.delete_account(store, "jon", "maya", NOW)
    assert accounts.whose(store, token, NOW) is None
    assert [a.name for a in accounts.all_accounts(store)] == ["maya"]
    assert "deleted the account jon" in [line.text for _, line in accounts.audit_lines(store, 9)]
    with pytest.raises(NotFound):
        people.unlock(store, "jon", "maya", NOW)


def test_failed_sign_ins_are_in_the_audit_and_the_log(store: Store, caplog: pytest.LogCaptureFixture) -> None:
    fail(store, "maya", HERE, 1)
    fail(store, "hunter2-typed-in-the-wrong-box", HERE, 1)
    lines = [(line.about, line.text, line.address) for _, line in accounts.audit_lines(store, 2)]
    assert lines == [("?", "a sign-in failed", HERE), ("maya", "a sign-in failed", HERE)]
    assert caplog.text.count(f"a sign-in from {HERE} failed") == 2
    assert "hunter2" not in caplog.text


@pytest.mark.parametrize(
    "password",
    ["password1234", "Passw0rd!2024", "letmeinletmein", "qwertyuiop123", "123456789012", "abcdefghijkl",
     "kitchen2026!!", "survey-intake", "maya-maya-maya", "MayaShowroom1", "asdfghjkl;123", "summer2026summer"],
)  # fmt: skip
def test_what_is_tried_first_is_refused(password: str) -> None:
    with pytest.raises(Refused, match=r"tried first|cannot be used"):
        check_password(password, "maya")


@pytest.mark.parametrize(
    "password", [GOOD, "correct horse battery", "Über-den-Wolken", "another-plain-sentence"]
)
def test_a_few_words_are_good(password: str) -> None:
    check_password(password, "maya")


def test_the_passwords_that_we_make_are_good() -> None:
    assert not any(is_guessed_first(new_password()) for _ in range(500))
    assert len({new_password() for _ in range(50)}) == 50


@pytest.mark.parametrize("name", ["../x", "a/b", "a?b", "a#b", "a%2fb", "<b>", "a\\b", " a", "a\u202eb", "?"])
def test_names_that_would_break_an_address_are_refused(store: Store, name: str) -> None:
    kept = {a.name for a in accounts.all_accounts(store)}
    if name.strip() == name or len(name.strip()) < 2:
        with pytest.raises(Refused, match="A name has"):
            accounts.create_account(store, name, GOOD, accounts.AccountRole.DESIGNER, NOW)
        assert {a.name for a in accounts.all_accounts(store)} == kept


@pytest.mark.parametrize("name", ["Zoë Ångström", "jon@alder.example", "j. o'neill"[:4], "李小龍"])
def test_ordinary_names_are_good(store: Store, name: str) -> None:
    accounts.create_account(store, name, GOOD, accounts.AccountRole.DESIGNER, NOW)


@pytest.mark.parametrize(
    "back",
    ["//evil.example", "/\\evil.example", "https://evil.example", "/\t/evil.example", "/\n/evil.example", "\\\\evil",
     "javascript:alert(1)", "", "jobs", "/ /evil.example"],
)  # fmt: skip
def test_nobody_is_led_to_another_site(place: Place, back: str) -> None:
    with place.app.test_request_context():
        assert safe_back(back) == "/"
        assert safe_back("/jobs/R-ABCDE?number=3#letter") == "/jobs/R-ABCDE?number=3#letter"


@pytest.mark.parametrize("number", [str(1 << 31), str(1 << 63), "9" * 400, "-1", "0", "٣"])
def test_odd_numbers_are_no_fault(place: Place, number: str) -> None:
    client, job = place.client(), place.job("Ines")
    for path in (
        f"/audit?before={number}",
        f"/jobs/{job}?number={number}",
        f"/jobs/{job}/letters/{number}",
        f"/jobs?after={number}",
    ):
        assert client.get(path).status_code in (200, 302, 404), path
    for path, form in {
        f"/people/{number}": {"do": "unlock"},
        f"/jobs/{job}/letters/{number}/release": {},
        f"/jobs/{job}/undo": {"decision": number},
    }.items():
        assert place.post(client, path, **form).status_code in (200, 400, 404, 405, 409), path


def test_an_owner_does_it_all_on_the_desk(place: Place) -> None:
    client = place.client()
    name = f"pat {secrets.token_hex(3)}"
    accounts.create_account(place.services.store, name, GOOD, accounts.AccountRole.DESIGNER, NOW)
    with place.services.store.reading() as tables:
        account = Accounts(tables.db).named(name)
    assert account is not None
    path = f"/people/{account.id}"
    for do in ("unlock", "close", "open", "owner", "designer"):
        assert place.post(client, path, do=do).status_code == 200, do
    said = re.search(r"may sign in with (\S+) and", place.post(client, path, do="reset").text)
    assert said and accounts.sign_in(place.services.store, name, said[1], HERE, NOW + timedelta(minutes=1))
    assert place.post(client, path, do="nonsense").status_code == 400
    assert place.post(client, path, do="delete").status_code == 200
    assert place.post(client, path, do="delete").status_code == 404
    assert place.post(place.client("jon"), path, do="delete").status_code == 403
