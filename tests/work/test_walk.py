"""A walk through all demo jobs: each customer answers our letters in words of their own until the survey is complete.

It starts from the demo's mail with its photographs, read as they are. What the customers say, under the letter's
numbers or in prose, is true of the rooms as the demo's fixtures have them: every wall, opening and height of the
survey that comes out is held against those, and every letter against what a person would sign.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

import pytest

from fixtures.demo import pictures, rooms
from fixtures.demo.mail import SERVER, SHOWROOM
from fixtures.sketches.rooms import Room, Wall
from intake import wiring
from intake.demo import MAIL, _showroom
from intake.model.checklist import ItemState
from intake.model.examination import RoomExamination
from intake.model.job import JobState
from intake.model.letter import Ask, LetterState
from intake.model.room import SectionKind
from intake.settings import Settings
from intake.store.letters import KeptLetter
from intake.wording.desk import sentence, worded
from intake.work.collect import collect
from intake.work.decide import correct
from intake.work.handover import doubts
from intake.work.job_file import open_file
from intake.work.job_view import job_view
from intake.work.send import send_due
from intake.work.services import Services
from intake.work.write import release_letter

MOST_LETTERS = 5
File = tuple[str, bytes]
Saying = Callable[[int, str], str]
Voice = Callable[[KeptLetter, "Customer", Callable[[Ask], float]], tuple[str, list[File]]]
OPENINGS = (SectionKind.WINDOW, SectionKind.DOOR, SectionKind.DOORWAY)
"""Of an opening of no kind, which nothing on the drawing bears out, the pack's first page says that it is in doubt."""
MOST_ASKS = 8


@dataclass(frozen=True)
class Customer:
    """One demo customer: the room as it is, its heights in centimetres, and how they write."""

    sender: str
    room: Room
    seed: int
    ceiling: str
    ceiling_mm: int
    window: tuple[float, float, float]
    """Sill above the floor, top above the sill, recess."""
    number: Saying
    opening: str
    closing: str


CUSTOMERS = [
    Customer(
        "Ada Okonjo <ada.okonjo@example.com>", rooms.COMPLETE_KITCHEN, 5, "238.5", 2385, (104, 101, 14),
        lambda n, cm: f"{n}: {cm}", "Hello Ines,", "Ada",
    ),
    Customer(
        "Jo Brearley <jo.b@example.org>", rooms.NO_CEILING_KITCHEN, 201,
        "2 metres 42, the same at both ends", 2420, (98, 110, 11),
        lambda n, cm: f"number {n} is {cm}, Tom had another look", "Hi Ines, sorry it took a while.",
        "Cheers, Jo and Tom",
    ),
    Customer(
        "Wei Lindqvist <wei@lindqvist.example>", rooms.SHRUNK_BATHROOM, 501, "two forty", 2400, (122, 90, 10),
        lambda n, cm: f"{n}) {cm} cm", "Good morning,", "Kind regards\nWei Lindqvist\n14 Orchard Lane",
    ),
    Customer(
        "Marta Quill <marta.quill@example.com>", rooms.SLIP_KITCHEN, 302, "236 exactly", 2360, (101, 105, 9),
        lambda n, cm: f"As to question {n}: it is {cm}, I measured it once more.",
        "Dear Ines, thank you for your letter.",
        "Yours sincerely\nMarta Quill",
    ),
    Customer(
        "Ruben Castell <ruben@castell.example>", rooms.BREAST_KITCHEN, 401,
        "251 by the window, 251 by the door", 2510, (99, 105, 12),
        lambda n, cm: f"{n} - {cm}", "Hello,", "R. Castell",
    ),
]  # fmt: skip
PLACES = {
    "consumer-unit": "the fuse box is in the hall cupboard",
    "gas-meter": "there is no gas in the house",
    "boiler": "the boiler is in the loft",
    "water-main": "the stop tap is under the kitchen sink",
}


