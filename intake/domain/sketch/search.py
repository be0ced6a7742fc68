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
from intake.domain.sketch.states import HeldMeaning, Parts, State, Weights

BUDGET, QUICK = 600, 0
"""So many states are weighed at most besides those on the way to the first that no change betters; then what is best so
far stands, and `whole` is False. The second is for comparing outlines."""
STARTS, QUICK_STARTS = 5, 2
"""So often the best state is looked for from another start."""
CLIMB = 8_000
"""So many states are weighed at most on the way up."""
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
                value, change = max(
                    ((self._weighed(now, c), c) for c in self._exchanges(now.state)), default=(now.weight, ())
                )
                if value <= now.weight:
                    break
                better = self._taken_apart(_with(now.state, change))
            now = better
        return now.state

    def _swept(self, now: Parts) -> Parts:
        """The state after each number in turn has taken the meaning that helps most."""
        for n, options in enumerate(self.offered):
            changes = [((n, option),) for option in range(len(options)) if option != now.state[n]]
            value, change = max(((self._weighed(now, c), c) for c in changes), default=(now.weight, ()))
            if value > now.weight:
                now = self._taken_apart(_with(now.state, change))
        return now

    def _look_round(self, state: State) -> None:
        best, most = self.seen[state], len(self.seen) + self.most
        heap = [(-weight, state) for state, weight in self.seen.items()]
        heapq.heapify(heap)
        for _ in range(EXPANDED if self.most else 0):
            if not heap or -heap[0][0] < best - KEPT:
                return
            now = self.weights.parts(heapq.heappop(heap)[1])
            for change in self._changes(now.state):
                state = _with(now.state, change)
                if state in self.seen:
                    continue
                if len(self.seen) >= most:
                    self.whole = False
                    return
                value = self._weighed(now, change)
                best = max(best, value)
                heapq.heappush(heap, (-value, state))
        self.whole = not heap or -heap[0][0] < best - KEPT

    def _taken_apart(self, state: State) -> Parts:
        parts = self.weights.parts(state)
        self.seen[state] = parts.weight
        return parts

    def _weighed(self, now: Parts, change: tuple[HeldMeaning, ...]) -> float:
        state = _with(now.state, change)
        if state not in self.seen:
            self.seen[state] = self.weights.changed(now, *change)
        return self.seen[state]

    def _shaken(self, state: State, start: int) -> State:
        """The state with every fifth of the numbers that may mean several things meaning its next likely one."""
        unsure = [n for n, options in enumerate(self.offered) if len(options) > 1]
        shaken = set(unsure[start % 5 :: 5])
        return tuple((o + 1) % len(self.offered[n]) if n in shaken else o for n, o in enumerate(state))

    def _changes(self, state: State) -> Iterator[tuple[HeldMeaning, ...]]:
        """One number changed, or two exchanging their walls."""
        for n, options in enumerate(self.offered):
            for option in range(len(options)):
                if option != state[n]:
                    yield ((n, option),)
        yield from self._exchanges(state)

    def _exchanges(self, state: State) -> Iterator[tuple[HeldMeaning, ...]]:
        for a, b in combinations((n for n, options in enumerate(self.offered) if len(options) > 1), 2):
            yield from self._exchanged(state, a, b)

    def _exchanged(self, state: State, a: int, b: int) -> Iterator[tuple[HeldMeaning, ...]]:
        first, second = self.offered[a][state[a]], self.offered[b][state[b]]
        if first.key == second.key or (first.levels is None is second.levels and first.wall == second.wall):
            return
        to_b = self._like(a, first, second)
        to_a = self._like(b, second, first)
        if to_a is not None and to_b is not None:
            yield (a, to_b), (b, to_a)

    def _like(self, number: int, now: Meaning, wanted: Meaning) -> int | None:
        """The meaning of a number that says the same and measures what another one does."""
        for n, m in enumerate(self.offered[number]):
            if m.text == now.text and m.key == wanted.key:
                return n
        return None


def _with(state: State, change: tuple[HeldMeaning, ...]) -> State:
    changed = list(state)
    for n, option in change:
        changed[n] = option
    return tuple(changed)
