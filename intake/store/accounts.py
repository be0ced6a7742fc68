"""Accounts, their sessions, failed sign-ins and the audit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, delete, func, insert, or_, select, update

from intake.store import schema as t
from intake.store.tallies import count_act


class AccountRole(StrEnum):
    """What somebody may do at the desk: an owner makes accounts and reads the audit as well."""

    DESIGNER = "designer"
    OWNER = "owner"


@dataclass(frozen=True)
class Account:
    """Somebody who may sign in; a closed account may not."""

    id: int
    name: str
    password_hash: str
    role: AccountRole
    made_at: datetime
    closed_at: datetime | None
    email: str = ""
    notices: str = ""
    """Of which jobs that need them they are told by mail (intake.store.notices)."""

    @property
    def is_owner(self) -> bool:
        return self.role is AccountRole.OWNER


def account_of(row: Sequence[Any]) -> Account:
    """A row of the table."""
    number, name, password_hash, role, *rest = row
    return Account(number, name, password_hash, AccountRole(role), *rest)


@dataclass(frozen=True)
class AuditLine:
    """One change by one person: `about` is the job, account or letter that changed."""

    at: datetime
    by: str
    what: str
    about: str
    text: str
    address: str


class Accounts:
    """The tables of who may sign in and what they did, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def add(self, name: str, password_hash: str, role: AccountRole, at: datetime) -> int:
        done = self.db.execute(
            insert(t.accounts).values(name=name, password_hash=password_hash, role=role, made_at=at)
        )
        key = done.inserted_primary_key
        assert key is not None
        return int(key[0])

    def named(self, name: str) -> Account | None:
        return self._account_with(name=name)

    def get(self, account_id: int) -> Account | None:
        return self._account_with(id=account_id)

    def _account_with(self, **values: Any) -> Account | None:
        row = self.db.execute(select(t.accounts).filter_by(**values)).first()
        return account_of(row) if row is not None else None

    def all(self) -> list[Account]:
        return [account_of(row) for row in self.db.execute(select(t.accounts).order_by(t.accounts.c.name))]

    def change(self, account_id: int, **values: Any) -> None:
        self.db.execute(update(t.accounts).filter_by(id=account_id).values(**values))

    def open_owners(self) -> int:
        """How many owners may sign in; the last one must not be closed."""
        query = select(func.count()).select_from(t.accounts).filter_by(role=AccountRole.OWNER, closed_at=None)
        return self.db.execute(query).scalar_one()

    def start_session(
        self, token_hash: str, account_id: int, at: datetime, ends_at: datetime, address: str
    ) -> None:
        self.db.execute(delete(t.sessions).where(t.sessions.c.ends_at < at))
        self.db.execute(
            insert(t.sessions).values(
                token_hash=token_hash,
                account=account_id,
                started_at=at,
                seen_at=at,
                ends_at=ends_at,
                address=address,
            )
        )

    def of_session(self, token_hash: str, now: datetime) -> tuple[Account, datetime] | None:
        """Whose session that is and when it was last seen; None where it ended or its account was closed."""
        query = (
            select(t.accounts, t.sessions.c.seen_at)
            .join(t.sessions, t.sessions.c.account == t.accounts.c.id)
            .where(t.sessions.c.token_hash == token_hash, t.sessions.c.ends_at > now)
            .where(t.accounts.c.closed_at.is_(None))
        )
        row = self.db.execute(query).first()
        return (account_of(row[:-1]), row[-1]) if row is not None else None

    def seen(self, token_hash: str, at: datetime, ends_at: datetime) -> None:
        self.db.execute(
            update(t.sessions).filter_by(token_hash=token_hash).values(seen_at=at, ends_at=ends_at)
        )

    def end_session(self, token_hash: str) -> None:
        self.db.execute(delete(t.sessions).where(t.sessions.c.token_hash == token_hash))

    def end_sessions_of(self, account_id: int, but: str = "") -> None:
        """End every session of an account, except the one named."""
        self.db.execute(
            delete(t.sessions).where(t.sessions.c.account == account_id, t.sessions.c.token_hash != but)
        )

    def add_link(self, token_hash: str, account_id: int, ends_at: datetime) -> None:
        self.db.execute(
            insert(t.sign_in_links).values(token_hash=token_hash, account=account_id, ends_at=ends_at)
        )

    def use_link(self, token_hash: str, now: datetime) -> int | None:
        """The account of a link that is used now for the first time; None where it is spent, over or unknown."""
        changed = self.db.execute(
            update(t.sign_in_links)
            .where(
                t.sign_in_links.c.token_hash == token_hash,
                t.sign_in_links.c.used_at.is_(None),
                t.sign_in_links.c.ends_at > now,
            )
            .values(used_at=now)
        )
        if changed.rowcount != 1:
            return None
        query = select(t.sign_in_links.c.account).filter_by(token_hash=token_hash)
        return int(self.db.execute(query).scalar_one())

    def add_failure(self, name: str, address: str, at: datetime) -> None:
        self.db.execute(insert(t.failed_sign_ins).values(name=name[:128], address=address, at=at))

    def failures(self, name: str, address: str, since: datetime) -> tuple[int, int]:
        """Failed sign-ins since then: for this name, and from this address."""
        tries = t.failed_sign_ins
        query = select(tries.c.name, tries.c.address).where(
            tries.c.at > since, or_(tries.c.name == name[:128], tries.c.address == address)
        )
        rows = self.db.execute(query).all()
        return sum(r.name == name[:128] for r in rows), sum(r.address == address for r in rows)

    def failures_at(self, name: str, address: str, since: datetime) -> int:
        """Failed sign-ins since then for this name from this address."""
        tries = t.failed_sign_ins.c
        same = (tries.name == name[:128]) & (tries.address == address) & (tries.at > since)
        return self.db.execute(select(func.count()).select_from(t.failed_sign_ins).where(same)).scalar_one()

    def signed_in_from(self, name: str, address: str) -> bool:
        """Whether this account has been signed in to from there before."""
        query = select(t.audit.c.id).where(
            t.audit.c.about == name,
            t.audit.c.by == name,
            t.audit.c.what == "sign-in",
            t.audit.c.address == address,
        )
        return self.db.execute(query.limit(1)).first() is not None

    def delete(self, account_id: int) -> None:
        """Delete an account with its sessions and links."""
        for table in (t.sessions, t.sign_in_links, t.notices):
            self.db.execute(delete(table).where(table.c.account == account_id))
        self.db.execute(delete(t.accounts).where(t.accounts.c.id == account_id))

    def forget_failures(self, name: str, before: datetime) -> None:
        """Drop the failures of a name that has now signed in, and all that no longer count."""
        tries = t.failed_sign_ins
        self.db.execute(delete(tries).where(or_(tries.c.name == name[:128], tries.c.at < before)))

    def note(self, by: str, what: str, about: str, text: str, at: datetime, address: str = "") -> None:
        """Add a line to the audit."""
        count_act(self.db, by, about, at)
        self.db.execute(
            insert(t.audit).values(at=at, by=by, what=what, about=about, text=text, address=address)
        )

    def audit(self, limit: int, before: int | None = None) -> list[tuple[int, AuditLine]]:
        """The latest lines first, each with its number, from which `before` goes on."""
        query = select(t.audit).order_by(t.audit.c.id.desc()).limit(limit)
        if before is not None:
            query = query.where(t.audit.c.id < before)
        return [
            (r.id, AuditLine(r.at, r.by, r.what, r.about, r.text, r.address)) for r in self.db.execute(query)
        ]
