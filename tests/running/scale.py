"""A simulated day of many showrooms that few workers share, with what it costs.

`python -m tests.running.scale [SHOWROOMS] [MESSAGES] [POLLS] [PICTURES]` sends each showroom so many messages over a
day that is looked at so many times: taken in, filed, examined, answered, and looked after. The first message of each
customer brings so many pictures, the first of them a plan, which is read. One more showroom cannot be opened all day,
and at noon a worker is killed. It ends with a fault where a message or a letter is missing, doubled, or in another
showroom; it prints processor time, disk and the longest wait. Messages come at random times (seeded).
"""

from __future__ import annotations

import contextlib
import os
import random
import resource
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from pathlib import Path
from queue import Empty, SimpleQueue

from fixtures.plain_plans import plain_plan
from intake.crew import Hand, Lost
from intake.house import House
from intake.orders import NOTHING_KNOWN, Begin, Done, Duty
from intake.showrooms import load_showrooms
from tests.work.mail import OURS, SERVER, message, picture

DAY = datetime(2026, 3, 2, tzinfo=UTC)
SHARE_OF_REPLIES = 0.4
"""Of the messages, those from somebody who has written before. Chosen, no source."""
FAULTY = "faulty"


@dataclass(frozen=True)
class Mail:
    """One message: to which showroom, from whom, when, and its bytes."""

    showroom: str
    sender: str
    at: datetime
    raw: bytes
    opens: bool


def mails(showrooms: int, messages: int, pictures: int = 0, seed: int = 1) -> list[Mail]:
    """A day's mail of every showroom, in order of time."""
    chance, found = random.Random(seed), []
    for number in range(showrooms):
        name, customers = f"room-{number}", list[str]()
        for n, minute in enumerate(sorted(chance.sample(range(24 * 60 - 1), messages))):
            again = customers and chance.random() < SHARE_OF_REPLIES
            sender = chance.choice(customers) if again else f"c{n}@{name}.example"
            customers += [] if again else [sender]
            said = f"The ceiling is {2300 + chance.randrange(400)} mm high." if again else "Our kitchen plan."
            hours = minute / 60 - 9  # its Date counts from nine o'clock
            files = () if again else _pictures(len(found), pictures)
            raw = message(sender, "Kitchen", said, hours, message_id=f"<{n}@{name}.example>", files=files)
            raw = raw.replace(OURS.encode(), f"survey@{name}.rooms.example".encode())
            found.append(Mail(name, sender, DAY + timedelta(minutes=minute), raw, not again))
    return sorted(found, key=lambda mail: mail.at)


def _pictures(seed: int, count: int) -> tuple[tuple[str, bytes], ...]:
    """A plan as a customer photographs it, and rooms."""
    if not count:
        return ()
    plan = plain_plan(seed % 40, "validation").jpeg
    return (
        ("plan.jpg", plan),
        *((f"{n}.jpg", picture(seed * 100 + n, (2400, 1800))) for n in range(1, count)),
    )


def run(root: Path, showrooms: int, messages: int, polls: int, pictures: int = 0) -> dict[str, float]:
    """The day in `root`; figures by name. Raises AssertionError where something is missing, doubled or misplaced."""
    day = mails(showrooms, messages, pictures)
    for name in (*(f"room-{n}" for n in range(showrooms)), FAULTY):
        (root / "rooms" / name).mkdir(parents=True)
        (root / "mail" / name).mkdir(parents=True)
    (root / "data").mkdir()
    (root / "data" / FAULTY).write_text("a file where a folder should be")
    house = House(load_showrooms(_environ(root)))
    began, worked, rounds = time.perf_counter(), _of_children(), list[float]()
    try:
        with Workers(house) as workers:
            for poll in range(polls):
                hours = (DAY + timedelta(days=1) * each / polls for each in (poll, poll + 1))
                first, last = hours
                _deliver(root, [mail for mail in day if first <= mail.at < last])
                if poll == polls // 2:
                    workers.kill_one_soon()
                rounds.append(workers.all_round())
            wall = time.perf_counter() - began
            workers.all_round()  # by now each worker has opened most of them
            used = workers.processor_seconds()
            empty = workers.all_round()
            used = workers.processor_seconds() - used
        _check(house, root, day)
    finally:
        house.close()
    cpu, count = _of_children() - worked, len(day)
    return {
        "showrooms": showrooms,
        "workers": workers.count,
        "messages": count,
        "pictures": pictures * sum(bool(mail.opens) for mail in day),
        "workers lost and replaced": workers.lost,
        "wall seconds": wall,
        "processor seconds": cpu,
        "processor seconds a message, polls included": cpu / count,
        "seconds of a round of all showrooms without mail": empty,
        "processor seconds of a round without mail": used / showrooms,
        "longest round of all showrooms, seconds": max(rounds),
        "disk, kB a message": _size(root / "data") / 1000 / count,
        "of it database, kB a message": _size(root / "data", "*.sqlite3*") / 1000 / count,
        "memory of a worker at most, MB": workers.peak_mb,
        "memory of the desks' process, MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000,
    }


