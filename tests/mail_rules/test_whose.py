"""Whose job it is and who is heard in it, by the cards alone."""

from __future__ import annotations

import random

from hypothesis import given
from hypothesis import strategies as st

from intake.domain.mail.whose import Whose, whose_job
from intake.model.card import Card
from tests.mail_rules.memory import card

ADA, EVE, JO = "ada@x.example", "eve@e.example", "jo@j.example"


def of(*cards: Card, plans: str = "", pictures: str = "", **more: object) -> Whose:
    return whose_job(cards, plans.split(), (plans + " " + pictures).split(), **more)  # type: ignore[arg-type]


EVES = card("e", EVE, 0, recipients=(ADA,))
ANSWER = card("a", ADA, 1, refers=("<e@x>",))


def test_who_writes_first_and_copies_the_customer_in_gets_nothing_and_is_not_heard() -> None:
    found = of(EVES, ANSWER, plans="a")
    assert (found.customer, found.heard, found.rivals) == (ADA, {"a"}, ())
    assert of(EVES, ANSWER, pictures="a").customer == ADA


def test_a_date_set_back_makes_nobody_the_customer() -> None:
    """The order is that of arrival, whatever the cards say of when they were sent."""
    late = card("e", EVE, -900, recipients=(ADA,))
    assert of(card("a", ADA, 0), late, card("b", ADA, 5, refers=("<e@x>",))).customer == ADA


def test_two_plans_or_two_beginnings_are_for_a_person_unless_each_wrote_to_the_other() -> None:
    assert of(EVES, ANSWER, plans="e a").rivals == (ADA,)
    assert of(EVES, card("b", ADA, 2)).rivals == (ADA,)
    to_all = card("a", ADA, 1, refers=("<e@x>",), recipients=(EVE,))
    assert of(EVES, to_all, plans="e a").rivals == (ADA,), "an answer to all is no acquaintance"
    theirs = card("b", JO, 2, recipients=(ADA,))
    assert of(card("a", ADA, recipients=(JO,)), theirs, plans="a b").rivals == ()


def test_a_partner_whom_the_customer_copied_in_is_heard() -> None:
    tom, photographs = card("a", ADA, recipients=(JO,)), card("j", JO, 1, refers=("<a@x>",))
    assert of(tom, photographs, plans="a", pictures="j") == Whose(ADA, frozenset("aj"))
    assert of(photographs, tom, plans="a", pictures="j") == Whose(ADA, frozenset("aj"))
    friend = card("f", "sam@s.example", 2, refers=("<j@x>",))
    brought = card("k", JO, 1, recipients=("sam@s.example",))
    assert of(tom, brought, friend, plans="a").heard == frozenset("akf")


def test_an_answer_to_all_brings_nobody_in_but_one_to_our_letter_does() -> None:
    to_all = card("a", ADA, 1, refers=("<e@x>",), recipients=(EVE,))
    later = card("f", EVE, 2, refers=("<a@x>",), recipients=(ADA,))
    assert of(EVES, to_all, later, plans="a").heard == {"a"}
    unheld = card("a", ADA, 1, refers=("<another@e>",), recipients=(EVE,))
    assert of(EVES, unheld, later, plans="a").heard == {"a"}
    answer = card("b", ADA, 3, refers=("<letter@us>", "<a@x>"), recipients=(JO,))
    jo = card("j", JO, 4, refers=("<b@x>",))
    letter = {"<letter@us>": ADA}
    assert of(card("a", ADA), answer, jo, plans="a", letters=letter).heard == frozenset("abj")
    assert of(EVES, ANSWER, answer, jo, plans="a", letters={"<letter@us>": EVE}).heard == frozenset("ab")


def test_whom_a_forward_names_brings_nobody_in() -> None:
    forward = card("f", ADA, 1, via=JO, recipients=(EVE,))
    assert of(card("a", ADA), forward, card("e", EVE, 2)).heard == {"a"}


def test_what_the_customer_forwards_is_the_customers_and_a_forward_alone_its_first_writers() -> None:
    forward = card("f", EVE, 1, via=ADA)
    assert of(card("a", ADA), forward, plans="f") == Whose(ADA, frozenset("af"))
    assert of(forward, plans="f") == Whose(EVE, frozenset("f"))


def test_a_person_lets_a_message_in_and_says_whose_the_job_is() -> None:
    assert of(EVES, ANSWER, plans="a", let_in=["e"]) == Whose(ADA, frozenset("ea"))
    both = of(EVES, ANSWER, plans="e a", chosen=ADA)
    assert both == Whose(ADA, frozenset("a"))
    assert of(EVES, ANSWER, plans="e a", chosen=EVE) == Whose(EVE, frozenset("ea"))
    assert of(EVES, ANSWER, plans="e a", chosen="new@n.example") == Whose(EVE, frozenset("ea"))


PEOPLE = st.sampled_from([ADA, EVE, JO])
CARDS = st.builds(
    lambda key, sender, to, refers, via: card(key, sender, recipients=tuple(to), refers=refers, via=via),
    st.uuids().map(str), PEOPLE, st.lists(PEOPLE, max_size=2), st.sampled_from([(), ("<1@x>",)]),
    st.sampled_from(["", "", "", JO]),
)  # fmt: skip


@given(st.lists(CARDS, min_size=1, max_size=7), st.randoms())
def test_the_customer_is_heard_and_of_those_who_sent_the_plan(bag: list[Card], chance: random.Random) -> None:
    plans = [c.key for c in bag if chance.random() < 0.4]
    found = whose_job(bag, plans, plans)
    mine = {c.key for c in bag if c.sender == found.customer and not c.via}
    assert mine <= found.heard
    drew = [c for c in bag if c.key in plans]
    assert found.customer in {who for c in drew or bag for who in (c.sender, c.author)}
    unrivalled = {c.sender for c in drew if not c.via} - {*found.rivals}
    assert {c.key for c in bag if c.author in unrivalled} <= found.heard
