"""How many wrong answers are met with silence, by sort of fault: no reason, or its line is not named.

    python tests/benchmarks/silent_answers.py [--seeds 24]

Every single fault that a page allows is made in every exercise; ends with exit code 1 if one is silent.
"""

import argparse
import sys
from collections import Counter

from kit import exercises, rules
from kit.exercises.engine.silence import faults, silent

PROFILES = ("ie", "uk", "us-retail", "us-processor", "codex")


def main() -> int:
    """Print the table; return 1 if a fault is silent."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=24)
    made, mute, where = Counter[str](), Counter[str](), Counter[str]()
    for name in exercises.ids():
        for seed in range(parser.parse_args().seeds):
            question = exercises.question(name, seed, rules.load(PROFILES[seed % len(PROFILES)]))
            made.update(fault.sort for fault in faults(question))
            found = silent(question)
            mute.update(fault.sort for fault in found)
            where[name] += len(found)
    for sort, count in made.items():
        print(f"{sort:>10}: {count:6d} made, {mute[sort]:5d} silent")
    for name, count in where.most_common():
        if count:
            print(f"  {name}: {count}")
    return 1 if mute.total() else 0


if __name__ == "__main__":
    sys.exit(main())
