"""What a designer does with a letter: edits it, releases it, holds it back, stops them all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from intake.model.checklist import RoomKind
from intake.model.letter import LetterState
from intake.model.phrase import as_said
from intake.work import decide, write
from intake.work.decide import NotPossible
from intake.work.job_view import job_view
from tests.web import plans, world
from tests.web.conftest import Place


def test_a_letter_is_edited_released_and_taken_back(place: Place) -> None:
    job = place.job("Ada")
    letter = place.view(job).letter
    assert letter is not None and letter.state is LetterState.DRAFT and len(letter.letter.asks) > 1
    asks = {0: ("Would you measure the sill, please?", "From the floor up.")}
    write.edit_letter(place.services, job, letter.id, write.Edit("Thank you, Ada.", asks), "maya")
    edited = place.view(job).letter
    assert edited is not None and edited.edited and len(edited.letter.asks) == 1
    for body in (edited.text, edited.html, edited.raw.decode("utf-8", "replace").replace("=\n", "")):
        assert "Would you measure the sill, please?" in body
    assert edited.subject == letter.subject and edited.in_reply_to == letter.in_reply_to
    write.release_letter(place.services, job, letter.id, "maya")
    assert place.view(job).letter.state is LetterState.DUE  # type: ignore[union-attr]
    with pytest.raises(NotPossible):
        write.edit_letter(place.services, job, letter.id, write.Edit("Too late.", asks), "maya")
    write.hold_letter(place.services, job, letter.id, "maya")
    assert place.view(job).letter.state is LetterState.DRAFT  # type: ignore[union-attr]


def test_a_letter_that_the_rules_hold_needs_the_designers_word(place: Place) -> None:
    job = place.job("Wren")
    letter = place.view(job).letter
    assert letter is not None
    with place.services.store.transaction() as tables:
        tables.letters.change(
            letter.id, state=LetterState.HELD, held_because=as_said("Nobody vouches for the sender.")
        )
    with pytest.raises(NotPossible, match="vouches"):
        write.release_letter(place.services, job, letter.id, "maya")
    write.release_letter(place.services, job, letter.id, "maya", sure=True)
    write.hold_letter(place.services, job, letter.id, "maya")
    held = place.view(job).letter
    assert held is not None and held.state is LetterState.HELD
    with place.services.store.transaction() as tables:
        tables.letters.change(letter.id, state=LetterState.DRAFT, held_because=None)


def test_stopping_the_letters_withdraws_the_draft_and_is_undone(place: Place) -> None:
    job = place.job("Oscar")
    key = decide.stop(place.services, job, "We have spoken.", "maya")
    stopped = place.view(job)
    assert (
        stopped.letter is None
        and stopped.file.stopped == "We have spoken."
        and stopped.row.state == "stopped"
    )
    decide.undo(place.services, job, key, "maya")
    assert place.view(job).letter is not None


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


@pytest.mark.parametrize(("answer", "state"), [("yes", LetterState.SENT), ("no", LetterState.FAILED)])
def test_a_letter_in_doubt_is_settled_by_whoever_found_out(
    tmp_path: Path, answer: str, state: LetterState
) -> None:
    oscar = next(p for p in world.PEOPLE if p.name.startswith("Oscar"))
    with world.desk(tmp_path, (oscar,)) as (app, services):
        here = Place(app, services)
        client, (job,) = here.client(), world.jobs(services)
        letter = here.view(job).letter
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
        assert (here.view(job).letter is not None) == (answer == "no"), (
            "a new one is drafted where it never went"
        )
        assert "It never went out" not in client.get(f"/jobs/{job}").get_data(as_text=True)
        assert here.post(client, path, arrived="yes").status_code == 409
