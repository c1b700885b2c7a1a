"""Two checkouts of the kit against each other, in one run, by turns: is anything slower than it was?

    python tests/benchmarks/compare_versions.py OTHER_CHECKOUT [--rounds 7] [--only NAME ...]

Each checkout has its own environment in `.venv` with the kit installed. A figure is a few lines of Python
that print the time they took of a processor; it runs in the one and in the other by turns, so a drifting
machine slows both. The median of the ratios pair by pair counts: above 1.10 is a miss. Prints a line a
figure; exits with 1 on a miss.
"""

from __future__ import annotations

import argparse
import compileall
import os
import statistics
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
MOST = 1.10

CLOCK = """
import time
def best(work, times):
    found = []
    for _ in range(times):
        begun = time.process_time(); work(); found.append(time.process_time() - begun)
    return min(found)
"""
CLICK = (
    "import os, tempfile; os.environ['SMOKEHOUSE_HOME'] = tempfile.mkdtemp()\n"
    "from kit.practice import create, start\n"
    "work = start(create('Ana').id)\n"
    "try: from kit.views.workbook.task import Task\n"
    "except ImportError:\n"
    "    from kit.views.practice_desk import PracticeDesk\n"
    "    from kit.views.task import Task\n"
    "    work = PracticeDesk(work)\n"
)
# Each prints seconds. A place that has moved is looked for under its new name, then under its old one.
FIGURES = {
    "import kit": "import time; b = time.process_time(); import kit; print(time.process_time() - b)",
    "list of commands": (
        "import time, io, contextlib; b = time.process_time()\n"
        "from kit.cli import smokehouse\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        "    smokehouse.main(['--help'], standalone_mode=False)\n"
        "print(time.process_time() - b)"
    ),
    "a day": "from kit.process import day\n"
    "try: Card = day.BatchCard\n"
    "except AttributeError: Card = day.Card\n"
    "n = iter(range(10**6))\n"
    "run = lambda: day.run(Card(core_target_c=64, chill_target_c=3, thickness_mm=24 + next(n) / 1000))\n"
    "run(); print(best(run, 8))",
    "2,000 batches": "import numpy as np\n"
    "from kit.process.spread import Vary, spread\n"
    "limits = dict(core_target_c=64, hold_min=10, wps_target_pct=2.5, cook_min=60)\n"
    "run = lambda: spread(Vary(), 2000, np.random.default_rng(1), **limits)\n"
    "run(); print(best(run, 2))",
    "draw and mark the bank": "from kit import exercises\n"
    "from kit.marking import mark\n"
    "def run():\n"
    "    for name in exercises.ids():\n"
    "        q = exercises.question(name, 7); mark(q, q.answer)\n"
    "run(); print(best(run, 5))",
    "the bank, cold": "from kit import exercises\n"
    "print(best(lambda: [exercises.question(name, 11) for name in exercises.ids()], 1))",
    "a click on Check": CLICK + "card = Task('salt-for-brine', work, number=1)\n"
    "click = lambda: card._hear(card, {'do': 'check', 'answer': '1 g', 'serial': '1'}, [])\n"
    "click(); print(best(click, 40))",
    "a click to run a batch": CLICK
    + "card, hour = Task('run-the-cook', work, number=1), iter(range(10, 60, 5))\n"
    "def click():\n"
    "    settings = {'cabinet_c': 70, 'rh_pct': 30, 'hold_min': next(hour)}\n"
    "    card._hear(card, {'do': 'check', 'answer': settings, 'serial': '1'}, [])\n"
    "click(); print(best(click, 5))",
    "judge a record": "from kit import rules\n"
    "import numpy as np\n"
    "profile = rules.load('ie')\n"
    "from types import SimpleNamespace\n"
    "try: from kit.process.physics.trace import Trace\n"
    "except ImportError: from kit.process.trace import Trace\n"
    "t = np.arange(0, 600.0); c = 4 + 70 * np.exp(-((t - 200) / 120) ** 2)\n"
    "record = Trace(t, c)\n"
    "run = lambda: rules.judge(record, profile)\n"
    "run(); print(best(run, 20))",
    "take in 40 books": "import bench_records as b, tempfile, pathlib, time\n"
    "from kit.records import open_records, take_in\n"
    "with tempfile.TemporaryDirectory() as scratch:\n"
    "    folder = pathlib.Path(scratch)\n"
    "    books = [b.write_book(folder, n, 40) for n in range(40)]\n"
    "    records = open_records(folder / 'tutor' / 'records.db')\n"
    "    print(best(lambda: take_in(records, books, processes=1), 1)); records.close()",
    "board of 120 people": "import bench_records as b, tempfile, pathlib\n"
    "from kit.records import board, open_records, take_in\n"
    "with tempfile.TemporaryDirectory() as scratch:\n"
    "    folder = pathlib.Path(scratch)\n"
    "    books = [b.write_book(folder, n, 30) for n in range(120)]\n"
    "    records = open_records(folder / 'tutor' / 'records.db'); take_in(records, books, processes=2)\n"
    "    board(records); print(best(lambda: board(records), 7)); records.close()",
}


def seconds(checkout: Path, code: str) -> float:
    """Return what one run of a figure in one checkout prints. [s]"""
    environment = {**os.environ, "PYTHONPATH": f"{checkout}:{checkout / 'tests' / 'benchmarks'}"}
    run = subprocess.run(
        [checkout / ".venv" / "bin" / "python", "-c", CLOCK + code],
        cwd=checkout,  # it comes first on the path
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return float(run.stdout.split()[-1])


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("other", type=Path)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--only", nargs="*", default=list(FIGURES))
    options = parser.parse_args()
    other = options.other.resolve()
    for checkout in (HERE, other):
        compileall.compile_dir(str(checkout / "kit"), quiet=1)
    missed = 0
    for name in options.only:
        pairs = [(seconds(HERE, FIGURES[name]), seconds(other, FIGURES[name])) for _ in range(options.rounds)]
        here, there = (statistics.median(times) for times in zip(*pairs, strict=True))
        ratio = statistics.median(one / two for one, two in pairs)
        missed += ratio > MOST
        says = "slower" if ratio > MOST else "as quick"
        print(
            f"{name:<24} here {here * 1e3:9.1f} ms   there {there * 1e3:9.1f} ms   ratio {ratio:.2f}  {says}"
        )
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
