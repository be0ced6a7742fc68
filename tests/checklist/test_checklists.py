"""The checklists that ship, and how a wrong one is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from intake.checklists import ROOMS, load_checklists
from intake.domain.lengths.plausible import SOUND_MM
from intake.model.checklist import RoomKind
from intake.model.errors import SettingsError
from intake.model.reading import Role

SHIPPED = Path(__file__).parents[2] / "config" / "checklists"
LISTS = load_checklists(SHIPPED)

# What scripts outside the project rely on: these ids, on every kitchen's checklist.
EVERY_KITCHEN = {
    "sketch", "wall-sections", "overall", "ceiling-height", "sill-height", "head-height", "reveal-depth", "openings",
    "room-photographs", "consumer-unit", "gas-meter", "boiler", "water-main",
}  # fmt: skip


def test_every_kitchen_has_the_items_that_scripts_rely_on() -> None:
    blocking = {i.id for i in LISTS[RoomKind.KITCHEN].items if i.blocking}
    assert blocking == EVERY_KITCHEN


def test_a_room_not_yet_known_is_held_to_what_every_room_needs() -> None:
    found = {i.id for i in LISTS[RoomKind.UNKNOWN].items}
    assert found >= EVERY_KITCHEN


@pytest.mark.parametrize("room", [*ROOMS, RoomKind.UNKNOWN])
def test_each_item_tells_the_customer_what_how_and_why(room: RoomKind) -> None:
    for item in LISTS[room].items:
        assert item.ask.endswith(".") and item.how.endswith((".", "?")) and item.why.endswith("."), item.id
        assert "words" not in item.evidence or item.words, f"{item.id} counts words but names none"
        assert "picture" not in item.evidence or item.pictures or item.id == "slope" or not item.blocking, (
            item.id
        )
        assert item.range_mm is None or item.range_source, item.id


def test_guidance_on_services_always_carries_its_caution() -> None:
    for room in ROOMS:
        for item_id, caution in (
            ("gas-meter", "gas"),
            ("consumer-unit", "electricity"),
            ("boiler", "boiler"),
        ):
            item = LISTS[room].item(item_id)
            assert item is not None and item.caution == caution


GOOD = """\
room: kitchen
items:
  - sketch
  - id: hatch
    title: Hatch
    ask: Please measure the hatch.
    how: With the tape.
    why: It must open.
    evidence: [number]
    roles: [fixture]
    range_cm: [20, 80]
    source: common practice, no source
"""


@pytest.mark.parametrize(
    ("wrong", "line", "says"),
    [
        (GOOD.replace("roles:", "rolls:"), 10, "rolls"),
        (GOOD.replace("[fixture]", "[fixtures]"), 10, "fixtures"),
        (GOOD.replace("[number]", "[telepathy]"), 9, "telepathy"),
        (GOOD.replace("[20, 80]", "[80, 20]"), 11, "80"),
        (GOOD.replace("[20, 80]", "[20]"), 11, "two numbers"),
        (GOOD.replace("[20, 80]", "[twenty, 80]"), 11, "two numbers"),
        (GOOD.replace("[20, 80]", "20 to 80"), 11, "list"),
        (GOOD.replace("    source: common practice, no source\n", ""), 11, "source"),
        (GOOD.replace("    why: It must open.\n", ""), 4, "why"),
        (GOOD.replace("Please measure the hatch.", ""), 6, "words"),
        (GOOD.replace("    why:", "    caution: dragons\n    why:"), 8, "dragons"),
        (GOOD.replace("    why:", "    blocking: perhaps\n    why:"), 8, "true or false"),
        (GOOD.replace("    why:", "    count: 0\n    why:"), 8, "1 to 50"),
        (GOOD.replace("    why:", "    how: Again.\n    why:"), 8, "twice"),
        (GOOD.replace("  - sketch", "  - sketch\n  - sketch"), 4, "twice"),
        (GOOD.replace("  - sketch", "  - skitch"), 3, "skitch"),
        (GOOD.replace("room: kitchen", "room: bathroom"), 1, "kitchen"),
        (GOOD.replace("room: kitchen", "rooms: kitchen"), 1, "rooms"),
        (GOOD.replace("room: kitchen\n", ""), 1, "room"),
        (GOOD.replace("  - id: hatch", "  - id: [hatch"), 5, ""),
        (GOOD.replace("room: kitchen", "room: !!python/object:os.system kitchen"), 1, ""),
        ("", 1, "empty"),
        ("- a\n- b\n", 1, "key: value"),
    ],
)
def test_a_wrong_checklist_is_refused_by_file_and_line(
    tmp_path: Path, wrong: str, line: int, says: str
) -> None:
    folder = tmp_path / "checklists"
    shutil.copytree(SHIPPED, folder)
    (folder / "kitchen.yaml").write_text(wrong, encoding="utf-8")
    with pytest.raises(SettingsError) as raised:
        load_checklists(folder)
    told = raised.value.line()
    assert f"kitchen.yaml, line {line}:" in told
    assert says in told
    assert "\n" not in told


def test_the_small_example_is_a_good_one(tmp_path: Path) -> None:
    folder = tmp_path / "checklists"
    shutil.copytree(SHIPPED, folder)
    (folder / "kitchen.yaml").write_text(GOOD, encoding="utf-8")
    item = load_checklists(folder)[RoomKind.KITCHEN].item("hatch")
    assert item is not None and item.range_mm == (200, 800)


def test_a_missing_or_unreadable_file_is_told_plainly(tmp_path: Path) -> None:
    folder = tmp_path / "checklists"
    shutil.copytree(SHIPPED, folder)
    (folder / "bedroom.yaml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SettingsError, match=r"bedroom\.yaml"):
        load_checklists(folder)
    (folder / "bedroom.yaml").unlink()
    with pytest.raises(SettingsError, match="There is no checklist"):
        load_checklists(folder)


def test_the_rules_of_the_room_and_the_checklists_agree_on_what_is_sound() -> None:
    for checklist in LISTS.values():
        sound = {item.id: item.range_mm for item in checklist.items}
        assert sound["wall-sections"] == SOUND_MM[Role.SECTION]
        assert sound["overall"] == SOUND_MM[Role.OVERALL]