IN_PROSE = {
    "consumer-unit": "You will find the fuse box in the hall cupboard, above the coats",
    "gas-meter": "we are all electric here, there is no gas",
    "boiler": "the boiler lives in the loft",
    "water-main": "we turn the water off under the kitchen sink, that is where the stop tap is",
    "ceiling-height": "as for the ceiling, we made it {ceiling}",
    "sill-height": "from the floor to the underside of the window sill is {0:g}",
    "head-height": "from the sill up to the top of the window {1:g}",
    "reveal-depth": "the window recess is {2:g} deep",
}


def lengths_of(room: Room) -> list[float]:
    """Every length along the room's walls, in centimetres."""
    pieces = [p.mm / 10 for w in room.walls for p in w.pieces]
    return [*pieces, *(w.mm / 10 for w in room.walls)]


def replies_to(
    letter: KeptLetter, customer: Customer, read: Callable[[Ask], float]
) -> tuple[str, list[File]]:
    """What the customer writes to a letter, and what they attach."""
    lines, files = [customer.opening, ""], []
    for number, ask in enumerate(letter.letter.asks, 1):
        if ask.number is not None:
            lines.append(customer.number(number, f"{read(ask):g}"))
        elif ask.item == "ceiling-height":
            lines.append(f"{number}: {customer.ceiling}")
        elif "sill-height" in ask.items or ask.item in ("head-height", "reveal-depth"):
            said = dict(zip(("sill-height", "head-height", "reveal-depth"), customer.window, strict=True))
            names = {"sill-height": "sill", "head-height": "sill to top", "reveal-depth": "recess"}
            lines.append(f"{number}: " + ", ".join(f"{names[i]} {said[i]:g}" for i in ask.items if i in said))
        elif ask.item in PLACES:
            lines.append(
                f"{number}. " + ". ".join(PLACES[i][0].upper() + PLACES[i][1:] for i in ask.items) + "."
            )
        elif ask.item == "sketch":
            lines.append(f"{number}: the plan again, at full size.")
            files.append(pictures.plan(customer.room, customer.seed, "plan at full size.jpg"))
        elif ask.item == "room-photographs":
            lines.append(f"{number}: photos attached")
            files += pictures.photographs(customer.seed, 8, 0, "again{}.jpg")
    return "\n".join([*lines, "", customer.closing]), files


def in_prose(letter: KeptLetter, customer: Customer, read: Callable[[Ask], float]) -> tuple[str, list[File]]:
    """The same said in running sentences, without the letter's numbers."""
    said: list[str] = []
    files: list[File] = []
    for ask in letter.letter.asks:
        if ask.number is not None:
            said.append(f"the figure in the picture says {read(ask):g}")
        elif ask.item == "sketch":
            said.append("here is the plan once more, at full size this time")
            files.append(pictures.plan(customer.room, customer.seed, "plan at full size.jpg"))
        elif ask.item == "room-photographs":
            said.append("the photographs of the room are with this mail")
            files += pictures.photographs(customer.seed, 8, 0, "again{}.jpg")
        else:
            told = ["yes, {ceiling}"] if "You wrote" in ask.question else []
            told = told or [IN_PROSE[i] for i in ask.items if i in IN_PROSE]
            said += [t.format(*customer.window, ceiling=customer.ceiling) for t in told]
    words = " ".join(f"{s[0].upper()}{s[1:]}." for s in said)
    return f"{customer.opening}\n\n{words}\n\n{customer.closing}", files


VOICES = {"numbered": replies_to, "prose": in_prose}


def mail_of(customer: Customer, letter: KeptLetter, words: str, files: list[File]) -> bytes:
    """The reply as our own server would have taken it."""
    address = customer.sender.partition("<")[2].rstrip(">")
    mail = EmailMessage(policy=SMTP)
    mail["Return-Path"] = f"<{address}>"
    domain = address.partition("@")[2]
    mail["Authentication-Results"] = (
        f"{SERVER}; dmarc=pass header.from={domain}; spf=pass smtp.mailfrom={address}"
    )
    mail["From"], mail["To"], mail["Subject"] = customer.sender, SHOWROOM, letter.subject
    mail["Date"] = "Tue, 03 Mar 2026 10:00:00 +0000"
    mail["Message-ID"] = f"<walk-{letter.id}@{domain}>"
    mail["In-Reply-To"] = letter.message_id
    mail.set_content(words)
    for name, content in files:
        mail.add_attachment(content, maintype="image", subtype="jpeg", filename=name)
    return mail.as_bytes()


