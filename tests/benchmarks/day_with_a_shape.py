"""What the shape of the fillet adds to a day: the loin alone, and the loin with all strips, in turns.

    python tests/benchmarks/day_with_a_shape.py [--pairs 15]

Asked for: a day with its whole fillet takes at most twice as long as the loin alone, in one run. Pairs are
run one after the other, so that other work on the machine hits both; the median ratio counts. Exit code 1 if
missed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from statistics import median

from kit.process.day import BatchCard, run
from kit.process.whole import whole_fillet

MOST = 2.0
CARDS = (
    BatchCard(64, 3, species="trout, farmed", thickness_mm=19, mass_g=250),
    BatchCard(64, 3, species="salmon, farmed", thickness_mm=30, mass_g=1400),
)


def seconds(work: Callable[[], object]) -> float:
    """How long the processor works at one call."""
    began = time.process_time()
    work()
    return time.process_time() - began


def main() -> int:
    """Print the ratio for each card."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--pairs", type=int, default=15)
    pairs, worst = asked.parse_args().pairs, 0.0
    for card in CARDS:
        whole_fillet(run(card))
        both = [
            (seconds(lambda card=card: run(card)), seconds(lambda card=card: whole_fillet(run(card))))
            for _ in range(pairs)
        ]
        ratio = median(second / first for first, second in both)
        worst = max(worst, ratio)
        best = [1000 * min(column) for column in zip(*both, strict=True)]
        print(
            f"{card.species}: loin {best[0]:.0f} ms, whole {best[1]:.0f} ms at best; median ratio {ratio:.2f}"
        )
    print(f"at most {MOST:g}: {'reached' if worst <= MOST else 'missed'}")
    return 0 if worst <= MOST else 1


if __name__ == "__main__":
    sys.exit(main())
