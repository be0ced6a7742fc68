"""Who may use the desk: accounts, signing in, and the sessions that follow."""

from __future__ import annotations

import hashlib
import logging
import os
import re
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from intake.model.errors import NotFound
from intake.store.accounts import Account as Account
from intake.store.accounts import AccountRole as AccountRole
from intake.store.accounts import Accounts
from intake.store.accounts import AuditLine as AuditLine
from intake.store.database import Store
from intake.work.passwords import Refused as Refused
from intake.work.passwords import check_password, new_password

log = logging.getLogger(__name__)

SESSION = timedelta(hours=12)
"""A session ends this long after it was last used."""
SEEN_EVERY = timedelta(minutes=5)
"""How stale `seen_at` may get, so that not every request writes."""
LINK = timedelta(hours=12)
WINDOW = timedelta(minutes=15)
TRIES_A_NAME = 5
TRIES_AN_ADDRESS = 20
"""Failed sign-ins within the window, of one name and from one address, after which it is shut (common practice, no
source)."""

_NAME = re.compile(r"[\w@][\w .@-]{0,62}[\w.]")
"""No sign that means something in an address, a file name or a page."""
_hasher = PasswordHasher()
"""argon2-cffi's defaults, the second recommended choice of RFC 9106, section 4."""
_nobody = _hasher.hash(secrets.token_urlsafe(16))
"""Verified against where there is no such account, so that the answer takes as long."""


@dataclass(frozen=True)
class SignedIn:
    """`token` is for the browser alone; the store keeps its hash."""

    account: Account
    token: str


def create_account(
    store: Store, name: str, password: str, role: AccountRole, now: datetime, by: str = "intake"
) -> None:
    """Make an account. Raises Refused with a plain sentence."""
    name = name.strip()
    if not _NAME.fullmatch(name):
        raise Refused("A name has 2 to 64 letters, figures, blanks and . - _ @", "Choose another name")
    check_password(password, name)
    kept = hashed(password)
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        if accounts.named(name) is not None:
            raise Refused(f"There is an account {name} already", "Choose another name")
        accounts.add(name, kept, role, now)
        accounts.note(by, "account", name, f"made the account {name} ({role})", now)


def hashed(password: str) -> str:
    return _hasher.hash(password)


def change_password(store: Store, account: Account, old: str, new: str, keep: str, now: datetime) -> None:
    """Change one's own password; every other session of the account ends. `keep` is this session's token."""
    if not _fits(account.password_hash, old):
        raise Refused("The present password is not right")
    check_password(new, account.name)
    kept = hashed(new)
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        accounts.change(account.id, password_hash=kept)
        accounts.end_sessions_of(account.id, but=_hash(keep))
        accounts.note(account.name, "account", account.name, "changed the password", now)


def sign_in(store: Store, name: str, password: str, address: str, now: datetime) -> SignedIn:
    """Check a name and password and start a session. Raises Refused; the sentence never says which was wrong."""
    name = name.strip()
    with store.reading() as tables:
        accounts = Accounts(tables.db)
        account = accounts.named(name)
        by_name, by_address = accounts.failures(name, address, now - WINDOW)
        if account is not None and accounts.signed_in_from(account.name, address):
            # Strangers who try a name must not shut out its owner: from where they are known, only tries from there
            # count.
            by_name = accounts.failures_at(name, address, now - WINDOW)
    if by_name >= TRIES_A_NAME or by_address >= TRIES_AN_ADDRESS:
        raise Refused("Too many failed tries", "Wait a quarter of an hour and try again")
    fits = _fits(account.password_hash if account else _nobody, password)
    if not fits or account is None or account.closed_at:
        _note_failure(store, name, account is not None, address, now)
        raise Refused("That name and password do not go together", "Check both and try again")
    return _start(store, account, address, now, "signed in")


