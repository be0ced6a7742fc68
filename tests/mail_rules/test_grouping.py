"""Which messages become one job."""

from __future__ import annotations

import random
import time
from datetime import timedelta
from itertools import islice, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.domain.mail.clusters import cluster
from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.wording.desk import worded
from tests.mail_rules.memory import card, filed
from tests.servers.dovecot import Dovecot

KITCHEN, BATHROOM = RoomKind.KITCHEN, RoomKind.BATHROOM


def groups(*names: str) -> frozenset[frozenset[str]]:
    return frozenset(frozenset(name.split()) for name in names)


def test_same_sender_is_one_job() -> None:
    assert filed([card("a"), card("b", hours=5), card("c", hours=90)]).partition() == groups("a b c")


def test_why_a_senders_next_letter_is_of_the_job_names_the_room_that_both_are_about() -> None:
    desk = filed([card("a", room=KITCHEN)])
    told = {
        c.key: worded(desk.file(c).reason)
        for c in (
            card("b", hours=1, room=KITCHEN),
            card("c", hours=2),
            card("m", hours=3, automatic=True),
        )
    }
    assert told == {
        "b": "The same sender wrote about a kitchen shortly before.",
        "c": "The same sender wrote shortly before, and it names no other room.",
        "m": "The same sender wrote shortly before, and it names no other room.",
    }


def test_same_subject_from_two_customers_is_two_jobs() -> None:
    desk = filed([card("a", topic="kitchen"), card("b", "bob@x.example", topic="kitchen")])
    assert desk.partition() == groups("a", "b")


def test_one_customer_with_two_rooms_has_two_jobs() -> None:
    cards = [card("a", room=KITCHEN), card("b", hours=1, room=BATHROOM), card("c", hours=2, room=KITCHEN)]
    assert filed(cards).partition() == groups("a c", "b")
    assert filed(cards[:1]).file(cards[1]).rule == "new", (
        "which job is no question where another room is named"
    )


def test_words_before_any_room_is_named_go_with_the_first_room() -> None:
    cards = [card("a"), card("b", hours=1, room=KITCHEN), card("c", hours=2)]
    assert filed(cards).partition() == groups("a b c")


def test_a_message_that_may_be_about_either_room_is_offered_and_not_merged() -> None:
    desk = filed([card("a", room=KITCHEN), card("b", hours=1, room=BATHROOM)])
    found = desk.file(card("c", hours=2))
    assert found.job is None
    assert found.rule == "unsure"
    assert set(found.offers) == {desk.filed["a"].job, desk.filed["b"].job}


def test_the_same_topic_settles_which_room() -> None:
    cards = [
        card("a", room=KITCHEN, topic="plan of the new kitchen"),
        card("b", hours=1, room=BATHROOM, topic="bath plan"),
        card("c", hours=2, topic="bath plan"),
    ]
    assert filed(cards).partition() == groups("a", "b c")


COPIED = ("bob@y.example", "cy@z.example")


def test_a_partner_whom_the_customer_copied_in_joins_by_the_thread() -> None:
    cards = [card("a", recipients=COPIED), card("b", "bob@y.example", hours=1, refers=("<a@x>",))]
    assert filed(cards).partition() == filed(reversed(cards)).partition() == groups("a b")


def test_a_partner_whom_the_customer_copied_in_joins_by_the_reference_and_by_our_letter() -> None:
    desk = filed([card("a", recipients=COPIED)])
    job = desk.filed["a"].job
    desk.write(job, "<letter@us>")
    assert desk.file(card("b", "bob@y.example", hours=30, named=(job,))).job == job
    assert desk.file(card("c", "cy@z.example", hours=40, refers=("<letter@us>",))).rule == "our-letter"


def test_a_reference_leads_to_a_job_that_no_letter_has_gone_out_about() -> None:
    desk = filed([card("a", recipients=COPIED)])
    job = desk.filed["a"].job
    found = desk.file(card("b", "bob@y.example", hours=30, named=(job,)))
    assert (found.job, found.rule) == (job, "reference")


CHANNELS = {
    "reference": {"named": ("R-00001",)},
    "our letter's id": {"refers": ("<letter@us>",)},
    "thread": {"refers": ("<a@x>",)},
    "thread, and names the customer": {"refers": ("<a@x>",), "recipients": ("ann@x.example",)},
    "the same unheld letter": {"refers": ("<circular@us>",), "recipients": ("ann@x.example",)},
    "forward of the customer's words": {"sender": "ann@x.example", "via": "eve@e.example"},
    "the customer's Message-ID": {"id": "<a@x>"},
    "everything at once": {
        "refers": ("<a@x>", "<letter@us>", "<circular@us>"),
        "named": ("R-00001",),
        "recipients": ("ann@x.example",),
        "topic": "our kitchen",
        "room": KITCHEN,
    },
}


