"""How many random faults in the rules their own tests notice; prints those that none did.

python -m tests.mutants [--seed N] [--count N] [--room ROOM]
"""

from __future__ import annotations

import argparse
import time
from collections import Counter

from tests.mutants.faults import faults, sample
from tests.mutants.trial import tried


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument(
        "--room", default="", help="a room of the domain, e.g. survey; all where it is not given"
    )
    asked = parser.parse_args()
    drawn = sample(asked.seed, asked.count, asked.room)
    noticed, started, of = 0, time.monotonic(), Counter[str]()
    for number, (fault, was) in enumerate(tried(drawn), 1):
        noticed += was
        what = "numbers" if fault.operator.endswith("NumberReplacer") else "logic"
        of.update({what: 1, f"{what} noticed": was})
        if not was:
            print(fault.lines(), flush=True)
        print(f"{number}: {noticed} noticed, {time.monotonic() - started:.0f} s", flush=True)
    places = len(faults(asked.room))
    print(f"{noticed} of {len(drawn)} faults noticed (seed {asked.seed}, drawn from {places})")
    for what in ("logic", "numbers"):
        print(f"  in {what}: {of[f'{what} noticed']} of {of[what]}")


if __name__ == "__main__":
    main()
