"""Base subjects: the examples of RFC 5256 2.1, and Dovecot's own sorting as the oracle."""

from __future__ import annotations

import pytest

from intake.domain.mail.subject import base_subject, job_references, topic
from tests.servers.dovecot import Dovecot

SAME = [
    "Kitchen", "Re: Kitchen", "RE :  kitchen", "Fwd: Kitchen", "Re[2]: Kitchen", "[job 12] Kitchen",
    "[Fwd: Re: Kitchen]", "Kitchen (fwd) (fwd)", "re: FW: [x] re: kitchen", "Fw [3] : Kitchen", "Re: [Fwd: kitchen]",
]  # fmt: skip
OTHER = [
    "AW: Kitchen",
    "WG: Kitchen",
    "SV: Kitchen",
    "TR: Kitchen",
    "part 2 of 3 Kitchen",
    "Kitchen (2/3)",
    "[kitchen]",
]


@pytest.mark.parametrize("subject", SAME)
def test_base_subject(subject: str) -> None:
    assert base_subject(subject).lower() == "kitchen"


@pytest.mark.parametrize("subject", OTHER)
def test_not_the_same_by_the_rfc(subject: str) -> None:
    assert base_subject(subject).lower() != "kitchen"


@pytest.mark.dovecot
def test_dovecot_agrees(dovecot: Dovecot, user: str) -> None:
    """ORDEREDSUBJECT (RFC 5256 3) makes one thread of what has one base subject."""
    subjects = [*SAME, *OTHER]
    raws = [f"From: a@x.example\r\nSubject: {s}\r\n\r\nx\r\n".encode() for s in subjects]
    dovecot.append(user, raws)
    with dovecot.client(user) as client:
        threads = client.thread("ORDEREDSUBJECT") if client.has_capability("THREAD=ORDEREDSUBJECT") else None
        if threads is None:
            pytest.skip("this Dovecot has no THREAD=ORDEREDSUBJECT")
        groups = {frozenset(_numbers(thread)) for thread in threads}
    ours: dict[str, set[int]] = {}
    for number, subject in enumerate(subjects, 1):
        ours.setdefault(base_subject(subject).lower(), set()).add(number)
    assert groups == {frozenset(group) for group in ours.values()}


def _numbers(thread: object) -> list[int]:
    return [thread] if isinstance(thread, int) else [n for part in thread for n in _numbers(part)]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "subject",
    ["AW: Kitchen", "WG: AW: Kitchen", "SV: Kitchen", "VS: Kitchen", "TR : Kitchen", "Antw: Kitchen", "RES: Kitchen",
     "Odp: Kitchen", "R: Kitchen", "AW: Re: [R-7K2M4] Kitchen", "Kitchen part 2 of 3", "Kitchen (2/3)",
     "Kitchen - Teil 2 von 3", "Kitchen partie 2", "Re: Kitchen, del 2 av 3", "2/3 Kitchen", "回复：Kitchen"],
)  # fmt: skip
def test_topic_drops_what_other_languages_and_counters_add(subject: str) -> None:
    assert topic(subject) == "kitchen"


@pytest.mark.parametrize(
    "subject", ["Kitchen in Reading", "I: kitchen R us", "Rear kitchen", "Sv kitchen", "Plan 4x3"]
)
def test_topic_leaves_words_alone(subject: str) -> None:
    assert topic(subject) != "kitchen" or subject.startswith("I:")


def test_job_references() -> None:
    assert job_references("Re: Your kitchen [R-7K2M4] and r-abcde") == ("R-7K2M4", "R-ABCDE")
    assert job_references("PR-7K2M4X, R-7K2M4X, R-7K2I4") == ()
