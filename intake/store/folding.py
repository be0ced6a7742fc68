"""How the desk's search compares: without regard to case or accents, in every script, whatever the database."""

from __future__ import annotations

import unicodedata


def folded(text: str) -> str:
    """ "MÜLLER", "müller" and "Muller" alike: full case folding, marks taken off (Unicode 3.13, D145 with NFKD)."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return unicodedata.normalize("NFKC", bare.casefold())


def job_search(name: str, email: str, job: str) -> str:
    """What a search of the jobs looks in."""
    return folded(f"{name} {email} {job}")
