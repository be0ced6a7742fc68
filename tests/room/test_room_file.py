"""Hand-typed room files."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.drawing.load import load_room_file, parse_room_text
from intake.model.errors import IntakeError, NotFound
from intake.model.room import RoomSurvey, SectionKind
from intake.wording import desk

EXAMPLES = Path(__file__).parents[2] / "fixtures" / "rooms"


def example(name: str) -> RoomSurvey:
    return room_from_dict(load_room_file(EXAMPLES / name))


@pytest.mark.parametrize("path", sorted(EXAMPLES.iterdir()), ids=lambda p: p.name)
def test_every_example_is_understood_whole(path: Path) -> None:
    assert not example(path.name).findings


@pytest.mark.parametrize(
    ("name", "closes"),
    [
        ("kitchen-l-shape.yaml", True),
        ("kitchen-swapped-digits.yaml", False),
        ("bathroom-splayed.yaml", True),
        ("bedroom-not-all-measured.yaml", True),
        ("kitchen-two-slips.json", False),
    ],
)
def test_examples_close_or_do_not(name: str, closes: bool) -> None:
    assert examine_room(example(name)).closes is closes


def test_what_an_example_says() -> None:
    room = example("kitchen-l-shape.yaml")
    window = room.walls[0].sections[1]
    assert window.kind is SectionKind.WINDOW
    assert window.sill is not None
    assert window.sill.value_mm == 1050
    door = room.walls[1].sections[1]
    assert (door.swing.hinge, door.swing.into, door.architrave.value) == ("left", "room", "inside")
    assert [c.value_mm for c in room.ceilings] == [2400, 2410]
    assert room.across[0].corners == (0, 2) and room.across[0].length.id == "across 1, corner A to C"
    assert room.fixed[0].height is not None
    assert room.fixed[0].height.value_mm == 1400


def test_what_was_not_measured_is_worked_out_where_the_rest_fixes_it() -> None:
    room = example("bedroom-not-all-measured.yaml")
    assert room.walls[1].sections[1].length.value_mm is None
    placed = examine_room(room).placed.walls
    door = placed[1].sections[1]
    assert (door.end_mm - door.start_mm, door.basis.value) == (750, "derived")
    assert (placed[3].length_mm, placed[3].basis.value) == (2850, "derived")


def test_units_and_feet() -> None:
    room = room_from_dict({"unit": "mm", "walls": [{"runs": "E", "sections": [955, "5ft 3", "1.2m"]}]})
    assert [s.length.value_mm for s in room.walls[0].sections] == [955, 1600, 1200]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"unit": "furlong"}, "unit"),
        ({"walls": 7}, "must be a list"),
        ({"walls": [3]}, "must be keys and values"),
        ({"walls": [{"runs": "NE"}]}, "is not one of"),
        ({"walls": [{"runs": "E", "sections": [{"windo": 120}]}]}, "needs exactly one of"),
        ({"walls": [{"runs": "E", "sections": [{"window": "wide"}]}]}, "is no length"),
        ({"walls": [{"runs": "E", "sections": [True]}]}, "is no length"),
        ({"walls": [{"runs": "E", "sections": [[1, 2]]}]}, "is no length"),
        ({"walls": [{"runs": "E"}], "across": [{"corners": ["A", "Z"]}]}, "there is no wall 'Z'"),
        (
            {"walls": [{"runs": "E", "sections": [{"door": 80, "hinge": "top"}]}]},
            "'top' is not one of left, right",
        ),
        ({"roof": "flat"}, "unknown key 'roof'"),
        ({"north": "up"}, "no number of degrees"),
    ],
)
def test_what_cannot_be_understood_is_a_finding_that_names_the_place(
    data: dict[str, Any], words: str
) -> None:
    findings = room_from_dict(data).findings
    assert any(words in desk.worded(f.text) for f in findings), findings
    assert {f.code for f in findings} == {"room-file"}


def test_negative_and_zero_lengths_are_the_rooms_own_finding() -> None:
    room = room_from_dict({"walls": [{"runs": "E", "sections": [-95.5, 0, "-3"]}]})
    assert not room.findings
    found = [f for f in examine_room(room).findings if f.code == "length-not-positive"]
    assert len(found) == 1
    assert "A1 -95.5 cm" in desk.worded(found[0].text)


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                ["walls", "runs", "sections", "window", "wall", "overall", "length", "corners", "sill"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


@given(
    st.dictionaries(
        st.sampled_from(["room", "unit", "walls", "across", "ceilings", "slopes", "fixed", "north"]),
        json_values,
    )
)
@settings(max_examples=150, deadline=None)
def test_no_file_raises(data: dict[str, Any]) -> None:
    examine_room(room_from_dict(data))


def test_loading_says_what_is_wrong(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="cannot be read"):
        load_room_file(tmp_path / "none.yaml")
    for name, content, words in (
        ("a.yaml", "walls: [", "not valid"),
        ("a.json", "{", "not valid"),
        ("a.yaml", "room: kitchen\nwalls:\n  - runs: [E\n", "line 4"),
        ("a.yaml", "a: 1\n? [1]\n: 2", "line 2: a key must be a word"),
        ("a.yaml", "- 1", "holds no room"),
        ("a.txt", "walls: []", "not a room file"),
        ("a.yaml", "a: &a [1]\nb: [*a, *a]", "line 2: aliases"),
        ("a.yaml", "!!python/object/apply:os.system [true]", "not valid"),
        ("a.yaml", "x: " + "[" * 5000, "not valid"),
        ("a.yaml", "#" * 1_000_001, "larger"),
    ):
        (tmp_path / name).write_text(content)
        with pytest.raises(IntakeError, match=words):
            load_room_file(tmp_path / name)


PLAIN = """
room: kitchen
closed: "no"
walls:
  - runs: E
    sections: [400]
    overall: 400
    overall: 410
  - runs: S
    sections:
      - wall: 100
      - chimney-breast: 130
        depth: 415
      - wall: 70
  - {runs: W, sections: [400]}
  - {runs: N, sections: [300]}
across:
  - walls: [A, B]
    length: 380
fixed:
  - name: boiler
    wall: A
    from-left: 380
    width: 40
"""


def test_each_fault_of_a_file_is_a_finding_with_its_line() -> None:
    texts = [
        desk.worded(f.text)
        for f in examine_room(room_from_dict(parse_room_text(PLAIN.encode(), "a.yaml"))).findings
    ]
    for words in (
        "line 3, closed: 'no' is neither true nor false",
        "line 8, wall A: 'overall' is given twice",
        "walls A and B do not face each other, so it is not used (line 19)",
        "boiler would reach 420 cm along wall A, which is 410 cm long (line 23)",
        "B2 (chimney-breast) is 415 cm deep, where the room is 410 cm (line 13)",
    ):
        assert any(words in t for t in texts), (words, texts)


def test_a_key_given_twice_in_json_is_a_finding() -> None:
    data = parse_room_text(b'{"walls": [{"runs": "E", "runs": "S"}]}', "a.json")
    assert any("'runs' is given twice" in desk.worded(f.text) for f in room_from_dict(data).findings)


def test_more_lengths_than_can_be_weighed_end_in_a_limit() -> None:
    def told(sections: int, walls: int = 1) -> list[str]:
        given = [{"runs": "ESWN"[n % 4], "sections": [5] * sections} for n in range(walls)]
        return [f.code for f in examine_room(room_from_dict({"walls": given})).findings]

    assert told(500) == ["room-file", "too-many-lengths"]
    assert told(61) == ["too-many-lengths"]
    assert "too-many-lengths" not in told(60)
    assert told(10, 80) == ["too-many-lengths"]
