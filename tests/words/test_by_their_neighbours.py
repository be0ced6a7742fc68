"""Words that mean one thing or another by what stands beside them: who sends what, who said what, what goes off. No
outside source: the replies are put together from their parts."""

from __future__ import annotations

import pytest

from intake.domain.words.whole_message import Understood, understand
from intake.model.need import NeedKind
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


def _read(letter: str, words: str) -> Understood:
    return understand(words, LETTERS[letter], KITCHEN, "<m>")


def _facts(letter: str, words: str) -> list[str]:
    return facts_of(_read(letter, words))


@pytest.mark.parametrize(
    "sent",
    [
        "The builder is sending a man to drop the ceiling",
        "The gas board are sending someone on Tuesday to move the meter",
        "They will be sending their fitter to take out the boiler",
        "We're having a plasterer in to lower it",
        "The council sent a lad to brick up the window",
    ],
)
def test_who_sends_somebody_to_alter_something_is_no_promise(sent: str) -> None:
    found = _read("A", f"386.5, 14, no gas, 241. {sent}.")
    assert [n.kind for n in found.needs] == [NeedKind.DISPUTE]


@pytest.mark.parametrize(
    "sent",
    [
        "My son is sending the photos tonight",
        "My daughter is sending you the other measurements",
        "They are sending it over",
    ],
)
def test_who_sends_pictures_promises(sent: str) -> None:
    assert _read("A", f"386.5, 14, no gas, 241. {sent}.").needs == ()


@pytest.mark.parametrize(
    ("missing", "lasting"),
    [
        ("We have looked everywhere and can't find the gas meter", True),
        ("I've tried every single cupboard and couldn't find the gas meter", True),
        ("Couldn't find the gas meter, nobody in the building knows", True),
        ("The gas meter can't be found, it has never been seen by anybody here", True),
        ("Den Gaszähler habe ich überall gesucht und nicht gefunden", True),
        ("Den Gaszähler finde ich nicht, mir hilft niemand", True),
        ("Can't get at the gas meter, I am never steady on my feet", True),
        ("I can't find the gas meter, never had to look for one before", False),
        ("Couldn't get to the gas meter, there are boxes everywhere", False),
        ("Couldn't get to the gas meter today, never got home before eight", False),
    ],
)
def test_what_was_sought_in_vain_is_not_asked_for_again(missing: str, lasting: bool) -> None:
    assert bool(_read("A", f"386.5. 14. {missing}. 241").needs) == lasting


@pytest.mark.parametrize(
    ("words", "fact"),
    [
        ("Also gut 242", "ceiling-height=2420"),
        ("Na gut 241,5", "ceiling-height=2415"),
        ("Ok gut 242 also", "ceiling-height=2420"),
        ("Das sind gut 242", "ceiling-height=?2420"),
        ("Es sind also gut 242", "ceiling-height=?2420"),
    ],
)
def test_good_is_more_or_so_then(words: str, fact: str) -> None:
    assert _facts("C", words) == [fact]


@pytest.mark.parametrize(
    ("words", "mm"),
    [
        ("two metres eight and a half centimetres", 2085),
        ("two metres and forty one and a half centimetres", 2415),
        ("2 metres 41.5", 2415),
        ("2m 40.5cm", 2405),
        ("2 Meter 41,5", 2415),
        ("zwei Meter achteinhalb Zentimeter", 2085),
        ("2 m 8 1/2 cm", 2085),
    ],
)
def test_metres_and_half_centimetres(words: str, mm: int) -> None:
    assert [f.replace("?", "") for f in _facts("C", words)] == [f"ceiling-height={mm}"]