@pytest.mark.parametrize("channel", sorted(CHANNELS))
@pytest.mark.parametrize("vouched", [True, False])
@pytest.mark.parametrize("first", [True, False])
def test_a_stranger_joins_nothing_and_brings_nothing_together(
    channel: str, vouched: bool, first: bool
) -> None:
    """However a stranger comes by an id, a thread or a reference: the mail stays a job of its own, and is offered."""
    desk = filed([card("a", refers=("<circular@us>",), topic="our kitchen", room=KITCHEN)])
    desk.write("R-00001", "<letter@us>")
    hour = -1 if first else 5
    given: dict[str, object] = {"sender": "eve@e.example"} | CHANNELS[channel]
    found = desk.file(card("e", hours=hour, vouched=vouched, **given))  # type: ignore[arg-type]
    assert found.job is None and found.merges == () and found.moves == ()
    later = desk.file(card("l", hours=9))
    assert later.job == "R-00001", "and the customer's next letter finds its way"
    assert desk.partition() == groups("a l", "e")


def test_a_letter_in_the_customers_name_that_nobody_vouches_for_lies_beside_theirs_and_links_nothing() -> (
    None
):
    """It cites the stranger's own mail, so that both would be one if it were believed."""
    eve = card("e", "eve@e.example", 1, recipients=("ann@x.example",))
    forged = card(
        "f", hours=2, vouched=False, refers=("<e@x>",), recipients=("eve@e.example",), room=BATHROOM
    )
    ann, later = card("a", room=KITCHEN), card("l", hours=3)
    answer = card("r", "eve@e.example", 4, refers=("<f@x>", "<a@x>"))
    for order in islice(permutations([ann, eve, forged, later, answer]), 0, None, 11):
        together = filed(order).partition()
        assert frozenset("al") <= next(g for g in together if "a" in g) <= frozenset("alf")
        assert not any({"e", "r"} & g and "a" in g for g in together)


def test_whom_a_forged_letter_copies_in_is_not_known() -> None:
    forged = card("f", hours=1, vouched=False, recipients=("eve@e.example",))
    desk = filed([card("a"), forged, card("e", "eve@e.example", 2, refers=("<a@x>",))])
    assert desk.partition() == groups("a f", "e")


def test_mail_that_nobody_vouches_for_is_one_job_by_its_sender() -> None:
    cards = [card(key, hours=n, vouched=False) for n, key in enumerate("abc")]
    assert filed(cards).partition() == filed(reversed(cards)).partition() == groups("a b c")


def test_what_a_machine_wrote_belongs_to_its_job_whichever_came_first() -> None:
    auto, far = card("m", hours=2, automatic=True), card("z", hours=24 * 90, automatic=True)
    cites = card("c", "robot@r.example", 3, automatic=True, refers=("<letter@us>",))
    for order in permutations([card("a"), auto, far]):
        assert filed(order).partition() == groups("a m", "z")
    desk = filed([card("a")])
    desk.write("R-00001", "<letter@us>")
    assert desk.file(cites).job == "R-00001"
    assert desk.file(card("s", "robot@r.example", 4)).job is None, "and it makes its sender no acquaintance"


def test_what_a_machine_wrote_lies_with_the_nearest_of_two_jobs() -> None:
    cards = [card("a", room=KITCHEN), card("b", hours=30, room=BATHROOM), card("m", hours=28, automatic=True)]
    assert filed(cards).partition() == groups("a", "b m")


def test_words_about_no_room_go_with_the_senders_other_words_about_none() -> None:
    """Of one customer's two rooms neither is meant more than the other; what nobody can tell stays together."""
    cards = [
        card("a", room=KITCHEN),
        card("b", hours=1, room=BATHROOM),
        card("u", hours=2),
        card("v", hours=3),
    ]
    assert filed(cards).partition() == groups("a", "b", "u v")


def test_one_customers_answers_to_one_circular_belong_together_however_far_apart() -> None:
    cards = [card("a", refers=("<circular@us>",)), card("b", hours=24 * 400, refers=("<circular@us>",))]
    assert filed(cards).partition() == groups("a b")