def _note_failure(store: Store, name: str, known: bool, address: str, now: datetime) -> None:
    """A name that is nobody's may be a password that was typed in the wrong box: it is written nowhere but where tries
    are counted, and forgotten with them."""
    log.warning("a sign-in from %s failed", address)
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        accounts.add_failure(name, address, now)
        accounts.note("nobody", "sign-in", name if known else "?", "a sign-in failed", now, address)


def _start(store: Store, account: Account, address: str, now: datetime, how: str) -> SignedIn:
    token = secrets.token_urlsafe(32)
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        accounts.forget_failures(account.name, now - WINDOW)
        accounts.start_session(_hash(token), account.id, now, now + SESSION, address)
        accounts.note(account.name, "sign-in", account.name, how, now, address)
    return SignedIn(account, token)


def whose(store: Store, token: str, now: datetime) -> Account | None:
    """The account of a session, or None where it ended. Moves its end on."""
    key = _hash(token)
    with store.reading() as tables:
        found = Accounts(tables.db).of_session(key, now)
    if found is None:
        return None
    account, seen = found
    if now - seen > SEEN_EVERY:
        with store.transaction() as tables:
            Accounts(tables.db).seen(key, now, now + SESSION)
    return account


def sign_out(store: Store, token: str) -> None:
    with store.transaction() as tables:
        Accounts(tables.db).end_session(_hash(token))


def sign_in_link(store: Store, name: str, now: datetime) -> str:
    """A path of the desk that signs `name` in once, for the machine's own user to open. Raises NotFound."""
    token = secrets.token_urlsafe(32)
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        account = accounts.named(name)
        if account is None:
            raise NotFound(f"There is no account {name}")
        accounts.add_link(_hash(token), account.id, now + LINK)
    return f"/enter/{token}"


def enter(store: Store, token: str, address: str, now: datetime) -> SignedIn:
    """Start a session from a one-time link. Raises Refused."""
    with store.transaction() as tables:
        accounts = Accounts(tables.db)
        number = accounts.use_link(_hash(token), now)
        account = accounts.get(number) if number is not None else None
    if account is None or account.closed_at:
        raise Refused("That link has been used or is over", "Sign in with the name and password")
    return _start(store, account, address, now, "signed in with a one-time link")


def demo_account(store: Store, now: datetime, name: str = "demo") -> tuple[str, str, str]:
    """An owner for the demo with a new random password: (name, password, one-time path of the desk)."""
    password = new_password()
    with store.reading() as tables:
        account = Accounts(tables.db).named(name)
    if account is None:
        create_account(store, name, password, AccountRole.OWNER, now)
    else:
        with store.transaction() as tables:
            Accounts(tables.db).change(account.id, password_hash=hashed(password), closed_at=None)
    return name, password, sign_in_link(store, name, now)


def all_accounts(store: Store) -> list[Account]:
    with store.reading() as tables:
        return Accounts(tables.db).all()


def open_names(store: Store) -> tuple[str, ...]:
    """The names of those who may sign in, in order."""
    return tuple(account.name for account in all_accounts(store) if not account.closed_at)


def name_of(store: Store, account_id: int) -> str:
    """Raises NotFound."""
    with store.reading() as tables:
        account = Accounts(tables.db).get(account_id)
    if account is None:
        raise NotFound("There is no such account")
    return account.name


def audit_lines(store: Store, limit: int, before: int | None = None) -> list[tuple[int, AuditLine]]:
    with store.reading() as tables:
        return Accounts(tables.db).audit(limit, before)


def session_key(folder: Path) -> str:
    """The key that signs cookies, made once and kept in the data folder for its owner alone to read."""
    path = folder / "session-key"
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii")
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        key = secrets.token_urlsafe(48)
        file.write(key)
    return key


def _fits(password_hash: str, password: str) -> bool:
    try:
        return _hasher.verify(password_hash, password)
    except (VerificationError, InvalidHashError):
        return False


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
