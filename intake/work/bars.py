"""The owner takes the bar that the evidence proposes, or goes back; every job is then examined anew."""

from __future__ import annotations

from intake.domain.inspection.bar import Proposal, proposal
from intake.domain.inspection.evidence import Evidence
from intake.model.errors import IntakeError
from intake.store.accounts import Accounts
from intake.store.bars import Bars, TakenBar
from intake.store.database import Tables
from intake.work.lots import known_of
from intake.work.services import Services


class NotProposed(IntakeError):
    """The bar asked for is not, or not any more, one to take; the sentence is for the person who asked."""


def proposed(services: Services, tables: Tables, known: Evidence | None = None) -> Proposal | None:
    """The bar to take for the present readers, by what is known of them; None for none."""
    policy = services.policy.inspection
    known = known or known_of(tables, policy.version, services.clock())
    return proposal(known, Bars(tables.db).bars().get(policy.version, policy.bar), policy.promise)


def take_bar(services: Services, bar: float, by: str) -> None:
    """Take the bar that is proposed now. Raises NotProposed where it is another."""
    now, version = services.clock(), services.policy.inspection.version
    with services.store.transaction() as tables:
        found = proposed(services, tables)
        if found is None or found.bar != bar:
            raise NotProposed("That bar is not proposed any more", "Look at the figures again")
        Bars(tables.db).take(TakenBar(0, now, by, version, bar, found.then.silent.upper))
        Accounts(tables.db).note(by, "bar", version, f"{found.now.bar} to {bar}: {found.reason}", now)
        tables.jobs.touch_read(version)


def undo_bar(services: Services, by: str) -> None:
    """Go back to the bar before the present one. Raises NotProposed where it is the shipped one."""
    now, version = services.clock(), services.policy.inspection.version
    with services.store.transaction() as tables:
        if not Bars(tables.db).undo(version, by, now):
            raise NotProposed("The bar is the one that came with the program")
        Accounts(tables.db).note(by, "bar", version, "undone", now)
        tables.jobs.touch_read(version)
