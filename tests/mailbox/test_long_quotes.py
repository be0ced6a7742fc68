"""What is written below a very long quotation is the writer's own, in mail with and without marks of quoting.

No outside source: before, the first 50,000 characters of a text were cut off with what was quoted in them.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime

import pytest

from intake.mailbox.body import LONGEST_HTML, MOST_BYTES
from intake.mailbox.parse import LONG_NOTE, LONGEST_TEXT, parse_message
from intake.model.errors import Unreadable
from intake.model.message import Message

LINE = "your letter said this and that and more words here"
OWN = "386.5, 15, no gas, 241. I smell gas. Please ring me."
HEAD = "On Mon, 3 Nov 2025 at 10:00, Hollin <surveys@hollin.example> wrote:"
LINES = 4_000
"""Of LINE: 200 kB."""


def _read(body: str, kind: str = "plain") -> Message:
    head = f"From: ann@x.example\nSubject: Re: Kitchen\nContent-Type: text/{kind}; charset=utf-8\n\n"
    return parse_message((head + body).encode(), datetime(2026, 3, 2, 9, tzinfo=UTC))


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (f"> {LINE}\n" * LINES + f"\n{OWN}\n", "plain"),
        (f"{HEAD}\n" + f"> {LINE}\n" * LINES + f"\n{OWN}\n", "plain"),
        (f"{HEAD}\n" + f"> {HEAD}\n>> {LINE}\n" * (LINES // 2) + f"\n{OWN}\n", "plain"),
        (f"<blockquote>{f'{LINE}<br>' * LINES}</blockquote><p>{OWN}</p>", "html"),
        (f"<p>{HEAD}</p><blockquote>{f'{LINE}<br>' * LINES}</blockquote><p>{OWN}</p>", "html"),
        (f"{OWN}\n\n{HEAD}\n" + f"> {LINE}\n" * LINES, "plain"),
        (
            f"{OWN}\n\n-----Original Message-----\nFrom: h@x.example\nSent: Monday\n\n" + f"{LINE}\n" * LINES,
            "plain",
        ),
    ],
    ids=["below", "below a head", "below heads", "html", "html with a head", "above", "above without marks"],
)
def test_own_words_are_found_beside_200_kb_of_quotation(body: str, kind: str) -> None:
    began = time.process_time()
    found = _read(body, kind)
    assert (found.own_words, found.notes) == (OWN, ())
    assert time.process_time() - began < 3.0, "under .4 s on the machine it was written on"


def test_answers_between_lines_of_a_long_quotation_bear_the_number_of_their_request() -> None:
    quoted = f"> {LINE}\n" * LINES
    found = _read(
        f"{HEAD}\n{quoted}> 1. How high is the ceiling?\n241\n{quoted}> 2. Where is the boiler?\nloft\n"
    )
    assert found.own_words == "> 1.\n241\n> 2.\nloft"


def test_own_words_beyond_an_hour_of_typing_are_cut_and_that_is_told() -> None:
    found = _read(f"> {LINE}\n" * LINES + "The sill is 103 cm. " * 4_000)
    assert len(found.own_words) == LONGEST_TEXT and found.own_words.startswith("The sill")
    assert found.notes == (LONG_NOTE,)


@pytest.mark.parametrize(
    ("body", "kind"),
    [("> " + "x" * MOST_BYTES[False], "plain"), ("<p>x</p>" * (LONGEST_HTML // 8 + 1), "html")],
)
def test_what_is_too_long_to_tell_own_words_from_quoted_is_set_aside(body: str, kind: str) -> None:
    with pytest.raises(Unreadable, match="too long"):
        _read(body, kind)


def test_quotations_that_alternate_with_lines_like_their_heads_take_linear_time() -> None:
    began = time.process_time()
    _read("a\n" * 300_000 + "> a\nx@y.example wrote:\n" * 30_000)
    assert time.process_time() - began < 5.0, "under .6 s on the machine it was written on"