@pytest.mark.parametrize(
    ("letter", "words", "facts"),
    [
        (
            "A",
            "3865 / 90 / none / 2410",
            "wall-sections=3865 reveal-depth=90 gas-meter=none ceiling-height=2410",
        ),
        (
            "A",
            "It's 3865. The recess is 90. Ceiling 2410.",
            "wall-sections=3865 reveal-depth=90 ceiling-height=2410",
        ),
        ("B", "2. 1100 2150 60", "sill-height=1100 head-height=2150 reveal-depth=60"),
        (
            "B",
            "yes\n1100 / 2150 / 135",
            "wall-sections=2835 sill-height=1100 head-height=2150 reveal-depth=135",
        ),
        ("B", "2. 110 215 60", "sill-height=1100 head-height=2150 reveal-depth=?600"),
    ],
)
def test_who_writes_some_lengths_in_millimetres_writes_all_of_them_so(
    letter: str, words: str, facts: str
) -> None:
    assert sorted(_facts(letter, words)) == sorted(facts.split())


@pytest.mark.parametrize("place", ["front step", "by the back step", "the door step", "front doorstep"])
def test_a_step_before_a_door_is_a_place(place: str) -> None:
    assert _facts("A", f"Gas meter: {place}") == ["gas-meter=place"]


@pytest.mark.parametrize(
    "fails", ["The electricity goes off", "The heating cuts out", "Our electrics go off"]
)
def test_what_goes_off_in_a_room_is_not_there(fails: str) -> None:
    found = _read("B", f"2. 101, 211, 12. {fails} in the kitchen.")
    assert not {f.split("=")[0] for f in facts_of(found)} & {"boiler", "consumer-unit"}
    assert found.needs


def test_water_goes_off_where_it_is_turned_off() -> None:
    assert "water-main=place" in _facts("B", "2. 101, 211, 12. The water goes off under the sink.")


@pytest.mark.parametrize("said", ["We said 125", "I already said 125", "I did put 125", "We gave you 125"])
def test_what_is_only_said_again_is_not_denied(said: str) -> None:
    found = _read("B", f"{said} for the sill.")
    assert found.denied_mm == frozenset()
    assert facts_of(found) == ["sill-height=1250"]
    assert found.needs == ()


@pytest.mark.parametrize(
    "said", ["I said 242 but it's 241", "We put 242, should be 241", "I said 242. Sorry, 241."]
)
def test_what_was_said_before_something_else_is_denied(said: str) -> None:
    found = _read("C", said)
    assert "ceiling-height=2420" not in facts_of(found)
    assert 2420 in found.denied_mm


@pytest.mark.parametrize(
    "undrawn",
    [
        "I don't think I drew that",
        "not sure if I drew it",
        "I can't remember drawing that",
        "we never drew the slope",
        "das habe ich glaube ich nicht eingezeichnet",
    ],
)
def test_what_may_not_be_drawn_is_for_a_person(undrawn: str) -> None:
    assert _read("C", f"262 at one end and 248 at the other because of the slope, {undrawn}.").needs


@pytest.mark.parametrize(
    "modest",
    [
        "I didn't draw it very well",
        "I forgot to draw the units",
        "never drawn anything before",
        "I haven't drawn a plan since school",
        "not drawn by me but by my son",
        "I never drew the blinds, it was bright",
        "I did not draw the curtains",
        "we haven't drawn the money yet",
        "das haben wir nicht so gut gezeichnet",
    ],
)
def test_who_draws_badly_or_something_else_disputes_nothing(modest: str) -> None:
    assert not _read("C", f"242 and 241.5. Sorry, {modest}.").needs


@pytest.mark.parametrize(
    "undrawn",
    [
        "I forgot to draw a pillar in the corner",
        "I didn't draw a chimney breast",
        "We forgot to draw one window",
        "I didn't draw one of the doors",
        "I didn't draw an alcove that is there",
        "I didn't draw my larder",
        "I didn't draw the window so it's missing",
        "Sorry forgot to draw the pillar",
        "I never drew one of the pillars before",
        "I didn't draw it properly, there is a pillar",
        "I didn't draw it very well, I left out a door",
        "I didn't draw the units that are staying",
        "We didn't draw the blinds, they are fixed in the recess",
        "Ich habe den Pfeiler vergessen zu zeichnen",
    ],
)
def test_what_in_the_room_is_not_drawn_is_for_a_person(undrawn: str) -> None:
    assert [n.kind for n in _read("A", f"386.5, 14, no gas, 241. {undrawn}.").needs] == [NeedKind.DISPUTE]


