"""A designer's decisions: each takes effect at once, is kept with who and when, and can be undone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from intake.mailbox.folder import FolderMailbox
from intake.model.checklist import ItemState, RoomKind
from intake.model.errors import NotFound
from intake.model.letter import LetterState
from intake.model.reading import Role
from intake.store.filing import Filing
from intake.work import decide, refile, write
from intake.work.collect import collect
from intake.work.decide import NotPossible
from intake.work.job_view import JobView, job_view
from intake.work.refile import CannotRefile
from intake.work.sketch_view import Trust
from tests.web import plans, world
from tests.web.conftest import Place


def _view(place: Place, job: str) -> JobView:
    return job_view(place.services, job)


def _doubtful(view: JobView) -> tuple[str, int, str]:
    """The picture, index and right text of the first doubtful number."""
    assert view.main is not None
    number = next(n for n in view.main.numbers if n.standing is Trust.DOUBTFUL)
    return view.main.picture.id, number.index, number.alternatives[0].text


def test_a_correction_moves_the_plan_and_undoing_moves_it_back(place: Place) -> None:
    job = place.job("Ines")
    before = _view(place, job)
    picture, index, right = _doubtful(before)
    key = decide.correct(place.services, job, picture, index, right, "maya")
    after = _view(place, job)
    assert before.room and after.room and before.main and after.main
    number = after.main.numbers[index]
    assert (number.text, number.standing, number.by) == (right, Trust.CONFIRMED, "maya")
    assert number.read_as == before.main.numbers[index].text
    assert after.room.placed != before.room.placed
    assert after.main.doubtful == before.main.doubtful - 1
    decide.undo(place.services, job, key, "jon")
    again = _view(place, job)
    assert again.room is not None and again.room.placed == before.room.placed
    assert again.decisions[0].undone == "jon" and again.decisions[0].by == "maya"


def test_correcting_every_doubtful_number_rightly_closes_the_room(place: Place) -> None:
    job = place.job("Tomas")
    before = _view(place, job)
    assert before.main is not None and before.main.doubtful and before.room is not None
    keys = []
    for number in before.main.numbers:
        if number.standing is Trust.DOUBTFUL:
            right = number.alternatives[0].text
            keys.append(
                decide.correct(place.services, job, before.main.picture.id, number.index, right, "maya")
            )
    after = _view(place, job)
    assert after.room is not None and after.room.closes
    for key in reversed(keys):
        decide.undo(place.services, job, key, "maya")


@pytest.mark.parametrize("text", ["", "about two metres", "0", "12.34.5", "1e9", "-3"])
def test_what_is_no_length_is_refused(place: Place, text: str) -> None:
    job = place.job("Ines")
    picture, index, _ = _doubtful(_view(place, job))
    with pytest.raises(NotPossible):
        decide.correct(place.services, job, picture, index, text, "maya")
    assert _view(place, job).main.numbers[index].standing is Trust.DOUBTFUL  # type: ignore[union-attr]


def test_numbers_of_another_job_cannot_be_reached(place: Place) -> None:
    picture, index, right = _doubtful(_view(place, place.job("Ines")))
    with pytest.raises(NotFound):
        decide.correct(place.services, place.job("Ada"), picture, index, right, "maya")
    for index in (-1, 999):
        with pytest.raises((NotFound, NotPossible)):
            decide.confirm(place.services, place.job("Ines"), picture, index, "maya")


def test_what_is_no_length_leaves_the_room(place: Place) -> None:
    job = place.job("Ines")
    picture, index, _ = _doubtful(_view(place, job))
    key = decide.drop(place.services, job, picture, index, "maya")
    number = _view(place, job).main.numbers[index]  # type: ignore[union-attr]
    assert number.standing is Trust.DROPPED and number.value_mm is None
    decide.undo(place.services, job, key, "maya")
    with pytest.raises(NotPossible):
        decide.undo(place.services, job, key, "maya")


def test_a_number_that_was_missed_is_added_and_taken_back(place: Place) -> None:
    job = place.job("Ines")
    before = _view(place, job)
    assert before.main is not None and before.room is not None
    picture, count = before.main.picture.id, len(before.main.numbers)
    at = (before.main.width * 0.5, before.main.height * 0.5)
    with pytest.raises(NotPossible):
        decide.add_number(place.services, job, picture, "wide", at, "overall", 0, "maya")
    key = decide.add_number(place.services, job, picture, "81", at, "overall", 1, "maya")
    after = _view(place, job)
    assert after.main is not None and after.room is not None
    added = after.main.numbers[count]
    assert (added.text, added.value_mm, added.standing, added.added) == ("81", 810, Trust.CONFIRMED, True)
    assert [o.value_mm for o in after.room.survey.walls[1].overalls] == [810]
    assert all(0 <= x <= after.main.width and 0 <= y <= after.main.height for x, y in added.box)
    decide.undo(place.services, job, key, "maya")
    again = _view(place, job)
    assert again.main is not None and len(again.main.numbers) == count


def test_an_added_number_is_corrected_in_place_whatever_else_is_undone(place: Place) -> None:
    job = place.job("Ines")
    view = _view(place, job)
    assert view.main is not None
    picture, count = view.main.picture.id, len(view.main.numbers)
    at = (300.0, 300.0)
    first = decide.add_number(place.services, job, picture, "81", at, "overall", 1, "maya")
    second = decide.add_number(place.services, job, picture, "92", at, "overall", 3, "maya")
    fixed = decide.correct(place.services, job, picture, count + 1, "95", "jon")
    numbers = _view(place, job).main.numbers  # type: ignore[union-attr]
    assert [(n.text, n.read_as, n.by) for n in numbers[count:]] == [("81", "81", "maya"), ("95", "92", "jon")]
    assert "“92” is 95" in [d.text for d in _view(place, job).decisions]
    decide.undo(place.services, job, first, "maya")
    alone = _view(place, job)
    assert alone.main is not None and alone.room is not None
    assert [n.text for n in alone.main.numbers[count:]] == ["95"], "the correction went to another number"
    assert [o.value_mm for o in alone.room.survey.walls[3].overalls] == [950]
    decide.drop(place.services, job, picture, count, "jon")
    assert _view(place, job).main.numbers[count].standing is Trust.DROPPED  # type: ignore[union-attr]
    decide.confirm(place.services, job, picture, count, "jon")
    back = _view(place, job).main.numbers[count]  # type: ignore[union-attr]
    assert (back.text, back.standing, back.wall) == ("95", Trust.CONFIRMED, 3)
    decide.undo(place.services, job, second, "maya")
    left = _view(place, job)
    assert left.main is not None and len(left.main.numbers) == count, "what is not there cannot be corrected"
    for trace in (d for d in left.decisions if not d.undone and d.id >= fixed):
        decide.undo(place.services, job, trace.id, "maya")


def test_what_a_number_measures_says_nothing_of_what_it_says(place: Place) -> None:
    job = place.job("Ines")
    picture, index, right = _doubtful(_view(place, job))
    moved = decide.replace_role(place.services, job, picture, index, "fixture", 2, "maya")
    number = _view(place, job).main.numbers[index]  # type: ignore[union-attr]
    assert (number.role, number.wall, number.standing) == (Role.FIXTURE, 2, Trust.DOUBTFUL)
    settled = decide.correct(place.services, job, picture, index, right, "maya")
    number = _view(place, job).main.numbers[index]  # type: ignore[union-attr]
    assert (number.role, number.wall, number.text) == (Role.FIXTURE, 2, right)
    assert [t.text for t in _view(place, job).holds] == [f"“{number.read_as}” is {right} (fixture)"]
    decide.undo(place.services, job, settled, "maya")
    decide.undo(place.services, job, moved, "maya")
    assert _view(place, job).holds == ()


def _heights(view: JobView, name: str) -> list[int | None]:
    assert view.room is not None
    sections = [s for w in view.room.survey.walls for s in w.sections]
    return [m.value_mm for s in sections if (m := getattr(s, name)) is not None]


def test_heights_told_in_the_mail_stand_on_the_openings(place: Place) -> None:
    view = _view(place, place.job("Wren"))
    assert _heights(view, "sill") == [1040] and _heights(view, "top_above_floor") == [2040]
    rows = {row.title: [(h.label, h.said) for h in row.heights] for row in view.heights}
    assert ("sill", "104 told") in rows["W1, wall A: window, 150 cm wide"]
    assert rows["D1, wall E: door, 78 cm wide"] == [("top", "204 told")]


def test_a_height_is_typed_for_the_window_meant_and_taken_back(place: Place) -> None:
    job = place.job("Ines")
    view = _view(place, job)
    assert view.main is not None and _heights(view, "sill") == []
    picture = view.main.picture.id
    windows = [n for n in view.main.numbers if n.role is Role.OPENING and n.text in ("120", "62.5")]
    (second,) = (n.index for n in windows if n.text == "62.5")
    for bad in ({f"sill-height {second}": "high"}, {"sill-height 99": "104"}, {"wall-section 1": "104"}):
        with pytest.raises((NotPossible, NotFound)):
            decide.type_heights(place.services, job, picture, {"ceiling-height": "240"} | bad, "maya")
    assert _view(place, job).decisions == view.decisions, "where one is wrong none is taken"
    typed = {
        f"sill-height {second}": "98.5",
        f"head-height {second}": "205",
        "ceiling-height": "240",
        "x": " ",
    }
    keys = decide.type_heights(place.services, job, picture, typed, "maya")
    after = _view(place, job)
    assert after.room is not None
    assert [s.sill.value_mm for s in after.room.survey.walls[3].sections if s.sill] == [985]
    assert [c.value_mm for c in after.room.survey.ceilings] == [2400]
    stands = {s.item.id: s.state for s in after.standings}
    assert stands["sill-height"] is ItemState.PRESENT and stands["ceiling-height"] is ItemState.PRESENT
    for key in keys:
        decide.undo(place.services, job, key, "jon")
    assert _heights(_view(place, job), "sill") == []


ROOM = """room: kitchen
unit: cm
walls:
  - runs: E
    sections: [100, {window: 120, sill: 104, head: 205, reveal: 12}, 180]
    overall: 400
  - runs: S
    sections: [300]
  - runs: W
    sections: [250, {door: 80}, 70]
    overall: 400
  - runs: N
    sections: [300]
