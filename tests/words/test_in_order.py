"""Short answers in the letter's order: however they are parted, introduced and ended; and what stands in another order,
is one too few or of another kind, of which nothing is taken by its place. No outside source: the replies are put
together from their parts."""

from __future__ import annotations

from itertools import combinations, cycle, permutations

import pytest

from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

NUMBER, DEPTH, NO_GAS, CEILING = (
    "wall-sections=3805",
    "reveal-depth=140",
    "gas-meter=none",
    "ceiling-height=2410",
)
FIELDS = {"380.5": NUMBER, "14": DEPTH, "none": NO_GAS, "241": CEILING}
PARTED = (", ", "; ", "\n", "\n\n", "\n- ", ". ", " , ", " / ", " - ", " & ", " and ", " then ", ", then ")
BEGINS = (
    "",
    "In your order: ",
    "In order - ",
    "Answers: ",
    "Here you go: ",
    "so: ",
    "Hi Ines,\n",
    "Thanks for it.\n",
)
ENDS = ("", " Thanks!", "\nAda", "\n\nKind regards\nAda Hill", ". The rest to follow.")


def facts(words: str, letter: str = "A") -> list[str]:
    return facts_of(understand(words, LETTERS[letter], KITCHEN, "<m>"))


@pytest.mark.parametrize("parted", PARTED)
def test_a_list_in_the_letters_order_is_all_of_it_certain(parted: str) -> None:
    for begins, ends in zip(BEGINS, cycle(ENDS), strict=False):
        words = f"{begins}{parted.join(FIELDS)}{ends}"
        assert facts(words) == [*FIELDS.values()], words


def test_nothing_is_taken_by_its_place_where_the_order_is_another_or_one_is_missing() -> None:
    """But the number that was asked about, which is like no other."""
    every = [p for k in (1, 2, 3, 4) for chosen in combinations(FIELDS, k) for p in permutations(chosen)]
    for fields in every:
        if fields != tuple(FIELDS):
            found = facts(", ".join(fields))
            assert {f for f in found if "?" not in f} == {NUMBER} & {FIELDS[f] for f in fields}, fields
            lengths = {FIELDS[f].replace("=", "=?") for f in fields if f in ("14", "241")}
            assert {f for f in found if "?" in f} == lengths, fields


@pytest.mark.parametrize(
    ("words", "found"),
    [
        # A second ceiling, and a third; no second reveal.
        ("380.5, 14, none, 241, 242", [NUMBER, DEPTH, NO_GAS, CEILING, "ceiling-height=2420"]),
        (
            "380.5, 14, none, 241 by the window, 242 by the door",
            [NUMBER, DEPTH, NO_GAS, CEILING, "ceiling-height=2420"],
        ),
        ("380.5, 14, none, 241, 12", ["wall-sections=?3805", "reveal-depth=?140", "ceiling-height=?2410"]),
        # One unit or another, but each of its thing's size.
        ("3805, 140, none, 2410", [NUMBER, DEPTH, NO_GAS, CEILING]),
        ("3.805, 0.14, none, 2.41", [NUMBER, DEPTH, NO_GAS, CEILING]),
        ("380.5, 45, none, 241", [NUMBER, "reveal-depth=?450", "ceiling-height=?2410"]),
        # Another reading of the same ink, and none.
        ("381.5, 14, none, 241", ["wall-sections=3815", DEPTH, NO_GAS, CEILING]),
        ("280.5, 14, none, 241", ["wall-sections=?2805", "reveal-depth=?140", "ceiling-height=?2410"]),
        # A guess, or what nobody knows, is no answer.
        ("380.5, about 14, none, 241", [NUMBER, "reveal-depth=?140", "ceiling-height=?2410"]),
        ("380.5, 14, don't know, 241", [NUMBER, "reveal-depth=?140", "ceiling-height=?2410"]),
        # A remark behind an answer is none.
        (
            "380.5\n14\nno gas, we're all electric here\n241, 242",
            [NUMBER, DEPTH, NO_GAS, CEILING, "ceiling-height=2420"],
        ),
    ],
)
def test_lists_to_four_requests(words: str, found: list[str]) -> None:
    assert facts(words) == found


SILL, TOP, RECESS = "sill-height=1040", "head-height=2100", "reveal-depth=140"
WINDOW = [SILL, TOP, RECESS]
IN_DOUBT = [f.replace("=", "=?") for f in WINDOW]
PLACES = ["consumer-unit=place", "gas-meter=place", "boiler=place", "water-main=place"]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("yes, 104, 210, 14", ["wall-sections=2835", *WINDOW]),
        ("283.5, 104, 210, 14", ["wall-sections=2835", *WINDOW]),
        ("288.5, 104, 210, 14", ["wall-sections=2885", *WINDOW]),
        ("no, 288.5, 104, 210, 14", ["wall-sections=2885", *WINDOW]),
        ("no, 104, 210, 14", IN_DOUBT),
        ("104, 210, 14", IN_DOUBT),
        ("yes, 104, 210", ["wall-sections=2835", *IN_DOUBT[:2]]),
        ("yes, 210, 104, 14", ["wall-sections=2835", IN_DOUBT[1], IN_DOUBT[0], IN_DOUBT[2]]),
        ("yes, 104, 210, 14, hall, porch, loft, kitchen", ["wall-sections=2835", *WINDOW, *PLACES]),
        ("yes, 104, 210, 14, hall", ["wall-sections=2835", *WINDOW]),
        ("Window: 104, 210, 14", WINDOW),
        ("yes. Window: 104, 210, 14", ["wall-sections=2835", *WINDOW]),
        ("Window: 104, 210", IN_DOUBT[:2]),
        ("a) 104 b) 210 c) 14", WINDOW),
        ("b) 210 c) 14", WINDOW[1:]),
    ],
)
def test_lists_with_a_request_for_three(words: str, found: list[str]) -> None:
    assert facts(words, "B") == found
