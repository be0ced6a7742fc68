"""What a reply says besides its lengths and must not be passed over: a wish for erasure, other people's figures, a
second length, water and hot wiring; and what is the foot of a letter only. The sentences are invented."""

from __future__ import annotations

import pytest

from intake.domain.mail.rhythm import stop_asked
from intake.domain.words.hazards import hazard_in
from intake.domain.words.whole_message import understand
from intake.model.need import NeedKind
from intake.wording.desk import worded
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

ANSWER = "386.5, 15, no gas, 241."
CERTAIN = ["wall-sections=3865", "reveal-depth=150", "gas-meter=none", "ceiling-height=2410"]


@pytest.mark.parametrize(
    "wish",
    [
        "Please delete all my data.",
        "Please erase my photographs and details.",
        "I'd like my records deleted.",
        "Bitte löschen Sie alle meine Daten.",
        "I withdraw my consent.",
        "Hiermit widerrufe ich meine Einwilligung.",
        "The plan attached is an old one.",
        "The photos attached are of another house.",
        "I'll find somebody else!",
    ],
)
def test_it_reaches_a_person_whatever_else_was_answered(wish: str) -> None:
    for letter in ("A", "C", "N"):
        assert understand(wish, LETTERS[letter], KITCHEN, "<m>").needs
    assert understand(f"{ANSWER} {wish}", LETTERS["A"], KITCHEN, "<m>").needs


@pytest.mark.parametrize(
    "mild",
    [
        "I'll find somebody else to hold the tape.",
        "Give me till Monday for the photos.",
        "Ring me if anything is unclear.",
        "It was good of you to ring back.",
        "Please think of the trees before printing this e-mail.",
        "If you are not the intended recipient please delete this message.",
        "This message and its attachments are confidential.\nIf you have received it in error please notify the\n"
        "sender and delete it.",
        "Wenn Sie nicht der richtige Adressat sind, löschen Sie bitte diese Nachricht.",
    ],
)
def test_a_courtesy_and_the_foot_of_a_letter_call_nobody_and_doubt_nothing(mild: str) -> None:
    found = understand(f"{ANSWER} {mild}", LETTERS["A"], KITCHEN, "<m>")
    assert found.needs == ()
    assert [f for f in facts_of(found) if not f.endswith("could-not")] == CERTAIN


def test_a_danger_in_the_foot_of_a_letter_is_heard() -> None:
    words = "240. If you are not the intended recipient there is a smell of gas"
    found = understand(words, LETTERS["C"], KITCHEN, "<m>")
    assert NeedKind.HAZARD in [n.kind for n in found.needs]


@pytest.mark.parametrize(
    "unsure",
    [
        "I guessed them all.",
        "We've estimated everything.",
        "Those are my neighbour's numbers.",
        "Ich habe alles nur geschätzt.",
    ],
)
def test_what_is_guessed_or_somebody_elses_leaves_no_length_certain(unsure: str) -> None:
    for words in (f"{ANSWER} {unsure}", f"{unsure} {ANSWER}"):
        facts = facts_of(understand(words, LETTERS["A"], KITCHEN, "<m>"))
        assert facts
        assert all("=?" in f for f in facts)


@pytest.mark.parametrize(
    "turned",
    [
        "386.5 is what I wrote but I now get 396",
        "386.5 is what I wrote but I now get 386",
        "It was 386.5 I wrote, but today I get 396",
        "386.5 is what it says but I get 396 now",
    ],
)
def test_a_second_length_that_is_not_taken_reaches_a_person(turned: str) -> None:
    found = understand(turned, LETTERS["A"], KITCHEN, "<m>")
    assert [n.text for n in found.needs] == [turned]
    assert all("=?" in f for f in facts_of(found))


@pytest.mark.parametrize(
    ("words", "doubtful"),
    [("240. Or 250.", True), ("240. Oder 250.", True), ("249. Or 8ft 2 in old money", False)],
)
def test_another_length_beside_the_one_before_doubts_it_where_it_is_another(
    words: str, doubtful: bool
) -> None:
    facts = facts_of(understand(words, LETTERS["C"], KITCHEN, "<m>"))
    assert facts[0].startswith("ceiling-height=?") is doubtful


