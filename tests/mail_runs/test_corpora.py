"""Strangers' mail through the real pass; INTAKE_FULL=1 takes all of it."""

from __future__ import annotations

from tests.mail_runs.corpora import everything, through_collect


def test_strangers_mail_is_all_kept_and_nothing_is_answered_that_must_not_be() -> None:
    """Sources: CPython's e-mail test messages, the SpamAssassin public corpus, the delivery reports of flufl.bounce."""
    found = through_collect(everything())
    assert found.messages > 300
    assert (found.lost, found.unexamined) == (0, 0)
    assert found.filed + found.apart + found.set_aside == found.messages
    assert found.set_aside <= 0.005 * found.messages
    assert found.not_to_answer > 200
    assert found.answered == []
    # Not by refusing everybody: people's letters among them do get a draft.
    assert found.letters > 40
