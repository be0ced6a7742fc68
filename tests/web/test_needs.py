"""Words that wait for a person are first on the desk, and one key deals with each."""

from __future__ import annotations

from pathlib import Path

import pytest

from intake.domain.mail.phone import phone_numbers
from intake.mailbox.folder import FolderMailbox
from intake.model.errors import NotFound
from intake.model.job import JobState
from intake.work import decide
from intake.work.collect import collect
from intake.work.decide import NotPossible
from intake.work.desk import front
from intake.work.job_view import JobView, job_view
from tests.web.conftest import Place
from tests.work.mail import SERVER, folder, message


def view(place: Place, job: str) -> JobView:
    return job_view(place.services, job)


def writes(place: Place, tmp_path: Path, name: str, words: str) -> str:
    """A new customer writes; the job."""
    sender = f"{name} Lowe <{name.lower()}@lowe.example>"
    raw = message(sender, "Our kitchen", words, 1, f"<1@{name.lower()}.example>")
    raw = raw.replace(SERVER.encode(), b"mx.alder.example")
    collect(FolderMailbox(folder(tmp_path / name, raw)), place.services)
    return place.job(name)


def test_what_nobody_understood_comes_first_and_is_taken_with_one_decision(
    place: Place, tmp_path: Path
) -> None:
    job = writes(place, tmp_path, "Nora", "Hello again, the frobnicated ledge thing is at 236 wotsits")
    first = front(place.services).groups[0]
    row = next(r for r in first.rows if r.id == job)
    assert first.state is JobState.TO_CHECK and row.next.startswith("Read this: “")
    needful = [bool(view(place, r.id).needs) for r in first.rows]
    assert needful == sorted(needful, reverse=True)
    (need,) = view(place, job).needs
    take = next(t for t in need.takes if t.item == "ceiling-height")
    key = decide.take(place.services, job, need.need.key, take.item, take.kind, take.value_mm, "maya")
    after = view(place, job)
    assert after.needs == ()
    ceiling = next(s for s in after.standings if s.item.id == "ceiling-height")
    assert 2360 in [e.value_mm for e in ceiling.evidence]
    decide.undo(place.services, job, key, "maya")
    assert [n.need for n in view(place, job).needs] == [need.need]


def test_a_wish_to_be_phoned_shows_the_number_and_ends_with_a_note(place: Place, tmp_path: Path) -> None:
    job = writes(place, tmp_path, "Pia", "Please phone me on 01632 960111, evenings are best.")
    shown = view(place, job)
    (need,) = shown.needs
    assert need.phone == ("01632 960111",)
    assert shown.row.state is JobState.TO_CHECK and shown.letter is None
    client = place.client()
    assert b"01632 960111" in client.get(f"/jobs/{job}").data
    note = "Spoke with her: all agreed."
    answer = place.post(client, f"/jobs/{job}/needs", need=need.need.key, action="seen", note=note)
    assert answer.status_code == 200
    after = view(place, job)
    assert after.needs == () and after.letter is not None
    assert "Spoke with her" in after.decisions[0].text


def test_a_wish_to_be_phoned_is_one_task_and_a_further_question_another(place: Place, tmp_path: Path) -> None:
    asked = {"Pia": "Could somebody phone me?", "Rhys": "Could somebody phone me? Can the sink be moved?"}
    kinds = {
        n: [x.need.kind.value for x in view(place, writes(place, tmp_path, n, w)).needs]
        for n, w in asked.items()
    }
    assert kinds == {"Pia": ["phone"], "Rhys": ["phone", "question"]}


def test_notes_are_kept_and_undone(place: Place) -> None:
    job = place.job("Oscar")
    key = decide.note(place.services, job, "The dog bites.", "maya")
    assert [n.text for n in view(place, job).notes] == ["The dog bites."]
    decide.undo(place.services, job, key, "maya")
    assert view(place, job).notes == ()


def test_what_does_not_wait_cannot_be_dealt_with(place: Place) -> None:
    with pytest.raises(NotFound):
        decide.see(place.services, place.job("Oscar"), "unread nothing", "", "maya")
    with pytest.raises(NotPossible):
        decide.note(place.services, place.job("Oscar"), "  ", "maya")


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("ring 01632 960111 please", ("01632 960111",)),
        ("+44 (0)1632 960111", ("+44 (0)1632 960111",)),
        ("the wall is 0.5 and 386.5, 03.11.2026", ()),
        ("103.5, 108, 12", ()),
    ],
)
def test_telephone_numbers_are_told_from_lengths(words: str, found: tuple[str, ...]) -> None:
    assert phone_numbers(words) == found


def test_a_danger_stands_above_all_else_with_the_advice_and_no_letter_goes(
    place: Place, tmp_path: Path
) -> None:
    job = writes(
        place, tmp_path, "Gail", "Gas meter: hall cupboard, and it smells of gas in there. Ring 01632 960333"
    )
    first = front(place.services).groups[0].rows[0]
    assert first.id == job and first.next.startswith("Danger, phone now: “")
    shown = view(place, job)
    assert shown.letter is None and shown.needs[0].need.kind == "hazard"
    assert shown.needs[0].phone == ("01632 960333",)
    meter = next(s for s in shown.standings if s.item.id == "gas-meter")
    assert not meter.evidence
    page = place.client().get(f"/jobs/{job}").data.decode()
    assert "0800 111 999" in page and "no switches" in page
