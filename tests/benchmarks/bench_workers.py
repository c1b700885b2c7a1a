"""How long marking books takes in one process, in a pool, and with Dask on this machine, by turns.

    python tests/benchmarks/bench_workers.py --books 120 --workers 2 --rounds 2 [--kills 3]

The books of the invented crew stand several times. Each way marks all of them, start of the workers included;
a fingerprint of all marks must be the same each time. With ``--kills`` Dask's workers are killed meanwhile.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import signal
import tempfile
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from kit.basics.many_workers import engine, engine_address
from kit.cli.demo.crew import make_crew
from kit.files.joined_kitchen import RuleShelf
from kit.records.intake.spread_books import kit_here, mark_here, spread_books


def fingerprint(books) -> str:
    told = hashlib.sha256()
    for book in books:
        for line in book.lines:
            told.update(repr((book.person, line.entry.n, line.counts, line.outcome)).encode())
    return told.hexdigest()[:16]


def one_process(paths, given):
    return [mark_here(given, path) for path in paths]


def with_engine(where, paths, given, kills=0):
    with engine(engine_address(where), kit_here) as workers:
        stop, killed = threading.Event(), []
        if kills:
            threading.Thread(target=kill, args=(kills, stop, killed), daemon=True).start()
        found = list(spread_books(workers, paths, given))
        stop.set()
    if kills:
        print(f"    {len(killed)} workers killed")
    return found


def kill(times, stop, killed):
    import psutil

    while len(killed) < times and not stop.wait(1.0):
        mine = [p for p in psutil.Process().children() if "spawn_main" in " ".join(p.cmdline())]
        if mine:
            killed.append(mine[0].pid)
            os.kill(mine[0].pid, signal.SIGKILL)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", type=int, default=120)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--rounds", type=int, default=2)
    parser.add_argument("--kills", type=int, default=0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        crew = make_crew(Path(folder), datetime.now(UTC) - timedelta(hours=1))
        paths = [crew[n % len(crew)] for n in range(asked.books)]
        given = ({}, datetime.now(UTC), RuleShelf(), frozenset(), None)
        pool, dask = f"pool:{asked.workers}", f"local:{asked.workers}"
        ways = {
            "one process": lambda: one_process(paths, given),
            pool: lambda: with_engine(pool, paths, given),
            dask: lambda: with_engine(dask, paths, given, asked.kills),
        }
        prints = set()
        for turn in range(asked.rounds):
            took = {}
            for name, way in ways.items():
                began = time.perf_counter()
                prints.add(fingerprint(way()))
                took[name] = time.perf_counter() - began
            single, pooled, local = took.values()
            shown = ", ".join(f"{name} {seconds:.1f} s" for name, seconds in took.items())
            load = os.getloadavg()[0]
            print(f"round {turn + 1}, {asked.books} books, load {load:.1f}: {shown}")
            ratios = f"one ÷ pool {single / pooled:.2f}, one ÷ Dask {single / local:.2f}"
            print(f"    {ratios}, Dask ÷ pool {local / pooled:.2f}")
        print(f"fingerprints of all marks: {', '.join(sorted(prints))}")
        assert len(prints) == 1, "the ways do not agree"


if __name__ == "__main__":
    main()