ceilings: [241]
"""


def test_a_typed_room_settles_what_it_answers_and_nobody_is_asked_about_ink(place: Place) -> None:
    job = place.job("Ines")
    before = _view(place, job)
    assert before.letter is not None and any(a.picture for a in before.letter.letter.asks)
    key = decide.type_room(place.services, job, ROOM, yaml.safe_load(ROOM), "maya")
    after = _view(place, job)
    stands = {s.item.id: s.state for s in after.standings}
    lengths = (
        "wall-sections",
        "overall",
        "openings",
        "sill-height",
        "head-height",
        "reveal-depth",
        "ceiling-height",
    )
    assert {stands[i] for i in lengths} == {ItemState.PRESENT}
    assert stands["water-main"] is ItemState.MISSING
    assert after.letter is not None and not any(a.picture for a in after.letter.letter.asks)
    decide.undo(place.services, job, key, "maya")
    assert {s.item.id: s.state for s in _view(place, job).standings} == {
        s.item.id: s.state for s in before.standings
    }


def test_an_item_is_what_the_designer_says_until_it_is_undone(place: Place) -> None:
    job = place.job("Ada")
    key = decide.set_item(place.services, job, "consumer-unit", "confirmed", "Seen on the telephone.", "maya")
    standing = next(s for s in _view(place, job).standings if s.item.id == "consumer-unit")
    assert standing.state is ItemState.CONFIRMED
    decide.undo(place.services, job, key, "maya")
    standing = next(s for s in _view(place, job).standings if s.item.id == "consumer-unit")
    assert standing.state is not ItemState.CONFIRMED


def test_a_letter_is_edited_released_and_taken_back(place: Place) -> None:
    job = place.job("Ada")
    letter = _view(place, job).letter
    assert letter is not None and letter.state is LetterState.DRAFT and len(letter.letter.asks) > 1
    asks = {0: ("Would you measure the sill, please?", "From the floor up.")}
    write.edit_letter(place.services, job, letter.id, write.Edit("Thank you, Ada.", asks), "maya")
    edited = _view(place, job).letter
    assert edited is not None and edited.edited and len(edited.letter.asks) == 1
    for body in (edited.text, edited.html, edited.raw.decode("utf-8", "replace").replace("=\n", "")):
        assert "Would you measure the sill, please?" in body
    assert edited.subject == letter.subject and edited.in_reply_to == letter.in_reply_to
    write.release_letter(place.services, job, letter.id, "maya")
    assert _view(place, job).letter.state is LetterState.DUE  # type: ignore[union-attr]
    with pytest.raises(NotPossible):
        write.edit_letter(place.services, job, letter.id, write.Edit("Too late.", asks), "maya")
    write.hold_letter(place.services, job, letter.id, "maya")
    assert _view(place, job).letter.state is LetterState.DRAFT  # type: ignore[union-attr]


def test_a_letter_that_the_rules_hold_needs_the_designers_word(place: Place) -> None:
    job = place.job("Wren")
    letter = _view(place, job).letter
    assert letter is not None
    with place.services.store.transaction() as tables:
        tables.letters.change(
            letter.id, state=LetterState.HELD, held_because="Nobody vouches for the sender."
        )
    with pytest.raises(NotPossible, match="vouches"):
        write.release_letter(place.services, job, letter.id, "maya")
    write.release_letter(place.services, job, letter.id, "maya", sure=True)
    write.hold_letter(place.services, job, letter.id, "maya")
    held = _view(place, job).letter
    assert held is not None and held.state is LetterState.HELD
    with place.services.store.transaction() as tables:
        tables.letters.change(letter.id, state=LetterState.DRAFT, held_because=None)


def test_stopping_the_letters_withdraws_the_draft_and_is_undone(place: Place) -> None:
    job = place.job("Oscar")
    key = decide.stop(place.services, job, "We have spoken.", "maya")
    stopped = _view(place, job)
    assert (
        stopped.letter is None
        and stopped.file.stopped == "We have spoken."
        and stopped.row.state == "stopped"
    )
    decide.undo(place.services, job, key, "maya")
    assert _view(place, job).letter is not None


def _snapshot(view: JobView) -> tuple[object, ...]:
    numbers = tuple((n.text, n.standing) for s in view.sketches for n in s.numbers)
    messages = tuple(m.sha256 for m in view.file.messages)
    return messages, tuple(k.picture.id for k in view.pictures), numbers, set(view.file.job.addresses)


def test_merging_brings_everything_and_undoing_gives_everything_back(place: Place) -> None:
    services, home, other = place.services, place.job("Oscar"), place.job("Ines")
    picture, index, right = _doubtful(_view(place, other))
    decide.correct(services, other, picture, index, right, "maya")
    added = decide.add_number(services, other, picture, "77.5", (300, 300), "overall", 1, "maya")
    before_home, before_other = _snapshot(_view(place, home)), _snapshot(_view(place, other))
    key = refile.merge_jobs(services, home, other, "maya")
    merged = _view(place, home)
    assert _view(place, other).file.job.id == home
    assert {m.sha256 for m in merged.file.messages} == {*before_home[0], *before_other[0]}  # type: ignore[misc]
    kept = merged.main.numbers[index]  # type: ignore[union-attr]
    assert (kept.text, kept.standing) == (right, Trust.CONFIRMED), "a correction went missing in the merge"
    assert merged.main.numbers[-1].text == "77.5", "a number that was added went missing in the merge"  # type: ignore[union-attr]
    decide.undo(services, home, key, "maya")
    assert _snapshot(_view(place, home)) == before_home
    assert _snapshot(_view(place, other)) == before_other
    decide.undo(services, other, added, "maya")
    decide.undo(services, other, _view(place, other).last.id, "maya")  # type: ignore[union-attr]


def test_a_job_is_not_merged_with_itself_or_with_nothing(place: Place) -> None:
    job = place.job("Oscar")
    for other in (job, "R-NONE"):
        with pytest.raises((CannotRefile, NotFound)):
            refile.merge_jobs(place.services, job, other, "maya")


def test_an_offer_is_taken_refused_or_made_again(place: Place) -> None:
    services, home, other = place.services, place.job("Oscar"), place.job("Wren")
    sha256 = _view(place, home).file.messages[0].sha256
    with services.store.transaction() as tables:
        Filing(tables.db).set_offers({sha256: [other]})
    assert _view(place, home).offers == (other,) and other in _view(place, home).row.next
    apart = refile.keep_apart(services, home, other, "maya")
    assert _view(place, home).offers == ()
    decide.undo(services, home, apart, "maya")
    assert _view(place, home).offers == (other,)
    merge = refile.merge_jobs(services, home, other, "maya")
    assert _view(place, home).offers == (), "a job that has been merged is no longer offered"
    decide.undo(services, home, merge, "maya")
    with services.store.transaction() as tables:
        Filing(tables.db).set_offers({sha256: []})


def test_mail_that_comes_after_a_merge_goes_where_the_job_went(
    place: Place, tmp_path_factory: pytest.TempPathFactory
) -> None:
    services, home, other = place.services, place.job("Oscar"), place.job("Wren")
    key = refile.merge_jobs(services, home, other, "maya")
    folder = tmp_path_factory.mktemp("later")
    wren = next(p for p in world.PEOPLE if p.name.startswith("Wren"))
    reply = world.message(
        world.Person(wren.name, wren.email, "kitchen", None, "It is 2.40 m.", 1, 0), world.NOW, None
    )
    reply = reply.replace(b"<wren.castle.post.example@post.example>", b"<second@post.example>")
    original = b"<wren.castle.post.example@post.example>"
    (folder / "reply.eml").write_bytes(b"In-Reply-To: " + original + b"\n" + reply)
    assert home in collect(FolderMailbox(folder), services).jobs
    assert "It is 2.40 m." in _view(place, home).file.messages[-1].own_words
    decide.undo(services, home, key, "maya")
    assert "It is 2.40 m." in _view(place, home).file.messages[-1].own_words


@pytest.mark.parametrize(
    ("asked_for", "plan", "goes"), [(True, False, True), (True, True, False), (False, False, False)]
)
def test_the_guide_goes_at_first_contact_where_the_settings_say_so(
    place: Place, tmp_path: Path, asked_for: bool, plan: bool, goes: bool
) -> None:
    """A customer writes for the first time, with a plan or without."""
    oscar = next(p for p in world.PEOPLE if p.name.startswith("Oscar"))
    person = replace(oscar, plan=plans.KITCHEN if plan else None)
    policy = replace(place.services.policy, send_guide=asked_for)
    with world.desk(tmp_path, (person,), services_change=lambda s: replace(s, policy=policy)) as (
        _,
        services,
    ):
        (job,) = world.jobs(services)
        letter = job_view(services, job).letter
        assert letter is not None and (b"application/pdf" in letter.raw) == goes
        assert (letter.letter.guide is RoomKind.KITCHEN) == goes


def test_splitting_opens_a_job_and_undoing_closes_it(place: Place) -> None:
    services, home = place.services, place.job("Oscar")
    merge = refile.merge_jobs(services, home, place.job("Wren"), "maya")
    messages = [m.sha256 for m in _view(place, home).file.messages]
    assert len(messages) > 1
    new = refile.split_job(services, home, messages[-1:], "maya")
    assert [m.sha256 for m in _view(place, new).file.messages] == messages[-1:]
    assert [m.sha256 for m in _view(place, home).file.messages] == messages[:-1]
    with pytest.raises(CannotRefile):
        refile.split_job(services, home, messages[:-1], "maya")
    decide.undo(services, home, _view(place, home).last.id, "maya")  # type: ignore[union-attr]
    assert [m.sha256 for m in _view(place, home).file.messages] == messages
    assert _view(place, new).file.job.id == home, "the new job's reference must go on leading somewhere"
    decide.undo(services, home, merge, "maya")


def test_moving_a_message_takes_the_corrections_on_its_pictures_along(place: Place) -> None:
    services, home, other = place.services, place.job("Ada"), place.job("Ines")
    before = _snapshot(_view(place, home)), _snapshot(_view(place, other))
    picture, index, right = _doubtful(_view(place, other))
    correction = decide.correct(services, other, picture, index, right, "maya")
    sha256 = _view(place, other).file.messages[0].sha256
    key = refile.move_message(services, sha256, home, "maya")
    moved = next(s for s in _view(place, home).sketches if s.picture.id == picture)
    assert moved.numbers[index].text == right
    assert _view(place, other).file.job.id == home, "an emptied job stands for the one its messages went to"
    decide.undo(services, home, key, "maya")
    decide.undo(services, other, correction, "maya")
    assert (_snapshot(_view(place, home))[:3], _snapshot(_view(place, other))[:3]) == (
        before[0][:3],
        before[1][:3],
    )


def test_every_change_is_in_the_audit(place: Place) -> None:
    client = place.client()
    job = place.job("Ada")
    place.post(client, f"/jobs/{job}/room", room="bedroom")
    html = client.get("/audit").get_data(as_text=True)
    assert "room" in html and job in html and "maya" in html


def test_a_designer_says_which_opening_is_the_window(place: Place) -> None:
    """The drawing shows the window as an opening of no kind; the mail gives its sill."""
    job = place.job("Wren")
    view = _view(place, job)
    assert view.main is not None
    window, door = (next(n for n in view.main.numbers if n.text == text) for text in ("150", "78"))
    assert (window.opening, door.opening) == ("window", "door"), "as drawn"
    picture = view.main.picture.id
    keys = [
        decide.replace_role(place.services, job, picture, window.index, "door", 0, "maya"),
        decide.replace_role(place.services, job, picture, door.index, "window", 4, "maya"),
    ]
    after = _view(place, job)
    assert after.main is not None and after.room is not None
    kinds = {s.length.text: s.kind.value for w in after.room.survey.walls for s in w.sections}
    assert (kinds["150"], kinds["78"]) == ("door", "window") and list(kinds.values()).count("window") == 1
    (sill,) = [s.sill for w in after.room.survey.walls for s in w.sections if s.sill]
    assert (sill.id, sill.value_mm) == ("E2 sill", 1040)
    assert after.main.numbers[door.index].standing is Trust.ACCEPTED, "what it says was sure before"
    assert after.decisions[0].text == "“78” measures something else (window)"
    for key in keys:
        decide.undo(place.services, job, key, "maya")
    assert _view(place, job).room == view.room


@pytest.mark.parametrize(("answer", "state"), [("yes", LetterState.SENT), ("no", LetterState.FAILED)])
def test_a_letter_in_doubt_is_settled_by_whoever_found_out(
    tmp_path: Path, answer: str, state: LetterState
) -> None:
    oscar = next(p for p in world.PEOPLE if p.name.startswith("Oscar"))
    with world.desk(tmp_path, (oscar,)) as (app, services):
        here = Place(app, services)
        client, (job,) = here.client(), world.jobs(services)
        letter = _view(here, job).letter
        assert letter is not None
        with services.store.transaction() as tables:
            tables.letters.change(letter.id, state=LetterState.IN_DOUBT, answer="timed out")
        html = client.get(f"/jobs/{job}").get_data(as_text=True)
        assert "It never went out" in html and "The server said: timed out" in html
        path = f"/jobs/{job}/letters/{letter.id}/settle"
        assert here.post(client, path, arrived="perhaps").status_code == 400
        assert here.post(client, path, arrived=answer).status_code == 200
        with services.store.reading() as tables:
            kept = tables.letters.get(letter.id)
        assert kept is not None and kept.state is state
        assert (_view(here, job).letter is not None) == (answer == "no"), (
            "a new one is drafted where it never went"
        )
        assert "It never went out" not in client.get(f"/jobs/{job}").get_data(as_text=True)
        assert here.post(client, path, arrived="yes").status_code == 409
