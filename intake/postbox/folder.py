"""Letters written to a folder instead of sent: the demo, and a showroom that tries the program out."""

from __future__ import annotations

import hashlib
import os
import re
from email import message_from_bytes
from pathlib import Path

from intake.postbox.outcome import Handed, Outcome


class FolderPostbox:
    """One .eml file a letter, named after its Message-ID: the same letter handed over twice is one file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        """Written beside, flushed, then renamed: a letter is there whole or not at all."""
        target = self.path / file_name(str(message_from_bytes(raw).get("Message-ID", "")), raw)
        part = target.with_suffix(".part")
        try:
            self.path.mkdir(parents=True, exist_ok=True)
            with part.open("wb") as file:
                file.write(raw)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        except OSError as fault:
            return Outcome(Handed.TRY_AGAIN, f"{target} could not be written: {fault}")
        return Outcome(Handed.SENT, f"written to {target.name} for {', '.join(recipients)}")


def file_name(message_id: str, raw: bytes) -> str:
    """A name that holds letters and figures only, whatever the id holds."""
    plain = re.sub(r"[^A-Za-z0-9.-]+", "_", message_id.strip("<>").partition("@")[0]).strip("._")[:60]
    return f"{plain or 'letter'}-{hashlib.sha256(message_id.encode() or raw).hexdigest()[:12]}.eml"
