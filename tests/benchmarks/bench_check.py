"""How long the check of all records takes: the chain with its signatures, then every row of every table.

1,000 people, a book of 60 lines each, and 60,000 signed acts. Goal: 10 s on 2 cores, as the command checks.
"""

import argparse
import sys
import tempfile
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kit.cli.tutor.record import PROCESSES
from kit.records.ledger.projection import check_chain
from kit.records.upkeep.whole_check import check_all
from tests.benchmarks.bench_desk import build

GOAL_S = 10.0


def main() -> int:
    """Build the records, check them twice, print what it took."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=1000)
    parser.add_argument("--acts", type=int, default=60_000)
    options = parser.parse_args()
    options.marks = 0
    with tempfile.TemporaryDirectory() as scratch:
        records, _, _ = build(Path(scratch), options)
        times = {}
        works = {
            "the chain alone": check_chain,
            "everything, in one process": check_all,
            "everything": lambda records: check_all(records, processes=PROCESSES),
        }
        for name, work in works.items():
            began = perf_counter()
            report = work(records)
            times[name] = perf_counter() - began
            assert report.whole, report.problems[:3]
            print(f"{name}: {times[name]:.2f} s")
        print(f"acts: {report.acts}; not checked: {report.not_checked}")
        records.close()
    return 0 if times["everything"] <= GOAL_S else 1


if __name__ == "__main__":
    sys.exit(main())
