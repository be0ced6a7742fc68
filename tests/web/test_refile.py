"""Jobs merged and split, messages moved; each can be undone."""

from __future__ import annotations

import pytest

from intake.mailbox.folder import FolderMailbox
from intake.model.errors import NotFound
from intake.store.refiling import Refiling
from intake.work import decide, refile
from intake.work.collect import collect
from intake.work.job_view import JobView
from intake.work.refile import CannotRefile
from intake.work.sketch_view import Trust
from tests.web import world
from tests.web.conftest import Place


def _doubtful(view: JobView) -> tuple[str, int, str]:
    """The picture, index and right text of the first doubtful number."""
    assert view.main is not None
    number = next(n for n in view.main.numbers if n.standing is Trust.DOUBTFUL)
    return view.main.picture.id, number.index, number.alternatives[0].text


def _snapshot(view: JobView) -> tuple[object, ...]:
    numbers = tuple((n.text, n.standing) for s in view.sketches for n in s.numbers)
    messages = tuple(m.sha256 for m in view.file.messages)
    return messages, tuple(k.picture.id for k in view.pictures), numbers, set(view.file.job.addresses)


def test_merging_brings_everything_and_undoing_gives_everything_back(place: Place) -> None:
    services, home, other = place.services, place.job("Oscar"), place.job("Ines")
    picture, index, right = _doubtful(place.view(other))
    decide.correct(services, other, picture, index, right, "maya")
    added = decide.add_number(services, other, picture, "77.5", (300, 300), "overall", 1, "maya")
    before_home, before_other = _snapshot(place.view(home)), _snapshot(place.view(other))
    key = refile.merge_jobs(services, home, other, "maya")
    merged = place.view(home)
    assert place.view(other).file.job.id == home
    assert {m.sha256 for m in merged.file.messages} == {*before_home[0], *before_other[0]}  # type: ignore[misc]
    kept = merged.main.numbers[index]  # type: ignore[union-attr]
    assert (kept.text, kept.standing) == (right, Trust.CONFIRMED), "a correction went missing in the merge"
    assert merged.main.numbers[-1].text == "77.5", "a number that was added went missing in the merge"  # type: ignore[union-attr]
    decide.undo(services, home, key, "maya")
    assert _snapshot(place.view(home)) == before_home
    assert _snapshot(place.view(other)) == before_other
    decide.undo(services, other, added, "maya")
    decide.undo(services, other, place.view(other).last.id, "maya")  # type: ignore[union-attr]


def test_a_job_is_not_merged_with_itself_or_with_nothing(place: Place) -> None:
    job = place.job("Oscar")
    for other in (job, "R-NONE"):
        with pytest.raises((CannotRefile, NotFound)):
            refile.merge_jobs(place.services, job, other, "maya")


def test_an_offer_is_taken_refused_or_made_again(place: Place) -> None:
    services, home, other = place.services, place.job("Oscar"), place.job("Wren")
    sha256 = place.view(home).file.messages[0].sha256
    with services.store.transaction() as tables:
        Refiling(tables.db).set_offers({sha256: [other]})
    assert place.view(home).offers == (other,) and other in place.view(home).row.next
    apart = refile.keep_apart(services, home, other, "maya")
    assert place.view(home).offers == ()
    decide.undo(services, home, apart, "maya")
    assert place.view(home).offers == (other,)
    merge = refile.merge_jobs(services, home, other, "maya")
    assert place.view(home).offers == (), "a job that has been merged is no longer offered"
    decide.undo(services, home, merge, "maya")
    with services.store.transaction() as tables:
        Refiling(tables.db).set_offers({sha256: []})


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
    assert "It is 2.40 m." in place.view(home).file.messages[-1].own_words
    decide.undo(services, home, key, "maya")
    assert "It is 2.40 m." in place.view(home).file.messages[-1].own_words


def test_splitting_opens_a_job_and_undoing_closes_it(place: Place) -> None:
    services, home = place.services, place.job("Oscar")
    merge = refile.merge_jobs(services, home, place.job("Wren"), "maya")
    messages = [m.sha256 for m in place.view(home).file.messages]
    assert len(messages) > 1
    new = refile.split_job(services, home, messages[-1:], "maya")
    assert [m.sha256 for m in place.view(new).file.messages] == messages[-1:]
    assert [m.sha256 for m in place.view(home).file.messages] == messages[:-1]
    with pytest.raises(CannotRefile):
        refile.split_job(services, home, messages[:-1], "maya")
    decide.undo(services, home, place.view(home).last.id, "maya")  # type: ignore[union-attr]
    assert [m.sha256 for m in place.view(home).file.messages] == messages
    assert place.view(new).file.job.id == home, "the new job's reference must go on leading somewhere"
    decide.undo(services, home, merge, "maya")


def test_moving_a_message_takes_the_corrections_on_its_pictures_along(place: Place) -> None:
    services, home, other = place.services, place.job("Ada"), place.job("Ines")
    before = _snapshot(place.view(home)), _snapshot(place.view(other))
    picture, index, right = _doubtful(place.view(other))
    correction = decide.correct(services, other, picture, index, right, "maya")
    sha256 = place.view(other).file.messages[0].sha256
    key = refile.move_message(services, sha256, home, "maya")
    moved = next(s for s in place.view(home).sketches if s.picture.id == picture)
    assert moved.numbers[index].text == right
    assert place.view(other).file.job.id == home, "an emptied job stands for the one its messages went to"
    decide.undo(services, home, key, "maya")
    decide.undo(services, other, correction, "maya")
    assert (_snapshot(place.view(home))[:3], _snapshot(place.view(other))[:3]) == (
        before[0][:3],
        before[1][:3],
    )
