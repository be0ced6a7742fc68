"""A simulated showroom: python -m tests.inspection.showroom [--years N] [--jobs N] [--weeks N]
[--kind ordinary|hard|easy|edge].

Each of a year's customers draws a hand (how sure the readers are of it, and how far that can be trusted) and a tape
(how often they slip, and so how many letters go). Designers who err once in two hundred looks, and as often overlook
a number that was missed, look at what the program's own lots draw; the owner takes every bar that is proposed.
Nothing of the program is replaced: lots, looks, limits, figures and bars are those of intake.domain.inspection; only
the readers and the people are drawn. It prints how often the intervals held, and how the bar moved. See
docs/measuring.md.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest

from intake.domain.inspection.bar import BARS, proposal
from intake.domain.inspection.bounds import looks_needed
from intake.domain.inspection.evidence import Evidence, accepted
from intake.domain.inspection.figures import figures
from intake.domain.inspection.looks import is_slip, verdict
from intake.domain.inspection.lots import CLEAR, MIXED, NEAR, Seen, drawn, share
from intake.domain.inspection.packing import packed, with_verdicts
from intake.model.inspection import CountedLot, HandKind, JobCounts, Look, Shares, SpotCheck, Verdict, Weighed

PROMISE = 0.0075
FIRST = 0.15
SHIPPED = 0.9
SLIP = 1 / 200
WEEKS = 52
QUEUE = 10
"""So many numbers wait for a look on most days."""
BEGIN = datetime(2026, 1, 5, tzinfo=UTC)
READ, TRUE = "386.5", "380.5"
SLIPS = ("386.8", "365.5", "396.5", "186.5")

HANDS = {
    # of a hundred customers, how sure the readers are of their numbers (mean log odds), how far that can be believed,
    # and what is to be added to that
    "ordinary": ((80, 6.5, 1.0, 0.6), (16, 4.0, 1.0, 0.0), (4, 3.0, 1.0, -1.6)),
    "hard": ((60, 6.0, 1.0, 0.0), (30, 3.8, 1.0, -0.6), (10, 3.2, 1.0, -2.6)),
    "easy": ((90, 6.5, 1.0, 1.5), (10, 3.0, 1.0, 0.8)),
    "edge": ((100, 5.0, 0.0, 4.95),),
}
"""The last is the hardest for a bound: every bar lets a little more pass than is promised, so that each that is ever
said to keep the promise breaks it."""


@dataclass(frozen=True)
class Plan:
    """One customer's sketch: how sure the readers are of each number, which are right, and how many were missed."""

    sure: NDArray[np.float64]
    right: NDArray[np.bool_]
    missed: int
    slips: int


def plans(kind: str, count: int, rng: np.random.Generator) -> list[Plan]:
    """So many customers' plans."""
    hands = HANDS[kind]
    weights = np.array([h[0] for h in hands], float)
    found = []
    for h in rng.choice(len(hands), count, p=weights / weights.sum()):
        _, sureness, belief, trust = hands[h]
        size = int(rng.integers(8, 20))
        odds = rng.normal(sureness + rng.normal(0, 0.6), 1.6, size)
        right = rng.random(size) < 1 / (1 + np.exp(-(belief * odds + trust + rng.normal(0, 0.5))))
        sure = np.minimum(1 / (1 + np.exp(-odds)), 0.9995)
        # A tape: most customers measure with care, a few slip at every fifth length.
        tape = rng.choice([0.01, 0.05, 0.2], p=[0.7, 0.25, 0.05])
        found.append(Plan(sure, right, int(rng.binomial(size, 0.03)), int(rng.binomial(size, tape))))
    return found


@lru_cache(maxsize=4)
def truth(kind: str) -> dict[float, float]:
    """The share of wrong ones that each bar lets pass, over fifty thousand customers."""
    some = plans(kind, 50_000, np.random.default_rng(1))
    sure, right = np.concatenate([p.sure for p in some]), np.concatenate([p.right for p in some])
    return {bar: float(1 - right[sure >= bar].mean()) for bar in (*BARS, SHIPPED)}