PLACES = ["consumer-unit", "gas-meter", "boiler", "water-main"]


@pytest.mark.parametrize(
    "places",
    [
        "Hall cupboard, we had it renewed in 2019, front porch, kitchen, under the sink",
        "In the hall, outside by the bins, in the airing cupboard and under the sink, you have to move a bucket",
        "Flur, draußen neben der Tür, im Bad, unter der Spüle, da steht der Eimer davor",
        "Garage, garage, garage and kitchen, the garage is a tip",
    ],
)
def test_places_with_talk_between_them_are_in_doubt(places: str) -> None:
    assert [f"{i}=?place" for i in PLACES] == _facts("B", f"Yes. 101, 211, 12. {places}.")[-4:]


@pytest.mark.parametrize(
    "places",
    [
        "yes 101, 211, 12, under the stairs, porch, loft and utility room, lovely talking to you earlier",
        "1 yes\n2 101, 211, 12\n3. Cupboard with the coats in it, porch, the boiler is in the loft, downstairs loo",
        "1 yes\n2 101, 211, 12\n3: CU ext. cupboard / gas ditto / boiler airing cupboard / water u/s sink",
    ],
)
def test_places_by_their_names_or_bare_are_in_order(places: str) -> None:
    lengths = ["wall-sections=2835", "sill-height=1010", "head-height=2110", "reveal-depth=120"]
    assert _facts("B", places) == [*lengths, *(f"{i}=place" for i in PLACES)]


@pytest.mark.parametrize(
    "talk", ["We live in Leeds, near the station, in a flat", "We stood in the hall, in the dark"]
)
def test_where_the_customers_are_is_no_place(talk: str) -> None:
    assert not [f for f in _facts("B", f"Yes. 101, 211, 12. {talk}.") if f.endswith("place")]


def test_fewer_places_than_things_are_the_first_ones_in_doubt() -> None:
    assert _facts("B", "Under the stairs, in the porch.") == ["consumer-unit=?place"]


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        (
            "237. The tape was twisted so please cross that out. 238.5 by the fridge, 238 by the cooker",
            "2385 2380",
        ),
        ("240, no, what am I saying, 242. And 241.5", "2420 2415"),
        ("237. Oh no, the tape was bent, so please ignore that. 240.5", "2405"),
    ],
)
def test_a_length_is_taken_back_late_in_a_sentence_too(words: str, facts: str) -> None:
    found = _read("C", words)
    certain = [f for f in facts_of(found) if "?" not in f]
    assert certain == [f"ceiling-height={mm}" for mm in facts.split()]
    assert found.needs == ()


@pytest.mark.parametrize(
    "changing",
    [
        "The boiler is in the kitchen for now but my son-in-law is a heating engineer and he's taking it out at Easter",
        "Boiler: kitchen, she's having it taken out",
        "The boiler is in the kitchen corner at present, though the gas man is coming in March to move it",
    ],
)
def test_what_somebody_takes_out_does_not_stand(changing: str) -> None:
    found = _read("B", f"Yes. 101, 211, 12. {changing}.")
    assert "boiler=?place" in facts_of(found)
    assert found.needs


def test_a_number_is_in_doubt_where_that_doorway_will_be_moved() -> None:
    assert _facts("D", "83 it says. But Alan is a builder and he's moving that doorway along a bit.") == [
        "wall-sections=?830"
    ]
    assert _facts("D", "83 it says.") == ["wall-sections=830"]


