"""Faults of ours, each saying whether trying again can help and what the operator should do."""

from __future__ import annotations


class IntakeError(Exception):
    """Base of the project's own exceptions. `again`: trying again later can help. `do`: what the operator should do."""

    again: bool = False

    def __init__(self, what: str, do: str = "") -> None:
        super().__init__(what)
        self.do = do

    def line(self) -> str:
        """One plain line for standard error."""
        return f"{self}. {self.do}" if self.do else f"{self}."


class SettingsError(IntakeError):
    """Settings, a checklist or a template are wrong; the process cannot start (exit 2)."""


class NotFound(IntakeError):
    """Something asked for by name is not there (exit 1)."""


class MailboxUnreachable(IntakeError):
    """The mailbox did not answer, or refused us."""

    again = True


class PostboxUnreachable(IntakeError):
    """The sending server did not answer, or refused us."""

    again = True


class StoreFull(IntakeError):
    """The disk or the database could not take what was written."""

    again = True


class StoreBusy(IntakeError):
    """Another process holds the database."""

    again = True


class MessageGone(IntakeError):
    """A person moved or deleted the message while we were at it; nothing to do."""


class MessageStuck(IntakeError):
    """The mailbox answers and does not hand out this one message; the others go on, and it is tried again."""

    again = True


class Unreadable(IntakeError):
    """A message that cannot be parsed; it is set aside whole, with this reason."""