@dataclass(frozen=True)
class End:
    """Where a job has come: its state, whether its room closes, what waits for a person, and what is lacking."""

    state: JobState
    closes: bool | None
    needs: tuple[str, ...]
    lacking: tuple[str, ...]
    strays: tuple[str, ...]
    """What of the survey is not as the room is."""


TAPE_MM = 20
"""So far a length may be from the true one: the demo's customers measure a section to 3 mm (standard deviation)."""


def strays(room: RoomExamination, customer: Customer, said: Sequence[str]) -> Iterator[str]:
    """What of a survey is not as the customer's room is, walls, openings, heights, and is not `said` to be in doubt."""
    true = [w.mm for w in customer.room.walls]
    found = [w.length_mm for w in room.placed.walls]
    turned = [true[n:] + true[:n] for n in range(len(true))]
    first = next((n for n, each in enumerate(turned) if _alike(found, each)), None)
    if first is None:
        yield f"walls {found}, in truth {true}"
    else:
        yield from _out_of_order(room, [*customer.room.walls[first:], *customer.room.walls[:first]])
    pieces = [p for w in customer.room.walls for p in w.pieces if p.kind != "solid"]
    openings = [s for w in room.survey.walls for s in w.sections if s.kind in OPENINGS]
    widths = sorted(s.length.value_mm or 0 for s in openings)
    if not _alike(widths, sorted(p.mm for p in pieces)):
        yield f"openings {widths}, in truth {sorted(p.mm for p in pieces)}"
    for (wall, n), tag in room.survey.opening_tags().items():
        unknown = room.survey.walls[wall].sections[n].kind is SectionKind.OPENING
        if unknown and not any(line.startswith(f"{tag} on wall") for line in said):
            yield f"{tag} is of no kind, and nothing says so"
    ceilings = [m.value_mm or 0 for m in room.survey.ceilings]
    if not ceilings or not _alike(ceilings, [customer.ceiling_mm] * len(ceilings)):
        yield f"ceilings {ceilings}, in truth {customer.ceiling_mm}"
    sill, top, recess = (round(10 * v) for v in customer.window)
    for window in (s for s in openings if s.kind is SectionKind.WINDOW):
        tops = (window.top_above_sill, top), (window.top_above_floor, sill + top)
        told = [(window.sill, sill), (window.reveal, recess), next((t for t in tops if t[0]), tops[0])]
        if not all(m and _alike([m.value_mm or 0], [mm]) for m, mm in told):
            yield f"window {[m and m.value_mm for m, _ in told]}, in truth {[mm for _, mm in told]}"


def _out_of_order(room: RoomExamination, walls: Sequence[Wall]) -> Iterator[str]:
    """What of the walls' sections does not follow one another as in the room, plain wall and openings told apart."""
    for seen, wall in zip(room.survey.walls, walls, strict=True):
        found = [(s.kind in OPENINGS, s.length.value_mm or 0) for s in seen.sections]
        true = [(p.kind != "solid", p.mm) for p in wall.pieces]
        same = [kind for kind, _ in found] == [kind for kind, _ in true]
        if not same or not _alike([mm for _, mm in found], [mm for _, mm in true]):
            yield f"wall {seen.letter}: {found}, in truth {true}"


def _alike(found: Sequence[int], true: Sequence[int]) -> bool:
    return len(found) == len(true) and all(abs(a - b) <= TAPE_MM for a, b in zip(found, true, strict=True))


