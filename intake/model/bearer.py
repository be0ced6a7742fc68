"""Logging in by an OAuth 2 access token instead of a password: the client's side of two SASL mechanisms."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum


class Mechanism(StrEnum):
    """The standard one first, then its forerunner, which some large providers offer alone."""

    OAUTHBEARER = "OAUTHBEARER"
    """RFC 7628."""
    XOAUTH2 = "XOAUTH2"


def mechanism_of(offered: Collection[str]) -> Mechanism:
    """The mechanism to use of those that a server offers; XOAUTH2 where it names neither."""
    names = {name.upper() for name in offered}
    return next((m for m in Mechanism if m in names), Mechanism.XOAUTH2)


@dataclass
class Bearer:
    """One attempt to log in. `refusal` is the server's reason, once it has refused the token."""

    mechanism: Mechanism
    user: str
    token: str
    host: str
    port: int
    refusal: str = ""
    _answered: bool = False

    def __call__(self, challenge: bytes | None = None) -> str:
        """The response to a challenge: first the token; to a refusal, the dummy that lets the server end the attempt.

        Sent again instead, the token would make some servers wait for ever.
        """
        if not self._answered:
            self._answered = True
            return self._first()
        self.refusal = _reason(challenge or b"")
        return "\x01" if self.mechanism is Mechanism.OAUTHBEARER else ""  # RFC 7628 3.2.3

    def _first(self) -> str:
        if self.mechanism is Mechanism.OAUTHBEARER:
            name = self.user.replace("=", "=3D").replace(",", "=2C")  # RFC 5801 4
            place = f"host={self.host}\x01port={self.port}"  # RFC 7628 3.1
            return f"n,a={name},\x01{place}\x01auth=Bearer {self.token}\x01\x01"
        return f"user={self.user}\x01auth=Bearer {self.token}\x01\x01"


def _reason(challenge: bytes) -> str:
    """The status of a refusal, which is JSON (RFC 7628 3.2.2)."""
    try:
        said = json.loads(challenge)
    except ValueError:
        return ""
    return str(said.get("status", ""))[:100] if isinstance(said, dict) else ""
