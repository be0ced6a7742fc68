"""Words beside numbers: common practice, no source."""

from __future__ import annotations

import pytest

from intake.model.reading import Role
from intake.rules.roles import role_of_words


@pytest.mark.parametrize(
    ("words", "role"),
    [
        ("H=", Role.CEILING),
        ("ceiling height", Role.CEILING),
        ("celling", Role.CEILING),
        ("CH", Role.CEILING),
        ("sill height", Role.SILL),
        ("floor to sill", Role.SILL),
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