@pytest.mark.parametrize(
    "whose", ["For comparison flat 1 downstairs is 271", "The flat below, which you're not doing, is 271"]
)
def test_what_is_told_for_comparison_is_not_of_here(whose: str) -> None:
    assert "ceiling-height=2710" not in _facts("C", f"246.5 at the wall and 246 by the window. {whose}.")


@pytest.mark.parametrize("emphatic", ["it didn't half smell of gas", "it don't half smell of gas in there"])
def test_did_not_half_is_very_much(emphatic: str) -> None:
    assert NeedKind.HAZARD in [
        n.kind for n in _read("A", f"386.5. I got my head in the cupboard and {emphatic}.").needs
    ]


@pytest.mark.parametrize(
    ("words", "fact"),
    [
        ("I have looked high and low for the gas meter and cannot find it", "gas-meter=could-not"),
        ("We hunted for the gas meter but couldn't see it anywhere", "gas-meter=could-not"),
        ("Den Gaszähler habe ich gesucht und nicht gefunden", "gas-meter=could-not"),
    ],
)
def test_what_was_looked_for_is_what_cannot_be_found(words: str, fact: str) -> None:
    assert fact in _facts("A", f"386.5. {words}.")


def test_german_parts_what_could_not_be_done() -> None:
    assert _facts("C", "Selber messen kann ich die Decke leider nicht.") == ["ceiling-height=could-not"]


def test_what_could_not_be_photographed_has_a_place() -> None:
    said = "Den Gaszähler konnten wir im Keller nicht fotografieren, er ist im Keller."
    assert "gas-meter=?place" in _facts("A", f"386.5, 15, 241. {said}")


@pytest.mark.parametrize(
    "place",
    ["back of the coal hole", "at the foot of the stairs", "scullery, over the door", "the wash house"],
)
def test_more_places(place: str) -> None:
    assert _facts("A", f"Gas meter - {place}.") == ["gas-meter=place"]


def test_the_same_place_is_told_by_the_word_alone() -> None:
    assert _facts("B", "Consumer unit - hall cupboard. Gas meter - same.") == [
        "consumer-unit=place",
        "gas-meter=place",
    ]


def test_at_head_height_is_no_top_of_a_window() -> None:
    assert _facts("B", "I couldn't reach the consumer unit at head height.") == ["consumer-unit=could-not"]


def test_a_sentence_that_was_long_keeps_its_stop_before_a_question() -> None:
    said = "Consumer unit is in the lounge corner behind the telly, gas meter under the stairs, boiler kitchen. Why?"
    assert {"consumer-unit=place", "gas-meter=place", "boiler=place"} <= set(
        _facts("B", f"Yes.\n91 / 204 / 9\n{said}")
    )


@pytest.mark.parametrize(
    "words",
    [
        "height is 2.55 by the sofa and 2.545 where the hob is",
        "the heights are 255 by the door and 254.5 under the window",
    ],
)
def test_where_a_height_was_measured_makes_it_no_other(words: str) -> None:
    assert _facts("A", words) == ["ceiling-height=?2550", "ceiling-height=?2545"]


@pytest.mark.parametrize(
    "place", ["Under the stairs, left of the hoover", "Gas meter in the porch, behind the coats"]
)
def test_a_sentence_for_each_thing_in_the_letters_order(place: str) -> None:
    facts = [
        "wall-sections=3865",
        "reveal-depth=140",
        "gas-meter=place",
        "ceiling-height=2410",
        "ceiling-height=2420",
    ]
    assert _facts("A", f"386.5. 14. {place}. 241 and 242.") == facts


@pytest.mark.parametrize(
    "talk",
    [
        "yes to your question about the number",
        "Just a note to say how much we enjoyed our morning at the showroom",
        "I was on the ladder anyway changing a bulb",
        "Matt's away with his phone, mine's cracked",
        "we love it",
        "I measure in millimetre and cannot do other",
    ],
)
def test_talk_calls_for_nobody(talk: str) -> None:
    assert _read("A", f"386.5, 14, no gas, 241. {talk}.").needs == ()