def unsignable(letter: KeptLetter, customer: Customer, earlier: Sequence[KeptLetter]) -> Iterator[str]:
    """What keeps a person from signing a letter."""
    asks, text = letter.letter.asks, letter.text
    needed = sum(not a.optional for a in asks)
    if customer.sender.split()[0] not in text.splitlines()[0]:
        yield "it greets somebody else"
    if needed and f"We need {'one' if needed == 1 else needed} more thing" not in text:
        yield "it counts its requests wrongly"
    if len(asks) > MOST_ASKS or len({a.question for a in asks}) < len(asks):
        yield "it asks too much, or twice"
    before = [(a.items, a.picture, a.number) for k in earlier for a in k.letter.asks if not a.optional]
    asked = [a for a in asks if not a.question.startswith("You wrote")]
    if again := [a.question for a in asked if (a.items, a.picture, a.number) in before]:
        yield f"it asks again: {again}"
    example = re.search(r"for\s+instance\s+“\d: ([^”]*)”", text)
    if example and any(example[1] in a.choices for a in asks):
        yield "its example is a figure in doubt"
    # RFC 5322 2.1.1: a line should have 78 characters at most.
    if max(map(len, text.splitlines())) > 78 or re.search(r"[{}]|\bNone\b", text):
        yield "it is badly set"
    if not text.rstrip().endswith("Ines Albury\nCopperbeck Interiors\n01632 960 417"):
        yield "it is not signed"


class Walk:
    """One job on its way from letter to letter; `letters` are the letters and answers in turn."""

    def __init__(
        self, services: Services, settings: Settings, customer: Customer, path: Path, voice: Voice
    ) -> None:
        self.services, self.settings, self.customer, self.path = services, settings, customer, path
        self.voice = voice
        self.sent: list[KeptLetter] = []
        self.unsignable: list[str] = []
        address = customer.sender.partition("<")[2].rstrip(">")
        with services.store.reading() as tables:
            self.job = next(j.id for j in tables.jobs.all() if address in j.addresses)
        self.letters: list[str] = []
        self.rounds = 0
        self.looked = False
        self.end: End | None = None

    def state(self) -> JobState:
        with self.services.store.reading() as tables:
            job = tables.jobs.get(self.job)
        assert job is not None
        return job.state

    def on(self) -> None:
        """Release letter after letter, and answer each."""
        while self.state() is not JobState.COMPLETE and self.rounds < MOST_LETTERS:
            letter = self._sent()
            if letter is None and self.looked:
                break
            if letter is None:
                self._look()
                continue
            self.rounds += 1
            self.unsignable += unsignable(letter, self.customer, self.sent)
            self.sent.append(letter)
            words, files = self.voice(letter, self.customer, self._read)
            self.letters += [letter.text, words]
            folder = self.path / f"{self.job}-{self.rounds}"
            folder.mkdir(parents=True)
            (folder / "reply.eml").write_bytes(mail_of(self.customer, letter, words, files))
            done = collect(wiring.mailbox(self.settings, folder), self.services)
            assert list(done.jobs) == [self.job], words
        self.end = self._end()

    def _look(self) -> None:
        """What a designer does where no letter waits: confirm what is doubtful on the plan, as it truly is."""
        with self.services.store.reading() as tables:
            file = open_file(tables, self.job, self.services.checklists)
        doubtful = [
            (picture, n)
            for picture, reading in file.survey.read.items()
            for n, number in enumerate(reading.numbers)
            if not number.accepted
        ]
        for picture, n in doubtful:
            correct(self.services, self.job, picture, n, f"{self._true(picture, n):g}", "ines")
        self.looked = True

    def _end(self) -> End:
        with self.services.store.reading() as tables:
            file = open_file(tables, self.job, self.services.checklists)
            examination = file.survey.examination()
            needs = tuple(f"{n.kind}: {n.text} ({worded(n.why)})" for n in tables.jobs.needs(self.job))
            standings = tables.jobs.standings(self.job, self.services.checklists[file.job.room])
        unsettled = (ItemState.MISSING, ItemState.DOUBTFUL)
        open_ = [s for s in standings if s.item.blocking and s.state in unsettled]
        lacking = tuple(f"{s.item.id} {s.state.value}: {sentence(s.reason)}" for s in open_)
        closes = examination.closes if examination else None
        said = doubts(job_view(self.services, self.job))
        wrong = tuple(strays(examination, self.customer, said)) if examination else ("no room",)
        return End(self.state(), closes, needs, lacking, wrong)

    def _sent(self) -> KeptLetter | None:
        """The letter that waits, released and sent."""
        with self.services.store.reading() as tables:
            waiting = [
                k for k in tables.letters.of_job(self.job) if k.state in (LetterState.DRAFT, LetterState.DUE)
            ]
        if not waiting:
            return None
        if waiting[-1].state is LetterState.DRAFT:
            release_letter(self.services, self.job, waiting[-1].id, "ines")
        send_due(self.services, wiring.postbox(self.settings))
        with self.services.store.reading() as tables:
            sent = next(k for k in tables.letters.of_job(self.job) if k.id == waiting[-1].id)
        assert sent.state is LetterState.SENT, (sent.state, sent.due_at, sent.held_because, sent.answer)
        return sent

    def _read(self, ask: Ask) -> float:
        """The true length that a number on the plan stands for: the nearest of the room to what was read or offered."""
        offered = [
            float(c.replace(",", ".")) for c in ask.choices if c.replace(".", "").replace(",", "").isdigit()
        ]
        return self._true(ask.picture, ask.number or 0, offered)

    def _true(self, picture: str, index: int, offered: Sequence[float] = ()) -> float:
        with self.services.store.reading() as tables:
            file = open_file(tables, self.job, self.services.checklists)
        number = file.survey.read[picture].numbers[index]
        seen = [*offered, *([number.value_mm / 10, number.value_mm / 100] if number.value_mm else [])]
        heights = [
            v
            for w in self.customer.room.walls
            for p in w.pieces
            for v in (p.sill_mm, p.head_mm, p.reveal_mm)
            if v
        ]
        true = [*lengths_of(self.customer.room), *(h / 10 for h in heights)]
        value, nearest = min(((s, t) for s in seen for t in true), key=lambda pair: abs(pair[0] - pair[1]))
        # The tape was read to half a centimetre, with the customer's own small errors.
        return value if abs(value - nearest) <= 1.5 else nearest


