"""Send the letters that are due: claim one, commit, send outside any transaction, record what became of it."""

from __future__ import annotations
