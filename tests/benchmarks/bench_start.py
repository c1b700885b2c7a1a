"""How long a start takes: the bare import, the list of commands. Exits with 1 if a figure is missed.

    python tests/benchmarks/bench_start.py [--runs 15]

Figures to reach on a quiet machine, on compiled files: `import kit` in 0.10 s more than an empty Python,
`smokehouse --help` in 0.15 s as a whole process. The best of the runs counts: other work only ever adds time.
"""

from __future__ import annotations

import argparse
import compileall
import subprocess
import sys
import time
from pathlib import Path

import kit

IMPORT_S, HELP_S = 0.10, 0.15


def best(arguments: list[str], runs: int) -> float:
    """Return the shortest of some runs of a process. [s]"""
    times = []
    for _ in range(runs):
        begun = time.perf_counter()
        subprocess.run(arguments, check=True, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - begun)
    return min(times)


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--runs", type=int, default=15)
    runs = parser.parse_args().runs
    compileall.compile_dir(str(Path(kit.__file__).parent), quiet=1)
    empty = best([sys.executable, "-c", "pass"], runs)
    importing = best([sys.executable, "-c", "import kit"], runs) - empty
    helping = best([sys.executable, "-m", "kit.cli", "--help"], runs)
    print(f"an empty Python {empty * 1e3:.0f} ms; import kit {importing * 1e3:+.0f} ms (to reach: 100)")
    print(f"smokehouse --help {helping * 1e3:.0f} ms (to reach: 150)")
    return 0 if importing <= IMPORT_S and helping <= HELP_S else 1


if __name__ == "__main__":
    sys.exit(main())
