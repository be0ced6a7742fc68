"""The search for the states of a plan that are worth weighing.

First the best state that changing one number at a time, or exchanging two, leads to, from several starts; then the
states round the best, best first, as long as they weigh enough to count and the budget lasts.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from intake.domain.sketch.meaning import Meaning
from intake.domain.sketch.states import Parts, Retelling, State, Weights

BUDGET, QUICK = 600, 0
"""So many states are weighed at most besides those on the way to the first that no change betters; then what is best so
far stands, and `whole` is False. The second is for comparing outlines."""
STARTS, QUICK_STARTS = 5, 2
"""So often the best state is looked for from another start."""
CLIMB = 7_000
"""So many states are weighed at most on the way up."""
FEWEST = 2
"""So many numbers are looked at together at first."""
EXPANDED = 60
"""So many of the best states have all their changes tried."""
KEPT = 16.0
"""A state whose log weight is this much below the best counts no more."""


@dataclass
class Search:
    """The states seen with their log weights. `whole`: every state worth it was weighed."""

    offered: Sequence[list[Meaning]]
    weights: Weights
    most: int = BUDGET
    whole: bool = True
    seen: dict[State, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._says = [_by_what_it_says(options) for options in self.offered]

    def run(self, starts: int = STARTS) -> None:
        state = self.climbed(tuple(0 for _ in self.offered))
        for start in range(1, starts):
            if len(self.seen) < CLIMB:
                state = max(state, self.climbed(self._shaken(state, start)), key=lambda s: self.seen[s])
        self._look_round(state)

    def climbed(self, state: State) -> State:
        """The best state that is reached by changing one number at a time, or exchanging two, as long as it helps."""
        now = self._taken_apart(state)
        while len(self.seen) < CLIMB:
            better = self._swept(now)
            if better.weight <= now.weight:
                value, change = self._best(now, list(self._exchanges(now.state)))
                if value <= now.weight:
                    break
                better = self._taken_apart(_with(now.state, change))
            now = better
        return now.state

    def _swept(self, now: Parts) -> Parts:
        """The state after each number in turn has taken the meaning that helps most. Numbers are looked at some at a
        time, as many are weighed faster together, and fewer where they keep changing."""
        at, step = 0, FEWEST
        while at < len(self.offered):
            numbers = range(at, min(at + step, len(self.offered)))
            self._weighed(now, [change for n in numbers for change in self._changes_of(now.state, n)])
            step *= 2
            for n in numbers:
                at = n + 1
                value, change = self._best(now, list(self._changes_of(now.state, n)))
                if value > now.weight:
                    now, step = self._taken_apart(_with(now.state, change)), FEWEST
                    break
        return now

    def _look_round(self, state: State) -> None:
        best, most = self.seen[state], len(self.seen) + self.most
        heap = [(-weight, state) for state, weight in self.seen.items()]
        heapq.heapify(heap)
        for _ in range(EXPANDED if self.most else 0):
            if not heap or -heap[0][0] < best - KEPT:
                return
            now = self.weights.parts(heapq.heappop(heap)[1])
            changes = {_with(now.state, change): change for change in self._changes(now.state)}
            new = [state for state in changes if state not in self.seen]
            self.whole = len(new) <= most - len(self.seen)
            new = new[: most - len(self.seen)]
            for state, value in zip(new, self._weighed(now, [changes[s] for s in new]), strict=True):
                best = max(best, value)
                heapq.heappush(heap, (-value, state))
            if not self.whole:
                return
        self.whole = not heap or -heap[0][0] < best - KEPT

    def _taken_apart(self, state: State) -> Parts:
        parts = self.weights.parts(state)
        self.seen[state] = parts.weight
        return parts

    def _best(self, now: Parts, changes: list[Retelling]) -> tuple[float, Retelling]:
        """The change that leads to the heaviest state, with its weight."""
        return max(zip(self._weighed(now, changes), changes, strict=True), default=(now.weight, ()))

    def _weighed(self, now: Parts, changes: list[Retelling]) -> list[float]:
        states = [_with(now.state, change) for change in changes]
        new = {state: change for state, change in zip(states, changes, strict=True) if state not in self.seen}
        self.seen |= zip(new, self.weights.changed(now, list(new.values())), strict=True)
        return [self.seen[state] for state in states]

    def _shaken(self, state: State, start: int) -> State:
        """The state with every fifth of the numbers that may mean several things meaning its next likely one."""
        unsure = [n for n, options in enumerate(self.offered) if len(options) > 1]
        shaken = set(unsure[start % 5 :: 5])
        return tuple((o + 1) % len(self.offered[n]) if n in shaken else o for n, o in enumerate(state))

    def _changes(self, state: State) -> Iterator[Retelling]:
        """One number changed, or two exchanging their walls."""
        for n in range(len(self.offered)):
            yield from self._changes_of(state, n)
        yield from self._exchanges(state)

    def _changes_of(self, state: State, n: int) -> Iterator[Retelling]:
        return (((n, option),) for option in range(len(self.offered[n])) if option != state[n])

    def _exchanges(self, state: State) -> Iterator[Retelling]:
        """Two numbers each measuring what the other one did, and saying the same as before."""
        now = [self.offered[n][option] for n, option in enumerate(state)]
        keys = [m.key for m in now]
        for a, b in combinations((n for n, options in enumerate(self.offered) if len(options) > 1), 2):
            first, second = now[a], now[b]
            if keys[a] == keys[b] or (first.levels is None is second.levels and first.wall == second.wall):
                continue
            to_b = self._says[a].get((first.text, keys[b]))
            to_a = self._says[b].get((second.text, keys[a])) if to_b is not None else None
            if to_a is not None and to_b is not None:
                yield (a, to_b), (b, to_a)


def _by_what_it_says(options: Sequence[Meaning]) -> dict[tuple[int | None, object], int]:
    """The first meaning of a number that says a text and measures one thing."""
    return {(m.text, m.key): option for option, m in reversed(list(enumerate(options)))}


def _with(state: State, change: Retelling) -> State:
    changed = list(state)
    for n, option in change:
        changed[n] = option
    return tuple(changed)
