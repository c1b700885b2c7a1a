"""What the tables cost on 300,000 marks: time, and the memory of reading in parts. Prints its figures.

    python tests/benchmarks/bench_tables.py [--books 20] [--marks 300000]

Figure to reach on 2 cores: `attempts` within 15 s, and a tenth of its memory when it is read in parts.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import tracemalloc
from pathlib import Path

from bench_records import multiply_marks, timed, write_book

import kit

MOST_S, SHARE = 15.0, 0.1


def peak_mb(work) -> float:
    """Return how much memory Python held at most while something ran. [MB]"""
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--books", type=int, default=20)
    parser.add_argument("--marks", type=int, default=300_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        records = kit.open_records(folder / "records.db")
        from kit.records import take_in

        take_in(records, [write_book(folder, number, 60) for number in range(options.books)])
        multiply_marks(records, options.marks)
        seconds = timed(lambda: print(len(kit.tables.attempts(records)), "attempts"))
        in_parts = timed(lambda: print(sum(len(part) for part in kit.tables.in_chunks("attempts", records))))
        whole = peak_mb(lambda: kit.tables.attempts(records))
        parts = peak_mb(lambda: sum(len(p) for p in kit.tables.in_chunks("attempts", records, rows=5_000)))
        others = {
            name: timed(lambda n=name: getattr(kit.tables, n)(records)) for name in ("slips", "practice")
        }
        records.close()
    print(
        f"attempts: {seconds:.1f} s whole, {in_parts:.1f} s in parts; peak {whole:.0f} MB and {parts:.0f} MB"
    )
    print(", ".join(f"{name}: {taken:.1f} s" for name, taken in others.items()))
    return 0 if seconds <= MOST_S and parts <= SHARE * whole else 1


if __name__ == "__main__":
    sys.exit(main())
