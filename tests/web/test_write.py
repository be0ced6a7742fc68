"""What a designer writes to a customer: free words, requests of their own, guide and invitation, each seen before it
goes, escaped, with its cautions, and replaced by no examination."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import icalendar
import pytest

from intake.mailbox.folder import FolderMailbox
from intake.model.letter import Ask, LetterState
from intake.postbox.outcome import Handed, Outcome
from intake.store.letters import KeptLetter
from intake.store.records import LETTER
from intake.work import decide, write
from intake.work.collect import collect
from intake.work.decide import NotPossible
from intake.work.job_view import job_view
from intake.work.letter_view import letter_page
from intake.work.remind import remind
from intake.work.send import send_due
from tests.web import world
from tests.web.conftest import Place

HOSTILE = "<script>alert(1)</script> & {{ 7*7 }}\nSecond line\r\n\r\n\r\nBcc: x@y.example"


class Taken:
    """A server that takes every letter."""

    def __init__(self) -> None:
        self.sent: list[bytes] = []

    def send(self, to: tuple[str, ...], raw: bytes) -> Outcome:
        self.sent.append(raw)
        return Outcome(Handed.SENT, "250 ok")


@pytest.fixture
def place(desks: world.Desks) -> Iterator[Place]:
    with desks.copy(world.PEOPLE[:2]) as opened:
        yield Place(*opened)


def waiting(place: Place, job: str) -> KeptLetter:
    letter = job_view(place.services, job).letter
    assert letter is not None
    return letter


def ours(place: Place, job: str) -> KeptLetter:
    (letter,) = job_view(place.services, job).desk_letters
    return letter


def test_free_words_and_requests_of_ones_own_are_in_the_waiting_letter(place: Place) -> None:
    job, maya = place.job("Ines"), place.client()
    letter = waiting(place, job)
    cautions = {a.caution for a in letter.letter.asks if a.caution}
    form: dict[str, object] = {"thanks": letter.letter.thanks, "note": HOSTILE, "keep": []}
    for n, ask in enumerate(letter.letter.asks):
        form |= {f"question-{n}": ask.question, f"how-{n}": ask.how}
    form["keep"] = [str(n) for n in range(len(letter.letter.asks))]
    form |= {
        "own-question": ["Which <b>colour</b> is the floor?", ""],
        "own-how": ["One word is enough.", "x"],
    }
    assert place.post(maya, f"/jobs/{job}/letters/{letter.id}/edit", **form).status_code == 200
    edited = waiting(place, job)
    page = letter_page(place.services, job, edited.id)
    assert "&lt;script&gt;" in page and "<script>" not in page and "{{ 7*7 }}" in page
    assert "Which &lt;b&gt;colour" in page and "Which <b>colour</b> is the floor?" in edited.text
    assert "<p>&lt;script&gt;alert(1)&lt;/script&gt; &amp; {{ 7*7 }}<br>Second line</p>" in page
    sent = message_from_bytes(edited.raw, policy=default)
    assert "Bcc" not in sent and edited.asks == letter.asks, (
        "the checklist knows nothing of a request of one's own"
    )
    assert {a.caution for a in edited.letter.asks if a.caution} == cautions and cautions
    assert all(caution in edited.text.replace("\n   ", " ") for caution in cautions)


def test_what_was_added_is_carried_to_the_letter_that_takes_its_place(place: Place) -> None:
    job = place.job("Ines")
    letter = waiting(place, job)
    asks = {n: (a.question, a.how) for n, a in enumerate(letter.letter.asks)}
    edit = write.Edit(
        letter.letter.thanks, asks, "The fitters are free in May.", [("Which colour is the floor?", "")]
    )
    write.edit_letter(place.services, job, letter.id, edit, "maya")
    decide.set_item(place.services, job, "room-photographs", "confirmed", "seen", "maya")
    after = waiting(place, job)
    assert after.id != letter.id and after.letter.note == "The fitters are free in May."
    assert after.letter.asks[-1].question == "Which colour is the floor?"
    assert len(after.letter.asks) < len(letter.letter.asks) + 1, "one thing less is asked for"
    decide.set_item(place.services, job, "floor", "not-applicable", "", "maya")
    assert job_view(place.services, job).letter is not None


def test_requests_in_a_designers_words_stand_in_the_letter_that_takes_its_place(place: Place) -> None:
    job = place.job("Ines")
    letter = waiting(place, job)
    asks = letter.letter.asks
    reworded = next(n for n, a in enumerate(asks) if "room-photographs" in a.items)
    left_out = next(n for n, a in enumerate(asks) if "sill-height" in a.items)
    kept = {n: (a.question, a.how) for n, a in enumerate(asks) if n != left_out}
    kept[reworded] = ("Could you stand in the far corner, please?", "As we said on the telephone.")
    write.edit_letter(place.services, job, letter.id, write.Edit("Hello.", kept), "maya")
    decide.note(place.services, job, "They are away in May.", "maya")
    assert waiting(place, job).id == letter.id, "nothing else is asked for"
    decide.set_item(place.services, job, "ceiling-height", "missing", "", "maya")
    after = waiting(place, job)
    assert after.id != letter.id and "ceiling-height" in after.letter.items
    (ask,) = (a for a in after.letter.asks if "room-photographs" in a.items)
    assert (ask.question, ask.how) == kept[reworded]
    assert "Could you stand in the far corner, please?" in after.text
    assert after.letter.thanks == "Hello." and after.letter.opening == letter.letter.thanks
    assert "sill-height" not in after.letter.items
    decide.set_item(place.services, job, "room-photographs", "confirmed", "", "maya")
    assert "far corner" not in waiting(place, job).text


def test_a_caution_moves_to_the_next_request_that_needs_it(place: Place) -> None:
    job = place.job("Ines")
    letter = waiting(place, job)
    asks = (
        Ask("boiler", "Where is the boiler?", caution="Leave its cover on."),
        Ask("water-system", "How is the water heated?"),
        Ask("ceiling-height", "How high is the room?"),
    )
    services = place.services
    with services.store.transaction() as tables:
        tables.letters.change(letter.id, body=LETTER.write(replace(letter.letter, asks=asks)))
    edit = write.Edit("Hello.", {1: ("How is it heated?", ""), 2: ("How high?", "")})
    write.edit_letter(services, job, letter.id, edit, "maya")
    assert [a.caution for a in waiting(place, job).letter.asks] == ["Leave its cover on.", ""]


def test_a_letter_of_ones_own_waits_goes_and_is_not_replaced(place: Place) -> None:
    job, maya = place.job("Tomas"), place.client()
    before = waiting(place, job)
    form = {
        "note": "The tiles have come.",
        "own-question": ["Which day suits you?", "", ""],
        "own-how": ["", "", ""],
    }
    page = place.post(maya, f"/jobs/{job}/letters", **form).text
    assert "Your own letter" in page
    own = ours(place, job)
    assert own.state is LetterState.DRAFT and own.asks == () and own.in_reply_to == before.in_reply_to
    assert "Auto-Submitted" not in message_from_bytes(own.raw, policy=default), (
        "a person wrote it (RFC 3834 5)"
    )
    decide.set_item(place.services, job, "ceiling-height", "confirmed", "", "maya")
    assert ours(place, job).id == own.id and waiting(place, job).kind == "follow-up"
    box = Taken()
    write.release_letter(place.services, job, own.id, "maya")
    assert [s.state for s in send_due(place.services, box)] == ["sent"]
    assert b"The tiles have come." in box.sent[0] and not job_view(place.services, job).desk_letters
    decide.set_item(place.services, job, "ceiling-height", "missing", "", "maya")
    assert waiting(place, job).kind == "follow-up"


def test_the_answer_to_a_request_of_ones_own_is_for_a_person(place: Place, tmp_path: Path) -> None:
    job = place.job("Tomas")
    key = write.write_own(
        place.services, job, "", [("How high is the shelf?", ""), ("Which day?", "")], "maya"
    )
    write.release_letter(place.services, job, key, "maya")
    box = Taken()
    send_due(place.services, box)
    sent = message_from_bytes(box.sent[0], policy=default)
    tomas = replace(world.PEOPLE[1], words="1: 204\n2: Friday", plan=None, photographs=0, hours_ago=-2)
    mail = message_from_bytes(world.message(tomas, place.services.clock(), None), policy=default)
    mail.replace_header("Message-ID", "<second@post.example>")
    mail["In-Reply-To"] = str(sent["Message-ID"])
    (tmp_path / "reply").mkdir()
    (tmp_path / "reply" / "1.eml").write_bytes(bytes(mail))
    later = replace(place.services, clock=lambda: world.NOW + timedelta(hours=3))
    assert collect(FolderMailbox(tmp_path / "reply"), later).jobs == (job,)
    view = job_view(later, job)
    assert [n.need.text for n in view.needs] == ["204", "Friday"]
    assert [a.question for a in view.needs[0].asks] == ["How high is the shelf?", "Which day?"]
    assert not any(s.value_mm == 2040 for s in view.file.survey.statements), (
        "204 is nothing of the checklist's"
    )


def test_the_guide_and_the_invitation_go_from_the_desk(place: Place) -> None:
    job, maya = place.job("Tomas"), place.client()
    place.post(maya, f"/jobs/{job}/letters/guide")
    place.post(maya, f"/jobs/{job}/letters/call", at="2026-07-01T14:30", minutes="30")
    guide, call = job_view(place.services, job).desk_letters
    for letter in (guide, call):
        write.release_letter(place.services, job, letter.id, "maya")
    box = Taken()
    send_due(place.services, box)
    with_guide, with_call = (message_from_bytes(raw, policy=default) for raw in box.sent)
    names = [part.get_filename() for part in with_guide.iter_attachments()]
    assert names == ["Measuring guide.pdf", "Measuring sheet.pdf"]
    assert "1 July 2026 at 14:30" in call.text.replace("\n", " ")
    (attached,) = with_call.iter_attachments()
    assert attached.get_content_type() == "text/calendar" and attached.get_param("method") == "REQUEST"
    event = icalendar.Calendar.from_ical(attached.get_payload(decode=True)).walk("VEVENT")[0]
    assert event.decoded("dtstart").isoformat() == "2026-07-01T13:30:00+00:00", "British Summer Time"
    assert waiting(place, job).kind == "follow-up", "what is wanted still waits"
    assert job_view(place.services, job).row.state == "to-check"
    assert remind(place.services) == []


def test_what_cannot_be_written(place: Place) -> None:
    job = place.job("Tomas")
    many = [(f"Question {n}?", "") for n in range(write.MOST_OWN_ASKS + 1)]
    for note, asks in (("", []), (" \n", [(" ", "x")]), ("Hello", many)):
        with pytest.raises(NotPossible):
            write.write_own(place.services, job, note, asks, "maya")
    follow_up = waiting(place, job)
    with pytest.raises(NotPossible):
        write.drop_letter(place.services, job, follow_up.id, "maya")
    key = write.write_own(place.services, job, "Hello", [], "maya")
    write.drop_letter(place.services, job, key, "maya")
    assert not job_view(place.services, job).desk_letters
    write.write_own(place.services, job, "Hello", [], "maya")
    decide.stop(place.services, job, "spoken", "maya")
    assert not job_view(place.services, job).desk_letters, "no letter goes out"
    with pytest.raises(NotPossible, match="No letters go out"):
        write.send_guide(place.services, job, "maya")
