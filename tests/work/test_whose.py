"""Whose job it is: a stranger writes first, or dates a letter back, and copies the customer in, who answers.

Automatic mode, real tables, plans that are drawn and read; each story in every order of arrival.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from email import message_from_bytes
from itertools import permutations
from pathlib import Path

import pytest

from intake import wiring
from intake.desk import desk_app
from intake.settings import Settings
from intake.work import refile
from intake.work.accounts import AccountRole, create_account, sign_in_link
from intake.work.by_hand import Customer, set_customer
from intake.work.collect import collect
from intake.work.decide import undo
from intake.work.job_file import JobFile, open_file
from intake.work.job_list import jobs
from intake.work.report import job_whole, outbox
from intake.work.send import send_due
from intake.work.services import Services
from tests.web import plans
from tests.web.world import KnowingEyes
from tests.work.mail import START, folder, message, picture

ADA, EVE = "Ada <ada@post.example>", "Eve <eve@evil.example>"
PLANS = {
    "ada": (("plan of the kitchen.jpg", plans.picture_of(plans.KITCHEN)),),
    "eve": (("plan of the kitchen.jpg", plans.picture_of(plans.L_KITCHEN)),),
}
SILL = "The window sill is 103 cm. Please stop writing to me."


class Box:
    """A mailbox of stories; letters that went out by the address they went to."""

    def __init__(self, services: Services, settings: Settings, path: Path) -> None:
        read = [plans.reading_of(p) for p in (plans.KITCHEN, plans.L_KITCHEN)]
        eyes = KnowingEyes(services.eyes, {(r.width, r.height): r for r in read})
        self.services = replace(services, eyes=eyes)  # type: ignore[arg-type]
        self.settings, self.path, self.count = settings, path, 0

    def take(self, *messages: bytes, hours: Sequence[int] = ()) -> None:
        """The messages as they arrive, `hours` after the start; all in one minute where none are given."""
        self.count += 1
        where = folder(self.path / f"mail{self.count}", *messages)
        for file, hour in zip(sorted(where.iterdir()), hours, strict=False):
            os.utime(file, (START.timestamp() + 3600 * hour,) * 2)
        collect(wiring.mailbox(Settings(), where), self.services)

    def sent_to(self, address: str) -> list[str]:
        send_due(self.services, wiring.postbox(self.settings))
        letters = [message_from_bytes(p.read_bytes()) for p in sorted((self.path / "out").glob("*.eml"))]
        return [str(m) for m in letters if address in f"{m['To']} {m['Cc']}"]

    def file(self, key: str) -> JobFile:
        job = next(row["job"] for row in jobs(self.services.store) if key in row["messages"])
        with self.services.store.reading() as tables:
            return open_file(tables, job, self.services.checklists)


@pytest.fixture
def box(automatic: Services, settings: Settings, tmp_path: Path) -> Box:
    return Box(automatic, settings, tmp_path)


def eves(hours: float = 0, files: tuple[tuple[str, bytes], ...] = ()) -> bytes:
    return message(EVE, "Our kitchen", SILL, hours, "<e@evil.example>", files, Cc="ada@post.example")


def answer(files: tuple[tuple[str, bytes], ...] = PLANS["ada"], **headers: str) -> bytes:
    words = "Here is the plan, as you wished."
    return message(
        ADA, "Re: Our kitchen", words, 3, "<a@post.example>", files, In_Reply_To="<e@evil.example>", **headers
    )


def heights(box: Box, key: str = "<a@post.example>") -> str:
    return str(job_whole(box.services, box.file(key).job.id)["items"]["sill-height"])


@pytest.mark.parametrize("order", list(permutations(range(2))))
@pytest.mark.parametrize("arrive", [True, False], ids=["hours apart", "together"])
@pytest.mark.parametrize("to_all", [True, False], ids=["to all", "to us"])
def test_a_stranger_who_wrote_first_gets_no_letter_about_the_customers_plan(
    box: Box, order: tuple[int, int], arrive: bool, to_all: bool
) -> None:
    mail = [eves(), answer()]
    if to_all:
        mail[1] = answer(Cc=EVE)
    box.take(*(mail[n] for n in order), hours=[3 * n for n in order] if arrive else ())
    file = box.file("<a@post.example>")
    assert {m.key for m in file.messages} == {"<a@post.example>", "<e@evil.example>"}
    assert file.job.customer.email == "ada@post.example" and file.rivals == ()
    assert heights(box) == "missing" and file.stopped == "" and file.blocking == ()
    assert len(box.sent_to("ada@post.example")) == 1 and box.sent_to("eve@evil.example") == []


def test_nor_one_pass_after_the_other_and_the_customer_is_asked_what_the_stranger_was(box: Box) -> None:
    box.take(eves())
    box.sent_to("eve@evil.example")
    box.take(answer((("photo.jpg", picture(1)),)))
    assert len(box.sent_to("eve@evil.example")) <= 1, "one before the customer had written at all"
    box.take(message(ADA, "Our kitchen", "And the plan.", 5, "<b@post.example>", PLANS["ada"]))
    assert len(box.sent_to("ada@post.example")) >= 1
    box.take(message(EVE, "Re: Our kitchen", SILL, 7, "<f@evil.example>", In_Reply_To="<a@post.example>"))
    assert box.file("<f@evil.example>").job.customer.email == "ada@post.example"
    assert len(box.sent_to("eve@evil.example")) <= 1 and heights(box) == "missing"


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_a_date_set_back_gets_nothing_either(box: Box, order: tuple[int, ...]) -> None:
    """The customer began, so a person says whose the job is; whoever it is, Eve has got nothing."""
    own = message(ADA, "Our kitchen", "The plan follows.", 1, "<own@post.example>")
    box.take(*([own, eves(hours=-90), answer()][n] for n in order), hours=[[1, 2, 3][n] for n in order])
    file = box.file("<a@post.example>")
    assert file.job.customer.email == "ada@post.example"
    assert box.sent_to("eve@evil.example") == [] and heights(box) == "missing"


def test_two_plans_wait_for_a_person_who_says_whose_job_it_is(box: Box) -> None:
    box.take(eves(files=PLANS["eve"]), answer(Cc=EVE), hours=[0, 3])
    file = box.file("<a@post.example>")
    (row,) = [r for r in outbox(box.services.store) if r["state"] == "held"]
    assert "ada@post.example" in row["held_because"] and "eve@evil.example" in row["held_because"]
    assert box.sent_to("evil") == box.sent_to("ada") == []
    job = file.job.id
    key = set_customer(box.services, job, Customer(email="ada@post.example"), "maya")
    assert box.file("<a@post.example>").job.customer.name == "Ada"
    assert box.sent_to("eve@evil.example") == [] and len(box.sent_to("ada@post.example")) == 1
    assert heights(box) == "missing", "and what Eve says is not heard"
    undo(box.services, job, key, "maya")
    assert box.file("<a@post.example>").rivals != ()


def test_the_desk_asks_whose_job_it_is_and_one_click_answers(box: Box, settings: Settings) -> None:
    box.take(eves(files=PLANS["eve"]), answer(), hours=[0, 3])
    job = box.file("<a@post.example>").job.id
    create_account(
        box.services.store, "maya", "plain-tape-and-pencil", AccountRole.OWNER, box.services.clock()
    )
    client = desk_app(settings, box.services).test_client()
    client.get(sign_in_link(box.services.store, "maya", box.services.clock()))
    page = " ".join(client.get(f"/jobs/{job}").text.split())
    assert "Say whose job it is." in page and "It is ada@post.example’s" in page
    with client.session_transaction() as session:
        form = {"token": session["token"], "email": "ada@post.example"}
    assert client.post(f"/jobs/{job}/customer", data=form).status_code == 302
    page = client.get(f"/jobs/{job}").text
    assert "Say whose job it is." not in page and "The customer is ada@post.example" in page


def test_a_person_lets_the_other_in_with_one_word(box: Box) -> None:
    box.take(eves(), answer())
    job, other = box.file("<a@post.example>").job.id, box.file("<e@evil.example>").messages
    eve = next(m for m in other if m.credited == "eve@evil.example")
    (shown,) = [m for m in job_whole(box.services, job)["mail"] if not m["counted"]]
    assert "has not written to this address" in shown["not_counted_because"]
    key = refile.vouch(box.services, job, eve.sha256, "maya")
    assert heights(box) == "present" and box.file("<a@post.example>").stopped
    undo(box.services, job, key, "maya")
    assert heights(box) == "missing"


@pytest.mark.parametrize("order", list(permutations(range(2))))
def test_husband_and_wife_need_nobody(box: Box, order: tuple[int, int]) -> None:
    """One copies the other in: whoever sends the plan is answered, both are heard and greeted, and the other, who
    wrote as well, has a copy."""
    tom, jo = "Tom <tom@hale.example>", "Jo <jo@other.example>"
    his = message(tom, "Our kitchen", "Jo sends photographs.", 0, "<1@hale.example>", PLANS["ada"], Cc=jo)
    hers = message(
        jo, "Re: Our kitchen", "The window sill is 103 cm.", 2, "<2@other.example>", (("a.jpg", picture(1)),),
        In_Reply_To="<1@hale.example>",
    )  # fmt: skip
    box.take(*([his, hers][n] for n in order))
    assert heights(box, "<1@hale.example>") == "present"
    (letter,) = box.sent_to("tom@hale.example")
    assert box.sent_to("jo@other.example") == [letter]
    assert "\nTo: Tom <tom@hale.example>\nCc: Jo <jo@other.example>\n" in letter
    assert "Hello Tom and Jo," in letter
    (row,) = outbox(box.services.store)
    assert row["held_because"] is None and row["to"] == ["tom@hale.example", "jo@other.example"]


@pytest.mark.parametrize(
    "hers",
    [
        None,
        {"passed": False},
        {"Reply_To": "jo@elsewhere.example"},
        {"Auto_Submitted": "auto-replied"},
    ],
    ids=["only copied in", "nobody vouches", "answers to elsewhere", "a machine"],
)
def test_a_copy_goes_to_nobody_who_has_not_written_themselves(
    box: Box, hers: dict[str, object] | None
) -> None:
    tom, jo = "Tom <tom@hale.example>", "Jo <jo@other.example>"
    box.take(message(tom, "Our kitchen", "The plan.", 0, "<1@hale.example>", PLANS["ada"], Cc=jo))
    if hers is not None:
        words = {"In_Reply_To": "<1@hale.example>", **hers}
        box.take(message(jo, "Re: Our kitchen", "And the sill is 103.", 2, "<2@other.example>", **words))  # type: ignore[arg-type]
    (letter,) = box.sent_to("tom@hale.example")
    assert box.sent_to("jo@other.example") == [] and "Cc:" not in letter


def test_one_person_with_two_addresses_gets_one_letter(box: Box) -> None:
    work = "Tom <tom@work.example>"
    box.take(
        message(
            "Tom <tom@hale.example>", "Our kitchen", "Plan.", 0, "<1@hale.example>", PLANS["ada"], Cc=work
        ),
        message(work, "Re: Our kitchen", "No gas.", 2, "<2@work.example>", In_Reply_To="<1@hale.example>"),
    )
    assert len(box.sent_to("tom@hale.example")) == 1 and box.sent_to("tom@work.example") == []


@pytest.mark.parametrize("order", list(permutations(range(2))))
def test_the_wife_sends_the_plan_that_the_husband_announced(box: Box, order: tuple[int, int]) -> None:
    """Her answer goes to him too, as an answer to a stranger would: the letter goes to her without anybody, and his
    words are shown and count by a click."""
    tom, jo = "Tom <tom@hale.example>", "Jo <jo@other.example>"
    his = message(tom, "Our kitchen", "The window sill is 103 cm.", 0, "<1@hale.example>", Cc=jo)
    hers = message(
        jo, "Re: Our kitchen", "The plan.", 2, "<2@other.example>", PLANS["ada"], In_Reply_To="<1@hale.example>",
        Cc=tom,
    )  # fmt: skip
    box.take(*([his, hers][n] for n in order))
    assert heights(box, "<1@hale.example>") == "missing"
    assert len(box.sent_to("jo@other.example")) == 1
    assert all(row["held_because"] is None for row in outbox(box.services.store))