@dataclass
class Year:
    """One or more years of one showroom, week by week."""

    rng: np.random.Generator
    bar: float = SHIPPED
    lots: list[CountedLot] = field(default_factory=list)
    open: dict[int, list[SpotCheck]] = field(default_factory=dict)
    """The numbers drawn of each lot of which one waits, by the lot's place."""
    drawn_at: list[datetime] = field(default_factory=list)
    right: list[NDArray[np.bool_]] = field(default_factory=list)
    sure: list[NDArray[np.float64]] = field(default_factory=list)
    wrong: list[int] = field(default_factory=list)
    """How many accepted numbers of each lot are wrong."""
    jobs: list[JobCounts] = field(default_factory=list)

    def known(self) -> Evidence:
        return Evidence(tuple(self.lots[: min(self.open, default=len(self.lots))]))

    def read(self, plan: Plan, at: datetime, seen: Seen) -> None:
        """A sketch comes in, is read, and lots are drawn for its numbers."""
        taken = plan.sure >= self.bar
        hand = taken.mean()
        kind = HandKind.CLEAR if hand >= CLEAR else HandKind.MIXED if hand >= MIXED else HandKind.HARD
        part = np.flatnonzero(plan.sure >= NEAR)
        numbers = {
            n: Weighed(round(float(plan.sure[i]), 4), bool(taken[i]), True) for n, i in enumerate(part)
        }
        chance = share(kind, seen, FIRST, PROMISE)
        fell = drawn(range(len(part)), list(self.rng.random(len(part))), chance)
        place = len(self.lots)
        self.lots.append(CountedLot("v-1", "own-paper", f"{at:%Y-%m}", kind, chance, packed(numbers, fell)))
        if fell:
            self.open[place] = [SpotCheck(n, str(place), n, READ, numbers[n]) for n in fell]
        self.drawn_at.append(at)
        self.right.append(plan.right[part])
        self.sure.append(plan.sure[part])
        self.wrong.append(int((taken & ~plan.right).sum()))
        self.count(plan, int(taken.sum()))

    def count(self, plan: Plan, taken: int) -> None:
        """The job is completed at the desk: what was missed is added, but for what the designer overlooks."""
        added = int(self.rng.binomial(plan.missed, 1 - SLIP))
        letters = 1 + int(plan.slips > 0) + int(plan.slips > 3)
        days = float(self.rng.gamma(2.0, 1.5)) * letters
        lengths = len(plan.sure)
        misplaced = int(self.rng.binomial(lengths, 0.03))
        clauses = int(self.rng.poisson(6))
        unread = int(self.rng.binomial(clauses, self.rng.beta(1, 12)))
        self.jobs.append(JobCounts(
            1, 1, letters, letters, letters + plan.slips, Shares.over([(taken, lengths)]),
            Shares.over([(lengths, lengths + added)]), Shares.over([(lengths - misplaced, lengths)]),
            Shares.over([(clauses - unread, clauses)]), Counter([round(days, 1)]),
        ))  # fmt: skip

    def look(self, now: datetime) -> None:
        """Designers look at what waits: those begun a second time, and the new ones."""
        for place, some in list(self.open.items()):
            at, told = self.drawn_at[place], {}
            for n, check in enumerate(some):
                if verdict(check, "cm", at, now) is Verdict.WAITING:
                    saw = self.tell(bool(self.right[place][check.number]))
                    some[n] = replace(check, looks=(*check.looks, Look("maya", now, saw)))
                told[check.number] = verdict(some[n], "cm", at, now), is_slip(some[n], "cm")
            lot = self.lots[place]
            self.lots[place] = lot._replace(numbers=with_verdicts(lot.numbers, told))
            if all(said is not Verdict.WAITING for said, _ in told.values()):
                del self.open[place]

    def tell(self, right: bool) -> str:
        """What a designer types; a slip may by chance be what the program misread."""
        seen = READ if right else TRUE
        if self.rng.random() >= SLIP:
            return seen
        return READ if self.rng.random() < 0.2 else str(self.rng.choice(SLIPS))

    def holds(self, known: Evidence) -> bool:
        """Whether the interval of silent errors holds what is true of the numbers accepted so far."""
        found = known.silent(accepted)
        true = sum(self.wrong[: len(known.lots)]) / max(found.among, 1)
        return not known.lots or found.lower <= true <= found.upper

    def let_pass(self, bar: float, known: Evidence) -> float:
        """The share of wrong ones among the numbers known so far that a bar accepts."""
        sure, right = (np.concatenate(some[: len(known.lots)]) for some in (self.sure, self.right))
        return float(1 - right[sure >= bar].mean())


@dataclass(frozen=True)
class Result:
    """How one year went: whether the interval of silent errors ever left the truth, whether the other figures' held at
    the end, the bars by month, and whether a bar said to keep the promise broke it: among the numbers so far, of which
    alone that was said, and among all that ever may come."""

    always: bool
    figures: dict[str, bool]
    bars: tuple[float, ...]
    untrue: bool
    broke: bool
    checked: int
    width: float


