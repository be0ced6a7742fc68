"""What a password must be: long, and none of those that are tried first."""

from __future__ import annotations

import re
import secrets

from intake.model.errors import IntakeError

SHORTEST = 12
"""Characters; long enough without rules on which ones (NIST SP 800-63B asks for 8 at least; from memory)."""
LONGEST = 256
FEWEST_DIFFERENT = 4
COMMON = (
    "password", "passwort", "passw0rd", "letmein", "welcome", "admin", "administrator", "changeme",
    "default", "secret", "master", "login", "access", "qwertyuiop", "qwerty", "asdfghjkl", "asdfgh",
    "zxcvbnm", "iloveyou", "football", "baseball", "superman", "batman", "dragon", "monkey", "princess",
    "sunshine", "shadow", "michael", "jordan", "hunter", "summer", "winter", "spring", "autumn",
    "trustno", "kitchen", "bedroom", "bathroom", "showroom", "survey", "intake", "designer", "owner",
    "demo", "test", "guest", "user", "abcdef", "abc", "the", "my", "is",
)  # fmt: skip
"""Words that are tried first: those that head published lists of broken passwords (from memory), and those of this
trade. NIST SP 800-63B 5.1.1.2 asks that passwords be compared with such lists, and with the service and the user's
name."""
RUNS = (
    "01234567890123456789",
    "98765432109876543210",
    "abcdefghijklmnopqrstuvwxyz",
    "qwertyuiopasdfghjklzxcvbnm",
)


class Refused(IntakeError):
    """What was asked for is not allowed; the sentence is for the person who asked."""


def check_password(password: str, name: str = "") -> None:
    """Raises Refused where a password is too short, too long, or made of what is tried first."""
    if len(password) < SHORTEST:
        raise Refused(f"A password has at least {SHORTEST} characters", "Choose a longer one")
    if len(password) > LONGEST or len(set(password)) < FEWEST_DIFFERENT:
        raise Refused("That password cannot be used", "Choose another")
    if is_guessed_first(password, name):
        raise Refused(
            "That password is one that is tried first", "Put four words together that have nothing in common"
        )


def is_guessed_first(password: str, name: str = "") -> bool:
    """Whether nothing is left of a password without common words, the account's name, runs of keys, repetition, figures
    and signs."""
    left = password.lower().translate(str.maketrans("01345@$", "oleasas"))
    plain = password.lower()
    for run in RUNS:
        plain = re.sub("|".join(run[i : i + 4] for i in range(len(run) - 3)), "", plain)
    words = sorted({*COMMON, *re.findall(r"[^\W\d_]{2,}", name.lower())}, key=len, reverse=True)
    gone = re.compile("|".join(map(re.escape, words)))
    return any(_little(gone.sub("", text)) for text in (left, plain, password.lower()))


def _little(text: str) -> bool:
    """Fewer than four different letters are left."""
    return len(set(re.findall(r"[^\W\d_]", text))) < FEWEST_DIFFERENT


def new_password() -> str:
    """A password for somebody to sign in with once and change: 96 random bits."""
    return secrets.token_urlsafe(12)