def test_a_letter_that_nobody_vouches_for_lies_beside_the_thread_that_it_answers_years_later() -> None:
    desk = filed([card("a")])
    found = desk.file(card("f", hours=24 * 800, vouched=False, refers=("<a@x>",)))
    assert (found.job, found.rule) == (desk.filed["a"].job, "thread")


def test_strangers_who_answer_one_circular_stay_apart() -> None:
    """Both cite a letter that we do not hold, as customers do who answer one circular of the showroom."""
    cards = [card("a", refers=("<circular@us>",)), card("b", "bob@y.example", 1, refers=("<circular@us>",))]
    assert filed(cards).partition() == groups("a", "b")


def test_a_message_id_used_by_two_senders_joins_nobody() -> None:
    cards = [
        card("a", id="<scan@device>"),
        card("b", "bob@y.example", 1, id="<scan@device>"),
        card("c", "cy@z.example", 2, refers=("<scan@device>",)),
    ]
    assert filed(cards).partition() == groups("a", "b", "c")
    bobs = card("d", "bob@y.example", 24 * 800, refers=("<scan@device>",))
    assert filed([*cards, bobs]).partition() == groups("a", "b d", "c"), (
        "but to its own sender it proves what it says"
    )


def test_a_reply_years_later_joins_its_thread_and_a_new_letter_does_not() -> None:
    desk = filed([card("a"), card("b", hours=24 * 800, refers=("<a@x>",))])
    assert desk.partition() == groups("a b")
    later = desk.file(card("c", hours=24 * 1600))
    assert later.job is None
    assert later.offers == (desk.filed["a"].job,)


def test_a_late_message_that_links_two_jobs_merges_them() -> None:
    first, last = card("a", recipients=COPIED), card("c", "bob@y.example", 2, refers=("<b@x>",))
    desk = filed([first, last])
    found = desk.file(card("b", "cy@z.example", 1, refers=("<a@x>",)))
    assert found.merges
    assert desk.partition() == groups("a b c")


def test_a_job_we_have_written_about_takes_in_a_larger_one_that_a_late_message_links_and_names() -> None:
    desk = filed([card("a", recipients=COPIED)])
    desk.write("R-00001", "<letter@us>")
    for late in (card("c", "bob@y.example", 2, refers=("<b@x>",)), card("d", "bob@y.example", 3)):
        desk.file(late)
    theirs = desk.filed["c"].job
    found = desk.file(card("b", "cy@z.example", 1, refers=("<a@x>",), named=(theirs,)))
    assert (found.job, found.merges) == ("R-00001", (theirs,))


def test_two_jobs_we_have_written_about_are_offered_and_not_merged() -> None:
    desk = filed([card("a", recipients=COPIED), card("c", "bob@y.example", 2, refers=("<b@x>",))])
    for key in "ac":
        desk.write(desk.filed[key].job, f"<letter-{key}@us>")
    found = desk.file(card("b", "cy@z.example", 1, refers=("<a@x>",)))
    assert desk.partition() == groups("a b", "c")
    assert found.offers == (desk.filed["c"].job,)


def test_a_forward_goes_with_the_first_writer_and_else_with_the_forwarder() -> None:
    cards = [
        card("a", "ann@x.example", recipients=("builder@b.example",)),
        card("f", "ann@x.example", 1, via="builder@b.example"),
        card("g", "eve@e.example", 2, via="builder@b.example"),
        card("h", "bob@y.example", 3, via="ann@x.example"),
    ]
    assert filed(cards).partition() == groups("a f h", "g")


def test_a_builders_own_job_stays_apart_from_what_they_forward_for_a_customer_who_has_one() -> None:
    cards = [
        card("a", "ann@x.example", recipients=("builder@b.example",)),
        card("f", "ann@x.example", 1, via="builder@b.example"),
        card("b", "builder@b.example", 2),
    ]
    assert {filed(order).partition() for order in permutations(cards)} == {groups("a f", "b")}


def test_a_letter_that_nobody_vouches_for_finds_its_job_by_the_reference_where_its_writer_is_known() -> None:
    years = 24 * 365 * 2
    ann = filed([card("a"), card("f", hours=years, vouched=False, named=("R-00001",))])
    assert ann.partition() == groups("a f")
    desk = filed([card("a")])
    eve = desk.file(card("e", "eve@e.example", 1, vouched=False, named=("R-00001",)))
    assert eve.job is None and eve.offers == ("R-00001",), "a designer decides"
    machine = desk.file(card("m", "robot@r.example", 2, automatic=True, named=("R-00001",)))
    assert machine.job is None and machine.offers == ()


