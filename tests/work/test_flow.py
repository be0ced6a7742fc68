"""A job from its first e-mail to its last letter, through the real rooms: parse, group, decide, send, answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from email import message_from_bytes
from email.policy import default
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import update

from intake import wiring
from intake.model.checklist import RoomKind
from intake.model.job import JobState
from intake.model.letter import LetterState
from intake.settings import Settings
from intake.store import schema
from intake.work.collect import collect
from intake.work.examine import examine
from intake.work.job_file import open_file
from intake.work.send import send_due
from intake.work.services import Services
from tests.work.mail import folder, message, picture

Console = Callable[..., tuple[int, Any, str]]
TOM = "Tom Hale <tom@hale.example>"


def taken(services: Services, path: Path, *messages: bytes) -> list[str]:
    """Collect these messages; the jobs that changed."""
    box = wiring.mailbox(Settings(), folder(path, *messages))
    return list(collect(box, services).jobs)


def test_parts_of_one_customers_mail_become_one_job_and_two_customers_stay_apart(
    services: Services, tmp_path: Path
) -> None:
    jobs = taken(
        services,
        tmp_path / "m",
        message(TOM, "Kitchen measurements", "part one", 0, "<1@hale.example>"),
        message("Una Reid <una@reid.example>", "Kitchen measurements", "ours", 1, "<1@reid.example>"),
        message(TOM, "Kitchen measurements", "part two", 2, "<2@hale.example>"),
    )
    assert len(jobs) == 2
    with services.store.reading() as tables:
        senders = [{m.sender_email for m in tables.messages.of_job(j)} for j in jobs]
        assert sorted(senders, key=str) == [{"tom@hale.example"}, {"una@reid.example"}]
        assert all(m.reason for j in jobs for m in tables.messages.of_job(j))


def test_two_rooms_of_one_customer_are_two_jobs(services: Services, tmp_path: Path) -> None:
    jobs = taken(
        services,
        tmp_path / "m",
        message(TOM, "Our kitchen", "plan follows", 0, "<1@hale.example>"),
        message(TOM, "The bathroom", "another room", 1, "<2@hale.example>"),
    )
    assert len(jobs) == 2


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0), (2, 0, 1)])
def test_any_order_of_arrival_gives_the_same_job(
    services: Services, tmp_path: Path, order: tuple[int, ...]
) -> None:
    thread = [
        message(TOM, "Our kitchen", "plan", 0, "<1@hale.example>"),
        message(
            "Jo <jo@other.example>", "Re: Our kitchen", "photos", 1, "<2@other.example>",
            In_Reply_To="<1@hale.example>", References="<1@hale.example>",
        ),
        message(
            TOM, "Re: Our kitchen", "more", 2, "<3@hale.example>",
            In_Reply_To="<2@other.example>", References="<1@hale.example> <2@other.example>",
        ),
    ]  # fmt: skip
    for step, number in enumerate(order):
        taken(services, tmp_path / f"m{step}", thread[number])
    with services.store.reading() as tables:
        (job,) = tables.jobs.all()
        assert len(tables.messages.of_job(job.id)) == 3
        assert job.addresses[0] in ("tom@hale.example", "jo@other.example")


@pytest.mark.parametrize("order", list(permutations(range(4))))
def test_a_late_message_takes_with_it_what_was_put_into_another_job(
    services: Services, tmp_path: Path, order: tuple[int, ...]
) -> None:
    """The bathroom's message names no room itself; only the one it answers says which room it is about."""
    written = [
        message(TOM, "The bedroom", "plan", 0, "<1@hale.example>"),
        message(TOM, "The bathroom", "plan", 12, "<2@hale.example>"),
        message(TOM, "Photographs", "as promised", 24, "<3@hale.example>", In_Reply_To="<2@hale.example>"),
        message(TOM, "The kitchen", "plan", 36, "<4@hale.example>"),
    ]
    for step, number in enumerate(order):
        taken(services, tmp_path / f"m{step}", written[number])
    with services.store.reading() as tables:
        assert tables.messages.in_state("set-aside") == []
        lie = [{m.key for m in tables.messages.of_job(j.id)} for j in tables.jobs.all()]
    assert sorted(map(sorted, lie)) == [
        ["<1@hale.example>"],
        ["<2@hale.example>", "<3@hale.example>"],
        ["<4@hale.example>"],
    ]