def walked(path: Path, voice: Voice) -> list[Walk]:
    """All demo jobs, walked to their ends by customers who write so."""
    settings = _showroom(Settings(data=path / "data"))
    with wiring.opened(settings) as services:
        always = replace(services.letterhead(), hours="00:00-24:00", days="Mon Tue Wed Thu Fri Sat Sun")
        policy = replace(services.policy, letters_a_day=99)
        services = replace(services, policy=policy, letterhead=lambda: always)
        collect(wiring.mailbox(settings, Path(MAIL)), services)
        walks = [Walk(services, settings, c, path, voice) for c in CUSTOMERS]
        for walk in walks:
            walk.on()
        return walks


@pytest.mark.long
@pytest.mark.parametrize("voice", VOICES)
def test_customers_who_answer_in_their_own_words_end_in_designs_that_close(
    tmp_path: Path, voice: str
) -> None:
    for walk in walked(tmp_path, VOICES[voice]):
        end = walk.end
        assert end is not None and end.closes and not end.lacking and not end.needs, (walk.customer, end)
        assert walk.rounds <= 2, walk.customer
        assert end.state is JobState.COMPLETE, (walk.customer, end)
        assert not end.strays and not walk.unsignable, (walk.customer, end.strays, walk.unsignable)


if __name__ == "__main__":
    import sys
    import tempfile

    for done in walked(Path(tempfile.mkdtemp()), VOICES[sys.argv[1] if sys.argv[1:] else "numbered"]):
        print("=" * 100, done.customer.sender, done.end, done.unsignable)
        for said in done.letters:
            print("-" * 100, said, sep="\n")