def test_a_flood_in_one_name_costs_in_proportion() -> None:
    """Eight times as many forged letters: 8 would be exact, 64 is quadratic."""

    def seconds(count: int) -> float:
        flood = [card(f"f{n}", hours=n / 100, vouched=False) for n in range(count)]
        started = time.process_time()
        (one,) = cluster(flood, {}, {}, timedelta(days=21))
        assert len(one.cards) == count
        return time.process_time() - started

    few = min(seconds(250) for _ in range(5))
    assert min(seconds(2000) for _ in range(3)) < 24 * few


STORY = [
    card("k1", hours=0, room=KITCHEN, topic="kitchen", recipients=("pat@y.example",)),
    card("k2", hours=1),
    card("b1", hours=2, room=BATHROOM, topic="bathroom"),
    card("u1", hours=3),
    card("p1", "pat@y.example", 4, refers=("<k1@x>",)),
    card("p2", "pat@y.example", 5),
    card("s1", "sam@z.example", 1, room=KITCHEN, topic="kitchen"),
]


def test_every_order_of_arrival_gives_the_same_jobs() -> None:
    assert {filed(order).partition() for order in islice(permutations(STORY), 0, None, 7)} == {
        groups("k1 k2 p1 p2", "b1", "u1", "s1")
    }


@st.composite
def mailbags(draw: st.DrawFn) -> list[Card]:
    """A handful of messages by few senders, citing one another at random."""
    size = draw(st.integers(2, 8))
    ids = [f"<m{n}@x>" for n in range(size)]
    return [
        card(
            f"m{n}",
            draw(st.sampled_from(["ann@x.example", "bob@y.example", "cy@z.example"])),
            draw(st.integers(0, 24 * 60)),
            refers=tuple(draw(st.lists(st.sampled_from([*ids, "<unheld@u>"]), max_size=2))),
            room=draw(st.sampled_from([RoomKind.UNKNOWN, RoomKind.UNKNOWN, KITCHEN, BATHROOM])),
            topic=draw(st.sampled_from(["", "plan", "photos"])),
            via=draw(st.sampled_from(["", "", "", "bob@y.example"])),
            recipients=tuple(draw(st.lists(st.sampled_from(["ann@x.example", "bob@y.example"]), max_size=2))),
            vouched=draw(st.sampled_from([True, True, True, False])),
            automatic=draw(st.sampled_from([False, False, False, True])),
        )
        for n in range(size)
    ]


@settings(max_examples=60, deadline=None)
@given(mailbags(), st.randoms())
def test_any_mailbag_in_any_order_gives_the_same_jobs(bag: list[Card], chance: random.Random) -> None:
    shuffled = list(bag)
    chance.shuffle(shuffled)
    assert filed(bag).partition() == filed(shuffled).partition()


@pytest.mark.dovecot
@pytest.mark.parametrize("seed", range(4))
def test_threads_are_dovecots(seed: int, dovecot: Dovecot, user: str) -> None:
    """Oracle: Dovecot's THREAD=REFS, which goes by references alone, on letters that each come from another sender."""
    chance = random.Random(seed)
    cites: dict[int, list[int]] = {0: []}
    for n in range(1, 40):
        parent = chance.randrange(n)
        cites[n] = [*cites[parent], parent] if chance.random() < 0.7 else []
    letters = [_raw(n, cites[n]) for n in range(40)]
    order = chance.sample(range(40), 40)
    dovecot.append(user, [letters[n] for n in order])
    with dovecot.client(user) as client:
        if not client.has_capability("THREAD=REFS"):
            pytest.skip("this Dovecot has no THREAD=REFS")
        theirs = {frozenset(f"m{order[n - 1]}" for n in _numbers(thread)) for thread in client.thread("REFS")}
    everybody = tuple(f"s{n}@x.example" for n in range(40))
    cards = [
        card(f"m{n}", f"s{n}@x.example", n, refers=tuple(f"<m{c}@x>" for c in cites[n]), recipients=everybody)
        for n in range(40)
    ]
    assert filed(cards[n] for n in order).partition() == theirs


def _raw(n: int, cites: list[int]) -> bytes:
    references = " ".join(f"<m{c}@x>" for c in cites)
    head = f"From: s{n}@x.example\r\nMessage-ID: <m{n}@x>\r\nSubject: Kitchen {n}\r\n"
    return (head + (f"References: {references}\r\n" if cites else "") + "\r\nx\r\n").encode()


def _numbers(thread: object) -> list[int]:
    if isinstance(thread, int):
        return [thread]
    return [n for part in thread for n in _numbers(part)]  # type: ignore[attr-defined]