def test_mail_of_a_robot_with_more_messages_than_are_grouped_together_is_filed(
    services: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found in the SpamAssassin corpus: what is moved need not be among the latest of its job."""
    monkeypatch.setattr("intake.domain.mail.grouping.MOST_CARDS", 30)
    robot = [
        message("Robot <robot@x.example>", f"Report {n % 7}", "all well", n, f"<{n}@x.example>",
                In_Reply_To=f"<{(n * 7) % 60}@x.example>")
        for n in range(60)
    ]  # fmt: skip
    taken(services, tmp_path / "m", *reversed(robot))
    with services.store.reading() as tables:
        assert tables.messages.in_state("set-aside") == []


@pytest.mark.parametrize(
    "headers",
    [
        {"Auto-Submitted": "auto-replied"},
        {"Precedence": "bulk"},
        {"List-Id": "<news.example>"},
    ],
)
def test_machines_and_lists_open_no_job_and_get_no_letter(
    services: Services, tmp_path: Path, headers: dict[str, str]
) -> None:
    # RFC 3834 2 (Auto-Submitted, Precedence); RFC 2919 3 (List-Id)
    jobs = taken(services, tmp_path / "m", message(TOM, "kitchen", "hello", 0, "<1@hale.example>", **headers))
    assert jobs == []
    with services.store.reading() as tables:
        assert tables.letters.all() == []
        assert [m.state for m in tables.messages.in_state("apart")] == ["apart"]


def test_an_address_in_other_letters_is_written_to_in_the_form_that_servers_take(
    services: Services, tmp_path: Path
) -> None:
    """The A-label is the one that RFC 3492's algorithm gives: münchen is xn--mnchen-3ya (its usual example)."""
    raw = message("Eva <eva@x.example>", "kitchen", "hello", 0, "<1@x.example>")
    (job,) = taken(services, tmp_path / "m", raw.replace(b"eva@x.example", "eva@münchen.example".encode()))
    with services.store.reading() as tables:
        (letter,) = tables.letters.of_job(job)
    assert letter.to == ("eva@xn--mnchen-3ya.example",)


@pytest.mark.parametrize("address", ["ngdg@[1086695621]", "jörg@x.example"])
def test_a_sender_to_whom_no_letter_can_go_has_a_job_without_one(
    services: Services, tmp_path: Path, address: str
) -> None:
    """Found in the SpamAssassin corpus: such a job could never be examined."""
    raw = message("Eva <eva@x.example>", "Our kitchen", "The ceiling height is 236.", 0, "<1@x.example>")
    (job,) = taken(services, tmp_path / "m", raw.replace(b"eva@x.example", address.encode()))
    with services.store.reading() as tables:
        assert tables.letters.of_job(job) == []
        assert tables.jobs.is_examined(job)
        (kept,) = tables.messages.of_job(job)
    assert "none that a letter could be sent to" in kept.answering_why


def test_an_unauthenticated_sender_is_taken_but_the_letter_is_held(
    services: Services, tmp_path: Path
) -> None:
    # RFC 8601 5: only our own server's results count
    (job,) = taken(
        services, tmp_path / "m", message(TOM, "kitchen", "hello", 0, "<1@hale.example>", passed=False)
    )
    with services.store.reading() as tables:
        (letter,) = tables.letters.of_job(job)
    assert letter.state is LetterState.HELD
    assert letter.held_because


def release(services: Services, job: str) -> None:
    with services.store.transaction() as tables:
        letter = tables.letters.of_job(job)[-1]
        assert tables.letters.change(letter.id, state=LetterState.DUE, due_at=services.clock())


def test_a_letter_goes_once_and_its_answer_settles_the_items(
    services: Services, settings: Settings, tmp_path: Path
) -> None:
    (job,) = taken(
        services,
        tmp_path / "m",
        message(TOM, "Our kitchen", "plan follows", 0, "<1@hale.example>", (("a.jpg", picture(1)),)),
    )
    release(services, job)
    (sent,) = send_due(services, wiring.postbox(settings))
    assert sent.state == "sent"
    assert send_due(services, wiring.postbox(settings)) == []
    (file,) = (tmp_path / "out").glob("*.eml")
    letter = message_from_bytes(file.read_bytes(), policy=default)
    # RFC 3834 3.1.7 and 5; RFC 5322 3.6.4
    assert letter["Auto-Submitted"] == "auto-replied"
    assert letter["In-Reply-To"] == letter["References"] == "<1@hale.example>"
    assert job in letter["Subject"]

    reply = message(
        TOM,
        f"Re: {letter['Subject']}",
        "The ceiling is 241. We have no gas in the house.\n\n"
        "On Monday the showroom wrote:\n> Please measure the height from the floor to the ceiling, like 199\n",
        3,
        "<4@hale.example>",
        In_Reply_To=letter["Message-ID"],
    )
    assert taken(services, tmp_path / "m2", reply) == [job]
    with services.store.reading() as tables:
        standings = {s.item.id: s for s in tables.jobs.standings(job, services.checklists[RoomKind.KITCHEN])}
        assert standings["ceiling-height"].state == "present"
        assert [e.value_mm for e in standings["ceiling-height"].evidence] == [2410]
        assert standings["gas-meter"].state == "not-applicable"
        rules = [m.rule for m in tables.messages.of_job(job)]
    assert len(rules) == 2


def test_new_mail_supersedes_a_letter_that_has_not_gone(services: Services, tmp_path: Path) -> None:
    (job,) = taken(
        services, tmp_path / "m", message(TOM, "Our kitchen", "plan follows", 0, "<1@hale.example>")
    )
    taken(services, tmp_path / "m2", message(TOM, "Our kitchen", "Ceiling height 240", 1, "<2@hale.example>"))
    with services.store.reading() as tables:
        letters = tables.letters.of_job(job)
    assert [k.state for k in letters] == [LetterState.SUPERSEDED, LetterState.DRAFT]
    assert "ceiling-height" in letters[0].asks
    assert "ceiling-height" not in letters[1].asks


def test_a_customer_who_asks_to_be_phoned_waits_for_a_person_and_gets_no_letter_meanwhile(
    services: Services, tmp_path: Path
) -> None:
    (job,) = taken(
        services,
        tmp_path / "m",
        message(TOM, "Our kitchen", "Please phone me instead.", 0, "<1@hale.example>"),
    )
    with services.store.reading() as tables:
        found = tables.jobs.get(job)
        assert found is not None
        assert found.state is JobState.TO_CHECK
        assert [(n.kind, n.text) for n in tables.jobs.needs(job)] == [("phone", "Please phone me instead.")]
        assert [k for k in tables.letters.of_job(job) if k.state is LetterState.DRAFT] == []


QUOTED = "what our letter said and more of it " * 1500
LONG = {
    "below a quotation": ("plain", "> " + QUOTED[:70] + "\n", 800, "\n{}\n"),
    "below one in HTML": ("html", f"<blockquote>{QUOTED}</blockquote>", 1, "<p>{}</p>"),
    "below their own": ("plain", "The weather is nice today. ", 1000, "\n{}\n"),
}


@pytest.mark.parametrize(("kind", "above", "times", "own"), LONG.values(), ids=LONG)
def test_a_danger_and_a_wish_at_the_end_of_a_very_long_mail_wait_for_a_person(
    services: Services, tmp_path: Path, kind: str, above: str, times: int, own: str
) -> None:
    text = above * times + own.format("Please phone me. I smell gas.")
    raw = message(TOM, "Our kitchen", text, 0, "<1@hale.example>")
    (job,) = taken(services, tmp_path / "m", raw.replace(b"text/plain", f"text/{kind}".encode()))
    with services.store.reading() as tables:
        found, needs = tables.jobs.get(job), tables.jobs.needs(job)
        drafts = [k for k in tables.letters.of_job(job) if k.state is LetterState.DRAFT]
    assert found is not None and found.state is JobState.TO_CHECK and not drafts
    assert [n.kind for n in needs][:2] == ["hazard", "phone"] and needs[0].text == "I smell gas"
    assert ("unread" in [n.kind for n in needs]) == (above == LONG["below their own"][1])


def test_automatic_letters_stop_at_so_many_a_day(
    services: Services, settings: Settings, tmp_path: Path
) -> None:
    automatic = replace(services, policy=replace(services.policy, automatic=True, letters_a_day=1))
    rooms = ("kitchen", "bathroom", "bedroom")
    taken(
        automatic,
        tmp_path / "m",
        *(message(TOM, f"Our {room}", "plan", n, f"<{n}@hale.example>") for n, room in enumerate(rooms)),
    )
    with automatic.store.transaction() as tables:
        for letter in tables.letters.all():
            assert letter.state is LetterState.DUE
            tables.letters.change(letter.id, due_at=automatic.clock())
    states = sorted(s.state for s in send_due(automatic, wiring.postbox(settings)))
    assert states == ["held", "held", "sent"]


def test_the_same_picture_twice_counts_once(console: Console, tmp_path: Path) -> None:
    mail = folder(
        tmp_path / "m",
        message(
            TOM, "kitchen", "here", 0, "<1@hale.example>",
            (("a.jpg", picture(1)), ("again.jpg", picture(1)), ("b.jpg", picture(2))),
        ),
    )  # fmt: skip
    console("collect", "--folder", str(mail), "--json")
    assert console("jobs", "--json")[1][0]["photographs"] == 2


def test_a_letter_is_written_though_the_original_is_gone(services: Services, tmp_path: Path) -> None:
    raw = message(TOM, "Our kitchen", "A plan follows.", 0, "<1@hale.example>", References="<0@hale.example>")
    raw = raw.replace(b"Subject:", b"Reply-To: Tom <home@hale.example>\r\nSubject:", 1)
    (job,) = taken(services, tmp_path / "m", raw)
    with services.store.transaction() as tables:
        (kept,) = tables.messages.of_job(job)
        (before,) = tables.letters.of_job(job)
        tables.letters.change(before.id, state=LetterState.FAILED)
    services.store.files.drop_raw(kept.sha256)
    examine(services, job)
    with services.store.reading() as tables:
        after = tables.letters.of_job(job)[-1].letter
    assert after == before.letter and after.to[0].email == "home@hale.example"
    assert (
        after.references == ("<0@hale.example>", "<1@hale.example>")
        and after.in_reply_to == "<1@hale.example>"
    )


def test_of_mail_that_an_older_version_filed_the_original_tells_whom_to_answer(
    services: Services, tmp_path: Path
) -> None:
    (job,) = taken(
        services, tmp_path / "m", message(TOM, "Our kitchen", "A plan follows.", 0, "<1@hale.example>")
    )
    with services.store.transaction() as tables:
        (kept,) = tables.messages.of_job(job)
        tables.db.execute(update(schema.messages).values(thread=None))
        (before,) = tables.letters.of_job(job)
        tables.letters.change(before.id, state=LetterState.FAILED)
    examine(services, job)
    with services.store.reading() as tables:
        assert tables.messages.of_job(job)[0].thread == kept.thread
        assert tables.letters.of_job(job)[-1].letter == before.letter


def test_what_a_letter_of_ours_quotes_of_a_customer_stays_theirs(services: Services, tmp_path: Path) -> None:
    """A letter that asks back took the customer's own words from their earlier mail as soon as it was sent."""
    words = "As for the ceiling, perhaps it is 2 metres 42, the same at both ends."
    (job,) = taken(services, tmp_path / "m", message(TOM, "Our kitchen", words, 0, "<1@hale.example>"))
    quoting = f"You wrote “{words.rstrip('.')}”. Do you mean 242 cm for this?"
    with services.store.transaction() as tables:
        tables.db.execute(update(schema.letters).values(state=LetterState.SENT, text=quoting))
        tables.jobs.touch(job)
    examine(services, job)
    with services.store.reading() as tables:
        file = open_file(tables, job, services.checklists)
    assert [m.own_words.strip() for m in file.messages] == [words]
    assert 2420 in [s.value_mm for s in file.survey.statements]
