"""One message of 25 MB, whole, within bounded memory."""

from __future__ import annotations

from tests.mail_runs.memory import peak_of_a_large_message


def test_a_large_message_stays_within_120_mb() -> None:
    found = peak_of_a_large_message()
    assert found["message_mb"] >= 24.5
    assert found["peak"] < 120 and found["cell"] < 120, found
