"""Words beside numbers: common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest

from intake.domain.sketch.words_for_roles import is_letters, odds_of_letters, role_of_words, weighed_roles
from intake.model.errors import SettingsError
from intake.model.reading import Alternative, Role
from intake.reading.plan_letters import plan_letters


@pytest.mark.parametrize(
    ("words", "role"),
    [
        ("H=", Role.CEILING),
        ("ceiling height", Role.CEILING),
        ("celling", Role.CEILING),
        ("CH", Role.CEILING),
        ("sill height", Role.SILL),
        ("floor to sill", Role.SILL),
        ("floortosill", Role.SILL),
        ("fromtop", Role.HEAD),
        ("cill", Role.SILL),
        ("head ht", Role.HEAD),
        ("Reveal", Role.REVEAL),
        ("stop tap", Role.FIXTURE),
        ("boiler", Role.FIXTURE),
        ("door", Role.OPENING),
        ("win.", Role.OPENING),
        ("W", Role.OPENING),
        ("overall", Role.OVERALL),
        ("please ring", None),
        ("", None),
    ],
)
def test_words_name_a_role(words: str, role: Role | None) -> None:
    assert role_of_words(words) is role


def _likeliest(named: Role | None, lengths: list[int], **chances: float) -> Role:
    roles = weighed_roles({role: chances.get(role.name, 0.01) for role in Role}, named, lengths)
    assert sum(roles.values()) == pytest.approx(1)
    return max(roles, key=lambda role: roles[role])


def test_a_roles_chance_weighs_the_drawing_the_words_and_the_length() -> None:
    assert _likeliest(None, [950], SECTION=0.6, OVERALL=0.3) is Role.SECTION
    assert _likeliest(Role.SILL, [950], SECTION=0.6, SILL=0.1) is Role.SILL
    # No ceiling of a home is 40 cm high, and none is 40 m (ranges of common practice, no source).
    assert _likeliest(None, [40, 400, 40_000], CEILING=0.5, FIXTURE=0.3) is Role.FIXTURE
    assert _likeliest(None, [240, 2400, 240_000], CEILING=0.5, FIXTURE=0.3) is Role.CEILING


def test_letters_come_from_the_lists_of_all_languages() -> None:
    known = plan_letters()
    assert known["s"][Role.SILL] == known["bh"][Role.SILL] == 20
    assert is_letters("C/H", known) and is_letters("W.", known) and not is_letters("boiler", known)
    odds = odds_of_letters([Alternative("S", 0.9)], known)
    assert odds[Role.SILL] > 10 > 1 > odds[Role.OVERALL]
    assert odds_of_letters([Alternative("Q", 0.9)], known) == {}


@pytest.mark.parametrize("wrong", ["- letters: [q]\n  ceiling: 3\n", "- [q]\n", "s: 20\n", "- letters: [q\n"])
def test_a_wrong_list_is_named(wrong: str, tmp_path: Path) -> None:
    (tmp_path / "fr.yaml").write_text(wrong)
    with pytest.raises(SettingsError, match=r"fr\.yaml"):
        plan_letters(tmp_path)


@pytest.mark.parametrize(
    ("words", "role"),
    [
        ("Brüstung", Role.SILL),
        ("BRUSTUNG", Role.SILL),
        ("alfeizar", Role.SILL),
        ("allège", Role.SILL),
        ("vensterbank", Role.SILL),
        ("davanzale", Role.SILL),
        ("parapet", Role.SILL),
        ("Laibungstiefe", Role.REVEAL),
        ("dagkant", Role.REVEAL),
        ("Sturzhöhe", Role.HEAD),
        ("linteau", Role.HEAD),
        ("nadproże", Role.HEAD),
        ("Raumhöhe =", Role.CEILING),
        ("hauteur", Role.CEILING),
        ("plafond", Role.CEILING),
        ("wysokość", Role.CEILING),
        ("Spüle", Role.FIXTURE),
        ("tableau", Role.FIXTURE),
        ("meterkast", Role.FIXTURE),
        ("Heizkorpar", Role.FIXTURE),
        ("fenêtre", Role.OPENING),
        ("okno", Role.OPENING),
        ("insgesamt", Role.OVERALL),
        ("hauteur sol plafond", Role.CEILING),
        ("prise hauteur sol", Role.FIXTURE),
        ("hauteur porte", Role.HEAD),
        ("door height", Role.HEAD),
        ("Höhe Tür", Role.HEAD),
        ("Tiefe Fensterbank", Role.REVEAL),
        ("Fensterbrett vom Boden", Role.SILL),
    ],
)
def test_words_of_other_languages_name_a_role(words: str, role: Role) -> None:
    """Common practice, no source; a plan's reader knows no marks, and one letter of a long word may be misread."""
    assert role_of_words(words) is role


@pytest.mark.parametrize(
    "words", ["Küche", "Bad", "cocina", "tout en cm", "merci", "danke", "gemessen", "kuchnia"]
)
def test_other_words_of_those_languages_name_none(words: str) -> None:
    assert role_of_words(words) is None