def year(seed: int, kind: str, jobs: int, weeks: int = WEEKS) -> Result:
    """`jobs` a year, for so many weeks."""
    rng = np.random.default_rng([7, seed])
    here = Year(rng)
    customers = plans(kind, jobs * weeks // WEEKS, rng)
    always, untrue, broke, bars = True, False, False, []
    for week in range(weeks):
        now = BEGIN + timedelta(weeks=week)
        seen = replace(here.known().seen(accepted), waiting=QUEUE)
        for n, plan in enumerate(customers[week * jobs // WEEKS : (week + 1) * jobs // WEEKS]):
            here.read(plan, now + timedelta(minutes=n), seen)
        here.look(now + timedelta(days=4))
        known = here.known()
        always &= here.holds(known)
        if week % 4 == 3:
            found = proposal(known, here.bar, PROMISE)
            if found is not None:
                here.bar = found.bar
                untrue |= found.kept and here.let_pass(found.bar, known) > PROMISE
                broke |= found.kept and truth(kind)[found.bar] > PROMISE
            bars.append(here.bar)
    told = figures(JobCounts.total(here.jobs), known.silent(accepted))
    held = {
        "recall": told.recall.lower <= 1 / 1.03 <= told.recall.upper,
        "placed": told.placed.lower <= 0.97 <= told.placed.upper,
        "understood": told.understood.lower <= 12 / 13 <= told.understood.upper,
    }
    return Result(
        always, held, tuple(bars), untrue, broke, told.silent.checked, told.silent.upper - told.silent.lower
    )


def run(kind: str, years: int, jobs: int, weeks: int, workers: int) -> list[Result]:
    truth(kind)
    with ProcessPoolExecutor(workers) as pool:
        return list(pool.map(partial(year, kind=kind, jobs=jobs, weeks=weeks), range(years)))


def report(kind: str, results: list[Result]) -> None:
    true = truth(kind)
    kept = [bar for bar in BARS if true[bar] <= PROMISE]
    print(
        f"{kind}: {len(results)} showrooms. The shipped bar lets {100 * true[SHIPPED]:.2f} % pass,"
        f" promised are {100 * PROMISE} %;"
    )
    print(f"  the lowest bar that keeps the promise is {min(kept) if kept else 'none'}")
    print(f"  silent errors: inside the interval in every week {share_of([r.always for r in results])}")
    for name in results[0].figures:
        print(f"  {name}: inside at the end {share_of([r.figures[name] for r in results])}")
    print(f"  a bar was said to keep the promise and broke it so far {share_of([r.untrue for r in results])}")
    print(f"  and breaks it in the long run {share_of([r.broke for r in results])}")
    print(f"  once it had risen, the bar only came down {share_of([only_fell(r.bars) for r in results])}")
    bars = np.array([r.bars for r in results])
    for month in (m for m in (0, 2, 5, 8, 12, 25, 38, 51) if m < bars.shape[1]):
        low, middle, high = np.percentile(bars[:, month], [10, 50, 90])
        passed = np.median([true[bar] for bar in bars[:, month]])
        print(
            f"  after {4 * (month + 1):2d} weeks the bar is {middle:.3f} ({low:.3f} to {high:.3f});"
            f" it lets {100 * passed:.2f} % pass, to be shown by {looks_needed(passed, PROMISE):.0f} looks"
        )
    print(
        f"  {np.mean([r.checked for r in results]):.0f} numbers looked at;"
        f" the interval is {100 * np.mean([r.width for r in results]):.2f} % wide at the end"
    )


def only_fell(bars: Sequence[float]) -> bool:
    """Whether a bar never rose again after it had risen above the shipped one for the first time."""
    risen = [bar for n, bar in enumerate(bars) if max(bars[: n + 1]) > SHIPPED]
    return risen == sorted(risen, reverse=True)


def share_of(held: list[bool]) -> str:
    exact = binomtest(sum(held), len(held)).proportion_ci(0.95, "exact")
    return f"{sum(held)} of {len(held)} ({exact.low:.3f} to {exact.high:.3f})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--years", type=int, default=40)
    parser.add_argument("--jobs", type=int, default=2000, help="a year")
    parser.add_argument("--weeks", type=int, default=WEEKS, help="that each of these goes on for")
    parser.add_argument("--kind", choices=sorted(HANDS), nargs="*", default=sorted(HANDS))
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    for kind in asked.kind:
        report(kind, run(kind, asked.years, asked.jobs, asked.weeks, asked.workers))


if __name__ == "__main__":
    main()
