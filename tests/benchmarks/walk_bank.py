"""Walk every exercise of the bank over many seeds and stop with 1 on any fault.

    python tests/benchmarks/walk_bank.py [--seeds 1000] [--lesson N] [--id ID ...]

For each variant: the answer is full marks, no slip is marked as full marks, each slip gives its own message,
the page carries nothing that gives the answer away, and drawing it again gives the same question. Exercises
whose truth is simulated have few settings and are remembered, so the walk is quick once it is warm.

An exercise that takes a rule profile is walked under every profile, and under a kitchen whose house limits
are tighter than its profile's: six times as many variants, so on a quarter of the seeds, 20 at least. Any
other draws the same whatever the profile, so one a seed is enough.
"""

from __future__ import annotations

import argparse
import sys
import time

from kit import exercises
from kit.exercises.engine.bank_walk import walk


def main() -> int:
    """Walk, print what was found, and return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=1000, help="how many seeds an exercise")
    parser.add_argument("--lesson", type=int, help="only this lesson")
    parser.add_argument("--id", action="append", help="only this exercise; may be given again")
    options = parser.parse_args()
    ids = tuple(options.id) if options.id else exercises.ids(options.lesson)
    started = time.perf_counter()
    faults, variants = walk(ids, options.seeds)
    for fault, times in faults.most_common():
        print(f"{times:6} × {fault}")
    spent = time.perf_counter() - started
    few = [f"{name} ({count})" for name, count in variants.items() if count < 5]
    if few:
        print(f"fewer than 5 variants: {', '.join(few)}")
    print(
        f"{len(ids)} exercises, {options.seeds} seeds each, {sum(variants.values())} variants, {spent:.1f} s"
    )
    print(f"{'FAULTS' if faults else 'no fault'}")
    return 1 if faults or not ids else 0


if __name__ == "__main__":
    sys.exit(main())
