"""What an owner, or whoever runs the program, does with accounts: roles, closing, a new password, unlocking,
deleting."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from intake.model.errors import NotFound
from intake.store.accounts import Account, Accounts
from intake.store.database import Store
from intake.work.accounts import AccountRole, hashed
from intake.work.passwords import Refused, new_password


def _change(
    store: Store, name: str, by: str, now: datetime, what: str, do: Callable[[Accounts, Account], None]
) -> None:
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        account = accounts.named(name)
        if account is None:
            raise NotFound(f"There is no account {name}")
        do(accounts, account)
        accounts.note(by, "account", name, f"{what} the account {name}", now)


def _keep_an_owner(accounts: Accounts, account: Account) -> None:
    """Raises Refused for the last owner who may sign in."""
    if account.is_owner and not account.closed_at and accounts.open_owners() == 1:
        raise Refused("That is the last owner who can sign in", "Make another owner first")


def set_closed(store: Store, name: str, closed: bool, by: str, now: datetime) -> None:
    """Close or open an account; closing ends its sessions. Raises NotFound, and Refused for the last owner."""

    def do(accounts: Accounts, account: Account) -> None:
        if closed:
            _keep_an_owner(accounts, account)
        accounts.change(account.id, closed_at=now if closed else None)
        accounts.end_sessions_of(account.id)

    _change(store, name, by, now, "closed" if closed else "opened", do)


def set_role(store: Store, name: str, role: AccountRole, by: str, now: datetime) -> None:
    """Make somebody a designer or an owner. Raises NotFound, and Refused for the last owner."""

    def do(accounts: Accounts, account: Account) -> None:
        if role is not AccountRole.OWNER:
            _keep_an_owner(accounts, account)
        accounts.change(account.id, role=role)

    _change(store, name, by, now, f"gave the role {role} to", do)


def reset_password(store: Store, name: str, by: str, now: datetime) -> str:
    """A new password, to be told to the person and changed there; every session ends, and a lock. Raises NotFound."""
    password = new_password()

    def do(accounts: Accounts, account: Account) -> None:
        accounts.change(account.id, password_hash=hashed(password))
        accounts.end_sessions_of(account.id)
        accounts.forget_failures(name, now)

    _change(store, name, by, now, "gave a new password to", do)
    return password


def unlock(store: Store, name: str, by: str, now: datetime) -> None:
    """Forget the failed tries at an account. Raises NotFound."""
    _change(store, name, by, now, "unlocked", lambda accounts, _: accounts.forget_failures(name, now))


def delete_account(store: Store, name: str, by: str, now: datetime) -> None:
    """Delete an account; what its person did stays in the audit. Raises NotFound, and Refused for the last owner."""

    def do(accounts: Accounts, account: Account) -> None:
        _keep_an_owner(accounts, account)
        accounts.delete(account.id)

    _change(store, name, by, now, "deleted", do)