@pytest.mark.parametrize(
    "words", ["Bitte keine weiteren E-Mails", "Bitte keine E-Mails mehr!", "No more emails."]
)
def test_no_more_letters_is_a_stop(words: str) -> None:
    assert stop_asked(words)


@pytest.mark.parametrize("words", ["Bitte keine Mails mit Anhang", "I've had no more emails from you"])
def test_letters_of_a_kind_are_no_stop(words: str) -> None:
    assert not stop_asked(words)


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("water", "Water is coming through the ceiling"),
        ("water", "The roof is leaking into the kitchen"),
        ("water", "there's water dripping on the lights"),
        ("water", "Es tropft Wasser von der Decke"),
        ("electricity", "The socket is hot"),
        ("electricity", "the fuse box gets really hot"),
        ("electricity", "Die Steckdose wird heiß"),
        (None, "no water coming through the ceiling"),
        (None, "the water pipe comes through the ceiling"),
        (None, "the socket is by the hot water tap"),
        (None, "the switch is for the hot tap"),
    ],
)
def test_water_and_hot_wiring_are_dangers(kind: str | None, sentence: str) -> None:
    assert hazard_in(sentence) == kind


def test_the_advice_on_water_defers_to_a_plumber_an_electrician_and_the_emergency_service() -> None:
    """What the advice says is common practice, no source."""
    (need,) = understand("Water is coming through the ceiling", (), KITCHEN, "<m>").needs
    for words in ("stop tap", "reached safely", "999", "qualified electrician", "plumber"):
        assert words in worded(need.why)


@pytest.mark.parametrize("less", ["Maybe a bit less", "Could be a little more", "Perhaps lower"])
def test_a_little_less_doubts_what_was_said_before_and_is_no_yes(less: str) -> None:
    facts = facts_of(understand(f"Sill 104. {less}.", LETTERS["B"], KITCHEN, "<m>"))
    assert "sill-height=?1040" in facts
    assert "sill-height=1040" not in facts


def test_another_length_doubts_the_one_of_its_size() -> None:
    facts = facts_of(understand("Yes. 98, 207, 11. Or 12 at the top.", LETTERS["B"], KITCHEN, "<m>"))
    assert {"sill-height=980", "head-height=2070", "reveal-depth=?110"} <= {*facts}


def test_lengths_beside_old_pictures_are_in_doubt() -> None:
    facts = facts_of(understand("386.5, 14, none, 241. Those are old photos.", LETTERS["A"], KITCHEN, "<m>"))
    assert facts
    assert all("=?" in f for f in facts)


@pytest.mark.parametrize("place", ["Beim Herd", "Am Sideboard", "Beim Vorhang"])
def test_no_word_that_ends_like_a_street_hides_a_length(place: str) -> None:
    facts = facts_of(understand(f"{place} 252, beim Fenster 253.", LETTERS["C"], KITCHEN, "<m>"))
    assert {f.replace("?", "") for f in facts} == {"ceiling-height=2520", "ceiling-height=2530"}


@pytest.mark.parametrize(
    ("after", "fact"),
    [
        ("I'm afraid", "wall-sections=830"),
        ("I think", "wall-sections=?830"),
        ("but the wall has moved", "wall-sections=?830"),
    ],
)
def test_a_choice_that_begins_a_sentence_chooses(after: str, fact: str) -> None:
    assert facts_of(understand(f"The second, {after}.", LETTERS["D"], KITCHEN, "<m>")) == [fact]


@pytest.mark.parametrize("after", ["not the first", "or the first", "no, 88"])
def test_a_choice_beside_another_chooses_nothing_for_certain(after: str) -> None:
    assert "wall-sections=830" not in facts_of(
        understand(f"The second, {after}.", LETTERS["D"], KITCHEN, "<m>")
    )


def test_what_a_program_wrote_gives_an_extension_and_no_length() -> None:
    reply = "Automatic reply: Window questions\n\nI am away. Please contact Siobhan on extension 240."
    found = understand(reply, LETTERS["A"], KITCHEN, "<m>")
    assert not (facts_of(found) or found.needs)
