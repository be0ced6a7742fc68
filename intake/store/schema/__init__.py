"""The tables, by subject. Times are aware UTC (SQLite keeps them as ISO text), structured values JSON."""

from intake.store.schema.columns import Moment, metadata
from intake.store.schema.correspondence import letterhead, letters, logos, lost_letters
from intake.store.schema.mail import deliveries, message_ids, messages, pictures
from intake.store.schema.people import accounts, audit, failed_sign_ins, notices, sessions, sign_in_links
from intake.store.schema.sampling import bars, looks, lots, spot_checks, tallies
from intake.store.schema.survey import decisions, events, items, job_addresses, jobs, panoramas, readings
from intake.store.schema.upkeep import alarms, erasures, home, restores, ticks

__all__ = [
    "Moment",
    "accounts",
    "alarms",
    "audit",
    "bars",
    "decisions",
    "deliveries",
    "erasures",
    "events",
    "failed_sign_ins",
    "home",
    "items",
    "job_addresses",
    "jobs",
    "letterhead",
    "letters",
    "logos",
    "looks",
    "lost_letters",
    "lots",
    "message_ids",
    "messages",
    "metadata",
    "notices",
    "panoramas",
    "pictures",
    "readings",
    "restores",
    "sessions",
    "sign_in_links",
    "spot_checks",
    "tallies",
    "ticks",
]