class Workers:
    """Worker processes that share the rounds of all showrooms; one that is lost is replaced, as the crew does."""

    def __init__(self, house: House) -> None:
        self.count, self.lost, self.peak_mb = os.cpu_count() or 1, 0, 0.0
        self._house, self._begin = house, Begin(house.settings, False)
        self._hands: list[Hand] = []
        self._known = dict.fromkeys(house.settings, NOTHING_KNOWN)
        self._kill = False

    def __enter__(self) -> Workers:
        self._hands = [Hand(self._begin) for _ in range(self.count)]
        return self

    def __exit__(self, *_: object) -> None:
        for hand in self._hands:
            hand.end()

    def processor_seconds(self) -> float:
        """Of the workers themselves, without their cells."""
        stats = [Path(f"/proc/{hand.process.pid}/stat").read_text() for hand in self._hands]
        ticks = (sum(map(int, stat.rpartition(")")[2].split()[11:13])) for stat in stats)  # proc(5)
        return sum(ticks) / os.sysconf("SC_CLK_TCK")

    def kill_one_soon(self) -> None:
        self._kill = True

    def all_round(self) -> float:
        """One round of each showroom, and those that follow at once; returns the seconds."""
        began, names = time.perf_counter(), SimpleQueue[str]()
        for name in self._house.settings:
            names.put(name)
        with ThreadPoolExecutor(self.count) as pool:
            list(pool.map(lambda place: self._work_off(place, names), range(self.count)))
        return time.perf_counter() - began

    def _work_off(self, place: int, names: SimpleQueue[str]) -> None:
        with contextlib.suppress(Empty):
            while name := names.get_nowait():
                try:
                    self._go_round(self._hands[place], name)
                except Lost:
                    self.lost += 1
                    self._hands[place].end()
                    self._hands[place] = Hand(self._begin)
                    names.put(name)

    def _go_round(self, hand: Hand, name: str) -> None:
        left = True
        while left:
            hand.send(Duty(name, self._known[name]))
            if self._kill and name != FAULTY:
                self._kill = False
                hand.process.kill()
            while not isinstance(done := hand.hear(1.0), Done):
                continue
            self._known[name], left = done.known, done.left
            self._house.told(done)
        self.peak_mb = max(self.peak_mb, _peak(hand.process.pid))


def _environ(root: Path) -> dict[str, str]:
    return {
        "INTAKE_SHOWROOMS": str(root / "rooms"), "INTAKE_DATA": str(root / "data"), "INTAKE_AUTHSERV_ID": SERVER,
        "INTAKE_MAIL_FOLDER": str(root / "mail" / "{showroom}"), "INTAKE_ADDRESS": "survey@{showroom}.rooms.example",
        "INTAKE_LETTERS_FOLDER": str(root / "out" / "{showroom}"), "INTAKE_MODE": "automatic",
        "INTAKE_QUIET_MINUTES": "0", "INTAKE_LOOK_MINUTES": "0", "INTAKE_WORKING_HOURS": "00:00-24:00",
        "INTAKE_LETTERS_A_DAY": "20", "INTAKE_WORKING_DAYS": "Mon Tue Wed Thu Fri Sat Sun",
    }  # fmt: skip


def _deliver(root: Path, arriving: list[Mail]) -> None:
    for mail in arriving:
        path = root / "mail" / mail.showroom / f"{mail.at.timestamp():.0f}.eml"
        path.write_bytes(mail.raw)


def _check(house: House, root: Path, day: list[Mail]) -> None:
    """Each message is filed once and each customer answered, by the showroom that was written to and no other."""
    assert [t.what for t in house.wrong()[FAULTY]] == ["showroom"]
    for name in sorted({mail.showroom for mail in day}):
        sent = [mail for mail in day if mail.showroom == name]
        with house.services(name).store.reading() as tables:
            kept = tables.db.exec_driver_sql("SELECT state, count(*) FROM messages GROUP BY state").all()
            writers = {job.customer.email for job in tables.jobs.all()}
        assert [tuple(row) for row in kept] == [("filed", len(sent))], (name, kept)
        assert writers == {mail.sender for mail in sent}
        letters = [message_from_bytes(path.read_bytes()) for path in (root / "out" / name).glob("*.eml")]
        assert {str(letter["To"]) for letter in letters} == writers, name
        answered = [str(letter["In-Reply-To"]) for letter in letters]
        assert len(answered) == len(set(answered)), f"{name}: a message was answered twice"


def _of_children() -> float:
    """Processor seconds of the processes that have ended below this one."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _peak(process: int) -> float:
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    return next((int(line.split()[1]) for line in lines if line.startswith("VmHWM")), 0) / 1000


def _size(folder: Path, pattern: str = "*") -> int:
    return sum(path.stat().st_blocks * 512 for path in folder.rglob(pattern) if path.is_file())


if __name__ == "__main__":
    asked = [int(given) for given in sys.argv[1:]] + [200, 14, 24, 0][len(sys.argv) - 1 :]
    with tempfile.TemporaryDirectory() as scratch:
        for what, figure in run(Path(scratch), *asked).items():
            print(f"{what:<50} {figure:,.3f}", flush=True)
