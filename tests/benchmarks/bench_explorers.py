"""How quick the explorers answer: every control of every explorer is moved, and each reply is timed.

Run it by hand: ``python tests/benchmarks/bench_explorers.py [--steps 5] [--name NAME]``. A reply is what the
engine does for one move of a slider: the sum, the drawing, and its SVG; what others do on the machine is left
out of the time. The exit code is 1 if the median of an explorer is above 50 ms.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import time
from collections.abc import Iterator
from typing import Any

from kit.views.pictures import ink
from kit.views.pictures.register import ExplorerSpec, Slider, explorer_named, explorer_names

REPLY_MS = 50


def moves(spec: ExplorerSpec, steps: int) -> Iterator[dict[str, Any]]:
    """Yield settings as a hand would set them: one control at a time, from one end to the other."""
    for control in spec.controls:
        if isinstance(control, Slider):
            count = round((control.high - control.low) / control.step)
            apart = max(1, count // steps)
            for place in range(0, count + 1, apart):
                yield spec.settle({control.key: control.low + place * control.step})
        else:
            for key, _ in control.options:
                yield spec.settle({control.key: key})


def timed(spec: ExplorerSpec, settings: dict[str, Any], *, narrow: bool) -> tuple[float, float]:
    """Return how long the drawing and its SVG took. [ms], [ms]"""
    start = time.process_time()
    figure = spec.draw(settings).figure
    middle = time.process_time()
    if not isinstance(figure, str):
        ink.svg(figure, narrow=narrow)
    return 1000 * (middle - start), 1000 * (time.process_time() - middle)


def main() -> int:
    """Print a table of every explorer and return 1 if one is too slow."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--steps", type=int, default=5, help="moves of each slider")
    parser.add_argument("--name", action="append", help="only this explorer")
    asked = parser.parse_args()
    slow = 0
    print(f"{'explorer':28}{'moves':>6}{'draw':>8}{'svg':>8}{'median':>8}{'worst':>8}   [ms]")
    for name in asked.name or explorer_names():
        spec = explorer_named(name)
        timed(spec, spec.start(), narrow=False)  # what is loaded once
        found = [
            timed(spec, settings, narrow=place % 2 == 1)
            for place, settings in enumerate(moves(spec, asked.steps))
        ]
        whole = [sum(each) for each in found]
        drawn, written = (statistics.median(each[part] for each in found) for part in (0, 1))
        middle = statistics.median(whole)
        slow += middle > REPLY_MS
        sign = "  slow" if middle > REPLY_MS else ""
        print(
            f"{name:28}{len(found):6}{drawn:8.0f}{written:8.0f}{middle:8.0f}{max(whole):8.0f}{sign}",
            flush=True,
        )
    print(f"{slow} above {REPLY_MS} ms; load of the machine {os.getloadavg()[0]:.1f}")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
